"""What a lure was doing, at an instant and over a while: falling, lifting or running, and where."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.simulation.drop_facts import SPACING, deepest, heights
from physics.simulation.events import LIFTING, out_of_gear_intervals, starts_to_lift
from physics.simulation.trajectory import Trajectory

Array = NDArray[np.float64]

FALLING, RISING, RUNNING = "falling", "lifting", "running"

TURNED = 45.0
"""So long after in gear all lures of a drop have turned, s."""


@dataclass(frozen=True, slots=True)
class LureFacts:
    """A lure at ``time`` s: ``depth`` and ``off_bottom`` m of its middle, ``speed`` m/s through
    the water, and ``phase``, one of FALLING, RISING, RUNNING.

    Over the whole while: ``least_off`` m of lure or line over the ground, and how long it
    ``fell``, ``lifted`` and ``ran``, s. ``lift_off_bottom`` m and ``lift_speed`` m/s are those
    when it starts to lift after the last drop of the while, None where it does not.
    """

    time: float
    depth: float
    off_bottom: float
    speed: float
    phase: str
    least_off: float
    fell: float
    lifted: float
    ran: float
    lift_off_bottom: float | None
    lift_speed: float | None


def lure_facts(
    run: Trajectory, number: int, start: float, end: float, at: float | None = None
) -> LureFacts:
    """What one lure did from ``start`` to ``end`` s, and at ``at`` s, or when it was deepest.

    It falls or lifts while its depth changes faster than LIFTING, and runs otherwise.
    """
    line, bottom = run.lines[number], run.scenario.water.bottom
    times = np.linspace(start, end, max(round((end - start) / SPACING), 1) + 1)
    if at is None:
        at = deepest(times, run.depth(number, times), run.height(number, times)).time
    nodes = line.nodes(times)
    lure, own = heights(nodes, bottom)
    rate = line.lure_velocity(times)[..., 2]
    share = (end - start) / len(times)
    fell, lifted = (float((way * rate > LIFTING).sum() * share) for way in (-1.0, 1.0))
    lift = _lift(run, number, start, end)
    return LureFacts(
        float(at),
        float(run.depth(number, np.array([at]))[0]),
        _off_bottom(run, number, at),
        _speed(run, number, at),
        phase_of(float(line.lure_velocity(at)[2])),
        float(min(lure.min(), own.min())),
        fell,
        lifted,
        max(end - start - fell - lifted, 0.0),
        None if lift is None else _off_bottom(run, number, lift),
        None if lift is None else _speed(run, number, lift),
    )


def phase_of(rate: float) -> str:
    """What a lure does that rises so fast, m/s."""
    return RISING if rate > LIFTING else FALLING if rate < -LIFTING else RUNNING


def _lift(run: Trajectory, number: int, start: float, end: float) -> float | None:
    """When a lure starts to lift after the last drop that ended from ``start`` to ``end`` s.

    It is looked for until TURNED and no longer, so that it is the same however long the while
    goes on.
    """
    intervals = out_of_gear_intervals(run.track.orders)
    drops = [k for k, (_, back) in enumerate(intervals) if start <= back < end]
    if not drops:
        return None
    out, back = intervals[drops[-1]]
    following = intervals[drops[-1] + 1 :]
    until = min([end, back + TURNED, *(out for out, _ in following)])
    begun = max(out, run.start)
    times = np.linspace(begun, until, max(round((until - begun) / SPACING), 1) + 1)
    deep = deepest(times, run.depth(number, times), run.height(number, times))
    return starts_to_lift(run.lines[number], times, max(deep.time, back))


def _off_bottom(run: Trajectory, number: int, at: float) -> float:
    return float(run.height(number, np.array([at]))[0])


def _speed(run: Trajectory, number: int, at: float) -> float:
    """Speed of a lure through the water, m/s."""
    line = run.lines[number]
    return float(np.linalg.norm(line.lure_velocity(at) - _water_at(run, line.lure(at))))


def _water_at(run: Trajectory, place: Array) -> Array:
    """Velocity of the water (3,) at a place (3,), m/s."""
    water = run.scenario.water
    x, y, z = place[:, None]
    surface = np.array(water.current)[:, None]
    flow = water.profile.flow(surface, -z, water.bottom.depth_at(x, y)).velocity
    return np.array([flow[0, 0], flow[1, 0], 0.0])
