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
from physics.simulation.scenario import Scenario, cut_for_orders
from physics.simulation.trajectory import LineRecord
from physics.vessel.boat import Order

Array = NDArray[np.float64]
Points = NDArray[np.float32]

AFTER = 60.0
"""Seconds followed after in gear: back at running depth in most spreads."""

LONGEST_HOLD = 120.0

COASTING = 0.25
"""Share of the work that the time out of gear is taken to be."""

ALONG, EVERY = 13, 4
"""Points along each line that are kept for ground that is not level, at every so manieth sample."""


@dataclass(frozen=True, slots=True)
class Responses:
    """The spread's answer to K holds, R rods, n samples from out of gear on.

    ``holds`` (K,) s; ``time`` (n,) s; ``lure`` (K, R, n, 3) the middle of each
    lure and ``low`` (K, R, n, 3) the point of lure or line that is least over
    the ground, m, over ground from where the transducer was when the boat went out of gear;
    ``boat_velocity`` (2,) the boat's velocity over ground before that, m/s. ``low`` holds
    for the ground they were run over; ``along`` (K, R, ALONG, m, 3), if kept, are points evenly
    along line and lure, tip first, at ``along_time`` (m,) s, and serve any ground.
    """

    holds: Array
    time: Array
    lure: Array
    low: Array
    boat_velocity: Array
    along: Points | None = None

    @property
    def along_time(self) -> Array:
        return self.time[::EVERY]

    @property
    def rise(self) -> Array:
        """Vertical velocity of each lure (K, R, n), m/s."""
        out: Array = np.gradient(self.lure[..., 2], self.time, axis=-1)
        return out


def bare(scenario: Scenario, *, bottom: Bottom | None = None) -> Scenario:
    """The scenario with nothing ordered and no mark, over another bottom if given.

    The boat then goes straight, and lines are cut as that needs (``cut_for_orders``).
    """
    water = scenario.water if bottom is None else scenario.water.over(bottom)
    return cut_for_orders(
        replace(scenario, water=water, orders=(), mark=None, motion=None, line_orders=())
    )


def respond(
    scenario: Scenario,
    holds: Sequence[float],
    *,
    after: float = AFTER,
    tolerance: float = TOLERANCE,
    longest: float = LONGEST,
    any_ground: bool = False,
    progress: ProgressCallback | None = None,
) -> Responses:
    """Run every hold, rising, s. ``progress`` hears of it every few steps.

    ``tolerance`` m and ``longest`` s are the stepper's. The bottom must be
    level; touching it is part of the answer. With ``any_ground`` they serve to be moved over
    ground that is not. Raises InvalidValue, ConvergenceError, and
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
    coarse = time[::EVERY]
    along = None
    if any_ground:
        along = np.full((len(holds), rods, ALONG, len(coarse), 3), np.nan, dtype=np.float32)
    past = run.trajectory()
    shared = time <= float(holds[-1])
    for number, line in enumerate(past.lines):
        lure[:, number, shared], low[:, number, shared] = _seen(line, time[shared], bottom)
        if along is not None:
            along[:, number, :, shared[::EVERY]] = _along(line, coarse[shared[::EVERY]])[:, None]
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
                if along is not None:
                    along[k, j, :, mine[::EVERY]] = _along(line, coarse[mine[::EVERY]])
                    along[k, j, :, rest[::EVERY]] = np.nan
    before = run.track().at(-1.0)
    velocity = np.array(before.velocity)
    return Responses(np.asarray(holds, dtype=float), time, lure, low, velocity, along)


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


def _along(line: LineRecord, time: Array) -> Array:
    """Points evenly along a line and its lure (n, ALONG, 3), m."""
    nodes = line.nodes(time)
    lengths = np.linalg.norm(np.diff(line.position[0]), axis=0)
    out = np.concatenate([[0.0], np.cumsum(lengths)])
    at = np.interp(np.linspace(0.0, out[-1], ALONG), out, np.arange(len(out)))
    k = np.minimum(at.astype(int), len(lengths) - 1)
    points: Array = nodes[..., k] + (at - k) * (nodes[..., k + 1] - nodes[..., k])
    return points.swapaxes(1, 2)
