"""Which orders are being obeyed now, which were given by hand, and what else gives orders."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from app.ground.orders.rows import above_leader, rows
from app.scenario.order_words import AnyOrder
from app.scenario.setup import Setup
from physics.line.line_orders import LineOrder
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order

STEERING = ("wheel", "course")
GEAR = ("out of gear", "in gear")

FINE = 2
"""Decimals to which the time of an order given by hand is kept, s."""


def given_to_lines(run: Run) -> tuple[LineOrder, ...]:
    """Orders about the lines that a run knows: its scenario's, and those given by hand."""
    given = getattr(run, "line_orders", None)
    return tuple(given()) if callable(given) else run.scenarios[0].line_orders


def in_force(run: Run, now: float) -> list[AnyOrder]:
    """The orders being obeyed at ``now`` s: the last of each kind, a haul till it is done."""
    last: dict[str, AnyOrder] = {}
    for order in run.track().orders:
        if order.time <= now:
            kind = "gear" if order.action in GEAR else order.action
            last["steering" if order.action in STEERING else kind] = order
    out = list(last.values())
    scenario = run.scenarios[0]
    told = sorted(given_to_lines(run), key=lambda order: order.time)
    for rod in scenario.rods:
        past = [o for o in told if o.rod == rod.name and o.time <= now]
        out += _haul(past, above_leader(rod.sections), now) + _fish(past)
    return out


def _haul(past: Iterable[LineOrder], out: float, now: float) -> list[AnyOrder]:
    """The order by which line is coming in or going out now, if any. ``out`` m at first."""
    hauls = [order for order in past if order.action == "line to"]
    left = 0.0
    for number, order in enumerate(hauls):
        until = hauls[number + 1].time if number + 1 < len(hauls) else now
        way = order.value - out
        done = min((until - order.time) * order.rate, abs(way))
        left = abs(way) - done
        out += done if way > 0.0 else -done
    return [hauls[-1]] if left > 1e-9 else []


def _fish(past: Iterable[LineOrder]) -> list[AnyOrder]:
    """The fish that is on, and where it was told to swim."""
    on: LineOrder | None = None
    swims: LineOrder | None = None
    for order in past:
        if order.action == "fish off":
            on = swims = None
        elif order.action == "fish on":
            on = order
        elif order.action == "fish end to":
            swims = order
    return [order for order in (on, swims) if order is not None]


def kept(setup: Setup, run: Run, now: float) -> Setup:
    """The setup with what the run was told up to ``now`` s, and what it was to be told later.

    The scenario's own mark is no order of it. Times given by hand are kept to 0.01 s.
    """
    scenario = run.scenarios[0]
    helm = [o for o in run.track().orders if o.time <= now and not _own(o, setup, scenario)]
    helm += [o for o in setup.orders if o.time > now]
    lines = [o for o in given_to_lines(run) if o.time <= now]
    lines += [o for o in setup.line_orders if o.time > now]
    own_lines = set(setup.line_orders)
    lines = [o if o in own_lines else replace(o, time=round(o.time, FINE)) for o in lines]
    return replace(
        setup,
        orders=_in_time(o if o in setup.orders else _rounded(o) for o in helm),
        line_orders=tuple(sorted(lines, key=lambda order: order.time)),
    )


def _in_time(orders: Iterable[Order]) -> tuple[Order, ...]:
    return tuple(sorted(orders, key=lambda order: order.time))


def _rounded(order: Order) -> Order:
    return replace(order, time=round(order.time, FINE))


def _own(order: Order, setup: Setup, scenario: Scenario) -> bool:
    """Whether it is the scenario's own mark, as it is now or was when the run began."""
    own = [mark for mark in (setup.mark, scenario.mark) if mark is not None]
    return order.action == "mark" and any(
        (order.time, order.value) == (mark.time, mark.depth) for mark in own
    )


def not_listed(setup: Setup, run: Run, now: float) -> int:
    """How many orders the run was given by hand that the setup has not."""
    own, scenario = {*setup.orders, *setup.line_orders}, run.scenarios[0]
    helm: list[AnyOrder] = [o for o in run.track().orders if not _own(o, setup, scenario)]
    given = [*helm, *given_to_lines(run)]
    return sum(order.time <= now and order not in own for order in given)


def also_told(setup: Setup) -> list[str]:
    """What moves the boat besides the list, in sentences."""
    out: list[str] = []
    if setup.motion is not None:
        return ["The boat follows the table in the scenario's file; only lines take orders."]
    dropped = setup.dropped()
    if dropped is not setup:
        out.append(_outside_the_list(setup, dropped))
    if setup.wait is not None:
        out.append(f"Automatic wait: out of gear {setup.wait:g} s after a mark (W).")
    if setup.hold is not None and _sooner(setup.orders, setup.hold):
        out.append(
            f"Automatic hold: in gear {setup.hold:g} s after out of gear (A), if not sooner."
        )
    late = sum(order.time > setup.duration for order in rows(setup))
    if late:
        orders = "1 order comes" if late == 1 else f"{late} orders come"
        out.append(f"{orders} after “leadfall simulate” ends, at {setup.duration:g} s.")
    return out


def _outside_the_list(setup: Setup, dropped: Setup) -> str:
    """What the scenario's wait and hold do without a screen."""
    named = (("wait", setup.wait), ("hold", setup.hold))
    told = [f"{what} of {seconds:g} s" for what, seconds in named if seconds is not None]
    out, *back = (order.time for order in dropped.orders if order.action in GEAR)
    verb = "is" if len(told) == 1 else "are"
    goes = f"goes out of gear at {out:.1f} s" + "".join(f" and in at {at:.1f} s" for at in back)
    yours = "; here the lever is yours" if setup.wait is None else ""
    return (
        f"The scenario's {' and '.join(told)} {verb} not in the list: "
        f"“leadfall simulate” {goes}{yours}."
    )


def _sooner(orders: Sequence[Order], hold: float) -> bool:
    """Whether an automatic hold would go in gear before the list does, or the list never does."""
    gear = [order for order in _in_time(orders) if order.action in GEAR]
    for number, order in enumerate(gear):
        if order.action == "out of gear":
            back = [o.time for o in gear[number + 1 :] if o.action == "in gear"]
            if not back or back[0] > order.time + hold:
                return True
    return not gear
