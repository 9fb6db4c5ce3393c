"""Orders in a mate's words, in the units of choice."""

from __future__ import annotations

import math
from dataclasses import dataclass

from app.common.units import COLOR, FOOT, FOOT_PER_SECOND, KNOT, POUND, Unit
from physics.line.line_orders import LineOrder
from physics.vessel.boat import Leg, Order

AnyOrder = Order | LineOrder

HELM = "helm"
"""Who obeys an order that is about no line."""

WHAT: dict[str, str] = {
    "out of gear": "out of gear",
    "in gear": "in gear",
    "throttle": "throttle",
    "engines": "engines",
    "wheel": "wheel",
    "mark": "mark a fish",
    "course": "course",
    "line to": "reel in or let out",
    "fish on": "fish on",
    "fish end to": "fish swims",
    "fish off": "fish off",
}
"""What is to be done, for a choice."""

STRAIGHT = 1e-9
"""A curvature under this is straight ahead, 1/m."""

ALL_ROUND = 0.97
"""Share of a full turn that counts as a circle."""


@dataclass(frozen=True, slots=True)
class OrderUnits:
    """The units of what orders carry, besides colors."""

    length: Unit = FOOT
    rate: Unit = FOOT_PER_SECOND
    weight: Unit = POUND
    speed: Unit = KNOT


def who(order: AnyOrder) -> str:
    """The helm, or the line by its rod's name."""
    return order.rod if isinstance(order, LineOrder) else HELM


def seconds(time: float) -> str:
    """A time as a person types it: tenths, and hundredths only where there are any."""
    fine = f"{time:.2f}"
    return fine[:-1] if fine.endswith("0") else fine


def value_words(order: AnyOrder, units: OrderUnits) -> str:
    """The value of an order with its unit; empty where it has none."""
    value = order.value
    if isinstance(order, LineOrder):
        if order.action == "line to":
            return COLOR.text(value)
        if order.action == "fish on":
            return units.weight.text(value)
        return f"{units.length.text(value)} deep" if order.action == "fish end to" else ""
    if order.action == "throttle":
        return units.speed.text(value)
    if order.action == "engines":
        return "one" if value == 1 else "two"
    if order.action == "mark":
        return f"{units.length.text(value)} deep"
    if order.action == "wheel":
        return _wheel(value, units.length)
    return course_words(order.legs, units.length) if order.action == "course" else ""


def rate_words(order: AnyOrder, units: OrderUnits) -> str:
    """How fast it is done, with its unit; empty where that is not for anybody to say."""
    if isinstance(order, LineOrder) and order.action in ("line to", "fish end to"):
        return units.rate.text(order.rate, 2)
    return ""


def _wheel(curvature: float, length: Unit) -> str:
    if abs(curvature) < STRAIGHT:
        return "amidships"
    side = "starboard" if curvature > 0.0 else "port"
    return f"{length.text(1.0 / abs(curvature), 0)} to {side}"


def course_words(legs: tuple[Leg, ...], length: Unit) -> str:
    """A course in short: a circle and its width, or how many legs and how long."""
    run = math.fsum(leg.length for leg in legs)
    bends = {round(leg.curvature, 9) for leg in legs}
    bend = legs[0].curvature
    if len(bends) == 1 and abs(bend) * run >= ALL_ROUND * 2.0 * math.pi:
        side = "starboard" if bend > 0.0 else "port"
        turns = abs(bend) * run / (2.0 * math.pi)
        often = "" if turns < 1.5 else f", {turns:.1f} times round"
        return f"circle to {side}, {length.text(2.0 / abs(bend), 0)} across{often}"
    count = "1 leg" if len(legs) == 1 else f"{len(legs)} legs"
    return f"{count}, {length.text(run, 0)}"


def sentence(order: AnyOrder, units: OrderUnits) -> str:
    """What is to be done as one phrase: ``throttle to 5.0 kn``, ``fish of 22.0 lb on``."""
    value, rate = value_words(order, units), rate_words(order, units)
    if isinstance(order, LineOrder):
        if order.action == "line to":
            return f"line to {value} ({rate})"
        if order.action == "fish on":
            return f"fish of {value} on"
        return f"fish to {value} ({rate})" if order.action == "fish end to" else "fish off"
    if order.action == "throttle":
        return f"throttle to {value}"
    if order.action == "engines":
        return "one engine" if order.value == 1 else "two engines"
    if order.action == "mark":
        return f"mark {value}"
    if order.action == "wheel":
        return f"wheel {value}"
    if order.action == "course":
        return value if value.startswith("circle") else f"course of {value}"
    return order.action
