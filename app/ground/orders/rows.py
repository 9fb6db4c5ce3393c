"""The orders of a setup as rows in time, and changes to them in a person's words."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Sequence
from dataclasses import replace

from app.common import scales
from app.common.quantities import Quantity, spell
from app.common.reading import in_words
from app.common.typed_number import number
from app.common.units import (
    COLOR,
    FATHOM,
    FOOT,
    FOOT_PER_SECOND,
    KILOGRAM,
    KILOMETER_PER_HOUR,
    KNOT,
    METER,
    METER_PER_SECOND,
    MILE_PER_HOUR,
    POUND,
    SECOND,
    YARD,
    Unit,
)
from app.scenario import keys
from app.scenario.order_tables import MOST_ORDERS, plain_line_order, plain_order
from app.scenario.order_words import HELM, STRAIGHT, WHAT, AnyOrder, OrderUnits
from app.scenario.setup import Setup
from physics.answers.fights import USUAL_FISH
from physics.checks import Limits
from physics.line.line_orders import LINE_ACTIONS, LineAction, LineOrder
from physics.line.tackle import LineSection
from physics.vessel.boat import Action, Order

SHIFT = Quantity(
    "by", spell("by", "s"), Limits(-600.0, 600.0, "s"), 5.0, scales.SECONDS,
    "seconds to shift all orders by",
)  # fmt: skip
"""No file keeps it."""

HELM_ACTIONS: tuple[Action, ...] = (
    "out of gear",
    "in gear",
    "throttle",
    "engines",
    "wheel",
    "mark",
)
"""What may be chosen for the helm here; a course is drawn elsewhere."""

USUAL_DEPTH = FOOT.to_si(10.0)
"""Depth a fish swims to before anybody says, m."""

LATER = 5.0
"""A new order comes this long after the last one, s."""

FIRST = 10.0
"""When the first order of all is to be obeyed, s."""

LENGTHS = {
    "ft": FOOT, "feet": FOOT, "foot": FOOT, "m": METER, "meters": METER, "yd": YARD, "fm": FATHOM,
    "fathoms": FATHOM, "colors": COLOR, "color": COLOR,
}  # fmt: skip
SPEEDS = {
    "kn": KNOT, "kt": KNOT, "knots": KNOT, "mph": MILE_PER_HOUR, "m/s": METER_PER_SECOND,
    "km/h": KILOMETER_PER_HOUR, "ft/s": FOOT_PER_SECOND,
}  # fmt: skip
WEIGHTS = {"lb": POUND, "lbs": POUND, "pounds": POUND, "kg": KILOGRAM}
TIMES = {"s": SECOND, "sec": SECOND}

AHEAD = ("amidships", "straight", "ahead", "0")
ENGINES = {"1": 1.0, "one": 1.0, "2": 2.0, "two": 2.0, "both": 2.0}


class Refused(Exception):
    """What was typed cannot be used; says why, and what may stand there."""


def rows(setup: Setup) -> tuple[AnyOrder, ...]:
    """All orders of a setup in time; of those at one time the helm's come first."""
    every: list[AnyOrder] = [*setup.orders, *setup.line_orders]
    return tuple(sorted(every, key=lambda order: order.time))


def with_rows(setup: Setup, orders: Sequence[AnyOrder]) -> Setup:
    """The setup with these orders, whatever order they come in. Raises Refused."""
    ranked = sorted(orders, key=lambda order: order.time)
    helm = tuple(order for order in ranked if isinstance(order, Order))
    lines = tuple(order for order in ranked if isinstance(order, LineOrder))
    if max(len(helm), len(lines)) > MOST_ORDERS:
        raise Refused(f"No more than {MOST_ORDERS} orders to the helm, and as many to the lines.")
    return replace(setup, orders=helm, line_orders=lines)


def replaced(setup: Setup, at: int, order: AnyOrder) -> Setup:
    """Another order in the place of row ``at``."""
    every = list(rows(setup))
    every[at] = order
    return with_rows(setup, every)


def removed(setup: Setup, at: Collection[int]) -> Setup:
    """Without some rows."""
    return with_rows(setup, [order for k, order in enumerate(rows(setup)) if k not in at])


def doubled(setup: Setup, at: Collection[int]) -> Setup:
    """With every one of some rows twice, the copy right after. Raises Refused."""
    out: list[AnyOrder] = []
    for k, order in enumerate(rows(setup)):
        out += [order, replace(order)] if k in at else [order]
    return with_rows(setup, out)


def shifted(setup: Setup, by: float) -> Setup:
    """All orders ``by`` s later, or earlier. Raises Refused."""
    low, high = keys.ORDER_TIME.low, keys.ORDER_TIME.high
    every = rows(setup)
    for order in every:
        if order.time + by < low:
            raise Refused(f"The order at {order.time:.1f} s would come before the start.")
        if order.time + by > high:
            raise Refused(f"The order at {order.time:.1f} s would come after {in_words(high)} s.")
    # tenths typed are tenths shown: 0.1 + 0.2 is 0.3 here
    return with_rows(setup, [replace(o, time=round(o.time + by, 9)) for o in every])


def new_time(setup: Setup) -> float:
    """When a new order is obeyed unless somebody says, s."""
    every = rows(setup)
    return min(every[-1].time + LATER, keys.ORDER_TIME.high) if every else FIRST


def new_order(setup: Setup, who: str, action: str, time: float, mark_depth: float) -> AnyOrder:
    """An order with values to begin with. ``who``: HELM, or a rod's name."""
    if who == HELM and action in HELM_ACTIONS:
        values = {"throttle": setup.speed, "engines": 1.0, "mark": mark_depth}
        helm = next(known for known in HELM_ACTIONS if known == action)
        return Order(time, helm, values.get(action, 0.0))
    return LineOrder(time, who, _line_action(action), _line_value(setup, who, action, time))


def _line_action(action: str) -> LineAction:
    return next(known for known in LINE_ACTIONS if known == action)


def _line_value(setup: Setup, rod: str, action: str, time: float) -> float:
    if action == "line to":
        # half of what is out: plainly coming in, and plainly not yet in
        return max(round(2.0 * COLOR.from_si(out_before(setup, rod, time))) / 4.0, 0.5) * COLOR.size
    return {"fish on": USUAL_FISH, "fish end to": USUAL_DEPTH}.get(action, 0.0)


def out_before(setup: Setup, rod: str, time: float) -> float:
    """Line last ordered out on a rod before a time, m: at first what the spread says."""
    told = [o for o in setup.line_orders if o.rod == rod and o.action == "line to"]
    before = [order.value for order in told if order.time < time]
    if before:
        return before[-1]
    own = next((r for r in setup.rods if r.name == rod), None)
    if own is None:
        return COLOR.size
    return own.line_out if own.sections is None else above_leader(own.sections)


def above_leader(sections: Sequence[LineSection]) -> float:
    """Line of a rod's ``sections``, tip first, above the last, which is its leader, m."""
    return math.fsum(section.length for section in sections[:-1] or sections)


def task_words(setup: Setup, order: AnyOrder) -> str:
    """What is to be done; of a line, whether it comes in or goes out."""
    if isinstance(order, LineOrder) and order.action == "line to":
        before = out_before(setup, order.rod, order.time)
        return "let out to" if order.value > before else "reel in to"
    return WHAT[order.action]


# ---- what may be typed


def choices(order: AnyOrder) -> tuple[str, ...]:
    """Actions that may stand in the place of an order's own; a course stays one."""
    if isinstance(order, LineOrder):
        return LINE_ACTIONS
    return () if order.action == "course" else HELM_ACTIONS


def with_time(order: AnyOrder, text: str) -> AnyOrder:
    """Obeyed at another time. Raises Refused."""
    return replace(order, time=_within(keys.ORDER_TIME, text, TIMES, SECOND))


def with_action(setup: Setup, order: AnyOrder, action: str, mark_depth: float) -> AnyOrder:
    """Something else done by the same hand at the same time; values begin anew."""
    if action == order.action:
        return order
    who = order.rod if isinstance(order, LineOrder) else HELM
    return new_order(setup, who, action, order.time, mark_depth)


def with_rod(order: LineOrder, rod: str) -> LineOrder:
    """About another line."""
    return replace(order, rod=rod)


def has_value(order: AnyOrder) -> bool:
    """Whether a value can be typed: not for the gear, nor for the legs of a course."""
    if isinstance(order, LineOrder):
        return bool(keys.LINE_ORDER[order.action])
    return order.action in ("throttle", "engines", "wheel", "mark")


def has_rate(order: AnyOrder) -> bool:
    """Whether somebody says how fast."""
    return isinstance(order, LineOrder) and len(keys.LINE_ORDER[order.action]) > 1


def with_value(order: AnyOrder, text: str, units: OrderUnits) -> AnyOrder:
    """With another value, as it was typed, with or without its unit. Raises Refused."""
    if isinstance(order, LineOrder):
        quantity = keys.LINE_ORDER[order.action][0]
        known, unit = {
            "line to": (LENGTHS, COLOR),
            "fish on": (WEIGHTS, units.weight),
        }.get(order.action, (LENGTHS, units.length))
        value = _within(quantity, text, known, unit)
        return plain_line_order(replace(order, value=value))
    if order.action == "throttle":
        value = _within(keys.HELM_SPEED, text, SPEEDS, units.speed)
    elif order.action == "mark":
        value = _within(keys.MARK_DEPTH, text, LENGTHS, units.length)
    elif order.action == "engines":
        plain = text.strip().lower().removesuffix("engines").removesuffix("engine").strip()
        if plain not in ENGINES:
            raise Refused(f"“{text[:40]}” is no number of engines: one or two.")
        value = ENGINES[plain]
    else:
        value = _curvature(text, units.length)
    return plain_order(replace(order, value=value))


def with_rate(order: LineOrder, text: str, units: OrderUnits) -> LineOrder:
    """Done faster or slower. Raises Refused."""
    quantity = keys.LINE_ORDER[order.action][1]
    return replace(order, rate=_within(quantity, text, SPEEDS, units.rate))


def _curvature(text: str, length: Unit) -> float:
    """The wheel from a radius and a side; a minus is to port, as everywhere."""
    plain = text.strip().lower()
    if plain in AHEAD:
        return 0.0
    found = re.fullmatch(r"(.*?)\s*(?:to\s+)?(port|starboard|stbd)?\s*", plain)
    radius, side = (found[1], found[2]) if found else (plain, None)
    try:
        amount = _amount(radius, LENGTHS, length)
    except Refused:
        raise Refused(
            f"“{text[:40]}” is no turn: a radius and a side, as “300 {length.symbol} to port”, "
            "or amidships."
        ) from None
    if side is not None and amount < 0.0:
        raise Refused("Either a minus for port or the side in words, not both.")
    least, most = keys.TURN_RADIUS.low, keys.TURN_RADIUS.high
    if not least * (1.0 - 1e-9) <= abs(amount) <= most:
        raise Refused(f"A turn has a radius of {in_words(length.from_si(least))} "
                      f"{length.symbol} or more.")  # fmt: skip
    bend = 1.0 / max(abs(amount), least)
    bend = -bend if side == "port" or amount < 0.0 else bend
    return 0.0 if abs(bend) < STRAIGHT else bend


def _within(quantity: Quantity, text: str, known: dict[str, Unit], usual: Unit) -> float:
    value = _amount(text, known, usual)
    slack = 1e-9 * abs(value)
    if not quantity.low - slack <= value <= quantity.high + slack:
        low, high = usual.from_si(quantity.low), usual.from_si(quantity.high)
        raise Refused(
            f"“{text[:40]}” is out of range: {in_words(low)} to {in_words(high)} {usual.symbol}."
        )
    return min(max(value, quantity.low), quantity.high)


def _amount(text: str, known: dict[str, Unit], usual: Unit) -> float:
    """A number and perhaps a unit, in SI. Raises Refused."""
    found = re.fullmatch(r"\s*([-+\u2212]?[\d.,\s]*)\s*([^\d\s].*?)?\s*", text)
    if not found or not found[1].strip():
        raise Refused(f"“{text[:40]}” is not a number.")
    unit = usual
    # as it is shown, a depth is so many feet deep
    name = (found[2] or "").lower().removesuffix("deep").strip()
    if name:
        if name not in known:
            told = ", ".join(dict.fromkeys(each.symbol for each in known.values()))
            raise Refused(f"“{name[:20]}” is no unit here: {told}.")
        unit = known[name]
    try:
        return unit.to_si(number(found[1], ";"))
    except ValueError as error:
        raise Refused(f"“{text[:40]}” {error}.") from None
