"""Copies of the log: one a day and one before each change of its tables, the last ten kept."""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from datetime import date
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.database import connected
from app.common.files import WRITABLE, make_folder, write_safely
from app.log.tables import SCHEMA

KEPT = 10

BUSY_S = 5.0
"""A file that is being written is waited for this long, s."""


def folder_of(path: Path) -> Path:
    """Where the copies of a log are."""
    return path.with_name(f"{path.stem}-backups")


def copies(path: Path) -> list[Path]:
    """The copies of a log, the newest first."""
    found = folder_of(path).glob(f"{path.stem}-*{path.suffix}")
    return sorted(found, key=lambda each: (each.stat().st_mtime_ns, each.name), reverse=True)


def is_good(path: Path) -> bool:
    """Whether all of a file can be read as a log of this version or an earlier one."""
    try:
        # nobody writes it, and reading it is to leave nothing beside it
        with closing(connected(f"{path.as_uri()}?immutable=1", BUSY_S, uri=True)) as db:
            whole = db.execute("pragma quick_check(1)").fetchone()[0] == "ok"
            version = db.execute("pragma user_version").fetchone()[0]
            tables = {row[0] for row in db.execute("select name from sqlite_master")}
    except sqlite3.Error:
        return False
    return whole and 1 <= version <= SCHEMA.version and {"entry", "line"} <= tables


def newest_good(path: Path) -> Path | None:
    """The newest copy of a log that can be read, if there is one."""
    return next((copy for copy in copies(path) if is_good(copy)), None)


def back_up(path: Path, word: str) -> Path:
    """Copy a log as it is now, under a name that says ``word``, and let the oldest copies go.

    Raises BadInput where it cannot be written, and sqlite3.DatabaseError for a log that is
    damaged: a copy of that one is not made, and takes no good one's place.
    """
    with closing(connected(path, BUSY_S)) as db:
        if db.execute("pragma quick_check(1)").fetchone()[0] != "ok":
            raise sqlite3.DatabaseError("damaged")
        whole = db.serialize()
    target = folder_of(path) / f"{path.stem}-{word}{path.suffix}"
    make_folder(target.parent)
    write_safely(target, whole)
    # the clock may have been set back, and this copy seem the oldest
    for old in [copy for copy in copies(path) if copy != target][KEPT - 1 :]:
        with suppress(OSError):
            old.unlink()
    return target


def back_up_daily(path: Path, today: date) -> Path | None:
    """As ``back_up``, unless today's copy is there. Raises BadInput for any failure."""
    target = folder_of(path) / f"{path.stem}-{today.isoformat()}{path.suffix}"
    if target.exists() or not path.exists():
        return None
    try:
        return back_up(path, today.isoformat())
    except sqlite3.Error as error:
        problem = f"could not be copied ({error})"
        raise BadInput(str(path), "", None, WRITABLE, problem) from error
