"""Entries of somebody else's log, a CSV table whose columns a person has told.

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

from app.common.bad_input import BadInput, shortened
from app.common.typed_number import number
from app.common.units import Unit
from app.log import entry as kept
from app.log.as_typed import read_clock, read_number
from app.log.entry import Entry, LineEntry, check
from app.log.foreign_columns import DAY_FIRST, SLASHED, THING, UTC_CLOCK, Table, Told
from app.log.foreign_words import READ
from physics.checks import InvalidValue
from physics.progress import ProgressCallback, report_progress

NAMESPACE = uuid.UUID("6f3b6c1e-52a5-4a86-9f0c-0c5c5d1a7c11")
"""Of the identities made from what stands in a file: read twice it gives no doubles."""


OF_LINE = ("rod", "lure", "out", "outcome", "landed", "fish")

SOME = 500
"""Progress is told after so many rows."""


@dataclass(frozen=True, slots=True)
class Read:
    """Entries, the lines left out and why, and what to ask about before they are taken in."""

    entries: tuple[Entry, ...]
    left_out: tuple[str, ...]
    questions: tuple[str, ...]


def entries_of(
    table: Table, told: Told, now: datetime, progress: ProgressCallback | None = None
) -> Read:
    """The entries of a table as told. Raises BadInput where no column tells the day, and
    Cancelled."""
    if "day" not in told.things:
        raise BadInput(table.name, "", None, "a column for the day", "says no day")
    used = [thing for thing in told.things if thing]
    if twice := next((thing for thing in used if used.count(thing) > 1), None):
        raise BadInput(table.name, "", THING[twice].label, "one column for each", "is there twice")
    groups: dict[tuple[Any, ...], Entry] = {}
    left_out: list[str] = []
    for place, (line, cells) in enumerate(table.rows):
        if place % SOME == 0:
            report_progress(progress, place / len(table.rows))
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


_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]+(.*))?$")


def _at(day: str, clock: str, told: Told) -> datetime:
    """The time of a row. Raises _Refused."""
    iso, slashed = _ISO.match(day), SLASHED.match(day)
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
