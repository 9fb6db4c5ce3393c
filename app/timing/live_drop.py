"""The last drop of the live run, measured the way a plan measures: to lie beside it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.planning.rods import RodPlan, rod_plans
from app.planning.situation import moved
from physics.answers.holds import AFTER, Responses
from physics.answers.timing import Aim
from physics.simulation.drop_facts import SPACING, nearest_ground
from physics.simulation.events import out_of_gear_intervals
from physics.simulation.run import Run

Array = NDArray[np.float64]

FOLLOWED = 25.0
"""A drop followed for this long after in gear is told as done, s."""


@dataclass(frozen=True, slots=True)
class LiveDrop:
    """What was done and what it did. ``wait`` from the mark and ``hold``, s.

    ``path`` (K = 1) as in Responses, placed for the wait by adding wait x way.
    ``after`` s of it are after in gear; ``cut``: then she went out of gear again.
    """

    wait: float
    hold: float
    after: float
    path: Responses
    rods: tuple[RodPlan, ...]
    cut: bool = False

    @property
    def done(self) -> bool:
        """Whether it was followed for as long as there is to compare."""
        return self.cut or self.after >= FOLLOWED


def live_drop(run: Run, now: float, aim: Aim) -> LiveDrop | None:
    """The last finished time out of gear after the last mark, or None.

    ``now`` s is as far as the run has been shown. ``aim`` says what counts; its
    mark's depth is replaced by that of the live mark.
    """
    track, scenario = run.track(), run.scenarios[0]
    marks = [o for o in track.orders if o.action == "mark" and o.time <= now]
    every = out_of_gear_intervals(track.orders)
    intervals = [(out, back) for out, back in every if back < now]
    if not marks or not intervals or intervals[-1][0] < marks[-1].time:
        return None
    mark, (out, back) = marks[-1], intervals[-1]
    wait, hold = out - mark.time, back - out
    again = min((start for start, _ in every if start > back), default=math.inf)
    end = min(now, back + AFTER, again)
    time: Array = np.arange(0.0, end - out + 1e-9, SPACING)
    there, here = run.boat(out), run.boat(mark.time)
    origin = np.array([there.x, there.y, 0.0])
    lines, ground = run.trajectory(since=max(out - 2.0, 0.0)).lines, scenario.water.bottom
    lure = np.stack([line.lure(out + time) for line in lines]) - origin
    low = np.stack([nearest_ground(line.nodes(out + time), ground)[0] for line in lines]) - origin
    before = run.boat(max(out - 0.01, 0.0))
    way = np.array(before.velocity)
    if wait > 0.0:
        # the way made good since the mark, so that the path comes to lie where it was
        way = np.array([there.x - here.x, there.y - here.y]) / wait
    path = Responses(np.array([hold]), time, lure[None], low[None], way)
    bottom = moved(ground, np.array([here.x, here.y]))
    names = [rod.name for rod in scenario.rods]
    rods = rod_plans(names, path, bottom, aim, wait, hold)
    return LiveDrop(wait, hold, end - back, path, rods, cut=end == again)
