"""The columns of somebody else's log, a CSV table: what each is likely to be, and in which unit."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from app.common import units
from app.common.bad_input import BadInput
from app.common.csv_read import delimiter_of, rows_of, units_named, words_of
from app.common.csv_text import plain
from app.common.units import Unit

ALLOWED = "a CSV table in UTF-8 with headings"

MOST_COLUMNS = 100
"""A log has no more."""

SPEEDS = (units.KNOT, units.MILE_PER_HOUR, units.METER_PER_SECOND, units.KILOMETER_PER_HOUR)
LENGTHS = (units.COLOR, units.FOOT, units.METER, units.YARD)
TIMES = (units.SECOND, units.MINUTE)

MONTH_FIRST, DAY_FIRST = "month first", "day first"
HERE, UTC_CLOCK = "this computer's", "UTC"


@dataclass(frozen=True, slots=True)
class Thing:
    """What a column may hold: its name for a person, its units if it is a number, words that
    betray it, and what is usual of it, SI."""

    key: str
    label: str
    words: tuple[str, ...]
    units: tuple[Unit, ...] = ()
    usual: tuple[float, float] | None = None


THINGS = (
    Thing("day", "day, or day and time", ("date", "day", "when", "datetime", "timestamp")),
    Thing("clock", "time of day", ("time", "clock")),
    Thing("hold", "hold", ("hold", "held", "neutral"), TIMES, (2.0, 180.0)),
    Thing("wait", "wait", ("wait",), TIMES, (0.0, 300.0)),
    Thing("lasted", "how long lines fished", ("minutes", "duration", "lasted", "fished"),
          (units.MINUTE, units.SECOND, units.HOUR), (30.0, 86400.0)),
    Thing("wind_speed", "wind", ("wind",), SPEEDS, (0.0, 30.0)),
    Thing("speed", "speed", ("speed", "sog", "stw"), SPEEDS, (0.5, 5.5)),
    Thing("heading", "course", ("course", "cog", "bearing"), (units.DEGREE,)),
    Thing("latitude", "latitude", ("latitude", "lat")),
    Thing("longitude", "longitude", ("longitude", "lon", "lng", "long")),
    Thing("out", "line out", ("out", "colors", "color"), LENGTHS, (5.0, 250.0)),
    Thing("rod", "line or rod", ("rod", "line", "position")),
    Thing("lure", "lure", ("lure", "plug", "bait")),
    Thing("outcome", "what came", ("outcome", "hit", "hits", "strike", "result", "came")),
    Thing("landed", "landed", ("landed", "caught", "boated")),
    Thing("fish", "kind of fish", ("fish", "species", "kind")),
    Thing("side", "side of the rip", ("side",)),
    Thing("tide", "heading to the tide", ("heading", "direction")),
    Thing("stage", "tide's stage", ("tide", "stage")),
    Thing("light", "light", ("light", "sun")),
    Thing("tags", "tags", ("tags", "tag")),
    Thing("note", "note", ("note", "notes", "remark", "remarks", "comment", "comments")),
)  # fmt: skip
"""In the order in which a heading is tried."""

THING = {thing.key: thing for thing in THINGS}


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, some of its texts, the thing it is likely to be, and its unit."""

    heading: str
    examples: tuple[str, ...]
    thing: str
    unit: Unit | None


@dataclass(frozen=True, slots=True)
class Table:
    """A file's columns, and its rows of text with their line numbers."""

    name: str
    delimiter: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Told:
    """What a person says of a table: the thing and unit of each column, in its order, how dates
    are written, whose clock it is, and what a plain hit was on."""

    things: tuple[str, ...]
    units: tuple[Unit | None, ...]
    dates: str = MONTH_FIRST
    clock: str = HERE
    hit: str = "drop"


SLASHED = re.compile(r"(\d{1,2})[/.](\d{1,2})[/.](\d{2,4})(?:[ ,]+(.*))?$")
"""A day with its numbers between slashes or points, and what follows."""


def read_table(text: str, name: str) -> Table:
    """The columns of a CSV text. Raises BadInput."""
    written = text.lstrip("\ufeff").splitlines(keepends=True)
    delimiter = delimiter_of([line for line in written if line.strip()][:20])
    rows = [(line, tuple(plain(cell.strip()) for cell in cells))
            for line, cells in rows_of(written, delimiter, name, ALLOWED)]  # fmt: skip
    rows = [(line, cells) for line, cells in rows if any(cells)]
    if len(rows) < 2:
        raise BadInput(name, "", None, ALLOWED, "has no rows under its headings")
    if len(rows[0][1]) > MOST_COLUMNS:
        allowed = f"at most {MOST_COLUMNS} columns"
        raise BadInput(name, "columns", len(rows[0][1]), allowed)
    seen: set[str] = set()
    columns = []
    for place, heading in enumerate(rows[0][1]):
        texts = [cells[place] for _, cells in rows[1:] if place < len(cells) and cells[place]]
        columns.append(_column(heading, texts[:3], seen))
    return Table(name, delimiter, tuple(columns), tuple(rows[1:]))


def _column(heading: str, examples: list[str], seen: set[str]) -> Column:
    words = words_of(heading)
    named = units_named(reversed(words))
    for thing in THINGS:
        if thing.key not in seen and any(word in thing.words for word in words):
            fitting = [unit for unit in named if unit in thing.units]
            if named and thing.units and not fitting:
                continue
            seen.add(thing.key)
            unit = fitting[0] if fitting else thing.units[0] if thing.units else None
            return Column(heading, tuple(examples), thing.key, unit)
    return Column(heading, tuple(examples), "", None)


def guessed(table: Table) -> Told:
    """What headings and dates suggest, for a person to correct."""
    days = [_cell(table, "day", cells) for _, cells in table.rows]
    parts = [found for day in days if (found := SLASHED.match(day))]
    day_first = any(int(found[1]) > 12 for found in parts)
    things = tuple(column.thing for column in table.columns)
    return Told(things, tuple(column.unit for column in table.columns),
                DAY_FIRST if day_first else MONTH_FIRST)  # fmt: skip


def _cell(table: Table, thing: str, cells: Sequence[str]) -> str:
    for column, text in zip(table.columns, cells, strict=False):
        if column.thing == thing:
            return text
    return ""
