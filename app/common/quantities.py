"""Quantities, each declared once: its keys in a file, its limits, how a screen tells it."""

from __future__ import annotations

import math
from collections.abc import MutableMapping
from dataclasses import dataclass, field
from typing import Any

from app.common import units
from app.common.reading import Reader, Spelling
from app.common.scales import Scales
from app.common.units import Unit
from physics.checks import Limits

SUFFIX = {
    "ft": units.FOOT,
    "m": units.METER,
    "in": units.INCH,
    "yd": units.YARD,
    "mm": units.MILLIMETER,
    "kn": units.KNOT,
    "mph": units.MILE_PER_HOUR,
    "mps": units.METER_PER_SECOND,
    "ft_s": units.FOOT_PER_SECOND,
    "oz": units.OUNCE,
    "g": units.GRAM,
    "kg": units.KILOGRAM,
    "gr_per_10ft": units.GRAIN_PER_10_FEET,
    "g_per_m": units.GRAM_PER_METER,
    "kg_per_m": units.KILOGRAM_PER_METER,
    "lb": units.POUND_FORCE,
    "n": units.NEWTON,
    "ml": units.MILLILITER,
    "m3": units.CUBIC_METER,
    "cm2": units.SQUARE_CENTIMETER,
    "m2": units.SQUARE_METER,
    "deg": units.DEGREE,
    "rad": units.RADIAN,
    "s": units.SECOND,
    "h": units.HOUR,
    "kg_m3": units.KILOGRAM_PER_CUBIC_METER,
    "pa_s": units.PASCAL_SECOND,
    "m_s2": units.METER_PER_SECOND_SQUARED,
}
"""What the end of a key says about its unit."""


def spell(base: str, *suffixes: str) -> dict[str, Unit]:
    """Keys ``base_suffix`` with their units; without suffixes a plain number."""
    if not suffixes:
        return {base: units.PLAIN}
    return {f"{base}_{suffix}": SUFFIX[suffix] for suffix in suffixes}


LENGTH = ("ft", "m", "in", "mm")
SPEED = ("kn", "mps", "mph")


@dataclass(frozen=True)
class Quantity:
    """All that is known of a number by itself, declared once.

    ``attribute`` is its name in the code. ``keys`` are those that may give it
    in a file, each with its unit; the first is written to new files.
    ``limits`` are SI. Without a ``default`` a file must give it; with one it
    may be left out when it has that value. ``scales`` say how a screen tells
    it, ``words`` what a screen calls it.
    """

    attribute: str
    keys: Spelling
    limits: Limits
    default: float | None = None
    scales: Scales = field(default_factory=dict)
    words: str = ""

    @property
    def low(self) -> float:
        """The least it may be, SI."""
        return self.limits.low

    @property
    def high(self) -> float:
        """The most it may be, SI."""
        return self.limits.high

    @property
    def output(self) -> tuple[str, Unit]:
        """Key and unit in results: SI where a key is, else those of new files."""
        si = [(key, unit) for key, unit in self.keys.items() if unit.size == 1.0]
        return si[0] if si else next(iter(self.keys.items()))

    @property
    def title(self) -> str:
        """Its words, to begin a line with."""
        return f"{self.words[:1].upper()}{self.words[1:]}"

    def read(self, reader: Reader) -> float:
        """The value in SI. Raises BadInput."""
        return reader.quantity(self.keys, self.low, self.high, self.default)

    def write(self, table: MutableMapping[str, Any], value: float, shown: bool = False) -> None:
        """Put an SI value into a table, under the key already there if there is one.

        A default value is left out unless it is to be ``shown``.
        """
        put(table, self.keys, value, None if shown else self.default)


def read_all(quantities: tuple[Quantity, ...], reader: Reader) -> dict[str, float]:
    """Attribute names and SI values of several quantities."""
    return {quantity.attribute: quantity.read(reader) for quantity in quantities}


def optional(quantity: Quantity, reader: Reader) -> float | None:
    """The value in SI, or None when none of its keys is there. Raises BadInput."""
    present = [key for key in quantity.keys if reader.has(key)]
    return quantity.read(reader) if present else None


def write_all(
    quantities: tuple[Quantity, ...], table: MutableMapping[str, Any], owner: object
) -> None:
    """Write the attributes of ``owner`` that the quantities name."""
    for quantity in quantities:
        quantity.write(table, getattr(owner, quantity.attribute))


def put(
    table: MutableMapping[str, Any], keys: Spelling, value: float, default: float | None = None
) -> None:
    """Write an SI value; a number that already says the same stays as the user wrote it."""
    for key, unit in keys.items():
        if key in table:
            old = table[key]
            if not isinstance(old, int | float) or not same(unit.to_si(float(old)), value):
                table[key] = tidy(unit.from_si(value))
            return
    if default is None or not same(value, default):
        key, unit = next(iter(keys.items()))
        table[key] = tidy(unit.from_si(value))


def same(a: float, b: float) -> bool:
    """Equal to 1e-11 of the value."""
    return math.isclose(a, b, rel_tol=1e-11, abs_tol=1e-15)


def tidy(value: float) -> float | int:
    """A number as a person would write it: 27, not 27.000000000000004."""
    short = float(f"{value:.12g}")
    return int(short) if short.is_integer() and abs(short) < 1e9 else short
