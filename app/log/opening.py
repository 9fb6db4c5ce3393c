"""The log's file, opened: to write, only to read, or nothing but memory in its place."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from app.common.database import LASTING, brought_up, connected
from app.log import backups
from app.log.reading import readied
from app.log.tables import SCHEMA, TABLES

OPEN_S = 2.0
"""How long to wait at the start for a file that somebody else is writing, s."""

BUSY_MS = 200
"""The same later on, when what cannot be written can wait, ms."""

CHECKED = 20_000_000
"""A file of fewer bytes is read through at the start; a larger one when it is copied, daily."""


def for_writing(path: Path) -> sqlite3.Connection:
    """The file, led up to this version. Raises sqlite3.OperationalError where it cannot be
    written, NewerFile, and sqlite3.DatabaseError for one that is damaged or no log."""
    db = connected(path, OPEN_S)
    try:
        brought_up(db, SCHEMA, lambda: backups.back_up(path, f"before-{SCHEMA.version}"))
        # where it cannot be had, as on some network drives, the older journal does
        db.execute("pragma journal_mode = wal").fetchone()
        db.execute(LASTING)
        db.execute(f"pragma busy_timeout = {BUSY_MS}")
        if path.stat().st_size < CHECKED:
            check(db)
        # changes nothing, but is refused where nothing may be written
        with db:
            db.execute("delete from sought where number is null")
    except BaseException:
        db.close()
        raise
    return readied(db)


def for_reading(path: Path, mode: str = "immutable=1") -> sqlite3.Connection:
    """The file as it stands. Raises sqlite3.Error."""
    db = connected(f"{path.as_uri()}?{mode}", OPEN_S, uri=True)
    try:
        if not SCHEMA.usual <= SCHEMA.columns(db):
            raise sqlite3.DatabaseError("no log")
        return readied(db)
    except BaseException:
        db.close()
        raise


def in_memory() -> sqlite3.Connection:
    """An empty log that no file keeps."""
    db = sqlite3.connect(":memory:")
    db.executescript(TABLES)
    return readied(db)


def check(db: sqlite3.Connection) -> None:
    """Raise sqlite3.DatabaseError for a damaged file."""
    if db.execute("pragma quick_check(1)").fetchone()[0] != "ok":
        raise sqlite3.DatabaseError("damaged")


def is_damage(error: BaseException) -> bool:
    """Whether the library says that a file is damaged, or no database any more: all else it
    refuses for has a class of its own."""
    return type(error) is sqlite3.DatabaseError
