"""The log as a CSV table, a row a line, in the trade's units, and every entry back as it was.

What an entry says of itself stands in each of its rows, but its setup only in the first. A
number that its unit cannot tell to the last bit is written in SI, with the SI unit after it.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Any

from app.common import units
from app.common.bad_input import BadInput
from app.common.csv_text import as_csv, plain
from app.common.typed_number import number
from app.common.units import Unit
from app.log.entry import EARLIEST, SAID_ALWAYS, Entry, LineEntry, Said, check, in_utc
from physics.checks import InvalidValue
from physics.progress import ProgressCallback, report_progress

ALLOWED = "a log as CSV, as Leadfall writes it"

DEGREES = units.PLAIN
"""A place is in degrees inside, too."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A column: its heading, the attribute it holds, and its unit if it is a number."""

    heading: str
    name: str
    unit: Unit | None = None
    si: str = ""


ENTRY = (
    Cell("id", "id"), Cell("time", "at"), Cell("kind", "rehearsal"),
    Cell("wait_s", "wait", units.SECOND, "s"), Cell("hold_s", "hold", units.SECOND, "s"),
    Cell("lasted_min", "lasted", units.MINUTE, "s"),
    Cell("speed_kn", "speed", units.KNOT, "m/s"),
    Cell("heading_deg", "heading", units.DEGREE, "rad"), Cell("side", "side"),
    Cell("tide", "tide"), Cell("stage", "stage"), Cell("part", "part"),
    Cell("wind_kn", "wind_speed", units.KNOT, "m/s"),
    Cell("wind_from_deg", "wind_from", units.DEGREE, "rad"),
    Cell("latitude_deg", "latitude", DEGREES), Cell("longitude_deg", "longitude", DEGREES),
    Cell("light", "light"), Cell("note", "note"), Cell("tags", "tags"),
    Cell("changed", "changed"),
)  # fmt: skip
LINE = (
    Cell("rod", "rod"), Cell("lure", "lure"), Cell("colors_out", "out", units.COLOR, "m"),
    Cell("outcome", "outcome"), Cell("hit_after_s", "after", units.SECOND, "s"),
    Cell("landed", "landed"), Cell("fish", "fish"), Cell("fouled", "fouled"),
    Cell("weed", "weed"), Cell("touched_bottom", "touched"),
)  # fmt: skip
SAID = (
    Cell("depth_ft", "depth", units.FOOT, "m"),
    Cell("off_bottom_ft", "off_bottom", units.FOOT, "m"),
    Cell("lure_speed_kn", "speed", units.KNOT, "m/s"), Cell("phase", "phase"),
    Cell("least_off_bottom_ft", "least_off", units.FOOT, "m"),
    Cell("fell_s", "fell", units.SECOND, "s"), Cell("lifted_s", "lifted", units.SECOND, "s"),
    Cell("ran_s", "ran", units.SECOND, "s"), Cell("version", "version"),
    Cell("tackle", "tackle"),
    Cell("off_bottom_at_lift_ft", "lift_off_bottom", units.FOOT, "m"),
    Cell("speed_at_lift_kn", "lift_speed", units.KNOT, "m/s"),
)  # fmt: skip
SETUP = Cell("setup", "setup")

HEADINGS = tuple(cell.heading for cell in (*ENTRY, *LINE, *SAID, SETUP))
_PLACE = {heading: place for place, heading in enumerate(HEADINGS)}
_ROD = _PLACE["rod"]

SOME = 200
"""Progress is told after so many entries."""

YES, NO = "yes", "no"
KINDS = {True: "rehearsal", False: "water"}

_FLAGS = {"landed": {True: YES, False: NO}, "rehearsal": KINDS}
_SEEN = {True: YES, False: ""}
"""What is written for a yes or no; for most a no is an empty cell."""


def dumps(entries: Iterable[Entry]) -> str:
    """Entries as CSV."""
    return as_csv(_rows(entries))


def _rows(entries: Iterable[Entry]) -> Iterator[Sequence[object]]:
    yield HEADINGS
    for entry in entries:
        own = _own(entry)
        for at, line in enumerate(entry.lines or (None,)):
            said = None if line is None else line.said
            setup = entry.setup if at == 0 else ""
            yield [*own, *_cells(LINE, line), *_cells(SAID, said), setup]


def _own(entry: Entry) -> list[str]:
    latitude, longitude = entry.place or (None, None)
    special = {"latitude": latitude, "longitude": longitude}
    return [
        _text(cell, special[cell.name] if cell.name in special else getattr(entry, cell.name))
        for cell in ENTRY
    ]


def _cells(cells: Sequence[Cell], owner: LineEntry | Said | None) -> list[str]:
    """What stands in some cells; nothing where there is no owner."""
    if owner is None:
        return [""] * len(cells)
    return [_text(cell, getattr(owner, cell.name)) for cell in cells]


def _text(cell: Cell, value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return _FLAGS.get(cell.name, _SEEN)[value]
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, tuple):
        return json.dumps(value, ensure_ascii=False) if value else ""
    if cell.unit is None:
        return str(value)
    return exact(float(value), cell.unit, cell.si)


@lru_cache(100_000)
def exact(value: float, unit: Unit, si: str) -> str:
    """An SI value in a unit, or with the SI unit after it where that is not the same number."""
    there = unit.from_si(value)
    tidy = float(f"{there:.12g}")
    for tried in (tidy, there, math.nextafter(there, math.inf), math.nextafter(there, -math.inf)):
        if unit.to_si(tried) == value:
            return repr(int(tried)) if tried == int(tried) and abs(tried) < 1e9 else repr(tried)
    return f"{value!r} {si}"


def is_ours(text: str) -> bool:
    """Whether a CSV text has the headings that ``dumps`` writes."""
    return text.lstrip("\ufeff").startswith(",".join(HEADINGS[:3]) + ",")


def loads(
    text: str, name: str, now: datetime, progress: ProgressCallback | None = None
) -> list[Entry]:
    """The entries of a CSV text; ``name`` is what messages call it. Raises BadInput and
    Cancelled."""
    # a setup may be longer than the library lets a cell be
    longest = csv.field_size_limit(max(len(text), csv.field_size_limit()))
    try:
        reader = csv.reader(io.StringIO(text.lstrip("\ufeff"), newline=""), strict=True)
        rows = [(reader.line_num, row) for row in reader if row]
    except csv.Error as error:
        raise BadInput(name, "", None, ALLOWED, f"is not CSV ({error})") from error
    finally:
        csv.field_size_limit(longest)
    if not rows or tuple(rows[0][1]) != HEADINGS:
        raise BadInput(name, "", None, ALLOWED, "has other headings")
    groups: dict[str, list[tuple[int, list[str]]]] = {}
    for line, cells in rows[1:]:
        if len(cells) != len(HEADINGS):
            problem = f"has {len(cells)} cells under {len(HEADINGS)} headings"
            raise BadInput(name, f"line {line}", None, ALLOWED, problem)
        groups.setdefault(cells[0], []).append((line, cells))
    out = []
    for group in groups.values():
        out.append(_entry(group, name, now))
        if len(out) % SOME == 0:
            report_progress(progress, len(out) / len(groups))
    return out


def _entry(rows: list[tuple[int, list[str]]], name: str, now: datetime) -> Entry:
    line, first = rows[0]
    where = f"{name}, line {line}"
    own = _values(ENTRY, first, where)
    place = own.pop("latitude", None), own.pop("longitude", None)
    lines = [_line(row, f"{name}, line {at}") for at, row in rows if row[_ROD]]
    if len(lines) < len(rows) > 1:
        raise BadInput(where, "rod", "", "the name of a rod in every line of an entry")
    setups = [plain(row[-1]) for _, row in rows if row[-1]]
    if "id" not in own or "at" not in own:
        raise BadInput(where, "", None, "an entry with its id and time", "has no id or no time")
    entry = Entry(
        **{"changed": EARLIEST, **own},
        place=None if None in place else place,
        setup=setups[0] if setups else "",
        lines=tuple(lines),
    )
    try:
        check(entry, now)
    except InvalidValue as error:
        raise BadInput(where, error.field, error.value, error.allowed) from error
    return entry


def _line(row: Sequence[str], where: str) -> LineEntry:
    said = _values(SAID, row, where)
    if said and not set(said) >= SAID_ALWAYS:
        raise BadInput(where, "depth_ft", None, "all that the model said, or nothing of it")
    return LineEntry(**_values(LINE, row, where), said=Said(**said) if said else None)


def _values(cells: Sequence[Cell], row: Sequence[str], where: str) -> dict[str, Any]:
    """What stands in the cells that are not empty. Raises BadInput."""
    out = {}
    for cell in cells:
        if not (text := row[_PLACE[cell.heading]]):
            continue
        text = plain(text)
        read = _READ.get(cell.name, _number if cell.unit is not None else str)
        try:
            out[cell.name] = _number_in(cell, text) if read is _number else read(text)
        except ValueError as error:
            raise BadInput(where, cell.heading, text, _SAYS.get(cell.name, "a number"),
                           str(error)) from error  # fmt: skip
    return out


def _number(text: str) -> float:
    return number(text, ";")


def _number_in(cell: Cell, text: str) -> float:
    assert cell.unit is not None
    if cell.si and text.endswith(f" {cell.si}"):
        return _number(text.removesuffix(cell.si))
    return float(cell.unit.to_si(_number(text)))


def _flag(text: str) -> bool:
    if text.casefold() not in (YES, NO):
        raise ValueError("is neither yes nor no")
    return text.casefold() == YES


def _kind(text: str) -> bool:
    if text.casefold() not in KINDS.values():
        raise ValueError("is no kind of entry")
    return text.casefold() == KINDS[True]


def _time(text: str) -> datetime:
    at = datetime.fromisoformat(text)
    if at.tzinfo is None:
        raise ValueError("says no offset from UTC")
    return at


def _tags(text: str) -> tuple[str, ...]:
    found = json.loads(text)
    if not isinstance(found, list) or not all(isinstance(tag, str) for tag in found):
        raise ValueError("is no list of tags")
    return tuple(found)


_READ: dict[str, Callable[[str], Any]] = {
    "at": _time,
    "changed": lambda text: in_utc(_time(text)),
    "rehearsal": _kind,
    "tags": _tags,
    **dict.fromkeys(("landed", "fouled", "weed", "touched"), _flag),
}

_SAYS = {
    **dict.fromkeys(("at", "changed"), "a time with its offset, as 2024-05-01T06:30:00-04:00"),
    "rehearsal": " or ".join(KINDS.values()),
    "tags": '["like", "this"]',
    **dict.fromkeys(("landed", "fouled", "weed", "touched"), "yes or no"),
}
