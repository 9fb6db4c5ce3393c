"""Files taken in and given out in a worker, which opens the log by itself: no entries are sent
about, and the window goes on."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from app.common.bad_input import BadInput
from app.log.applying import Change
from app.log.entry import Entry
from app.log.files import is_ours, parsed, read_log, write_entries
from app.log.find import Wanted
from app.log.foreign import Read, entries_of
from app.log.foreign_columns import Column, Told, guessed, read_table
from app.log.merging import Merged
from app.log.store import Store
from physics.progress import ProgressCallback, part_of, report_progress

MOST_SHOWN = 200
"""Lines left out that are listed."""

SOME = 200
"""Progress is told after so many entries."""


@dataclass(frozen=True, slots=True)
class Look:
    """Somebody else's table: its ``path``, the ``digest`` of what it held, its columns, and what
    they are likely to be."""

    path: Path
    digest: str
    columns: tuple[Column, ...]
    told: Told


@dataclass(frozen=True, slots=True)
class Tally:
    """What a table gives as told: how many entries, how many lines are left out and why some
    are, and what to ask about."""

    entries: int
    left_out: int
    why: tuple[str, ...]
    questions: tuple[str, ...]


def take_in(
    store: Path, path: Path, latest: datetime, progress: ProgressCallback | None = None
) -> Merged | Look:
    """Take in a log's file of any kind; of somebody else's table only a look, for a person has to
    tell its columns. Raises BadInput and Cancelled."""
    if path.suffix.lower() == ".sqlite":
        with closing(_opened(store)) as log:
            return log.merge_file(path, progress)
    text = read_log(path)
    if not is_ours(text):
        table = read_table(text, path.name)
        return Look(path, _digest(text), table.columns, guessed(table))
    entries = parsed(text, str(path), latest, part_of(progress, 0.0, 0.6))
    return _merged(store, entries, part_of(progress, 0.6, 1.0))


def tally(
    path: Path, digest: str, told: Told, latest: datetime,
    progress: ProgressCallback | None = None,
) -> Tally:  # fmt: skip
    """What a table gives as told. Raises BadInput and Cancelled."""
    read = _read(path, digest, told, latest, progress)
    left = read.left_out
    return Tally(len(read.entries), len(left), left[:MOST_SHOWN], read.questions)


def take_in_as(
    store: Path, path: Path, digest: str, told: Told, latest: datetime,
    progress: ProgressCallback | None = None,
) -> Merged:  # fmt: skip
    """Take in somebody else's table as told. Raises BadInput and Cancelled."""
    read = _read(path, digest, told, latest, part_of(progress, 0.0, 0.6))
    return _merged(store, read.entries, part_of(progress, 0.6, 1.0))


def give_out(
    store: Path, waiting: Sequence[Change], wanted: Wanted, path: Path,
    progress: ProgressCallback | None = None,
) -> int:  # fmt: skip
    """Write what is wanted of a log, with what waits to be written there, into a file; how many
    entries. Raises BadInput and Cancelled."""
    with closing(Store(store, beside=True)) as log:
        log.show(waiting)
        count = len(log.find(wanted).numbers)
        write_entries(path, _counted(log.entries(wanted), count, progress))
    return count


def _counted(
    entries: Iterable[Entry], count: int, progress: ProgressCallback | None
) -> Iterator[Entry]:
    for number, entry in enumerate(entries):
        if number % SOME == 0:
            report_progress(progress, min(number / max(count, 1), 1.0))
        yield entry


def _merged(store: Path, entries: Sequence[Entry], progress: ProgressCallback | None) -> Merged:
    with closing(_opened(store)) as log:
        return log.merge(entries, progress, len(entries))


def _opened(store: Path) -> Store:
    log = Store(store, beside=True)
    if log.told:
        log.close()
        raise BadInput(str(store), "", None, "a log that can be written", log.told)
    return log


def _read(
    path: Path, digest: str, told: Told, latest: datetime, progress: ProgressCallback | None
) -> Read:
    text = read_log(path)
    if _digest(text) != digest:
        raise BadInput(str(path), "", None, "import it again", "was changed meanwhile")
    return entries_of(read_table(text, path.name), told, latest, progress)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()
