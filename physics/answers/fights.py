"""A fish is on one line and the boat slows: what is done then, as a scenario to run.

The boat tows steadily, then the fish is on and she slows, all at one instant; the hooked line
comes in and the fish's end goes up or down as told. She is where her scenario starts her at
t = 0, so that over a profile it matters when the fish is on. Of the scenario's own orders those
to the wheel stand; those to gear and engines and about lines are left aside.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from physics.answers.holds import bare
from physics.checks import InvalidValue, Limits, require_number
from physics.line.line_orders import LineOrder
from physics.line.paying import RAMP
from physics.line.tackle import Rod
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat, Order

BEFORE = 5.0
"""Seconds of steady tow before the fish is on, unless told."""

FOLLOWED = 90.0
"""Seconds followed at the least, unless told: most lines are steady again."""

LONGEST_FOLLOWED = 600.0

USUAL_FISH = 4.5359237
"""Mass of a fish before anybody says: 10 lb (assumed), kg."""

FISH_ON = Limits(0.0, 3600.0, "s")
"""When into the run the fish may be on."""

STEERING = ("wheel", "course")
"""Orders of a scenario that stand while a fish is on."""


@dataclass(frozen=True, slots=True)
class Fight:
    """What is done when a fish is on the line of the rod ``hooked``, ``at`` s into the run.

    ``fish`` kg. She slows to one engine, or with a ``throttle``, m/s, to that speed on all
    she has. The line comes in at ``rate`` m/s until ``left`` m are out between tip and leader.
    With a ``fish_depth``, m, the fish swims there, up or down at ``fish_rate`` m/s, and keeps
    it; without one it is pulled along. ``needed`` m is the clearance asked of the other lines;
    ``follow`` s how long they are followed: by default FOLLOWED, or until the line is in where
    that takes longer.
    """

    hooked: str
    fish: float = USUAL_FISH
    at: float = BEFORE
    throttle: float | None = None
    rate: float = 0.6
    left: float = 5.0
    fish_depth: float | None = None
    fish_rate: float = 0.3
    needed: float = 0.0
    follow: float | None = None

    def __post_init__(self) -> None:
        require_number("fish on after", self.at, *FISH_ON)
        require_number("clearance", self.needed, 0.0, 2000.0, "m")
        if self.follow is not None:
            require_number("followed", self.follow, 5.0, LONGEST_FOLLOWED, "s")


def orders(fight: Fight, boat: Boat) -> tuple[tuple[Order, ...], tuple[LineOrder, ...]]:
    """The orders to the helm and about the hooked line. Raises InvalidValue."""
    if fight.throttle is not None:
        helm = Order(fight.at, "throttle", fight.throttle)
    elif boat.engines < 2:
        raise InvalidValue("slow to", "one engine", "a speed: this boat has one engine only")
    else:
        helm = Order(fight.at, "engines", 1)
    line = [
        LineOrder(fight.at, fight.hooked, "fish on", fight.fish),
        LineOrder(fight.at, fight.hooked, "line to", fight.left, fight.rate),
    ]
    if fight.fish_depth is not None:
        line.append(
            LineOrder(fight.at, fight.hooked, "fish end to", fight.fish_depth, fight.fish_rate)
        )
    return (helm,), tuple(line)


def fought_scenario(scenario: Scenario, fight: Fight) -> Scenario:
    """The scenario with the fish on and all orders of the fight, as long as it is followed.

    Raises InvalidValue.
    """
    if scenario.motion is not None:
        raise InvalidValue("motion", "a table", "a boat that answers the helm")
    rod = hooked_rod(scenario, fight)
    out = _line_out(rod)
    if fight.left >= out:
        raise InvalidValue("line left out", fight.left, f"less than is out, {out:g} m")
    reach = 0.95 * (fight.left + rod.sections[-1].length) - rod.height
    if fight.fish_depth is not None and fight.fish_depth > reach:
        raise InvalidValue(
            "fish depth",
            fight.fish_depth,
            f"what the line left out reaches, {max(reach, 0.0):.1f} m, or more line left",
        )
    helm, line = orders(fight, scenario.boat)
    steering = tuple(order for order in scenario.orders if order.action in STEERING)
    return replace(
        bare(scenario),
        orders=tuple(sorted((*steering, *helm), key=lambda order: order.time)),
        line_orders=line,
        duration=max(fight.at + followed(scenario, fight), 1.0),
    )


def hooked_rod(scenario: Scenario, fight: Fight) -> Rod:
    """The rod with the fish. Raises InvalidValue if there is no such rod."""
    for rod in scenario.rods:
        if rod.name == fight.hooked:
            return rod
    names = ", ".join(rod.name for rod in scenario.rods)
    raise InvalidValue("hooked line", fight.hooked, f"one of {names}")


def line_in(scenario: Scenario, fight: Fight) -> float:
    """Seconds until the hooked line is in, from when the fish is on."""
    distance = _line_out(hooked_rod(scenario, fight)) - fight.left
    return distance / fight.rate + RAMP


def followed(scenario: Scenario, fight: Fight) -> float:
    """Seconds the lines are followed, from when the fish is on."""
    if fight.follow is not None:
        return fight.follow
    return min(max(FOLLOWED, line_in(scenario, fight)), LONGEST_FOLLOWED)


def _line_out(rod: Rod) -> float:
    return rod.line_out - rod.sections[-1].length
