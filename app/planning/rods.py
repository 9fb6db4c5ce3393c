"""What each rod's lure does at one wait and hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from physics.answers.between import between
from physics.answers.holds import Responses
from physics.answers.timing import Aim, timing_map
from physics.environment.water import Bottom
from physics.simulation.drop_facts import TOUCHING, deepest, sinks_on


@dataclass(frozen=True, slots=True)
class RodPlan:
    """One rod at one wait and hold, SI; times count from out of gear.

    ``run_depth`` and ``deepest`` are of the middle of the lure, m, the latter
    ``deepest_at`` s; ``sank_on`` is how long it went on sinking once in gear
    (None if it never dropped). ``least_height`` is how near lure or line
    comes to the bottom, m. ``at_mark`` is its height off bottom as it passes
    the mark's place, m, at ``at_mark_rate`` m/s (rising positive); None if it
    never comes by. ``lifting`` and ``falling`` s are its windows, ``miss`` m
    its closest approach to the mark. ``lifts_at`` m is where along the boat's
    way it turns from falling to lifting, from the mark's place, ahead positive.
    """

    number: int
    name: str
    run_depth: float
    deepest: float
    deepest_at: float
    sank_on: float | None
    least_height: float
    at_mark: float | None
    at_mark_rate: float | None
    lifting: float
    falling: float
    miss: float
    lifts_at: float

    @property
    def touches(self) -> bool:
        """Whether lure or line comes to lie on the bottom."""
        return self.least_height < TOUCHING


def rod_plans(
    names: Sequence[str], responses: Responses, bottom: Bottom, aim: Aim, wait: float, hold: float
) -> tuple[RodPlan, ...]:
    """Every rod at a wait and a hold, s. Raises InvalidValue for a hold longer than any run."""
    one = between(responses, (hold,))
    found = timing_map(one, (wait,), aim, bottom)
    ahead = responses.boat_velocity / max(float(np.hypot(*responses.boat_velocity)), 1e-9)
    out = []
    for r, name in enumerate(names):
        known = np.isfinite(one.lure[0, r, :, 2])
        time, path = one.time[known], one.lure[0, r, known]
        ground = bottom.depth_at(*(path[:, :2] + wait * responses.boat_velocity).T)
        run_depth, deep = -float(path[0, 2]), deepest(time, -path[:, 2], ground + path[:, 2])
        place = [np.interp(deep.time, time, path[:, axis]) for axis in (0, 1)]
        height, rate = float(found.passing[0, 0, r]), float(found.passing_rate[0, 0, r])
        out.append(
            RodPlan(
                number=r,
                name=name,
                run_depth=run_depth,
                deepest=deep.depth,
                deepest_at=deep.time,
                sank_on=sinks_on(deep, run_depth, hold),
                least_height=max(float(found.clearance[0, 0, r]), 0.0),
                at_mark=max(height, 0.0) if np.isfinite(height) else None,
                at_mark_rate=rate if np.isfinite(rate) else None,
                lifting=float(found.lifting[0, 0, r]),
                falling=float(found.falling[0, 0, r]),
                miss=float(found.miss[0, 0, r]),
                lifts_at=float((place + wait * responses.boat_velocity) @ ahead),
            )
        )
    return tuple(out)
