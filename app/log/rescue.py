"""What can still be read of a log whose file is damaged."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path

from app.common.database import connected
from app.log.entry import Entry
from app.log.opening import OPEN_S
from app.log.reading import AT_ONCE, Entries, readied, show_main
from app.log.words import counted

UNREADABLE = (sqlite3.Error, UnicodeDecodeError)
"""What reading a damaged file raises; the latter where the library's own words hold its text."""

LEAST_BYTES = 64
"""An entry takes at least so much of a file: its id and its instants alone do."""


@dataclass(slots=True)
class Saved:
    """Entries by their numbers, and those that were removed; how many are ``lost`` at most, for
    a number may never have been given away. It is None where nobody can tell."""

    kept: dict[int, Entry] = field(default_factory=dict)
    gone: dict[int, Entry] = field(default_factory=dict)
    lost: int | None = 0

    def in_words(self) -> str:
        """As a person reads it."""
        if self.lost is None:
            return "None of its entries can be read."
        left = f", {self.lost:,} at most could not" if self.lost else ""
        saved = counted(len(self.kept), "entry", "entries")
        return f"{saved} in it could be saved{left}."


class _Careful(Entries):
    """Entries without their setup where that cannot be read."""

    def _setup_text(self, number: int) -> str:
        try:
            return super()._setup_text(number)
        except sqlite3.DatabaseError:
            return ""


def saved_from_file(path: Path) -> Saved:
    """All that can be read of a damaged file that nobody has open."""
    try:
        with closing(connected(f"{path.as_uri()}?mode=ro", OPEN_S, uri=True)) as db:
            return saved_from(readied(db))
    except UNREADABLE:
        return Saved(lost=None)


def saved_from(db: sqlite3.Connection) -> Saved:
    """All that can be read through a connection to a damaged file."""
    saved = Saved()
    try:
        db.rollback()
        show_main(db)
        seen = set(_numbers(db))
        room = _room(db)
    except UNREADABLE:
        seen = set()
    if not seen:
        return Saved(lost=None)
    careful = _Careful(db)
    top = max((number for number in seen if number <= room), default=0)
    # a number that the file has no room for stands by itself: it may be part of the damage
    far = sorted(number for number in seen if not 0 < number <= top)
    spans = [(first, min(first + AT_ONCE - 1, top)) for first in range(1, top + 1, AT_ONCE)]
    for first, last in (*spans, *((number, number) for number in far)):
        try:
            _read(db, careful, first, last, saved)
        except UNREADABLE:
            for number in range(first, last + 1):
                with suppress(*UNREADABLE):
                    _read(db, careful, number, number, saved)
    saved.lost = max(top, 0) + len(far) - len(saved.kept) - len(saved.gone)
    return saved


def _room(db: sqlite3.Connection) -> int:
    """How many entries the file has room for at the most."""
    pages, size = (db.execute(f"pragma {of}").fetchone()[0] for of in ("page_count", "page_size"))
    return int(pages * size) // LEAST_BYTES


def _read(db: sqlite3.Connection, careful: Entries, first: int, last: int, saved: Saved) -> None:
    asked = "select id, number, gone from main.entry where number between ? and ?"
    rows = {row[0]: row[1:] for row in db.execute(asked, (first, last))}
    found = list(careful.numbered_from(first, last))
    for entry in found:
        number, gone = rows[entry.id]
        (saved.gone if gone else saved.kept)[number] = entry


def _numbers(db: sqlite3.Connection) -> Iterator[int]:
    """Numbers of entries, from wherever they stand: the last of them may be unreadable there."""
    for asked in (
        "select number from main.entry order by number",
        "select number from main.entry order by number desc",
        "select number from main.entry indexed by entry_day",
        "select number from main.sought order by number desc",
        "select entry from main.line order by entry desc",
    ):
        with suppress(*UNREADABLE):
            for (number,) in db.execute(asked):
                if isinstance(number, int):
                    yield number
