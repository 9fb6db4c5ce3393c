"""A log of another make, as a CSV table: which column is what, its units, and its entries.

What cannot be told from the file is asked: how dates are written, which clock the times are of,
what a plain 'hit' was on, and whether numbers that smell of another unit are meant.
"""

from __future__ import annotations

import re
import statistics
import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from app.common import units
from app.common.bad_input import BadInput, shortened
from app.common.csv_read import delimiter_of, rows_of, units_named, words_of
from app.common.csv_text import plain
from app.common.typed_number import number
from app.common.units import Unit
from app.log import entry as kept
from app.log.as_typed import read_clock, read_number
from app.log.entry import Entry, LineEntry, check
from app.log.foreign_words import READ
from physics.checks import InvalidValue

ALLOWED = "a CSV table in UTF-8 with headings"

SPEEDS = (units.KNOT, units.MILE_PER_HOUR, units.METER_PER_SECOND, units.KILOMETER_PER_HOUR)
LENGTHS = (units.COLOR, units.FOOT, units.METER, units.YARD)
TIMES = (units.SECOND, units.MINUTE)

MONTH_FIRST, DAY_FIRST = "month first", "day first"
HERE, UTC_CLOCK = "this computer's", "UTC"

NAMESPACE = uuid.UUID("6f3b6c1e-52a5-4a86-9f0c-0c5c5d1a7c11")
"""Of the identities made from what stands in a file: read twice it gives no doubles."""


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

OF_LINE = ("rod", "lure", "out", "outcome", "landed", "fish")


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


@dataclass(frozen=True, slots=True)
class Read:
    """Entries, the lines left out and why, and what to ask about before they are taken in."""

    entries: tuple[Entry, ...]
    left_out: tuple[str, ...]
    questions: tuple[str, ...]


def read_table(text: str, name: str) -> Table:
    """The columns of a CSV text. Raises BadInput."""
    written = text.lstrip("\ufeff").splitlines(keepends=True)
    delimiter = delimiter_of([line for line in written if line.strip()][:20])
    rows = [(line, tuple(plain(cell.strip()) for cell in cells))
            for line, cells in rows_of(written, delimiter, name, ALLOWED)]  # fmt: skip
    rows = [(line, cells) for line, cells in rows if any(cells)]
    if len(rows) < 2:
        raise BadInput(name, "", None, ALLOWED, "has no rows under its headings")
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
    parts = [found for day in days if (found := _SLASHED.match(day))]
    day_first = any(int(found[1]) > 12 for found in parts)
    things = tuple(column.thing for column in table.columns)
    return Told(things, tuple(column.unit for column in table.columns),
                DAY_FIRST if day_first else MONTH_FIRST)  # fmt: skip


def _cell(table: Table, thing: str, cells: Sequence[str]) -> str:
    for column, text in zip(table.columns, cells, strict=False):
        if column.thing == thing:
            return text
    return ""


def entries_of(table: Table, told: Told, now: datetime) -> Read:
    """The entries of a table as told. Raises BadInput where no column tells the day."""
    if "day" not in told.things:
        raise BadInput(table.name, "", None, "a column for the day", "says no day")
    used = [thing for thing in told.things if thing]
    if twice := next((thing for thing in used if used.count(thing) > 1), None):
        raise BadInput(table.name, "", THING[twice].label, "one column for each", "is there twice")
    groups: dict[tuple[Any, ...], Entry] = {}
    left_out: list[str] = []
    for line, cells in table.rows:
        try:
            entry = _entry(table, told, cells)
            check(entry, now)
        except (_Refused, InvalidValue) as error:
            why = str(error) if isinstance(error, _Refused) else (
                f"{error.field} {error.value}: allowed is {error.allowed}"
            )  # fmt: skip
            left_out.append(f"line {line}, {why}")
            continue
        key: tuple[Any, ...] = (entry.at, entry.wait, entry.hold)
        there = groups.get(key)
        if there is not None and _is_other_line(there, entry):
            entry = replace(there, lines=(*there.lines, *entry.lines))
        elif there is not None:
            key = (*key, line)
        groups[key] = entry
    made = tuple(_identified(entry) for entry in groups.values())
    return Read(made, tuple(left_out), _questions(table, told))


def _is_other_line(there: Entry, entry: Entry) -> bool:
    """Whether a row is of another line of the entry before it."""
    names = {line.rod for line in there.lines}
    return bool(entry.lines) and entry.lines[0].rod not in names


def _identified(entry: Entry) -> Entry:
    blank = replace(entry, id="", at=entry.at.astimezone(UTC), lines=entry.lines)
    return replace(entry, id=str(uuid.uuid5(NAMESPACE, repr(blank))))


class _Refused(Exception):
    """What is wrong in a row: column, text and why."""


def _entry(table: Table, told: Told, cells: Sequence[str]) -> Entry:
    texts = {thing: text for thing, text in zip(told.things, cells, strict=False) if thing and text}
    at_unit = dict(zip(told.things, told.units, strict=True))
    own: dict[str, Any] = {}
    for thing, text in texts.items():
        try:
            own[thing] = READ[thing](text, told.hit) if thing in READ else text
            if THING[thing].units:
                unit = at_unit[thing] or THING[thing].units[0]
                own[thing] = _number(text, unit, table.delimiter, thing)
        except ValueError as error:
            label = THING[thing].label
            raise _Refused(f"{label} {shortened(repr(text))}: {error}") from error
    if "day" not in own:
        raise _Refused("day: is empty")
    at = _at(own.pop("day"), texts.get("clock", ""), told)
    own.pop("clock", None)
    line = {name: own.pop(name) for name in OF_LINE if name in own}
    latitude, longitude = own.pop("latitude", None), own.pop("longitude", None)
    stage, part = own.pop("stage", ("", ""))
    return Entry(
        "", at, **own, stage=stage, part=part,
        place=None if latitude is None or longitude is None else (latitude, longitude),
        lines=(LineEntry(**{"rod": "line 1", **line}),) if line else (),
    )  # fmt: skip


def _number(text: str, unit: Unit, delimiter: str, thing: str) -> float:
    limits = kept.OUTS if thing == "out" else kept.NUMBERS[thing]
    value = read_number(text, unit, limits, delimiter)
    assert value is not None
    return value


_SLASHED = re.compile(r"(\d{1,2})[/.](\d{1,2})[/.](\d{2,4})(?:[ ,]+(.*))?$")
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]+(.*))?$")


def _at(day: str, clock: str, told: Told) -> datetime:
    """The time of a row. Raises _Refused."""
    iso, slashed = _ISO.match(day), _SLASHED.match(day)
    if iso is not None:
        year, month, date, rest = int(iso[1]), int(iso[2]), int(iso[3]), iso[4]
    elif slashed is not None:
        first, second, year, rest = int(slashed[1]), int(slashed[2]), int(slashed[3]), slashed[4]
        month, date = (second, first) if told.dates == DAY_FIRST else (first, second)
        year += 2000 if year < 100 else 0
    else:
        raise _Refused(f"day {shortened(repr(day))}: allowed is a day like 2026-05-01 or 5/1/2026")
    try:
        at = datetime(year, month, date, 12)
    except ValueError:
        raise _Refused(f"day {shortened(repr(day))}: there is no such day ({told.dates})") from None
    text = clock or rest or ""
    if text:
        try:
            at = read_clock(re.sub(r"\.\d+", "", text), at)
        except ValueError as error:
            raise _Refused(f"time {shortened(repr(text))}: {error}") from error
    if at.tzinfo is None and told.clock == UTC_CLOCK:
        return at.replace(tzinfo=UTC)
    try:
        return at.astimezone() if at.tzinfo is None else at
    except (OSError, OverflowError, ValueError):
        # no system has a clock for all years there are
        raise _Refused(f"day {shortened(repr(day))}: allowed is a day from 1950 on") from None


def _questions(table: Table, told: Told) -> tuple[str, ...]:
    """Numbers whose middle is beyond what is usual in their unit, and usual in another."""
    out = []
    for place, (key, unit) in enumerate(zip(told.things, told.units, strict=True)):
        thing = THING.get(key)
        if thing is None or thing.usual is None or unit is None:
            continue
        numbers = []
        for _, cells in table.rows:
            try:
                numbers.append(number(cells[place], table.delimiter))
            except (ValueError, IndexError):
                continue
        if not numbers:
            continue
        middle = statistics.median(numbers)
        low, high = thing.usual
        if low <= unit.to_si(middle) <= high:
            continue
        other = [each.name for each in thing.units if low <= each.to_si(middle) <= high]
        better = f" In {' or '.join(other)} it would be usual." if other else ""
        out.append(f"{thing.label.capitalize()} of {middle:g} {unit.name}: is that so?{better}")
    return tuple(out)
