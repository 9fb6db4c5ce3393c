"""The fields of a line, a lure or a boat: what to call them, what they mean, their units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from app.common.quantities import Quantity
from app.common.units import (
    FOOT,
    GRAIN_PER_10_FEET,
    GRAM,
    INCH,
    OUNCE,
    POUND_FORCE,
    Unit,
)
from app.gear.tackle_file import BOAT, LINE, LURE, LineKind
from physics.environment.water import seawater_density
from physics.line.tackle import Lure
from physics.vessel.boat import Boat

Thing = LineKind | Lure | Boat

FRESH = seawater_density(20.0, 0.0)
"""Fresh water in a bucket, 20 degrees C, kg/m^3."""


@dataclass(frozen=True)
class Spelled:
    """One way to enter a value: what stands after the number, and the way to SI and back.

    Both take the thing the value is of, for a weight in water says nothing of
    a volume without the weight in air.
    """

    symbol: str
    to_si: Callable[[float, Thing], float]
    from_si: Callable[[float, Thing], float]


@dataclass(frozen=True)
class OfThing:
    """A way to enter a value, for one thing: a unit as any other."""

    spelled: Spelled
    thing: Thing

    @property
    def symbol(self) -> str:
        """What stands after the number."""
        return self.spelled.symbol

    def to_si(self, value: float) -> float:
        """SI value of ``value`` of this unit."""
        return self.spelled.to_si(value, self.thing)

    def from_si(self, value: float) -> float:
        """How many of this unit an SI ``value`` is."""
        return self.spelled.from_si(value, self.thing)


@dataclass(frozen=True)
class Field:
    """One attribute in words; ``often`` is false for what few people change."""

    attribute: str
    label: str
    meaning: str
    units: tuple[Spelled, ...]
    quantity: Quantity
    often: bool = True


AMERICAN = tuple(unit.symbol for unit in (FOOT, INCH, OUNCE, GRAIN_PER_10_FEET, POUND_FORCE))
"""What stands after a number in American units."""


def first_unit(field: Field, *, feet: bool, speed: Unit) -> int:
    """Which of its units a field is shown in before anybody chose another."""
    symbols = [spelled.symbol for spelled in field.units]
    if speed.symbol in symbols:
        return symbols.index(speed.symbol)
    american = [symbol.partition(" in fresh")[0] in AMERICAN for symbol in symbols]
    return american.index(feet) if feet in american else 0


def plain(unit: Unit) -> Spelled:
    """A unit whose meaning hangs on nothing else."""
    return Spelled(unit.symbol, lambda v, _: unit.to_si(v), lambda v, _: unit.from_si(v))


def in_water(unit: Unit) -> Spelled:
    """A lure's volume told by what it weighs hanging in fresh water."""

    def volume(weight: float, thing: Thing) -> float:
        return (_mass(thing) - unit.to_si(weight)) / FRESH

    def weight(value: float, thing: Thing) -> float:
        return unit.from_si(_mass(thing) - FRESH * value)

    return Spelled(f"{unit.symbol} in fresh water", volume, weight)


def _mass(thing: Thing) -> float:
    if not isinstance(thing, Lure):
        raise TypeError("only a lure is weighed in water")
    return thing.mass


def _fields(
    quantities: tuple[Quantity, ...], words: dict[str, tuple[str, str]], seldom: tuple[str, ...]
) -> tuple[Field, ...]:
    out = []
    for quantity in quantities:
        label, meaning = words[quantity.attribute]
        spelled = tuple(plain(unit) for unit in quantity.keys.values())
        if quantity.attribute == "volume":
            spelled = (in_water(OUNCE), in_water(GRAM), *spelled)
        often = quantity.attribute not in seldom
        out.append(Field(quantity.attribute, label, meaning, spelled, quantity, often))
    return tuple(out)


LURE_WORDS = {
    "mass": ("Weight in air", "On a scale, hooks and rings and all."),
    "volume": (
        "Weight in water, or volume",
        "What it still weighs hanging in fresh water; negative if you have to hold it down. "
        "Or the water it takes up.",
    ),
    "length": ("Length", "From the eye to the tail, without the hook."),
    "end_area": ("Drag area, nose first", "Drag coefficient times area, as it is towed."),
    "broadside_area": (
        "Drag area, broadside",
        "Drag coefficient times area, falling level. Time its fall to find it.",
    ),
    "mass_center": ("Balance point", "As a share of the length from the nose; 0.5 is midway."),
    "volume_center": ("Middle of its volume", "As a share of the length from the nose."),
    "lip_area": ("Lift of the lip", "Lift coefficient times the lip's area; 0 without one."),
    "swing": (
        "Tail swings, to each side",
        "As it is towed; watch it beside the boat. The wider, the more level it hangs.",
    ),
    "added_mass_across": (
        "Added mass, broadside",
        "Water that moves with it, as a share of what it takes up.",
    ),
    "added_mass_along": (
        "Added mass, end on",
        "Water that moves with it, as a share of what it takes up.",
    ),
}

LINE_WORDS = {
    "diameter": ("Thickness", "Over the sheath, wet."),
    "mass_per_length": ("Weight", "Dry, lead and sheath. Weigh a whole color and divide."),
    "stiffness": ("Pull to double its length", "How hard it is to stretch; hardly matters here."),
    "drag_multiplier": (
        "Drag factor (smooth line = 1)",
        "1 for a smooth line that does not strum; real ones 0.9 to 1.6, most often about 1.2.",
    ),
    "tangential_drag": ("Drag along the line", "Coefficient on the whole wetted surface."),
    "strength": (
        "Breaking strength",
        "What the spool says. 0 if you do not know: then no pull is called too much.",
    ),
    "flooded": ("Share filled by water", "Of the outline of a braid; 0 for a solid line."),
}

BOAT_WORDS = {
    "trolling_speed": ("Trolling speed", "The speed the coast-down is timed from."),
    "half_time": ("Time to half speed", "Seconds out of gear. Time it both ways in slack water."),
    "exponent": (
        "Drag growth with speed (2 = square)",
        "2 for most hulls: drag as the square of the speed.",
    ),
    "propeller_drag": ("Drag of the propeller", "In neutral, as a share of the hull's."),
    "one_engine": ("Speed on one engine", "As a share of that on both, same throttle."),
    "idle_speed": ("Idle speed", "In gear, throttle closed."),
    "shift_time": ("Time to shift", "Seconds from the lever to the propeller turning."),
    "idle_time": ("Time at idle", "Seconds at idle before the throttle comes up."),
    "throttle_time": ("Time to throttle up", "Seconds to bring the throttle back up."),
    "leeway": ("Drift downwind", "As a share of the wind."),
}

FIELDS = {
    "lure": _fields(LURE, LURE_WORDS, ("volume_center", "added_mass_across", "added_mass_along")),
    "line": _fields(LINE, LINE_WORDS, ("stiffness", "tangential_drag")),
    "boat": _fields(BOAT, BOAT_WORDS, ("exponent", "leeway")),
}


def fields_of(thing: Thing) -> tuple[Field, ...]:
    """The fields of a thing, in order."""
    if isinstance(thing, LineKind):
        return FIELDS["line"]
    return FIELDS["lure" if isinstance(thing, Lure) else "boat"]


def with_value(thing: Thing, field: Field, value: float) -> Thing:
    """The thing with one number, SI, changed. Raises InvalidValue, as the thing itself does."""
    changes: dict[str, Any] = {field.attribute: value}
    changed = replace(thing, **changes)
    if isinstance(changed, LineKind):
        changed.section(1.0)
    return changed
