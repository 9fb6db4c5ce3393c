"""What a run would take, worked out before it is begun."""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass, replace

from physics.checks import InvalidValue
from physics.line.march import LONGEST
from physics.line.mesh import Resolution, line_pieces
from physics.simulation.scenario import Scenario, handlings

SECONDS, BYTES = 3e-5, 350.0
"""What a node takes at each step. Measured with six lines of 29 nodes in a turn that never ends,
where no step can be left out, on one core of a small server: 2.0e-5 s of stepping and 0.7e-5 s
of sampling; 400 bytes at the peak, of which some are for the first steps alone. Other machines
differ, and lines that lie close together take longer to look at."""

STEPS_AN_ORDER = 15
"""Steps that an order at the helm or about a line adds: they begin again small."""

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


def cost_of(scenario: Scenario, duration: float | None = None, kept: float | None = None) -> Cost:
    """What running a scenario for ``duration`` s takes, unless given its own.

    ``kept`` s of it are in memory at a time, unless given all.
    """
    length = scenario.duration if duration is None else duration
    orders = len(scenario.orders) + len(scenario.line_orders)
    more = STEPS_AN_ORDER * orders
    nodes = nodes_of(scenario)
    held = length if kept is None else min(kept, length)
    return Cost(
        SECONDS * nodes * (length / LONGEST + more), BYTES * nodes * (held / LONGEST + more)
    )


def require_affordable(
    scenario: Scenario, duration: float | None = None, kept: float | None = None
) -> None:
    """Raise InvalidValue (field ``size``) for what would take too long or too much memory.

    ``duration`` and ``kept`` as in ``cost_of``; what would do is told.
    """
    cost = cost_of(scenario, duration, kept)
    if cost.share <= 1.0:
        return
    ways = []
    fine = scenario.resolution
    leader = min(fine.leader_elements, Resolution().leader_elements)

    def too_fine(elements: int) -> bool:
        cut = replace(fine, line_elements=elements, leader_elements=leader)
        return cost_of(replace(scenario, resolution=cut), duration, kept).share > 1.0

    choice = range(FEWEST, fine.line_elements)
    if enough := bisect_left(choice, True, key=too_fine):
        ways.append(f"up to {choice[enough - 1]} line elements and {leader} leader elements")
    if duration is None:
        lengths = range(1, math.ceil(scenario.duration))
        if enough := bisect_left(lengths, True, key=lambda s: cost_of(scenario, s).share > 1.0):
            ways.append(f"a duration of up to {lengths[enough - 1]} s")
    rods = math.floor(len(scenario.rods) / cost.share)
    if rods:
        ways.append(f"up to {rods} rod{'s' if rods > 1 else ''}")
    raise InvalidValue("size", f"about {cost}", " or ".join(ways) or "fewer rods and fewer orders")
