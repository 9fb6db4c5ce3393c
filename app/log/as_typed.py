"""What a person types in the form, as values: times, numbers, places, tags. ValueError says why."""

from __future__ import annotations

import re
from datetime import datetime, timedelta, timezone

from app.common.scales import Scale
from app.common.typed_number import number
from app.common.units import Unit
from physics.checks import Limits

DECIMALS = ";"
"""Numbers are typed with a decimal point or comma, never with thousands."""


def number_text(value: float | None, unit: Unit, digits: int) -> str:
    """An SI value in a unit, without needless naughts; empty where it is not known."""
    if value is None:
        return ""
    text = f"{unit.from_si(value):.{digits}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def range_text(unit: Unit, limits: Limits) -> str:
    """Limits in a unit, as 0 to 23.3 kn."""
    return Scale(unit, 1, 1.0).range_text(limits.low, limits.high)


def read_number(text: str, unit: Unit, limits: Limits, delimiter: str = DECIMALS) -> float | None:
    """The SI value of a number typed, or in a cell, or None for an empty text."""
    if not text:
        return None
    value = float(unit.to_si(number(text.removesuffix(unit.symbol), delimiter)))
    low, high, _ = limits
    if not low - 1e-9 <= value <= high + 1e-9:
        raise ValueError(f"allowed is {range_text(unit, limits)}")
    return min(max(value, low), high)


_DAY = re.compile(r"(\d{4})-?(\d\d)-?(\d\d)")
_TIME = re.compile(r"(\d{1,2})[:.]?(\d\d)(?:[:.]?(\d\d))?\s*([ap])?\.?m?\.?\s*(.*)", re.IGNORECASE)
_ZONE = re.compile(r"(?:utc|z)?\s*(?:([+-])(\d{1,2})(?::?(\d\d))?)?", re.IGNORECASE)


def day_text(at: datetime) -> str:
    """The day of a time."""
    return at.date().isoformat()


def clock_text(at: datetime) -> str:
    """The time of day with its offset, as 06:42 -04:00."""
    seconds = f":{at.second:02d}" if at.second else ""
    return f"{at:%H:%M}{seconds} {zone_text(at)}"


def zone_text(at: datetime) -> str:
    """The offset from UTC, as -04:00."""
    minutes = round((at.utcoffset() or timedelta()).total_seconds() / 60.0)
    sign = "-" if minutes < 0 else "+"
    return f"{sign}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def read_day(text: str, at: datetime) -> datetime:
    """``at`` on another day; what is of this computer's clock is so in summer and winter."""
    found = _DAY.fullmatch(text)
    if found is None:
        raise ValueError("allowed is a day like 2026-05-01")
    year, month, day = map(int, found.groups())
    try:
        there = at.replace(year, month, day)
    except ValueError:
        raise ValueError("there is no such day") from None
    return _by_this_clock(there) if at.utcoffset() == _by_this_clock(at).utcoffset() else there


def _by_this_clock(at: datetime) -> datetime:
    """A time of day as this computer's clock shows it on that day."""
    try:
        return at.replace(tzinfo=None).astimezone()
    except (OSError, OverflowError, ValueError):
        # of years for which the system has no clock
        return at


def read_clock(text: str, at: datetime) -> datetime:
    """``at`` at another time of its day; an offset from UTC may follow, else it stays."""
    found = _TIME.fullmatch(text)
    if found is None:
        raise ValueError("allowed is a time like 0642, 6:42 or 06:42 -04:00")
    hour, minute, second = (int(part or 0) for part in found.groups()[:3])
    if found[4]:
        if not 1 <= hour <= 12:
            raise ValueError("there is no such time")
        hour = hour % 12 + (12 if found[4].casefold() == "p" else 0)
    zone = at.tzinfo
    if found[5]:
        offset = _ZONE.fullmatch(found[5].strip())
        if offset is None:
            raise ValueError("the offset from UTC is written like -04:00")
        minutes = int(offset[2] or 0) * 60 + int(offset[3] or 0)
        if minutes > 14 * 60:
            raise ValueError("the offset from UTC is at most 14 hours")
        zone = timezone(timedelta(minutes=-minutes if offset[1] == "-" else minutes))
    try:
        return at.replace(hour=hour, minute=minute, second=second, microsecond=0, tzinfo=zone)
    except ValueError:
        raise ValueError("there is no such time") from None


_DEGREES = re.compile(
    r"(-?\d+(?:[.,]\d+)?)\s*°?\s*(?:(\d+(?:[.,]\d+)?)\s*['′]?)?\s*([nsew])?", re.I
)


def degrees_text(value: float | None) -> str:
    """A latitude or longitude in degrees."""
    return "" if value is None else f"{value:.5f}".rstrip("0").rstrip(".")


def read_degrees(text: str, limits: Limits) -> float | None:
    """Degrees, or degrees and minutes, south and west negative or with their letter."""
    if not text:
        return None
    found = _DEGREES.fullmatch(text.replace("\u2212", "-"))
    if found is None:
        raise ValueError("allowed is like 30.35, or 30 21.0 N")
    whole = float(found[1].replace(",", "."))
    minutes = float((found[2] or "0").replace(",", ".")) / 60.0
    if minutes >= 1.0:
        raise ValueError("minutes are less than 60")
    value = abs(whole) + minutes
    if (found[3] or "").casefold() in ("s", "w") or found[1].startswith("-"):
        value = -value
    if not limits.low <= value <= limits.high:
        raise ValueError(f"allowed is {limits.low:g} to {limits.high:g}")
    return value


def tags_text(tags: tuple[str, ...]) -> str:
    """Tags with commas between them."""
    return ", ".join(tags)


def read_tags(text: str) -> tuple[str, ...]:
    """Tags from a text with commas between them, each once."""
    return tuple(dict.fromkeys(tag.strip() for tag in text.split(",") if tag.strip()))
