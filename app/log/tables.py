"""The tables of the log's file, and entries to and from their rows."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import fields
from datetime import UTC, datetime, timedelta
from typing import Any

from app.common.database import Schema
from app.log import words
from app.log.entry import Entry, LineEntry, Said

TABLES = """
create table setup (number integer primary key, text text not null unique);
create table entry (
    number integer primary key, id text not null unique,
    at text not null, instant integer not null, day text not null,
    rehearsal integer not null, setup integer,
    wait real, hold real, lasted real, speed real, heading real,
    side text not null, tide text not null, stage text not null, part text not null,
    wind_speed real, wind_from real, latitude real, longitude real, light text not null,
    note text not null, tags text not null, changed integer not null,
    lit text not null, hits integer not null, landed integer not null, came text not null,
    gone integer not null
);
create table sought (number integer primary key, words text not null);
create table line (
    entry integer not null, number integer not null, rod text not null, lure text not null,
    out real, outcome text not null, after real, landed integer, fish text not null,
    fouled integer not null, weed integer not null, touched integer not null,
    depth real, off_bottom real, speed real, phase text, least_off real,
    fell real, lifted real, ran real, version text, tackle text,
    lift_off_bottom real, lift_speed real,
    primary key (entry, number)
) without rowid;
create table earlier (id text not null, since integer not null, text text not null);
create index entry_found on entry (
    gone, instant, rehearsal, side, tide, stage, part, lit, hits, landed, wait, hold, speed,
    wind_speed
);
create index entry_day on entry (gone, day, instant, hits);
create index earlier_id on earlier (id);
"""
"""What entries are looked for and sorted by lies together in an index, and words in a table of
their own: nothing else need be read of a hundred thousand."""

SCHEMA = Schema(TABLES, 1, ("setup", "entry", "sought", "line", "earlier"))

SAID = tuple(each.name for each in fields(Said))
LINE = (
    "rod", "lure", "out", "outcome", "after", "landed", "fish", "fouled", "weed", "touched",
)  # fmt: skip
PLAIN = (
    "id", "wait", "hold", "lasted", "speed", "heading", "side", "tide", "stage", "part",
    "wind_speed", "wind_from", "light", "note",
)  # fmt: skip
"""Columns that hold an attribute as it is."""

ENTRY_COLUMNS = (
    *PLAIN, "at", "instant", "day", "rehearsal", "setup", "latitude", "longitude", "tags",
    "changed", "lit", "hits", "landed", "came", "gone",
)  # fmt: skip
LINE_COLUMNS = ("entry", "number", *LINE, *SAID)

_START = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)


def microseconds(at: datetime) -> int:
    """An aware time as whole microseconds since 1970."""
    return (at - _START) // _MICROSECOND


def instant(number: int) -> datetime:
    """The time in UTC so many microseconds after 1970 began."""
    return _START + number * _MICROSECOND


def came_of(entry: Entry) -> str:
    """What came of an entry in a few words: how many hits, on what, and what came aboard."""
    hits = [line for line in entry.lines if line.hit]
    if not hits:
        return "nothing"
    on = dict.fromkeys(line.outcome for line in hits)
    said = ", ".join(on)
    landed = f", {entry.landed} landed" if entry.landed else ""
    return f"{words.counted(len(hits), 'hit')} ({said}){landed}"


def searched(entry: Entry, lit: str) -> str:
    """All that can be searched for in an entry, folded to one case; ``lit`` is ``light_of`` it."""
    parts = [entry.note, *entry.tags, words.stage_of(entry), words.KIND[entry.rehearsal]]
    parts += [table[value] for table, value in (
        (words.SIDE, entry.side), (words.TIDE, entry.tide), (words.LIGHT, lit)
    ) if value]  # fmt: skip
    for line in entry.lines:
        parts += [line.rod, line.lure, words.line_in_words(line)]
    return "\n".join(parts).casefold()


def entry_row(entry: Entry, setup: int | None, gone: bool, lit: str) -> tuple[Any, ...]:
    """The row of an entry, as ENTRY_COLUMNS; ``setup`` is the number of its text, ``lit`` is
    ``light_of`` it."""
    latitude, longitude = entry.place or (None, None)
    return (
        *map(entry.__getattribute__, PLAIN), entry.at.isoformat(), microseconds(entry.at),
        entry.at.date().isoformat(), int(entry.rehearsal), setup, latitude, longitude,
        json.dumps(entry.tags), microseconds(entry.changed), lit, entry.hits, entry.landed,
        came_of(entry), int(gone),
    )  # fmt: skip


def line_rows(entry: Entry, own: int) -> list[tuple[Any, ...]]:
    """The rows of an entry's lines, as LINE_COLUMNS; ``own`` is the number of the entry."""
    out = []
    for number, line in enumerate(entry.lines):
        said = [None if line.said is None else getattr(line.said, name) for name in SAID]
        out.append((own, number, *(getattr(line, name) for name in LINE), *said))
    return out


def line_of(row: Sequence[Any]) -> LineEntry:
    """A line from its row, as LINE_COLUMNS."""
    rod, lure, out, outcome, after, landed, fish, fouled, weed, touched = row[2:12]
    return LineEntry(
        rod, lure, out, outcome, after, None if landed is None else bool(landed), fish,
        bool(fouled), bool(weed), bool(touched), None if row[12] is None else Said(*row[12:]),
    )  # fmt: skip


def entry_of(row: Sequence[Any], setup: str, lines: tuple[LineEntry, ...]) -> Entry:
    """An entry from its row, as ENTRY_COLUMNS. Raises ValueError or TypeError for one that
    makes no sense."""
    own = dict(zip(PLAIN, row, strict=False))
    at, _, _, rehearsal, _, latitude, longitude, tags, changed = row[len(PLAIN) :][:9]
    return Entry(
        **own,
        at=datetime.fromisoformat(at),
        rehearsal=bool(rehearsal),
        setup=setup,
        place=None if latitude is None or longitude is None else (latitude, longitude),
        tags=tuple(json.loads(tags)),
        lines=lines,
        changed=instant(changed),
    )
