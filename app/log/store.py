"""The log on disk: entries in SQLite, nothing lost, several windows at once.

What cannot be written now waits, is shown as if it were written, and is tried again. What
another window changed of an entry meanwhile stays; where both changed the same thing the
newer stands, and the entry as it was is kept beside it as an earlier one.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.database import LASTING, NewerFile, brought_up, connected, set_database_aside
from app.common.files import WRITABLE, aside_in_words, make_folder
from app.common.resources import user_folder
from app.log import backups, json_file
from app.log.entry import Entry, same_but_changed
from app.log.reading import Entries, readied, show_main, show_over
from app.log.tables import (
    LINE_COLUMNS,
    SCHEMA,
    TABLES,
    entry_row,
    line_rows,
    microseconds,
    searched,
)

NAME = "log.sqlite"

OPEN_S = 2.0
"""How long to wait at the start for a file that somebody else is writing, s."""

BUSY_MS = 200
"""The same later on, when what cannot be written can wait, ms."""

CHECKED = 20_000_000
"""A file of fewer bytes is read through at the start; a larger one when it is copied, daily."""

LEFT_ALONE = "It is left as it is; what you do now is kept only until you quit."


@dataclass(frozen=True, slots=True)
class Merged:
    """What came of taking entries in: new ones, ones that were newer, older ones kept beside
    the newer, and those that were there already."""

    added: int = 0
    newer: int = 0
    older: int = 0
    same: int = 0

    def in_words(self) -> str:
        """As a person reads it."""
        said = [f"{self.added} new"]
        said += [f"{self.newer} newer than here"] * bool(self.newer)
        said += [f"{self.older} older than here, kept beside them"] * bool(self.older)
        said += [f"{self.same} already here"] * bool(self.same)
        return ", ".join(said)


AGAIN = timedelta(microseconds=1)
"""The least by which a change is later than the one before."""

Change = tuple[Entry | None, Entry | None]
"""From one entry to another; None for none."""


class Store(Entries):
    """The database. ``told`` says what was wrong with the file found, if anything, and
    ``offer`` is the newest good copy where the file was damaged."""

    def __init__(self, path: Path | None = None) -> None:
        self.path = path or user_folder() / NAME
        self.told = ""
        self.offer: Path | None = None
        self._final = False
        self._writable = False
        self._waiting: list[Change] = []
        super().__init__(self._opened())
        self._version = self._data_version()

    def close(self) -> None:
        """Let the file go, after a last try to write what waits."""
        with contextlib.suppress(BadInput):
            self.flush()
        self._db.close()

    # ---- opening

    def _opened(self) -> sqlite3.Connection:
        try:
            make_folder(self.path.parent)
            return self._for_writing()
        except NewerFile:
            self._final = True
            self.told = f"The log was written by a newer Leadfall. {LEFT_ALONE}"
        except sqlite3.OperationalError as error:
            self.told = f"The log cannot be written ({error}). {LEFT_ALONE}"
            with contextlib.suppress(sqlite3.Error):
                return self._for_reading()
        except sqlite3.DatabaseError:
            return self._begun_anew()
        except BadInput as error:
            self.told = f"The log cannot be kept. {error}."
        return self._in_memory()

    def _begun_anew(self) -> sqlite3.Connection:
        """A damaged file out of the way, and the newest good copy offered."""
        aside = set_database_aside(self.path)
        self.told = f"The log is damaged. {aside_in_words(aside)}"
        if aside is None:
            self._final = True
            return self._in_memory()
        self.offer = backups.newest_good(self.path)
        return self._for_writing()

    def _for_writing(self) -> sqlite3.Connection:
        db = connected(self.path, OPEN_S)
        try:
            brought_up(db, SCHEMA, lambda: backups.back_up(self.path, f"before-{SCHEMA.version}"))
            # where it cannot be had, as on some network drives, the older journal does
            db.execute("pragma journal_mode = wal").fetchone()
            db.execute(LASTING)
            db.execute(f"pragma busy_timeout = {BUSY_MS}")
            if self.path.stat().st_size < CHECKED:
                _check(db)
            # changes nothing, but is refused where nothing may be written
            with db:
                db.execute("delete from sought where number is null")
        except BaseException:
            db.close()
            raise
        self._writable = True
        return readied(db)

    def _for_reading(self) -> sqlite3.Connection:
        db = connected(f"{self.path.as_uri()}?immutable=1", OPEN_S, uri=True)
        try:
            if not SCHEMA.usual <= SCHEMA.columns(db):
                raise sqlite3.DatabaseError("no log")
            return readied(db)
        except BaseException:
            db.close()
            raise

    def _in_memory(self) -> sqlite3.Connection:
        db = sqlite3.connect(":memory:")
        db.executescript(TABLES)
        return readied(db)

    def _data_version(self) -> int:
        return int(self._db.execute("pragma data_version").fetchone()[0])

    def changed_outside(self) -> bool:
        """Whether another window wrote since this was last asked."""
        with contextlib.suppress(sqlite3.Error):
            version, self._version = self._version, self._data_version()
            return version != self._version
        return False

    # ---- writing

    def change(self, changes: Sequence[Change]) -> None:
        """Do some changes, all or none; what cannot be written now waits for ``flush``."""
        self._waiting += changes
        with contextlib.suppress(BadInput):
            self.flush()

    def flush(self) -> None:
        """Write what waits, oldest first. Raises BadInput where that cannot be."""
        if not self._waiting:
            return
        try:
            with self._writing():
                # what waits is done to what the file holds
                show_main(self._db)
                for old, new in self._waiting:
                    self._do("main", old, new)
        except BadInput:
            self._show_waiting()
            raise
        self._waiting.clear()

    @contextlib.contextmanager
    def _writing(self) -> Iterator[None]:
        """All that is written within, or nothing of it. Raises BadInput."""
        if not self._writable:
            self._reopen()
        try:
            self._db.execute("begin immediate")
            yield
            self._db.commit()
        except BaseException as error:
            with contextlib.suppress(sqlite3.Error):
                self._db.rollback()
            if isinstance(error, sqlite3.Error):
                raise self._unwritable(f"cannot be written now ({error})") from error
            raise

    def _unwritable(self, problem: str) -> BadInput:
        return BadInput(str(self.path), "", None, WRITABLE, problem)

    def _reopen(self) -> None:
        """Try again to open the file for writing. Raises BadInput."""
        if self._final:
            raise self._unwritable("is left as it is")
        try:
            make_folder(self.path.parent)
            db = self._for_writing()
        except (sqlite3.Error, NewerFile) as error:
            raise self._unwritable(f"cannot be written ({error})") from error
        self._db.close()
        self._db = db

    def _show_waiting(self) -> None:
        """Let what waits be seen, in tables that lie over the file's."""
        show_main(self._db)
        show_over(self._db)
        for old, new in self._waiting:
            self._do("temp", old, new)
        self._db.commit()

    def _do(self, where: str, old: Entry | None, new: Entry | None) -> None:
        """One change, to what there is by now."""
        ours = new or old
        assert ours is not None
        there = self.entry(ours.id)
        other = old is not None and there is not None and not same_but_changed(there, old)
        if new is None:
            # what one removed and the other changed stays, changed
            if there is not None and not other:
                self._put(where, _stamped(there, there), gone=True)
            return
        if other:
            assert old is not None
            assert there is not None
            if _clash(old, new, there):
                self._keep_earlier(where, there)
            new = _stepped(old, new, there)
        self._put(where, _stamped(new, there))

    def _put(self, where: str, entry: Entry, *, gone: bool = False) -> None:
        """Write an entry; over the file's tables numbers count downward."""
        db = self._db
        number = None
        if entry.setup:
            number = self._number(f"{where}.setup", "text", entry.setup)
            if number is None:
                number = self._next(where, "setup")
                db.execute(f"insert into {where}.setup values (?, ?)", (number, entry.setup))
        own = self._number(f"{where}.entry", "id", entry.id)
        if own is None:
            own = self._next(where, "entry")
        row = {"number": own, **entry_row(entry, number, gone)}
        holes = ", ".join(f":{name}" for name in row)
        db.execute(f"insert or replace into {where}.entry ({', '.join(row)}) values ({holes})", row)
        db.execute(f"insert or replace into {where}.sought values (?, ?)", (own, searched(entry)))
        db.execute(f"delete from {where}.line where entry = ?", (own,))
        holes = ", ".join("?" * len(LINE_COLUMNS))
        db.executemany(
            f"insert into {where}.line ({', '.join(LINE_COLUMNS)}) values ({holes})",
            line_rows(entry, own),
        )

    def number(self, id_: str) -> int | None:
        """The number of an entry that is there, by its id."""
        rows = self._rows("select number from entries where id = ? and gone = 0", [id_])
        return rows[0][0] if rows else None

    def _number(self, table: str, column: str, value: str) -> int | None:
        asked = f"select number from {table} where {column} = ?"
        row = self._db.execute(asked, (value,)).fetchone()
        return None if row is None else int(row[0])

    def _next(self, where: str, table: str) -> int:
        last = "min(number), 0) - 1" if where == "temp" else "max(number), 0) + 1"
        (number,) = self._db.execute(f"select coalesce({last} from {where}.{table}").fetchone()
        return int(number)

    def _keep_earlier(self, where: str, entry: Entry) -> None:
        text = json.dumps(json_file.table_of(entry), ensure_ascii=False)
        values = entry.id, microseconds(datetime.now(UTC)), text
        self._db.execute(f"insert into {where}.earlier values (?, ?, ?)", values)

    def merge(self, entries: Iterable[Entry], gone: Iterable[Entry] = ()) -> Merged:
        """Take in entries, all or none, those that are ``gone`` elsewhere too. Raises BadInput.

        Of two of one id that differ the last changed one stands; of those changed at the same
        time the one that comes in, for somebody wrote it by hand. The other is kept as an
        earlier one.
        """
        self.flush()
        counts = {"added": 0, "newer": 0, "older": 0, "same": 0}
        with self._writing():
            for entry in entries:
                counts[self._merge_one(entry, gone=False)] += 1
            for entry in gone:
                self._merge_one(entry, gone=True)
        return Merged(**counts)

    def _merge_one(self, entry: Entry, gone: bool) -> str:
        row = self._db.execute(
            "select gone, changed from main.entry where id = ?", (entry.id,)
        ).fetchone()
        if row is None:
            self._put("main", entry, gone=gone)
            return "added"
        there = self.entry(entry.id, gone=True)
        if there is not None and bool(row[0]) == gone and same_but_changed(there, entry):
            return "same"
        if there is not None and microseconds(entry.changed) < row[1]:
            self._keep_earlier("main", entry)
            return "older"
        if there is not None:
            self._keep_earlier("main", there)
        self._put("main", entry, gone=gone)
        return "newer"

    def merge_file(self, path: Path) -> Merged:
        """Take in another log's file, of this version or an earlier one. Raises BadInput."""
        allowed = "a log of this Leadfall or an earlier one"
        if not path.is_file():
            raise BadInput(str(path), "", None, allowed, "there is no such file")
        try:
            with contextlib.closing(connected(path, OPEN_S)) as source:
                copy = sqlite3.connect(":memory:")
                source.backup(copy)
        except sqlite3.Error as error:
            raise BadInput(str(path), "", None, allowed, f"cannot be read ({error})") from error
        try:
            brought_up(copy, SCHEMA, lambda: None)
            other = Entries(readied(copy))
            return self.merge(other.entries(), other.entries(gone=True))
        except NewerFile as error:
            raise BadInput(str(path), "", None, allowed, "is of a newer Leadfall") from error
        except sqlite3.DatabaseError as error:
            raise BadInput(str(path), "", None, allowed, f"is no log ({error})") from error
        finally:
            copy.close()


def _check(db: sqlite3.Connection) -> None:
    """Raise sqlite3.DatabaseError for a damaged file."""
    if db.execute("pragma quick_check(1)").fetchone()[0] != "ok":
        raise sqlite3.DatabaseError("damaged")


def _clash(old: Entry, new: Entry, there: Entry) -> bool:
    """Whether one attribute became one thing in ``new``, and another in ``there``."""
    return any(
        getattr(new, name) != getattr(old, name) != getattr(there, name) != getattr(new, name)
        for name in _CHANGEABLE
    )


def _stepped(old: Entry, new: Entry, there: Entry) -> Entry:
    """What is there, with what was done from ``old`` to ``new`` done to it."""
    done = {
        name: getattr(new, name) for name in _CHANGEABLE if getattr(new, name) != getattr(old, name)
    }
    return replace(there, **done)


def _stamped(entry: Entry, there: Entry | None) -> Entry:
    """Changed now, and after what is there though the clock was set back."""
    now = datetime.now(UTC)
    return replace(entry, changed=now if there is None else max(now, there.changed + AGAIN))


_CHANGEABLE = [each.name for each in fields(Entry) if each.name not in ("id", "changed")]
