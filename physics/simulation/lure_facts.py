"""What a lure was doing, at an instant and over a while: falling, lifting or running, and where."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.simulation.drop_facts import SPACING, deepest, heights
from physics.simulation.events import LIFTING
from physics.simulation.trajectory import Trajectory

Array = NDArray[np.float64]

FALLING, RISING, RUNNING = "falling", "lifting", "running"


@dataclass(frozen=True, slots=True)
class LureFacts:
    """A lure at ``time`` s: ``depth`` and ``off_bottom`` m of its middle, ``speed`` m/s through
    the water, and ``phase``, one of FALLING, RISING, RUNNING.

    Over the whole while: ``least_off`` m of lure or line over the ground, and how long it
    ``fell``, ``lifted`` and ``ran``, s.
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
    here = np.array([at])
    velocity = line.lure_velocity(here)[0]
    through = velocity - _water_at(run, line.lure(here)[0])
    return LureFacts(
        float(at),
        float(run.depth(number, here)[0]),
        float(run.height(number, here)[0]),
        float(np.linalg.norm(through)),
        phase_of(float(velocity[2])),
        float(min(lure.min(), own.min())),
        fell,
        lifted,
        max(end - start - fell - lifted, 0.0),
    )


def phase_of(rate: float) -> str:
    """What a lure does that rises so fast, m/s."""
    return RISING if rate > LIFTING else FALLING if rate < -LIFTING else RUNNING


def _water_at(run: Trajectory, place: Array) -> Array:
    """Velocity of the water (3,) at a place (3,), m/s."""
    water = run.scenario.water
    x, y, z = place[:, None]
    surface = np.array(water.current)[:, None]
    flow = water.profile.flow(surface, -z, water.bottom.depth_at(x, y)).velocity
    return np.array([flow[0, 0], flow[1, 0], 0.0])
