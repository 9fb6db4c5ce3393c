"""The columns of the table of entries: what stands in each, and how it is told."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from app.common.units import DEGREE, Unit
from app.log import words

READ = (
    "at", "rehearsal", "wait", "hold", "speed", "side", "tide", "stage", "part", "lit",
    "wind_speed", "wind_from", "came", "note",
)  # fmt: skip
"""What of an entry's row the columns tell."""

Row = Mapping[str, Any]

UNREADABLE = "?"


@dataclass(frozen=True, slots=True)
class Column:
    """A column: what it is sorted by, its heading, and how a row is told in the unit of speeds."""

    key: str
    title: str
    tell: Callable[[Row, Unit], str]
    number: bool = False

    def text(self, row: Row, speed: Unit) -> str:
        """What stands in the column; UNREADABLE where the file holds what no entry may."""
        try:
            return self.tell(row, speed)
        except (KeyError, TypeError, ValueError, AttributeError):
            return UNREADABLE


def _plain(name: str, table: Mapping[str, str]) -> Callable[[Row, Unit], str]:
    def text(row: Row, _speed: Unit) -> str:
        return table[row[name]] if row[name] else ""

    return text


def _seconds(name: str) -> Callable[[Row, Unit], str]:
    def text(row: Row, _speed: Unit) -> str:
        return "" if row[name] is None else f"{row[name]:.0f}"

    return text


def time_text(at: str) -> str:
    """Day and time of an entry's text of its time, as 2026-05-01 06:42."""
    return at[:16].replace("T", " ")


def _speed(row: Row, speed: Unit) -> str:
    return "" if row["speed"] is None else f"{speed.from_si(row['speed']):.1f}"


def _stage(row: Row, _speed: Unit) -> str:
    return " ".join(word for word in (row["part"], row["stage"]) if word and row["stage"])


def wind_text(speed: float | None, wind_from: float | None, unit: Unit) -> str:
    """A wind in a few words, as 12 kn from 225°; ``unit`` is that of speeds."""
    parts = [] if speed is None else [unit.text(speed, 0)]
    parts += [] if wind_from is None else [f"from {DEGREE.from_si(wind_from):.0f}°"]
    return " ".join(parts)


def _note(row: Row, _speed: Unit) -> str:
    return " ".join(row["note"].split())


COLUMNS = (
    Column("at", "Time", lambda row, _: time_text(row["at"])),
    Column("came", "What came", lambda row, _: row["came"]),
    Column("kind", "Kind", lambda row, _: words.KIND[bool(row["rehearsal"])]),
    Column("wait", "Wait, s", _seconds("wait"), number=True),
    Column("hold", "Hold, s", _seconds("hold"), number=True),
    Column("speed", "Speed", _speed, number=True),
    Column("side", "Side", _plain("side", words.SIDE)),
    Column("tide", "Heading", _plain("tide", words.TIDE)),
    Column("stage", "Tide", _stage),
    Column("light", "Light", _plain("lit", words.LIGHT)),
    Column("wind", "Wind", lambda row, unit: wind_text(row["wind_speed"], row["wind_from"], unit)),
    Column("note", "Note", _note),
)
