"""The one place where the trade's units meet SI.

Every factor is exact by definition: the international yard and pound (1959),
the nautical mile (1929), standard gravity (ISO 80000-3).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from physics.checks import GRAVITY

Value = TypeVar("Value", float, NDArray[np.float64])


class Convertible(Protocol):
    """What a number on screen may be counted in."""

    @property
    def symbol(self) -> str: ...

    def to_si(self, value: float, /) -> float: ...

    def from_si(self, value: float, /) -> float: ...


@dataclass(frozen=True, slots=True)
class Thermometer:
    """Degrees whose ``zero``, counted in them, is that of degrees C; ``size`` in degrees C."""

    symbol: str
    size: float
    zero: float = 0.0

    def to_si(self, value: float, /) -> float:
        """Degrees C."""
        return (value - self.zero) * self.size

    def from_si(self, value: float, /) -> float:
        """How warm so many degrees C are."""
        return value / self.size + self.zero


CELSIUS = Thermometer("°C", 1.0)
FAHRENHEIT = Thermometer("°F", 5.0 / 9.0, 32.0)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its ``name``, its ``symbol`` on screen, and its ``size`` in SI."""

    name: str
    symbol: str
    size: float

    def to_si(self, value: Value) -> Value:
        """SI value of ``value`` of this unit; a number or an array of any shape."""
        return value * self.size

    def from_si(self, value: Value) -> Value:
        """How many of this unit an SI ``value`` is; a number or an array of any shape."""
        return value / self.size

    def text(self, value: float, digits: int = 1) -> str:
        """An SI value as a person reads it, like ``12.3 ft``."""
        return f"{self.from_si(value):z.{digits}f} {self.symbol}".rstrip()


def shown(value: float, unit: Unit) -> str:
    """An SI depth as it stands on a plot or a card: whole feet, tenths of meters, ``9.1 m``.

    A depth between whole feet keeps its tenth.
    """
    return f"{figure(value, unit)} {unit.symbol}"


def figure(value: float, unit: Unit) -> str:
    """As ``shown``, without the unit."""
    text = f"{unit.from_si(value):z.1f}"
    return text if unit == METER else text.removesuffix(".0")


METER = Unit("meters", "m", 1.0)
FOOT = Unit("feet", "ft", 0.3048)
INCH = Unit("inches", "in", 0.0254)
YARD = Unit("yards", "yd", 0.9144)
FATHOM = Unit("fathoms", "fm", 1.8288)
COLOR = Unit("colors", "colors", 9.144)
MILLIMETER = Unit("millimeters", "mm", 1e-3)

METER_PER_SECOND = Unit("meters per second", "m/s", 1.0)
KNOT = Unit("knots", "kn", 1852.0 / 3600.0)
MILE_PER_HOUR = Unit("miles per hour", "mph", 0.44704)
BOAT_SPEEDS = {"kn": KNOT, "mph": MILE_PER_HOUR}
"""What a boat's speed may be told in."""

KILOMETER_PER_HOUR = Unit("kilometers per hour", "km/h", 1000.0 / 3600.0)
FOOT_PER_SECOND = Unit("feet per second", "ft/s", 0.3048)

KILOGRAM = Unit("kilograms", "kg", 1.0)
GRAM = Unit("grams", "g", 1e-3)
POUND = Unit("pounds", "lb", 0.45359237)
OUNCE = Unit("ounces", "oz", 0.45359237 / 16.0)
GRAIN = Unit("grains", "gr", 0.45359237 / 7000.0)

NEWTON = Unit("newtons", "N", 1.0)
POUND_FORCE = Unit("pounds", "lb", 0.45359237 * GRAVITY)

KILOGRAM_PER_METER = Unit("kilograms per meter", "kg/m", 1.0)
GRAM_PER_METER = Unit("grams per meter", "g/m", 1e-3)
GRAIN_PER_10_FEET = Unit("grains per 10 ft", "gr/10 ft", GRAIN.size / (10.0 * FOOT.size))

CUBIC_METER = Unit("cubic meters", "m³", 1.0)
MILLILITER = Unit("milliliters", "ml", 1e-6)
SQUARE_METER = Unit("square meters", "m²", 1.0)
SQUARE_CENTIMETER = Unit("square centimeters", "cm²", 1e-4)

SECOND = Unit("seconds", "s", 1.0)
RADIAN = Unit("radians", "rad", 1.0)
DEGREE = Unit("degrees", "°", math.pi / 180.0)
KILOGRAM_PER_CUBIC_METER = Unit("kilograms per cubic meter", "kg/m³", 1.0)
PASCAL_SECOND = Unit("pascal seconds", "Pa s", 1.0)
METER_PER_SECOND_SQUARED = Unit("meters per second squared", "m/s²", 1.0)
PERCENT = Unit("percent", "%", 0.01)
MINUTE = Unit("minutes", "min", 60.0)
HOUR = Unit("hours", "h", 3600.0)
PLAIN = Unit("", "", 1.0)


def feet_and_meters(meters: float) -> str:
    """A length in both, for who wrote it in either: ``30.0 ft (9.1 m)``."""
    return f"{FOOT.text(meters)} ({METER.text(meters)})"


def feet(meters: Value) -> Value:
    """Meters to feet."""
    return FOOT.from_si(meters)


def colors(meters: Value) -> Value:
    """Meters of line to colors of 10 yards."""
    return COLOR.from_si(meters)


def knots(meters_per_second: Value) -> Value:
    """Meters per second to knots."""
    return KNOT.from_si(meters_per_second)


def feet_per_second(meters_per_second: Value) -> Value:
    """Meters per second to feet per second."""
    return FOOT_PER_SECOND.from_si(meters_per_second)


def ounces(kilograms: Value) -> Value:
    """Kilograms to ounces."""
    return OUNCE.from_si(kilograms)


def pounds(newtons: Value) -> Value:
    """Newtons to pounds of pull."""
    return POUND_FORCE.from_si(newtons)


def degrees(radians: Value) -> Value:
    """Radians to degrees."""
    return DEGREE.from_si(radians)


def compass_degrees(radians: float) -> float:
    """A bearing in radians as compass degrees from 0 up to 360."""
    bearing = DEGREE.from_si(radians) % 360.0
    return 0.0 if bearing == 360.0 else bearing
