"""What a run would take, worked out before it is begun."""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass, replace
from itertools import pairwise

from physics.checks import InvalidValue
from physics.line.core.library import LIBRARY
from physics.line.march import LONGEST
from physics.line.mesh import Resolution, line_pieces
from physics.simulation.events import APART_EVERY
from physics.simulation.past import BLOCK, FULL
from physics.simulation.scenario import Scenario, handlings

STEPS_A_CHANGE = 15
"""Steps that a change of what the boat or a reel does adds: they begin again small."""

KEPT_A_CHANGE, KEPT_TURNING = 20, 0.65
"""Of steps older than FULL those that stay about a change, and the share that does in a turn; of
a steady tow one of BLOCK. Of measured runs (straight, drops, throttle, turns of 20 to 50 m, a
course, a table, line paid out) what is told is 0.6 to 1.7 times what is kept."""

BYTES = 280.0
"""What a node takes at each step that is kept: 250 to 320 measured, its curves among it."""

STEP, STEP_NUMPY, ROUND_NUMPY = 3e-6, 1.5e-5, 2e-3
"""Processor seconds a node takes at each step: of the compiled stepper 1e-6 in a steady tow and up
to 8e-6 in a turn; of numpy's, which takes a while besides for each step of all lines together.
Measured on one core of a small server; other machines differ."""

LOOK, PAIR, TWO_ELEMENTS, PAIR_NUMPY = 1.5e-6, 5e-6, 2e-9, 4.0
"""And to look at it afterwards: a node for each second; and in a turn, where lines may come near
each other, a pair of lines, and a pair of their elements, each time they are looked at; and how
many times that numpy takes. Most times lines have not moved far enough to be measured anew."""

MOST_SECONDS, MOST_BYTES = 120.0, 500e6
"""A run that would take more is refused."""

FEWEST = 8
"""Elements a line is not told to do with less than."""


@dataclass(frozen=True, slots=True)
class Cost:
    """Time on one core, s, and memory, bytes, to an order of magnitude."""

    seconds: float
    bytes: float

    @property
    def share(self) -> float:
        """Of what may be taken, whichever is scarcer; over 1 is too much."""
        return max(self.seconds / MOST_SECONDS, self.bytes / MOST_BYTES)

    def __str__(self) -> str:
        time = f"{self.seconds:.0f} s" if self.seconds < 100.0 else f"{self.seconds / 60.0:.0f} min"
        if self.bytes < 1e9:
            return f"{time} and {self.bytes / 1e6:.0f} MB"
        return f"{time} and {self.bytes / 1e9:.1f} GB"


def nodes_of(scenario: Scenario) -> int:
    """Nodes of all lines, with what waits on the reels."""
    fine = scenario.resolution
    spare = sum(len(line.spare) for line in handlings(scenario) if line)
    return spare + sum(len(line_pieces(rod.sections, fine)) + 2 for rod in scenario.rods)


def steps_of(scenario: Scenario, length: float) -> float:
    """Steps each line takes in so many s, about."""
    return length / LONGEST + STEPS_A_CHANGE * _changes(scenario, length)


def kept_of(scenario: Scenario, length: float) -> float:
    """Steps of each line that are still in memory after so many s, about."""
    steps, old = steps_of(scenario, length), max(length - FULL, 0.0)
    turning = KEPT_TURNING * _turning(scenario, length) * old / max(length, FULL)
    more = KEPT_A_CHANGE * _changes(scenario, length) + (turning + old / BLOCK) / LONGEST
    return min(steps, FULL / LONGEST + more)


def _changes(scenario: Scenario, length: float) -> int:
    """How often what the boat does changes at once, or a line begins or ends to be handled."""
    helm = [order for order in scenario.orders if order.time < length and order.action != "mark"]
    lines = [order for order in scenario.line_orders if order.time < length]
    table = scenario.motion
    kinks = sum(time < length for time in table.kinks) if table is not None else 0
    return sum(1 + len(order.legs) for order in helm) + 2 * len(lines) + kinks


def _turning(scenario: Scenario, length: float) -> float:
    """Seconds of so many in which the boat turns; on a course at the speed she began with."""
    if scenario.motion is not None:
        return sum(
            max(min(then, length) - max(now, 0.0), 0.0)
            for (now, _, heading), (then, _, other) in pairwise(scenario.motion.table)
            if heading != other
        )
    steered = sorted(
        (order for order in scenario.orders if order.action in ("wheel", "course")),
        key=lambda order: order.time,
    )
    turning = 0.0
    ends = [*(order.time for order in steered[1:]), length]
    for order, end in zip(steered, ends, strict=False):
        legs = sum(leg.length for leg in order.legs if leg.curvature) / max(scenario.speed, 0.1)
        span = max(min(end, length) - order.time, 0.0)
        turning += min(legs, span) if order.legs else span * (order.value != 0.0)
    return turning


def cost_of(scenario: Scenario, duration: float | None = None) -> Cost:
    """What running a scenario for ``duration`` s takes, unless given its own."""
    length = scenario.duration if duration is None else duration
    nodes, rods, steps = nodes_of(scenario), len(scenario.rods), steps_of(scenario, length)
    each = STEP * nodes if LIBRARY is not None else ROUND_NUMPY + STEP_NUMPY * nodes
    pair = PAIR + TWO_ELEMENTS * (nodes / rods) ** 2
    if LIBRARY is None:
        pair *= PAIR_NUMPY
    looks = rods * (rods - 1) / 2 * _turning(scenario, length) / APART_EVERY
    seconds = each * steps + LOOK * nodes * length + pair * looks
    return Cost(seconds, BYTES * nodes * kept_of(scenario, length))


def require_affordable(scenario: Scenario) -> None:
    """Raise InvalidValue (field ``size``) for what would take too long or too much memory.

    What would do is told.
    """
    cost = cost_of(scenario)
    if cost.share <= 1.0:
        return
    ways = []
    fine = scenario.resolution
    leader = min(fine.leader_elements, Resolution().leader_elements)

    def too_fine(elements: int) -> bool:
        cut = replace(fine, line_elements=elements, leader_elements=leader)
        return cost_of(replace(scenario, resolution=cut)).share > 1.0

    def too_many(rods: int) -> bool:
        some = scenario.rods[:rods]
        names = {rod.name for rod in some}
        handled = tuple(order for order in scenario.line_orders if order.rod in names)
        return cost_of(replace(scenario, rods=some, line_orders=handled)).share > 1.0

    choice = range(FEWEST, fine.line_elements)
    if enough := bisect_left(choice, True, key=too_fine):
        ways.append(f"up to {choice[enough - 1]} line elements and {leader} leader elements")
    lengths = range(1, math.ceil(scenario.duration))
    if enough := bisect_left(lengths, True, key=lambda s: cost_of(scenario, s).share > 1.0):
        ways.append(f"a duration of up to {lengths[enough - 1]} s")
    if rods := bisect_left(range(1, len(scenario.rods)), True, key=too_many):
        ways.append(f"up to {rods} rod{'s' if rods > 1 else ''}")
    raise InvalidValue("size", f"about {cost}", " or ".join(ways) or "fewer rods and fewer orders")
