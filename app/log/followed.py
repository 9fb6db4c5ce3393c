"""A log's file that is no more the one of its name: moved, deleted or replaced while it is open."""

from __future__ import annotations

import ctypes
import sqlite3
from contextlib import suppress
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.database import BESIDE
from app.common.files import WRITABLE, Identity, identity, make_folder


def wal_of(path: Path) -> Path:
    """The write-ahead log of a file."""
    return path.with_name(path.name + BESIDE[0])


def make_room(path: Path) -> None:
    """Where there is no file, begin an empty one. Raises BadInput where none can be."""
    make_folder(path.parent)
    try:
        path.touch()
    except OSError as error:
        problem = f"went, and cannot be made ({error.strerror})"
        raise BadInput(str(path), "", None, WRITABLE, problem) from error


def let_go(db: sqlite3.Connection, path: Path, wal: Identity) -> None:
    """Leave a file that went, which had ``wal`` beside it.

    It stays open to the end of the process: SQLite deletes what lies beside a file by its name,
    and that may be another window's by now. What is ours is cleared away, or it would be taken
    for a part of the next file of this name.
    """
    if wal is not None and identity(wal_of(path)) == wal:
        with suppress(sqlite3.Error):
            db.execute("pragma wal_checkpoint").fetchall()
        for ending in BESIDE:
            with suppress(OSError):
                path.with_name(path.name + ending).unlink(missing_ok=True)
    ctypes.pythonapi.Py_IncRef(ctypes.py_object(db))
