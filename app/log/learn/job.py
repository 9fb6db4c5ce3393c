"""Learning in a worker: reads the log by itself, so that no entries are sent about."""

from __future__ import annotations

from pathlib import Path

from app.log.find import Wanted
from app.log.learn.exposure import rows_of
from app.log.learn.findings import Learned, learn
from app.log.store import Store


def learned_of(path: Path, wanted: Wanted) -> Learned:
    """What the entries of a log tell that fit what is looked for."""
    store = Store(path)
    try:
        return learn(*rows_of(store.entries(wanted)))
    finally:
        store.close()
