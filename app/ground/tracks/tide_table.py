"""A tide table as a person pastes it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime

from app.common.bad_input import BadInput
from app.common.units import FOOT, METER, Unit
from app.scenario.soundings import MOST_ROWS, TIDE, TIDES, TideRow

_DAY = (
    r"(?P<y>\d{4})[-/](?P<m>\d{1,2})[-/](?P<d>\d{1,2})"
    r"|(?P<m2>\d{1,2})/(?P<d2>\d{1,2})/(?P<y2>\d{4})"
)
_CLOCK = r"(?P<h>\d{1,2}):(?P<min>\d{2})(?::(?P<s>\d{2})(?:\.\d+)?)?\s*(?P<half>[AaPp]\.?[Mm]\.?)?"
_HEIGHT = r"(?P<height>[-+]?\d+(?:[.,]\d+)?)(?![:\d/])\s*(?P<unit>ft|feet|m|meters)?\b"
_WEEKDAY = r"(?:[A-Za-z]{2,9}\.?[\s,;]+)?"
_ROW = re.compile(rf"\s*(?:{_DAY})[T\s,;]+{_WEEKDAY}{_CLOCK}[\s,;]+{_HEIGHT}.*")


def parse_table(text: str, unit: Unit) -> tuple[TideRow, ...]:
    """The rows of a pasted tide table, a line each: date, time, height.

    Dates are year-month-day or month/day/year, times of 24 hours or with AM and PM; heights
    are in ``unit`` unless one stands behind. What follows is passed over, and so are lines
    without a time. Raises BadInput, which names the line.
    """
    rows: dict[datetime, float] = {}
    allowed = "like 2031-06-01 05:12 1.4"
    for number, line in enumerate(text.splitlines(), start=1):
        if ":" not in line:
            continue
        found = _ROW.fullmatch(line)
        where, value = f"line {number}", line.strip()[:40]
        if found is None:
            raise BadInput("the tide table", where, value, allowed)
        moment = _moment(found)
        if moment is None:
            raise BadInput("the tide table", where, value, "a day and a time there are")
        given = {"f": FOOT, "m": METER}.get((found["unit"] or "")[:1], unit)
        height = given.to_si(float(found["height"].replace(",", ".")))
        if not TIDES.low <= height <= TIDES.high:
            raise BadInput(
                "the tide table", where, value, TIDE.scales["feet"].range_text(*TIDES[:2])
            )
        if rows.setdefault(moment, height) != height:
            raise BadInput("the tide table", where, value, "one height for one moment")
        if len(rows) > MOST_ROWS:
            raise BadInput("the tide table", where, None, f"2 to {MOST_ROWS} rows", "is too long")
    if len(rows) == 1:
        raise BadInput("the tide table", "", None, f"2 to {MOST_ROWS} rows", "has one row")
    return tuple(sorted(rows.items()))


def _moment(found: re.Match[str]) -> datetime | None:
    hour, half = int(found["h"]), (found["half"] or "").lower()
    if half:
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half.startswith("p") else 0)
    year, month, day = (int(found[k] or found[f"{k}2"]) for k in ("y", "m", "d"))
    try:
        return datetime(year, month, day, hour, int(found["min"]), int(found["s"] or 0))
    except ValueError:
        return None


def table_text(table: Sequence[TideRow], unit: Unit) -> str:
    """The rows as a text that ``parse_table`` takes."""
    return "\n".join(
        f"{moment.isoformat(' ', 'minutes')}  {unit.from_si(height):.2f} {unit.symbol}"
        for moment, height in table
    )
