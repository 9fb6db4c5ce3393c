"""Entries written through one connection, many at once: into the file, or over it."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from itertools import islice
from operator import attrgetter
from typing import Any, TypeVar

from app.log import json_file
from app.log.entry import Entry
from app.log.light import lights_of
from app.log.reading import AT_ONCE
from app.log.tables import (
    ENTRY_COLUMNS,
    LINE_COLUMNS,
    entry_row,
    line_rows,
    microseconds,
    searched,
)

Each = TypeVar("Each")


class Writer:
    """Writes into the tables of the file (``main``), or into those that lie over it (``temp``),
    where numbers count downward. It is for one transaction: it remembers setups."""

    def __init__(self, db: sqlite3.Connection, where: str = "main") -> None:
        self._db, self._where = db, where
        self._setups: dict[str, int] = {}

    def put(
        self,
        entries: Sequence[Entry],
        *,
        gone: bool = False,
        numbers: Mapping[str, int] | None = None,
    ) -> None:
        """Write entries; what there was under an id is replaced. New ones are numbered on, or
        get ``numbers``, by id, which nobody has."""
        for some in batches(entries, AT_ONCE):
            self._put(some, gone, numbers or {})

    def _put(self, entries: Sequence[Entry], gone: bool, numbers: Mapping[str, int]) -> None:
        setups = self._numbers_of_setups({entry.setup for entry in entries if entry.setup})
        there = self._numbers("entry", "id", [entry.id for entry in entries])
        new = self._next("entry")
        rows, sought, lines = [], [], list[tuple[Any, ...]]()
        for entry, lit in zip(entries, lights_of(entries), strict=True):
            own = there.get(entry.id) or numbers.get(entry.id) or next(new)
            rows.append((own, *entry_row(entry, setups.get(entry.setup), gone, lit)))
            sought.append((own, searched(entry, lit)))
            lines += line_rows(entry, own)
        many = self._db.executemany
        if there:
            many(f"delete from {self._where}.line where entry = ?", [(n,) for n in there.values()])
        self._insert("entry", ("number", *ENTRY_COLUMNS), rows)
        self._insert("sought", ("number", "words"), sought)
        self._insert("line", LINE_COLUMNS, lines)

    def mark(self, stamps: Mapping[str, int], *, gone: bool) -> None:
        """Mark entries, by id with when they are changed, as gone or as there again."""
        if self._where == "temp":
            self._lay_over(list(stamps))
        self._db.executemany(
            f"update {self._where}.entry set gone = ?, changed = ? where id = ?",
            [(int(gone), changed, id_) for id_, changed in stamps.items()],
        )

    def _lay_over(self, ids: Sequence[str]) -> None:
        """Copy entries of the file to the tables that lie over it, where they are not there."""
        there, new = self._numbers("entry", "id", ids), self._next("entry")
        below = Writer(self._db)._numbers("entry", "id", ids)
        pairs = [(next(new), own) for id_, own in below.items() if id_ not in there]
        for table, key, columns in (
            ("entry", "number", ENTRY_COLUMNS),
            ("sought", "number", ("words",)),
            ("line", "entry", LINE_COLUMNS[1:]),
        ):
            names = ", ".join(columns)
            self._db.executemany(
                f"insert into temp.{table} ({key}, {names}) "
                f"select ?, {names} from main.{table} where {key} = ?",
                pairs,
            )

    def keep_earlier(self, entries: Iterable[Entry]) -> None:
        """Keep what entries were before, or elsewhere."""
        now = microseconds(datetime.now(UTC))
        rows = [
            (entry.id, now, json.dumps(json_file.table_of(entry), ensure_ascii=False))
            for entry in entries
        ]
        self._insert("earlier", ("id", "since", "text"), rows)

    def _insert(self, table: str, columns: Sequence[str], rows: Sequence[tuple[Any, ...]]) -> None:
        holes = ", ".join("?" * len(columns))
        self._db.executemany(
            f"insert or replace into {self._where}.{table} ({', '.join(columns)}) values ({holes})",
            rows,
        )

    def _numbers_of_setups(self, texts: set[str]) -> dict[str, int]:
        """Numbers of setups, which are written where they are not there."""
        strange = sorted(texts - set(self._setups))
        if strange:
            self._setups |= self._numbers("setup", "text", strange)
            new = self._next("setup")
            rows = [(next(new), text) for text in strange if text not in self._setups]
            self._insert("setup", ("number", "text"), rows)
            self._setups |= {text: number for number, text in rows}
        return self._setups

    def _numbers(self, table: str, column: str, values: Sequence[str]) -> dict[str, int]:
        """Numbers of the rows that have one of some values, by the value."""
        holes = ", ".join("?" * len(values))
        asked = f"select {column}, number from {self._where}.{table} where {column} in ({holes})"
        return dict(self._db.execute(asked, values))

    def _next(self, table: str) -> Iterator[int]:
        """Numbers that are not given away yet."""
        step = -1 if self._where == "temp" else 1
        last = "min(number)" if step < 0 else "max(number)"
        asked = f"select coalesce({last}, 0) from {self._where}.{table}"
        (number,) = self._db.execute(asked).fetchone()
        while True:
            number += step
            yield number


def batches(
    entries: Iterable[Each], count: int, id_of: Callable[[Each], str] = attrgetter("id")
) -> Iterator[list[Each]]:
    """Entries, or what is about one each, at most so many at once and never two of one id."""
    left = iter(entries)
    while some := list(islice(left, count)):
        part: dict[str, Each] = {}
        for entry in some:
            id_ = id_of(entry)
            if id_ in part:
                yield list(part.values())
                part = {}
            part[id_] = entry
        yield list(part.values())
