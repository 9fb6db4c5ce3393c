"""Whether the lines of a spread cross in a drop, or in a turn to either side that follows."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from physics.answers.near_lines import crossing_pair
from physics.line.mesh import Resolution
from physics.progress import ProgressCallback
from physics.simulation.advance import advance_reporting
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order

RADIUS = 60.0
"""Of the turn that follows, m (assumed: a wide turn with lines out)."""

ANGLE = math.radians(120.0)
"""How far it turns; by then the lines lie as in any longer turn."""

BEFORE = 20.0
"""Seconds in gear before she turns: about back at running depth."""

RESOLUTION = Resolution(line_elements=16, leader_elements=4, grading=1.0)
TOLERANCE = 0.05
"""How finely lines are cut, and the stepper's, m: far less than they may come near each other."""

LONGEST = 2.0


@dataclass(frozen=True, slots=True)
class Crossing:
    """Two lines by number that cross, ``when``: in the drop, or in a turn to port or starboard."""

    first: int
    second: int
    when: str


def crossing(
    scenario: Scenario,
    hold: float,
    radius: float = RADIUS,
    progress: ProgressCallback | None = None,
) -> Crossing | None:
    """The first two lines that cross in a drop of ``hold`` s or in a turn of ``radius`` m after.

    The scenario's own orders are left aside. None where all stay clear of each other.
    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    if len(scenario.rods) < 2:
        return None
    turns = hold + BEFORE
    end = turns + ANGLE * radius / max(scenario.speed, 0.5)
    plain = replace(scenario, line_orders=(), mark=None, resolution=RESOLUTION)
    both = []
    for side in (-1.0, 1.0):
        orders = (
            Order(0.0, "out of gear"),
            Order(hold, "in gear"),
            Order(turns, "wheel", side / radius),
        )
        both.append(replace(plain, orders=orders))
    run = Run(both, tolerance=TOLERANCE, longest=LONGEST)
    advance_reporting(run, end, progress)
    port, starboard = (run.trajectory(side).lines for side in (0, 1))
    for lines, when, start, until in (
        (port, "in the drop", 0.0, turns),
        (port, "in a turn to port", turns, end),
        (starboard, "in a turn to starboard", turns, end),
    ):
        pair = crossing_pair(lines, start, until)
        if pair is not None:
            return Crossing(*pair, when)
    return None
