"""How a screen tells a quantity in either system: the unit, how fine, and what a step adds."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from app.common import units
from app.common.units import Convertible

FEET, METERS = "feet", "meters"
SYSTEMS = (FEET, METERS)
"""Systems of units a person may choose; named for their unit of depth."""

FIGURES = 4
"""Figures of a number on a scale without decimals of its own."""

FINEST = 6
"""Most decimals such a number may be typed with."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A unit with so many ``decimals`` (None: four figures) and a ``step`` in that unit.

    A compass starts over after one ``turn``; 0 for what does not go round.
    """

    unit: Convertible
    decimals: int | None
    step: float
    turn: float = 0.0

    def decimals_of(self, value: float) -> int:
        """Decimals an SI value is shown with."""
        if self.decimals is not None:
            return self.decimals
        text = f"{self.unit.from_si(value):.{FIGURES}g}"
        return FINEST if "e" in text else min(len(text.partition(".")[2]), FINEST)

    def number(self, value: float) -> float:
        """An SI value as it is shown: rounded, and on a compass within one turn."""
        number = round(self.unit.from_si(value), self.decimals_of(value))
        return number % self.turn if self.turn else number

    def ends(self, low: float, high: float) -> tuple[float, float]:
        """Least and most number shown for a range in SI; on a compass the whole turn."""
        if self.turn:
            return 0.0, self.turn
        near, far = sorted((self.number(low), self.number(high)))
        return near, far

    def range_text(self, low: float, high: float) -> str:
        """A range in SI as a person reads it, like ``1 to 6,561.6 ft``; what it says is allowed."""
        near, far = (0.0, self.turn) if self.turn else self._inside(low, high)
        return f"{plain(near)} to {plain(far)} {self.unit.symbol}".rstrip()

    def _inside(self, low: float, high: float) -> tuple[float, float]:
        """The least and most number within a range in SI that has the decimals shown."""
        low, high = sorted((self.unit.from_si(low), self.unit.from_si(high)))
        fine = 10.0 ** self.decimals_of(self.unit.to_si(high))
        near, far = math.ceil(low * fine - 1e-6) / fine, math.floor(high * fine + 1e-6) / fine
        return (near, far) if near <= far else (low, high)


Scales = Mapping[str, Scale]
"""A scale for every one of SYSTEMS."""


def plain(number: float) -> str:
    """A number without needless naughts, thousands set apart."""
    return f"{number:z,.{FINEST}f}".rstrip("0").rstrip(".")


def always(unit: Convertible, decimals: int | None, step: float, turn: float = 0.0) -> Scales:
    """The same scale whatever the person chose."""
    return dict.fromkeys(SYSTEMS, Scale(unit, decimals, step, turn))


DEPTH: Scales = {
    FEET: Scale(units.FOOT, 1, 1.0),
    METERS: Scale(units.METER, 1, 0.5),
}
LENGTH: Scales = {
    FEET: Scale(units.FOOT, 1, 1.0),
    METERS: Scale(units.METER, 1, 1.0),
}
FINE_LENGTH: Scales = {
    FEET: Scale(units.FOOT, 2, 0.1),
    METERS: Scale(units.METER, 2, 0.1),
}
HEIGHT: Scales = {
    FEET: Scale(units.FOOT, 1, 0.5),
    METERS: Scale(units.METER, 1, 0.5),
}
REACH: Scales = {
    FEET: Scale(units.FOOT, 0, 20.0),
    METERS: Scale(units.METER, 0, 5.0),
}
"""Distances over the ground."""

RATE: Scales = {
    FEET: Scale(units.FOOT_PER_SECOND, 1, 0.5),
    METERS: Scale(units.METER_PER_SECOND, 1, 0.1),
}
FINE_RATE: Scales = {
    FEET: Scale(units.FOOT_PER_SECOND, 1, 0.1),
    METERS: Scale(units.METER_PER_SECOND, 2, 0.05),
}
WEIGHT: Scales = {
    FEET: Scale(units.POUND, 1, 1.0),
    METERS: Scale(units.KILOGRAM, 1, 0.5),
}
KNOTS = always(units.KNOT, 1, 0.5)
DRIFT = always(units.KNOT, 2, 0.1)
WIND = always(units.KNOT, 0, 1.0)
COLORS = always(units.COLOR, 1, 0.5)
SECONDS = always(units.SECOND, 1, 1.0)
WARMTH: Scales = {
    FEET: Scale(units.FAHRENHEIT, 0, 1.0),
    METERS: Scale(units.CELSIUS, 1, 1.0),
}
SALT = always(units.Unit("parts per thousand", "ppt", 1.0), 1, 1.0)
COMPASS = always(units.DEGREE, 0, 5.0, turn=360.0)
PERCENT = always(units.PERCENT, 0, 1.0)
