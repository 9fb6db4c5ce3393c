"""What a spread does for each of many holds: simulated together, out of gear only once.

In steady tow before the drop nothing tells one place from another, so a hold is
run once, out of gear at t = 0, and moved along the track for any wait. All
holds share the time out of gear: one run coasts for the longest and a branch
goes in gear at each.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from physics.checks import InvalidValue, require_number
from physics.environment.water import Bottom
from physics.line.march import LONGEST, TOLERANCE
from physics.progress import ProgressCallback
from physics.simulation.advance import advance_reporting
from physics.simulation.drop_facts import SPACING, nearest_ground
from physics.simulation.run import BATCH_LINES, Run
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import LineRecord
from physics.vessel.boat import Order

Array = NDArray[np.float64]

AFTER = 60.0
"""Seconds followed after in gear: back at running depth in most spreads."""

LONGEST_HOLD = 120.0

COASTING = 0.25
"""Share of the work that the time out of gear is taken to be."""


@dataclass(frozen=True, slots=True)
class Responses:
    """The spread's answer to K holds, R rods, n samples from out of gear on.

    ``holds`` (K,) s; ``time`` (n,) s; ``lure`` (K, R, n, 3) the middle of each
    lure and ``low`` (K, R, n, 3) the point of lure or line that is least over
    the ground, m, over ground from where the transducer was when the boat went out of gear;
    ``boat_velocity`` (2,) the boat's velocity over ground before that, m/s.
    """

    holds: Array
    time: Array
    lure: Array
    low: Array
    boat_velocity: Array

    @property
    def rise(self) -> Array:
        """Vertical velocity of each lure (K, R, n), m/s."""
        out: Array = np.gradient(self.lure[..., 2], self.time, axis=-1)
        return out


def bare(scenario: Scenario, *, bottom: Bottom | None = None) -> Scenario:
    """The scenario with nothing ordered and no mark, over another bottom if given."""
    water = scenario.water if bottom is None else scenario.water.over(bottom)
    return replace(scenario, water=water, orders=(), mark=None, motion=None, line_orders=())


def respond(
    scenario: Scenario,
    holds: Sequence[float],
    *,
    after: float = AFTER,
    tolerance: float = TOLERANCE,
    longest: float = LONGEST,
    progress: ProgressCallback | None = None,
) -> Responses:
    """Run every hold, rising, s. ``progress`` hears of it every few steps.

    ``tolerance`` m and ``longest`` s are the stepper's. The bottom must be
    level; touching it is part of the answer. Raises InvalidValue, ConvergenceError, and
    Stopped.
    """
    bottom = scenario.water.bottom
    if not bottom.is_level:
        raise InvalidValue("bottom", "a profile", "a level bottom: runs are moved along the track")
    if scenario.motion is not None:
        raise InvalidValue("motion", "a table", "a boat that answers the helm")
    for hold in holds:
        require_number("hold", hold, 0.0, LONGEST_HOLD, "s")
    run = Run([bare(scenario)], tolerance=tolerance, longest=longest)
    run.order(Order(0.0, "out of gear"))
    starts: list[Run] = []
    for number, hold in enumerate(holds):
        shares = COASTING * number / len(holds), COASTING * (number + 1) / len(holds)
        advance_reporting(run, max(float(hold) - longest, 0.0), progress, *shares)
        run.advance_exactly(float(hold))
        starts.append(run.branch())
    count = int(np.ceil((holds[-1] + after) / SPACING)) + 1
    time: Array = SPACING * np.arange(count, dtype=np.float64)
    rods = len(scenario.rods)
    lure = np.full((len(holds), rods, count, 3), np.nan)
    low = np.full_like(lure, np.nan)
    past = run.trajectory()
    shared = time <= float(holds[-1])
    for number, line in enumerate(past.lines):
        lure[:, number, shared], low[:, number, shared] = _seen(line, time[shared], bottom)
    size = max(1, BATCH_LINES // rods)
    for first in range(0, len(holds), size):
        chosen = range(first, min(first + size, len(holds)))
        fan = run.fan([starts[k] for k in chosen])
        for number, k in enumerate(chosen):
            fan.order(Order(float(holds[k]), "in gear"), number)
        done, part = chosen[0] / len(holds), len(chosen) / len(holds)
        advance_reporting(
            fan, np.array([holds[k] + after for k in chosen]), progress,
            COASTING + (1.0 - COASTING) * done, COASTING + (1.0 - COASTING) * (done + part),
        )  # fmt: skip
        for number, k in enumerate(chosen):
            mine = (time >= holds[k]) & (time <= holds[k] + after)
            rest = time > holds[k] + after
            for j, line in enumerate(fan.trajectory(number).lines):
                lure[k, j, mine], low[k, j, mine] = _seen(line, time[mine], bottom)
                lure[k, j, rest], low[k, j, rest] = np.nan, np.nan
    before = run.track().at(-1.0)
    return Responses(np.asarray(holds, dtype=float), time, lure, low, np.array(before.velocity))


def dropped(
    scenario: Scenario, hold: float, after: float = AFTER, progress: ProgressCallback | None = None
) -> Responses:
    """One hold run over the scenario's own bottom, whatever its shape, out of gear at its origin.

    Raises InvalidValue, ConvergenceError, Stopped.
    """
    require_number("hold", hold, 0.0, LONGEST_HOLD, "s")
    orders = (Order(0.0, "out of gear"), Order(hold, "in gear"))
    run = Run([replace(bare(scenario), orders=orders)])
    advance_reporting(run, hold + after, progress)
    time: Array = np.arange(0.0, hold + after + 1e-9, SPACING)
    lines, bottom = run.trajectory().lines, scenario.water.bottom
    seen = np.stack([_seen(line, time, bottom) for line in lines], axis=1)
    boat_velocity = np.array(run.track().at(-1.0).velocity)
    return Responses(np.array([hold]), time, seen[:1], seen[1:], boat_velocity)


def _seen(line: LineRecord, time: Array, bottom: Bottom) -> tuple[Array, Array]:
    """Middle of a line's lure, and the point of both least over the ground (n, 3), m."""
    nodes = line.nodes(time)
    return 0.5 * (nodes[:, :, -2] + nodes[:, :, -1]), nearest_ground(nodes, bottom)[0]
