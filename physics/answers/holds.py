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
from physics.line.tackle import Rod
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

SOON = 30.0
"""Seconds after in gear within which lines come nearest to a bottom that is level."""

LONGEST_HOLD = 120.0

SPARE = 20.0
"""Deep water is this much deeper than the longest line, m."""

KNOWN = 4.0
"""Longest steps of the coasting that a branch knows: the last of them may have to be taken anew."""

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


def below_all(rods: Sequence[Rod]) -> Bottom:
    """Level ground that no line out reaches."""
    return Bottom.level(max(rod.line_out + rod.lure.length for rod in rods) + SPARE)


def followed(any_ground: bool) -> float:
    """Seconds after in gear to follow lines for their least height: a bank may lie ahead."""
    return AFTER if any_ground else SOON


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
    ground that is not. Raises InvalidValue, ConvergenceError, Cancelled.
    """
    return respond_each(
        [scenario], holds, after=after, tolerance=tolerance, longest=longest,
        any_ground=any_ground, progress=progress,
    )[0]  # fmt: skip


def respond_each(
    scenarios: Sequence[Scenario],
    holds: Sequence[float],
    *,
    after: float = AFTER,
    tolerance: float = TOLERANCE,
    longest: float = LONGEST,
    spacing: float = SPACING,
    lines: int = BATCH_LINES,
    any_ground: bool = False,
    progress: ProgressCallback | None = None,
) -> list[Responses]:
    """``respond`` of scenarios with as many rods, coasting side by side and then in gear so.

    Samples lie ``spacing`` s apart; about ``lines`` lines in gear are stepped together.
    """
    for scenario in scenarios:
        _check(scenario)
    for hold in holds:
        require_number("hold", hold, 0.0, LONGEST_HOLD, "s")
    run = Run([bare(scenario) for scenario in scenarios], tolerance=tolerance, longest=longest)
    count, rods = len(scenarios), len(scenarios[0].rods)
    run.order(Order(0.0, "out of gear"), *range(count))
    advance_reporting(run, float(holds[-1]), progress, 0.0, COASTING)
    starts: list[Run] = []
    for hold in map(float, holds):
        starts.append(run.branch(hold - KNOWN * longest))
        starts[-1].order(Order(hold, "in gear"), *range(count))
    time: Array = np.arange(0.0, holds[-1] + after + spacing - 1e-9, spacing)
    lure = np.full((count, len(holds), rods, len(time), 3), np.nan)
    low = np.full_like(lure, np.nan)
    coarse, along = time[::EVERY], None
    if any_ground:
        shape = count, len(holds), rods, ALONG, len(coarse), 3
        along = np.full(shape, np.nan, dtype=np.float32)
    shared = time <= float(holds[-1])
    for k, scenario in enumerate(scenarios):
        for r, line in enumerate(run.trajectory(k).lines):
            seen = _seen(line, time[shared], scenario.water.bottom)
            lure[k, :, r, shared], low[k, :, r, shared] = (part[:, None] for part in seen)
            if along is not None:
                seen_along = _along(line, coarse[shared[::EVERY]])
                along[k, :, r, :, shared[::EVERY]] = seen_along[:, None]
    size = max(1, lines // len(run.batch.rods))
    for first in range(0, len(holds), size):
        chosen = range(first, min(first + size, len(holds)))
        fan = run.fan([starts[h] for h in chosen])
        ends = np.repeat([float(holds[h]) + after for h in chosen], count)
        done, end = (
            COASTING + (1.0 - COASTING) * number / len(holds) for number in (first, chosen.stop)
        )
        advance_reporting(fan, ends, progress, done, end)
        for number in range(len(fan.scenarios)):
            h, k = chosen[number // count], number % count
            mine = (time >= holds[h]) & (time <= holds[h] + after)
            rest = time > holds[h] + after
            for r, line in enumerate(fan.trajectory(number).lines):
                seen = _seen(line, time[mine], scenarios[k].water.bottom)
                lure[k, h, r, mine], low[k, h, r, mine] = seen
                lure[k, h, r, rest], low[k, h, r, rest] = np.nan, np.nan
                if along is not None:
                    along[k, h, r, :, mine[::EVERY]] = _along(line, coarse[mine[::EVERY]])
                    along[k, h, r, :, rest[::EVERY]] = np.nan
    return [
        Responses(
            np.asarray(holds, dtype=float), time, lure[k], low[k],
            np.array(run.track(k).at(-1.0).velocity), None if along is None else along[k],
        )
        for k in range(count)
    ]  # fmt: skip


def _check(scenario: Scenario) -> None:
    if not scenario.water.bottom.is_level:
        raise InvalidValue("bottom", "a profile", "a level bottom: runs are moved along the track")
    if scenario.motion is not None:
        raise InvalidValue("motion", "a table", "a boat that answers the helm")


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
