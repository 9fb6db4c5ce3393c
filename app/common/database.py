"""Opening a SQLite file of the program's own: its version, steps up to it, and one set aside."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cached_property, partial
from pathlib import Path

from app.common.files import set_aside

Step = Callable[[sqlite3.Connection], object]

BESIDE = ("-wal", "-shm")
"""Files that SQLite keeps beside one that is in use; what was written last may be in there."""

LASTING = "pragma synchronous = extra"
"""What was committed outlives the power: with less, the journal's removal is not yet on the disk,
and a journal that is there again takes the change back."""


class NewerFile(Exception):
    """A later version of the program wrote the file."""


@dataclass(frozen=True)
class Schema:
    """``tables`` as SQL, of ``version``; ``steps`` lead from each earlier version to the next.

    ``kept`` names the tables whose columns a file of this kind must have.
    """

    tables: str
    version: int
    kept: tuple[str, ...]
    steps: Mapping[int, Step] = field(default_factory=dict)

    def columns(self, db: sqlite3.Connection) -> frozenset[tuple[str, str]]:
        """(table, column) of everything that is kept in there."""
        return frozenset(
            (table, str(row[1]))
            for table in self.kept
            for row in db.execute(f"pragma table_info({table})")
        )

    @cached_property
    def usual(self) -> frozenset[tuple[str, str]]:
        """(table, column) of a file of this version."""
        db = sqlite3.connect(":memory:")
        db.executescript(self.tables)
        columns = self.columns(db)
        db.close()
        return columns


def connected(path: Path | str, timeout: float, *, uri: bool = False) -> sqlite3.Connection:
    """A connection; a name in another coding is shown with marks in it, and stops nothing."""
    db = sqlite3.connect(path, timeout=timeout, uri=True) if uri else sqlite3.connect(
        path, timeout=timeout
    )  # fmt: skip
    db.text_factory = partial(str, encoding="utf-8", errors="replace")
    return db


def version_of(db: sqlite3.Connection) -> int:
    """The version a file says it is of; 0 for a new one."""
    return int(db.execute("pragma user_version").fetchone()[0])


def brought_up(db: sqlite3.Connection, schema: Schema, before: Callable[[], object]) -> None:
    """Make the tables of an empty file, or lead an older one up; ``before`` is called first then.

    All steps are done, or none. Raises NewerFile, and sqlite3.DatabaseError for a file that is
    none of these.
    """
    try:
        _bring_up(db, schema, before)
    except UnicodeDecodeError as error:
        # what SQLite says of a schema whose own text is damaged
        raise sqlite3.DatabaseError("its tables are damaged") from error


def _bring_up(db: sqlite3.Connection, schema: Schema, before: Callable[[], object]) -> None:
    version = version_of(db)
    if version > schema.version:
        raise NewerFile
    if _is_empty(db):
        try:
            db.executescript(
                f"begin immediate; {schema.tables}; pragma user_version = {schema.version}; commit;"
            )
        except sqlite3.OperationalError:
            db.rollback()
            # another window may just have made them
            if _is_empty(db):
                raise
    elif version < schema.version:
        if version not in schema.steps:
            raise sqlite3.DatabaseError("no file of this kind")
        before()
        _led_up(db, schema)
    if not schema.usual <= schema.columns(db):
        raise sqlite3.DatabaseError("no file of this kind")


def _is_empty(db: sqlite3.Connection) -> bool:
    return not db.execute("select count(*) from sqlite_master").fetchone()[0]


def _led_up(db: sqlite3.Connection, schema: Schema) -> None:
    db.execute("begin immediate")
    try:
        # another window may have done it meanwhile
        for version in range(version_of(db), schema.version):
            schema.steps[version](db)
            db.execute(f"pragma user_version = {version + 1}")
    except BaseException:
        db.rollback()
        raise
    db.commit()


def set_database_aside(path: Path) -> Path | None:
    """``files.set_aside``, with what SQLite keeps beside the file."""
    aside = set_aside(path)
    if aside is not None:
        for ending in BESIDE:
            with suppress(OSError):
                path.with_name(path.name + ending).replace(aside.with_name(aside.name + ending))
    return aside
