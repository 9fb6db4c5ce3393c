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
from app.log.entry import LATEST, Entry, LineEntry, check
from app.log.find import Wanted
from app.log.tables import ENTRY_COLUMNS, LINE_COLUMNS, SCHEMA, TABLES, entry_of, line_of

VIEWS = {
    "entries": "entry",
    "words": "sought",
    "lines": "line",
    "setups": "setup",
    "earliers": "earlier",
}
"""Views through which everything is read, and their tables."""

_SETUP = ENTRY_COLUMNS.index("setup")

AT_ONCE = 500
"""Entries asked for in one question."""


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the log: how many entries, and how many of their lines had a hit."""

    day: str
    entries: int
    hits: int


@dataclass(frozen=True, slots=True)
class Found:
    """Numbers of entries in their order, and how many hits and fish aboard they have in all."""

    numbers: list[int]
    hits: int
    landed: int


class Entries:
    """The entries that a database holds, read through views that ``readied`` makes.

    ``left_out`` counts those that were met and make no sense.
    """

    def __init__(self, db: sqlite3.Connection) -> None:
        self._db = db
        self.left_out = 0
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

    def count(self) -> int:
        """How many entries there are."""
        return int(self._rows("select count(*) from entries where gone = 0")[0][0])

    def find(self, wanted: Wanted) -> Found:
        """What is wanted, in its order."""
        where, values = wanted.where()
        asked = f"select number, hits, landed from entries where {where} order by {wanted.order()}"
        rows = self._rows(asked, values)
        return Found(
            [row[0] for row in rows],
            sum(map(_whole, (row[1] for row in rows))),
            sum(map(_whole, (row[2] for row in rows))),
        )

    def rows(self, columns: Sequence[str], numbers: Sequence[int]) -> dict[int, tuple[Any, ...]]:
        """Some columns of entries, by number."""
        holes = ", ".join("?" * len(numbers))
        asked = f"select number, {', '.join(columns)} from entries where number in ({holes})"
        return {row[0]: row[1:] for row in self._rows(asked, numbers)}

    def numbered(self, number: int) -> Entry | None:
        """The entry of a number, or None."""
        return next(self._made("number = ?", [number]), None)

    def entry(self, id_: str, *, gone: bool = False) -> Entry | None:
        """One entry, or None; ``gone``: one that was removed, too."""
        return next(self._made("id = ?" + ("" if gone else " and gone = 0"), [id_]), None)

    def numbered_from(self, first: int, last: int) -> Iterator[Entry]:
        """The entries of numbers from ``first`` to ``last``, those that were removed, too."""
        yield from self._made("number between ? and ?", [first, last])

    def of_numbers(self, numbers: Sequence[int]) -> Iterator[Entry]:
        """The entries of some numbers, in their order; those that are not there are left out."""
        for first in range(0, len(numbers), AT_ONCE):
            some = numbers[first : first + AT_ONCE]
            ids = {number: id_ for number, (id_,) in self.rows(("id",), some).items()}
            found = {entry.id: entry for entry in self.of_ids(list(ids.values()))}
            yield from (found[ids[n]] for n in some if ids.get(n) in found)

    def of_ids(self, ids: Sequence[str], *, gone: bool = True) -> Iterator[Entry]:
        """The entries of some ids; ``gone``: those that were removed, too."""
        # the plus keeps SQLite from going through all that are there instead
        if ids:
            holes = ", ".join("?" * len(ids))
            yield from self._made(f"id in ({holes}){'' if gone else ' and +gone = 0'}", ids)

    def last_changed(self, numbers: Sequence[int]) -> dict[str, int]:
        """When entries, by their numbers, were last changed: by id, in microseconds."""
        parts = range(0, len(numbers), AT_ONCE)
        rows = (self.rows(("id", "changed"), numbers[first : first + AT_ONCE]) for first in parts)
        return dict(row for some in rows for row in some.values())

    def changed(self, ids: Sequence[str], *, gone: bool) -> dict[str, int]:
        """When those of some entries that are there, or that are ``gone``, were last changed, by
        id, in microseconds."""
        asked = f"select id, changed from entries where id in ({', '.join('?' * len(ids))})"
        return dict(self._db.execute(f"{asked} and +gone = ?", [*ids, int(gone)]))

    def entries(self, wanted: Wanted | None = None, *, gone: bool = False) -> Iterator[Entry]:
        """Whole entries, oldest first unless ``wanted`` says how, or those removed."""
        if wanted is None:
            yield from self._made(f"gone = {int(gone)} order by instant", [])
            return
        where, values = wanted.where()
        yield from self._made(f"{where} order by {wanted.order()}", values)

    def line_drops(self, columns: Sequence[str]) -> list[tuple[Any, ...]]:
        """Some columns of ``lines`` and their ``entries``, of what was done on the water, oldest
        first."""
        return self._db.execute(
            f"select {', '.join(columns)} from entries join lines on lines.entry = entries.number "
            "where gone = 0 and rehearsal = 0 "
            "order by entries.instant, entries.number, lines.number"
        ).fetchall()

    def _made(self, where: str, values: Sequence[object]) -> Iterator[Entry]:
        """Entries from their rows; those that make no sense are left out."""
        db, setups = self._db, {None: ""}
        asked = f"select number, {', '.join(ENTRY_COLUMNS)} from entries where {where}"
        cursor = db.execute(asked, values)
        while some := cursor.fetchmany(AT_ONCE):
            holes = ", ".join("?" * len(some))
            lines: dict[int, list[LineEntry]] = {}
            asked = f"select {', '.join(LINE_COLUMNS)} from lines where entry in ({holes})"
            for row in db.execute(asked, [each[0] for each in some]):
                lines.setdefault(row[0], []).append(line_of(row))
            for number, *row in some:
                key = row[_SETUP]
                if key not in setups:
                    setups[key] = self._setup_text(key)
                try:
                    entry = entry_of(row, setups[key], tuple(lines.get(number, ())))
                    check(entry, LATEST)
                except (ValueError, TypeError, OverflowError):
                    self.left_out += 1
                else:
                    yield entry

    def _setup_text(self, number: int) -> str:
        asked = "select text from setups where number = ?"
        (text,) = self._db.execute(asked, (number,)).fetchone() or ("",)
        return text if isinstance(text, str) else ""

    def earlier(self, id_: str) -> list[Entry]:
        """What an entry was before it was replaced by something newer, the latest first."""
        asked = "select text from earliers where id = ? order by since desc"
        out = []
        for (text,) in self._rows(asked, [id_]):
            with contextlib.suppress(BadInput, ValueError, RecursionError):
                out.append(json_file.entry_of(json.loads(text), "an earlier entry", LATEST))
        return out


def _whole(value: object) -> int:
    """A count, nothing where the file holds another thing."""
    return value if isinstance(value, int) else 0


def readied(db: sqlite3.Connection) -> sqlite3.Connection:
    """With the views through which everything is read."""
    db.execute("pragma temp_store = memory")
    show_main(db)
    db.commit()
    return db


def show_main(db: sqlite3.Connection) -> None:
    """Read from the file."""
    there = _there(db)
    if "entries" in there and "setup" not in there:
        return
    for table in SCHEMA.kept:
        db.execute(f"drop table if exists temp.{table}")
    for name, table in VIEWS.items():
        _view(db, name, f"select * from main.{table}")


def show_over(db: sqlite3.Connection) -> None:
    """Read what waits from tables over those of the file; their numbers are negative."""
    for statement in TABLES.split(";"):
        if "create table" in statement:
            db.execute(statement.replace("create table", "create temp table"))
    over = "(select id from temp.entry)"
    hidden = f"(select number from main.entry where id in {over})"
    left = {
        "entries": f" where id not in {over}",
        "words": f" where number not in {hidden}",
        "lines": f" where entry not in {hidden}",
    }
    for name, table in VIEWS.items():
        below = f"select * from main.{table}{left.get(name, '')}"
        _view(db, name, f"select * from temp.{table} union all {below}")


def _there(db: sqlite3.Connection) -> set[str]:
    return {row[0] for row in db.execute("select name from sqlite_temp_master")}


def _view(db: sqlite3.Connection, name: str, words: str) -> None:
    db.execute(f"drop view if exists temp.{name}")
    db.execute(f"create temp view {name} as {words}")
