"""Reading the log: days, what is looked for, and whole entries; and what waits, over the file."""

from __future__ import annotations

import contextlib
import json
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from app.common.bad_input import BadInput
from app.log import json_file
from app.log.entry import LATEST, Entry, LineEntry
from app.log.find import Wanted
from app.log.tables import LINE_COLUMNS, TABLES, entry_of, line_of

AT_ONCE = 500
"""Entries asked for in one question."""


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the log: how many entries, and how many of their lines had a hit."""

    day: str
    entries: int
    hits: int


class Entries:
    """The entries that a database holds, read through views that ``readied`` makes."""

    def __init__(self, db: sqlite3.Connection) -> None:
        self._db = db
        self._seen: dict[tuple[str, tuple[object, ...]], list[tuple[Any, ...]]] = {}

    def _rows(self, words: str, values: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        """What is there, or was when last read while somebody else has the file."""
        key = words, tuple(values)
        try:
            found = self._db.execute(words, key[1]).fetchall()
        except sqlite3.OperationalError:
            return self._seen.get(key, [])
        self._seen = {key: found, **dict(list(self._seen.items())[:3])}
        return found

    def days(self) -> list[Day]:
        """Every day there are entries of, the newest first."""
        asked = "select day, count(*), sum(hits) from entries where gone = 0 group by day"
        return [Day(*row) for row in self._rows(f"{asked} order by day desc")]

    def find(self, wanted: Wanted) -> list[str]:
        """The ids of what is wanted, in its order."""
        where, values = wanted.where()
        asked = f"select id from entries where {where} order by {wanted.order()}"
        return [row[0] for row in self._rows(asked, values)]

    def sums(self, wanted: Wanted) -> tuple[int, int, int]:
        """How many entries are wanted, and their hits and fish aboard."""
        where, values = wanted.where()
        asked = "select count(*), total(hits), total(landed) from entries"
        (row,) = self._rows(f"{asked} where {where}", values) or [(0, 0, 0)]
        return int(row[0]), int(row[1]), int(row[2])

    def rows(self, columns: Sequence[str], ids: Sequence[str]) -> dict[str, tuple[Any, ...]]:
        """Some columns of entries, by id."""
        holes = ", ".join("?" * len(ids))
        asked = f"select id, {', '.join(columns)} from entries where id in ({holes})"
        return {row[0]: row[1:] for row in self._rows(asked, ids)}

    def entry(self, id_: str, *, gone: bool = False) -> Entry | None:
        """One entry, or None; ``gone``: one that was removed, too."""
        found = list(self._made("id = ?" + ("" if gone else " and gone = 0"), [id_]))
        return found[0] if found else None

    def entries(self, wanted: Wanted | None = None, *, gone: bool = False) -> Iterator[Entry]:
        """Whole entries, oldest first unless ``wanted`` says how, or those removed."""
        if wanted is None:
            yield from self._made(f"gone = {int(gone)} order by instant, id", [])
            return
        ids = self.find(wanted)
        for at in range(0, len(ids), AT_ONCE):
            some = ids[at : at + AT_ONCE]
            holes = ", ".join("?" * len(some))
            found = {each.id: each for each in self._made(f"id in ({holes})", some)}
            yield from (found[id_] for id_ in some if id_ in found)

    def _made(self, where: str, values: Sequence[object]) -> Iterator[Entry]:
        """Entries from their rows; those that make no sense are left out."""
        db = self._db
        cursor = db.cursor()
        cursor.row_factory = sqlite3.Row  # type: ignore[assignment]
        cursor.execute(f"select * from entries where {where}", values)
        while some := cursor.fetchmany(AT_ONCE):
            holes = ", ".join("?" * len(some))
            lines: dict[str, list[LineEntry]] = {}
            asked = f"select {', '.join(LINE_COLUMNS)} from lines where entry in ({holes})"
            for row in db.execute(f"{asked} order by number", [each["id"] for each in some]):
                lines.setdefault(row[0], []).append(line_of(row))
            for row in some:
                with contextlib.suppress(ValueError, TypeError):
                    own = tuple(lines.get(row["id"], ()))
                    yield entry_of(row, row["setup_text"] or "", own)

    def earlier(self, id_: str) -> list[Entry]:
        """What an entry was before it was replaced by something newer, the latest first."""
        asked = "select text from earliers where entry = ? order by since desc"
        out = []
        for (text,) in self._rows(asked, [id_]):
            with contextlib.suppress(BadInput, ValueError):
                out.append(json_file.entry_of(json.loads(text), "an earlier entry", LATEST))
        return out


def readied(db: sqlite3.Connection) -> sqlite3.Connection:
    """With the views through which everything is read."""
    db.execute("pragma temp_store = memory")
    show_main(db)
    db.commit()
    return db


_JOINED = "(select text from {0}.setup where number = {0}.entry.setup) as setup_text"


def show_main(db: sqlite3.Connection) -> None:
    """Read from the file."""
    if "entries" in _made_there(db) and "setup" not in _made_there(db):
        return
    for table in ("entry", "line", "setup", "earlier"):
        db.execute(f"drop table if exists temp.{table}")
    _views(
        db,
        f"select *, {_JOINED.format('main')} from main.entry",
        "select * from main.line",
        "select * from main.earlier",
    )


def show_over(db: sqlite3.Connection) -> None:
    """Read what waits from tables over those of the file."""
    for statement in TABLES.split(";"):
        if "create table" in statement:
            db.execute(statement.replace("create table", "create temp table"))
    _views(
        db,
        f"select *, {_JOINED.format('temp')} from temp.entry union all "
        f"select *, {_JOINED.format('main')} from main.entry "
        "where id not in (select id from temp.entry)",
        "select * from temp.line union all select * from main.line "
        "where entry not in (select id from temp.entry)",
        "select * from temp.earlier union all select * from main.earlier",
    )


def _made_there(db: sqlite3.Connection) -> set[str]:
    return {row[0] for row in db.execute("select name from sqlite_temp_master")}


def _views(db: sqlite3.Connection, entries: str, lines: str, earliers: str) -> None:
    for name, words in (("entries", entries), ("lines", lines), ("earliers", earliers)):
        db.execute(f"drop view if exists temp.{name}")
        db.execute(f"create temp view {name} as {words}")
