"""Learning in a worker: reads the log by itself, so that no entries are sent about."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

from app.common.database import connected
from app.log.learn.exposure import rows_of
from app.log.learn.findings import Learned, learn
from app.log.reading import Entries, readied

OPEN_S = 5.0
"""How long another window's writing is waited for, s."""


def learned_of(path: Path) -> Learned:
    """What the real entries of a log tell. Raises sqlite3.Error where it cannot be read."""
    with closing(connected(f"{path.as_uri()}?mode=ro", OPEN_S, uri=True)) as db:
        return learn(*rows_of(Entries(readied(db))))
