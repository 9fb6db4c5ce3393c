"""Taking entries in: without doubles, of two that differ the newer stands, the other is kept."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.database import NewerFile, brought_up, connected
from app.log.entry import Entry, same_but_changed
from app.log.reading import AT_ONCE, Entries, readied
from app.log.tables import SCHEMA, microseconds
from app.log.writing import Writer, batches
from physics.progress import ProgressCallback, report_progress

OPEN_S = 2.0
"""How long another log is waited for that somebody else is writing, s."""


@dataclass(slots=True)
class Merged:
    """What came of taking entries in: new ones, ones that were newer, older ones kept beside
    the newer, those that were there already, and those left out because they make no sense."""

    added: int = 0
    newer: int = 0
    older: int = 0
    same: int = 0
    left_out: int = 0

    def in_words(self) -> str:
        """As a person reads it."""
        said = [f"{self.added:,} new"]
        said += [f"{self.newer:,} newer than here"] * bool(self.newer)
        said += [f"{self.older:,} older than here, kept beside them"] * bool(self.older)
        said += [f"{self.same:,} already here"] * bool(self.same)
        said += [f"{self.left_out:,} left out that make no sense"] * bool(self.left_out)
        return ", ".join(said)


def merge(
    there: Entries,
    db: sqlite3.Connection,
    entries: Iterable[Entry],
    *,
    gone: bool = False,
    count: int = 0,
    progress: ProgressCallback | None = None,
) -> Merged:
    """Take entries into a database within whose transaction this is, some that are ``gone``
    elsewhere too; ``count`` is how many come in all, for ``progress``. Raises Cancelled.

    Of two of one id that differ the last changed one stands; of those changed at the same
    time the one that comes in, for somebody wrote it by hand. The other is kept as an earlier
    one.
    """
    merged, done, writer = Merged(), 0, Writer(db)
    for some in batches(entries, AT_ONCE):
        _merge_some(there, db, writer, some, gone, merged)
        done += len(some)
        report_progress(progress, min(done / max(count, done), 1.0))
    return merged


def _merge_some(
    there: Entries,
    db: sqlite3.Connection,
    writer: Writer,
    some: list[Entry],
    gone: bool,
    merged: Merged,
) -> None:
    ids = [entry.id for entry in some]
    holes = ", ".join("?" * len(ids))
    asked = f"select id, gone, changed from main.entry where id in ({holes})"
    state = {row[0]: (bool(row[1]), row[2]) for row in db.execute(asked, ids)}
    whole = {entry.id: entry for entry in there.of_ids(list(state))}
    put, earlier = list[Entry](), list[Entry]()
    for entry in some:
        if entry.id not in state:
            put.append(entry)
            merged.added += 1
            continue
        (was_gone, changed), old = state[entry.id], whole.get(entry.id)
        if old is not None and was_gone == gone and same_but_changed(old, entry):
            merged.same += 1
        elif old is not None and microseconds(entry.changed) < changed:
            earlier.append(entry)
            merged.older += 1
        else:
            earlier += [] if old is None else [old]
            put.append(entry)
            merged.newer += 1
    writer.keep_earlier(earlier)
    writer.put(put, gone=gone)


class OtherLog(Entries):
    """The entries of another log's file, of this version or an earlier one, read from a copy in
    memory. Raises BadInput, also for what is found wrong with it while it is read."""

    ALLOWED = "a log of this Leadfall or an earlier one"

    def __init__(self, path: Path) -> None:
        self._path = path
        if not path.is_file():
            raise self._refused("there is no such file")
        copy = connected(":memory:", OPEN_S)
        try:
            with contextlib.closing(connected(path, OPEN_S)) as source:
                source.backup(copy)
            brought_up(copy, SCHEMA, lambda: None)
            super().__init__(readied(copy))
        except NewerFile as error:
            copy.close()
            raise self._refused("is of a newer Leadfall") from error
        except sqlite3.Error as error:
            copy.close()
            raise self._refused(f"is no log ({error})") from error

    def close(self) -> None:
        """Let the copy go."""
        self._db.close()

    def _made(self, where: str, values: Sequence[object]) -> Iterator[Entry]:
        try:
            yield from super()._made(where, values)
        except sqlite3.Error as error:
            raise self._refused(f"cannot be read ({error})") from error

    def _refused(self, problem: str) -> BadInput:
        return BadInput(str(self._path), "", None, self.ALLOWED, problem)
