"""A whole pass over a profile in gear: how near the ground every line comes, and where.

The boat tows steadily over the level ground before the first point of the profile, goes
over all of it at its speed and heading, and on until the last lure has left it. The lines are
run, not looked up: they lag behind the boat, feel the ground they touch and what current there
is over it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from physics.answers.holds import bare
from physics.checks import InvalidValue
from physics.environment.water import Bottom, compass_vector
from physics.line.march import LONGEST, TOLERANCE
from physics.progress import ProgressCallback
from physics.simulation.advance import advance_reporting
from physics.simulation.drop_facts import SPACING, TOUCHING, nearest_ground
from physics.simulation.run import BATCH_LINES, Run
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import LineRecord

Array = NDArray[np.float64]

SLOWEST = 0.2
"""Slower than this along the profile is no pass, m/s."""

LONGEST_PASS = 7200.0

BEFORE = 2.0
"""Seconds of steady tow before the boat comes to the first point."""


@dataclass(frozen=True, slots=True)
class Closest:
    """One line over the whole pass.

    ``clearance`` m of lure or line over the ground under it, when that is
    least: at ``time`` s after the boat came to the first point of the profile, over
    ``along`` m on the profile, the boat then ``astern`` m farther on. ``fouls`` is the time it
    first comes nearer than asked, s, ``fouls_along`` where; None when it never does.
    """

    rod: str
    clearance: float
    time: float
    along: float
    astern: float
    fouls: float | None
    fouls_along: float | None

    @property
    def touches(self) -> bool:
        """Whether lure or line comes to lie on the ground."""
        return self.clearance < TOUCHING


@dataclass(frozen=True, slots=True)
class Pass:
    """Every line of a spread over one pass, in the order of the rods."""

    lines: tuple[Closest, ...]

    @property
    def first(self) -> Closest | None:
        """The line that comes too near first, or None when all clear."""
        fouling = [line for line in self.lines if line.fouls is not None]
        return min(fouling, key=lambda line: line.fouls or 0.0, default=None)

    @property
    def clears(self) -> bool:
        return self.first is None


def passes(
    scenarios: Sequence[Scenario],
    needed: float = 0.0,
    *,
    progress: ProgressCallback | None = None,
    tolerance: float = TOLERANCE,
    longest: float = LONGEST,
) -> list[Pass]:
    """The passes of some scenarios over their own bottoms, orders and marks left aside.

    ``needed`` m is the clearance asked of every line; at 0 only touching counts. Raises
    InvalidValue for a level bottom or a boat that does not move along the profile,
    ConvergenceError, Cancelled.
    """
    out: list[Pass] = []
    every = [_at_the_edge(scenario) for scenario in scenarios]
    size = max(1, BATCH_LINES // max((len(s.rods) for s in scenarios), default=1))
    for first in range(0, len(every), size):
        starts = every[first : first + size]
        run = Run([start.scenario for start in starts], tolerance=tolerance, longest=longest)
        share, end = first / len(every), (first + len(starts)) / len(every)
        advance_reporting(
            run, np.array([start.scenario.duration for start in starts]), progress, share, end
        )
        for k, start in enumerate(starts):
            lines = run.trajectory(k).lines
            out.append(Pass(tuple(_closest(line, start, needed) for line in lines)))
    return out


@dataclass(frozen=True, slots=True)
class _Start:
    """A scenario moved so that its boat is about to come to the profile."""

    scenario: Scenario
    zero: float
    ground_speed: float


def _at_the_edge(scenario: Scenario) -> _Start:
    given = scenario.water.bottom
    if given.is_level:
        raise InvalidValue("bottom", "level", "a profile to pass over")
    plain = bare(scenario)
    velocity = plain.track().at(0.0).velocity
    east, north = compass_vector(given.bearing)
    ground_speed = velocity[0] * east + velocity[1] * north
    if abs(ground_speed) < SLOWEST:
        raise InvalidValue(
            "heading", scenario.heading, "a way over the profile, not along its slopes"
        )
    ends = given.points[0][0], given.points[-1][0]
    first = ends[0] if ground_speed > 0.0 else ends[1]
    zero = first - ground_speed * BEFORE
    points = tuple((along - zero, depth) for along, depth in given.points)
    behind = max(rod.line_out + rod.lure.length + max(rod.astern, 0.0) for rod in scenario.rods)
    duration = BEFORE + (ends[1] - ends[0] + behind) / abs(ground_speed)
    if duration > LONGEST_PASS:
        raise InvalidValue("bottom", "a profile", "one that is passed within two hours")
    water = replace(scenario.water, bottom=Bottom(points, given.bearing))
    return _Start(replace(plain, water=water, duration=duration), zero, ground_speed)


def _closest(line: LineRecord, start: _Start, needed: float) -> Closest:
    bottom = start.scenario.water.bottom
    east, north = compass_vector(bottom.bearing)
    count = math.ceil(start.scenario.duration / SPACING) + 1
    time = np.linspace(0.0, start.scenario.duration, count)
    place, least = nearest_ground(line.nodes(time), bottom)
    along = place[:, 0] * east + place[:, 1] * north
    at = int(least.argmin())
    near = np.flatnonzero(least < max(needed, TOUCHING))
    fouls = int(near[0]) if len(near) else None

    def over(k: int) -> float:
        return float(along[k])

    boat = start.ground_speed * float(time[at])
    return Closest(
        line.rod.name,
        float(least[at]),
        float(time[at]) - BEFORE,
        over(at) + start.zero,
        math.copysign(1.0, start.ground_speed) * (boat - over(at)),
        None if fouls is None else float(time[fouls]) - BEFORE,
        None if fouls is None else over(fouls) + start.zero,
    )
