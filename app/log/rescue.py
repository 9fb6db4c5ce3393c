"""What can still be read of a log whose file is damaged."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field

from app.log.entry import Entry
from app.log.reading import AT_ONCE, Entries, show_main


@dataclass(slots=True)
class Saved:
    """Entries by their numbers, and those that were removed; how many are ``lost``, which is
    None where nobody can tell."""

    kept: dict[int, Entry] = field(default_factory=dict)
    gone: dict[int, Entry] = field(default_factory=dict)
    lost: int | None = 0

    def in_words(self) -> str:
        """As a person reads it."""
        if self.lost is None:
            return "None of its entries can be read."
        left = f", {self.lost:,} could not" if self.lost else ""
        return f"{len(self.kept):,} entries in it could be saved{left}."


class _Careful(Entries):
    """Entries without their setup where that cannot be read."""

    def _setup_text(self, number: int) -> str:
        try:
            return super()._setup_text(number)
        except sqlite3.DatabaseError:
            return ""


def saved_from(db: sqlite3.Connection) -> Saved:
    """All that can be read through a connection to a damaged file."""
    saved = Saved()
    try:
        db.rollback()
        show_main(db)
        top = max(_numbers(db), default=None)
    except sqlite3.Error:
        top = None
    if top is None:
        return Saved(lost=None)
    careful = _Careful(db)
    for first in range(1, top + 1, AT_ONCE):
        last = min(first + AT_ONCE - 1, top)
        try:
            _read(db, careful, first, last, saved)
        except sqlite3.Error:
            for number in range(first, last + 1):
                try:
                    _read(db, careful, number, number, saved)
                except sqlite3.Error:
                    assert saved.lost is not None
                    saved.lost += 1
    return saved


def _read(db: sqlite3.Connection, careful: Entries, first: int, last: int, saved: Saved) -> None:
    asked = "select id, number, gone from main.entry where number between ? and ?"
    rows = {row[0]: row[1:] for row in db.execute(asked, (first, last))}
    found = list(careful.numbered_from(first, last))
    for entry in found:
        number, gone = rows[entry.id]
        (saved.gone if gone else saved.kept)[number] = entry


def _numbers(db: sqlite3.Connection) -> Iterator[int]:
    """Numbers of entries, from both ends as far as they can be read."""
    for way in ("", " desc"):
        with suppress(sqlite3.DatabaseError):
            for (number,) in db.execute(f"select number from main.entry order by number{way}"):
                yield number
