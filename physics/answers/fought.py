"""Where all other lines go while a fish is on one, and how near they come to ground and line."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.answers.fights import Fight, fought_scenario, line_in
from physics.answers.near_lines import Approach, approaches
from physics.environment.water import Bottom
from physics.progress import ProgressCallback
from physics.simulation.advance import advance_reporting
from physics.simulation.drop_facts import SPACING, TOUCHING, first_below, nearest_ground
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import LineRecord, Trajectory

Array = NDArray[np.float64]

SETTLED = 0.2
"""A line is where it settles once it stays within this of it, m."""

STEADY = 10.0
"""A line that came so near only in the last so many seconds has not settled, s."""

TOLERANCE, LONGEST = 0.02, 2.0
"""Step tolerance, m, and longest step, s. Depths and heights of the other lines are within 1 mm
of those at a Run's own (measured: six lines of 7 to 10 colors); a fish that skips along the
surface at the end of a short line takes half the time."""


@dataclass(frozen=True, slots=True)
class LineFought:
    """One line from when the fish is on; times are s after that.

    ``before`` is the depth of the lure until then and ``settles`` the depth it comes to, m;
    ``settled`` when it stays within SETTLED of that, None if it was not to be seen to. ``least``
    m is the least height of any of its points over the ground under it, at ``least_at``;
    ``near`` when it first comes nearer than asked, ``touches`` when it first touches; None for
    never. ``to_hooked`` is how near it comes to the hooked line (None for that one itself),
    ``to_other`` how near to the line of ``other``, which comes nearest of the rest; times as
    above. ``time`` (n,) s, ``depth`` (n,) m of the lure, ``low`` (n,) m of the deepest point
    and ``ground`` (n,) m, the water's depth there.
    """

    rod: str
    before: float
    settles: float
    settled: float | None
    least: float
    least_at: float
    near: float | None
    touches: float | None
    to_hooked: Approach | None
    other: str | None
    to_other: Approach | None
    time: Array
    depth: Array
    low: Array
    ground: Array

    @property
    def fouls(self) -> float | None:
        """When it first comes too near the ground, or touches it."""
        first = [t for t in (self.near, self.touches) if t is not None]
        return min(first, default=None)

    @property
    def crosses(self) -> tuple[float, str | None] | None:
        """When it first crosses another line and which: None for the hooked one; or None."""
        found: list[tuple[float, str | None]] = []
        if self.to_hooked is not None and self.to_hooked.crosses is not None:
            found.append((self.to_hooked.crosses, None))
        if self.to_other is not None and self.to_other.crosses is not None:
            found.append((self.to_other.crosses, self.other))
        return min(found, key=lambda one: one[0], default=None)


@dataclass(frozen=True, slots=True)
class Fought:
    """All lines while a fish was on one, in the order of the rods; followed for ``end`` s.

    ``speed`` is the speed through the water in the end, m/s, ``line_in`` when the hooked line
    is in, s after the fish is on.
    """

    fight: Fight
    speed: float
    end: float
    line_in: float
    lines: tuple[LineFought, ...]

    @property
    def others(self) -> tuple[LineFought, ...]:
        """All lines but the hooked one."""
        return tuple(line for line in self.lines if line.rod != self.fight.hooked)

    @property
    def first(self) -> LineFought | None:
        """The other line that comes too near the ground first; None when all are clear."""
        fouling = [line for line in self.others if line.fouls is not None]
        return min(fouling, key=lambda line: line.fouls or 0.0, default=None)

    @property
    def clears(self) -> bool:
        """Whether no other line comes too near the ground."""
        return self.first is None


def fight_fish(
    scenario: Scenario,
    fight: Fight,
    *,
    progress: ProgressCallback | None = None,
    tolerance: float = TOLERANCE,
    longest: float = LONGEST,
) -> Fought:
    """Run it. Raises InvalidValue, ConvergenceError, Cancelled."""
    whole = fought_scenario(scenario, fight)
    run = Run([whole], tolerance=tolerance, longest=longest)
    advance_reporting(run, whole.duration, progress)
    return answer(run.trajectory(), fight)


def answer(trajectory: Trajectory, fight: Fight) -> Fought:
    """What a run of ``fought_scenario`` says."""
    scenario, lines = trajectory.scenario, trajectory.lines
    end = scenario.duration
    boat, current = trajectory.track.at(fight.at), scenario.water.current
    through_water = boat.velocity[0] - current[0], boat.velocity[1] - current[1]
    pairs = {
        pair: _since(gap, fight)
        for pair, gap in approaches(lines, fight.at, end, through_water).items()
    }
    hooked = trajectory.rod_number(fight.hooked)
    found = []
    for number in range(len(lines)):
        beside = {i + j - number: gap for (i, j), gap in pairs.items() if number in (i, j)}
        to_hooked = beside.pop(hooked, None)
        # one that crosses counts before one that is merely near
        other = min(
            beside,
            key=lambda k: (_or_never(beside[k].crosses), beside[k].apart),
            default=None,
        )
        found.append(_line(trajectory, number, fight, to_hooked, other, beside))
    return Fought(
        fight,
        trajectory.track.at(end).speed,
        end - fight.at,
        line_in(scenario, fight),
        tuple(found),
    )


def least_heights(trajectory: Trajectory, line: LineRecord, time: Array) -> Array:
    """Least height of a line or its lure over the ground (n,), m, at times (n,), s."""
    return nearest_ground(line.nodes(time), trajectory.scenario.water.bottom)[1]


def sample_times(start: float, end: float) -> Array:
    """Times at most SPACING apart, s."""
    out: Array = np.linspace(start, end, max(2, math.ceil((end - start) / SPACING) + 1))
    return out


def _line(
    trajectory: Trajectory,
    number: int,
    fight: Fight,
    to_hooked: Approach | None,
    other: int | None,
    beside: dict[int, Approach],
) -> LineFought:
    line, names = trajectory.lines[number], [one.rod.name for one in trajectory.lines]
    times = sample_times(fight.at, trajectory.scenario.duration)
    since = times - fight.at
    depth = trajectory.depth(number, times)
    height = least_heights(trajectory, line, times)
    bottom = trajectory.scenario.water.bottom
    # over level ground what is nearest to it is the deepest point
    low, _ = nearest_ground(line.nodes(times), Bottom.level(bottom.deepest))
    ground = bottom.depth_at(low[:, 0], low[:, 1])
    at = int(height.argmin())
    away = np.flatnonzero(np.abs(depth - depth[-1]) > SETTLED)
    settled = float(since[away[-1] + 1]) if len(away) else 0.0
    return LineFought(
        line.rod.name,
        float(depth[0]),
        float(depth[-1]),
        settled if settled <= since[-1] - STEADY else None,
        float(height[at]),
        float(since[at]),
        first_below(since, height, fight.needed) if fight.needed > 0.0 else None,
        first_below(since, height, TOUCHING),
        to_hooked,
        None if other is None else names[other],
        None if other is None else beside[other],
        since,
        depth,
        -low[:, 2],
        ground,
    )


def _since(gap: Approach, fight: Fight) -> Approach:
    crosses = None if gap.crosses is None else gap.crosses - fight.at
    return Approach(gap.apart, gap.time - fight.at, crosses)


def _or_never(time: float | None) -> float:
    return math.inf if time is None else time
