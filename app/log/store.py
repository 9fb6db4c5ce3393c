"""The log on disk: entries in SQLite, nothing lost, several windows at once.

What cannot be written now waits, is shown as if it were written, and is tried again. What
another window changed of an entry meanwhile stays; where both changed the same thing the
newer stands, and the entry as it was is kept beside it as an earlier one.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from app.common.bad_input import BadInput
from app.common.database import NewerFile, set_database_aside
from app.common.files import WRITABLE, Identity, aside_in_words, identity, make_folder
from app.common.resources import user_folder
from app.log import backups
from app.log.applying import Applier, Change
from app.log.entry import Entry
from app.log.followed import let_go, make_room, wal_of
from app.log.merging import Merged, OtherLog, merge
from app.log.opening import check, for_reading, for_writing, in_memory, is_damage
from app.log.reading import Entries, show_main, show_over
from app.log.rescue import Saved, saved_from, saved_from_file
from app.log.writing import Writer
from physics.progress import ProgressCallback

NAME = "log.sqlite"

LEFT_ALONE = "It is left as it is; what you do now is kept only until you quit."


class Store(Entries):
    """The database. ``told`` says what was wrong with the file found, if anything, and
    ``offer`` is the newest good copy where the file was damaged.

    A file that becomes damaged while it is open is set aside, too, with what can be read of it
    saved into a new one, and ``on_rescue`` is called. One that works ``beside`` the window never
    sets the file aside: it raises BadInput, and later sqlite3.DatabaseError.
    """

    def __init__(self, path: Path | None = None, *, beside: bool = False) -> None:
        self.path = path or user_folder() / NAME
        self.told = ""
        self.offer: Path | None = None
        self.on_rescue: Callable[[], object] = lambda: None
        self._beside = beside
        self._final = False
        self._writable = False
        self._waiting: list[Change] = []
        # how much of it is seen, and through which connection
        self._shown: tuple[sqlite3.Connection, int] | None = None
        self._applier = Applier(self)
        saved: list[Saved] = []
        self._file: Identity = None
        self._wal: Identity = None
        super().__init__(self._opened(saved))
        for each in saved:
            self._begin_with(each)
        self._version = self._data_version()

    def close(self) -> None:
        """Let the file go, after a last try to write what waits."""
        with contextlib.suppress(BadInput):
            self.flush()
        if self._went():
            let_go(self._db, self.path, self._wal)
        else:
            self._db.close()

    @property
    def waiting(self) -> tuple[Change, ...]:
        """What could not be written yet."""
        return tuple(self._waiting)

    # ---- opening

    def _opened(self, saved: list[Saved]) -> sqlite3.Connection:
        try:
            make_folder(self.path.parent)
            return self._for_writing()
        except NewerFile:
            self._final = True
            self.told = f"The log was written by a newer Leadfall. {LEFT_ALONE}"
        except sqlite3.OperationalError as error:
            self.told = f"The log cannot be written ({error}). {LEFT_ALONE}"
            with contextlib.suppress(sqlite3.Error):
                return for_reading(self.path)
        except sqlite3.DatabaseError:
            saved.append(saved_from_file(self.path))
            return self._begun_anew("The log is damaged.")
        except BadInput as error:
            self.told = f"The log cannot be kept. {error}."
        return in_memory()

    def _begun_anew(self, why: str) -> sqlite3.Connection:
        """A damaged file out of the way, and the newest good copy offered."""
        if self._beside:
            raise BadInput(str(self.path), "", None, "a log that is whole", "is damaged")
        aside = set_database_aside(self.path)
        self.told = f"{why} {aside_in_words(aside)}"
        self._writable = False
        if aside is None:
            self._final = True
            return in_memory()
        self.offer = backups.newest_good(self.path)
        try:
            return self._for_writing()
        except sqlite3.Error as error:
            self.told += f" It cannot be written now ({error})."
            return in_memory()

    def _for_writing(self) -> sqlite3.Connection:
        db = for_writing(self.path)
        self._writable = True
        self._file, self._wal = identity(self.path), identity(wal_of(self.path))
        return db

    def _data_version(self) -> int:
        return int(self._db.execute("pragma data_version").fetchone()[0])

    def changed_outside(self) -> bool:
        """Whether another window wrote since this was last asked, or put another file there."""
        if self._went() and identity(self.path) is not None:
            self._follow()
            return True
        with contextlib.suppress(sqlite3.Error):
            version, self._version = self._version, self._data_version()
            return version != self._version
        return False

    # ---- a file that goes

    def _went(self) -> bool:
        """Whether the file that is open is no more the one of its name: what is written there
        would be lost."""
        return self._writable and not self._beside and identity(self.path) != self._file

    def _follow(self) -> None:
        """Go on with the file that is there, or a new one, and take all of this one along. Raises
        BadInput where there can be none."""
        what = "moved or deleted" if identity(self.path) is None else "replaced"
        make_room(self.path)
        saved = saved_from(self._db)
        let_go(self._db, self.path, self._wal)
        self._seen.clear()
        self._writable = False
        self.told = f"The log's file was {what} while it was open, by another window or program."
        try:
            self._db = self._for_writing()
        except (sqlite3.Error, NewerFile):
            self._db = in_memory()
        self._begin_with(saved)
        self.on_rescue()

    # ---- a file that becomes damaged

    def _rows(self, words: str, values: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        try:
            return super()._rows(words, values)
        except sqlite3.DatabaseError as error:
            self._rescue(error)
        return super()._rows(words, values)

    def _made(self, where: str, values: Sequence[object]) -> Iterator[Entry]:
        seen = set[str]()
        try:
            for entry in super()._made(where, values):
                seen.add(entry.id)
                yield entry
            return
        except sqlite3.DatabaseError as error:
            self._rescue(error)
        yield from (entry for entry in super()._made(where, values) if entry.id not in seen)

    def _rescue(self, error: sqlite3.DatabaseError) -> None:
        """Save what can be read of a file that is damaged; raise any other error again."""
        if not is_damage(error) or self._beside:
            raise error
        saved = saved_from(self._db)
        self._db.close()
        self._seen.clear()
        self._writable = False
        self._db = self._good_already() or self._begun_anew("The log became damaged.")
        self._begin_with(saved)
        self.on_rescue()

    def _begin_with(self, saved: Saved) -> None:
        """Keep what was saved, and tell it."""
        try:
            if not self._writable:
                raise self._unwritable("is not there")
            with self._writing():
                self._take_back(saved)
        except BadInput:
            self._waiting = [(None, entry) for entry in saved.kept.values()] + self._waiting
        if self._waiting:
            self._show_waiting()
        if saved.lost == 0:
            self.offer = None
        self.told = f"{self.told} {saved.in_words()}"

    def _good_already(self) -> sqlite3.Connection | None:
        """The file, where another window has just put a good one in the place of the damaged."""
        if identity(self.path) == self._file:
            # a look may find nothing wrong with what could not be read
            return None
        try:
            db = self._for_writing()
        except (sqlite3.Error, NewerFile):
            return None
        try:
            check(db)
        except sqlite3.Error:
            db.close()
            self._writable = False
            return None
        self.told = "The log became damaged, and was begun anew by another window."
        return db

    def _take_back(self, saved: Saved) -> None:
        """What was saved goes into an empty file under the numbers it had."""
        empty = not self.count()
        for entries, gone in ((saved.kept, False), (saved.gone, True)):
            if empty:
                numbers = {entry.id: number for number, entry in entries.items()}
                Writer(self._db).put(list(entries.values()), gone=gone, numbers=numbers)
            else:
                merge(self, self._db, entries.values(), gone=gone)

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
            try:
                self._write_waiting()
            except sqlite3.DatabaseError as error:
                self._rescue(error)
                self._write_waiting()
        except BadInput:
            if self._shown != (self._db, len(self._waiting)):
                self._show_waiting()
            raise
        self._waiting.clear()

    def _write_waiting(self) -> None:
        with self._writing():
            # what waits is done to what the file holds
            self._shown = None
            show_main(self._db)
            self._applier.apply(self._waiting, Writer(self._db))

    @contextlib.contextmanager
    def _writing(self) -> Iterator[None]:
        """All that is written within, or nothing of it. Raises BadInput, and
        sqlite3.DatabaseError for a file that is damaged."""
        if self._went():
            self._follow()
        if not self._writable:
            self._reopen()
        try:
            self._db.execute("begin immediate")
            yield
            self._db.commit()
        except BaseException as error:
            with contextlib.suppress(sqlite3.Error):
                self._db.rollback()
            if isinstance(error, sqlite3.Error) and not is_damage(error):
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
        self._applier.apply(self._waiting, Writer(self._db, "temp"))
        self._db.commit()
        self._shown = self._db, len(self._waiting)

    def show(self, waiting: Sequence[Change]) -> None:
        """Let what waits in another's hands be seen over the file."""
        self._waiting = list(waiting)
        if waiting:
            self._show_waiting()

    def number(self, id_: str) -> int | None:
        """The number of an entry that is there, by its id."""
        rows = self._rows("select number from entries where id = ? and gone = 0", [id_])
        return rows[0][0] if rows else None

    # ---- taking in

    def merge(
        self, entries: Iterable[Entry], progress: ProgressCallback | None = None, count: int = 0
    ) -> Merged:
        """Take in entries, all or none, as ``merging.merge`` says; ``count`` is how many they
        are, for ``progress``. Raises BadInput and Cancelled."""
        return self._merged(lambda: merge(self, self._db, entries, count=count, progress=progress))

    def merge_file(self, path: Path, progress: ProgressCallback | None = None) -> Merged:
        """Take in another log's file, of this version or an earlier one. Raises BadInput and
        Cancelled."""
        with contextlib.closing(OtherLog(path)) as other:
            count = other.count()

            def both() -> Merged:
                merged = merge(self, self._db, other.entries(), count=count, progress=progress)
                merge(self, self._db, other.entries(gone=True), gone=True, progress=progress)
                merged.left_out = other.left_out
                return merged

            return self._merged(both)

    def _merged(self, do: Callable[[], Merged]) -> Merged:
        self.flush()
        try:
            with self._writing():
                return do()
        except sqlite3.DatabaseError as error:
            self._rescue(error)
            raise self._unwritable("was damaged; nothing was imported") from error
