"""The slowest speed at which every line but the hooked one keeps clear of the ground.

Speeds are run several at a time, coarsely, from the steady tow through the slowing on; the
least that clears is then run with all lines as finely as the scenario says.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from physics.answers.fights import LONGEST_FOLLOWED, Fight, followed, fought_scenario
from physics.answers.fought import Fought, fight_fish, least_heights, sample_times
from physics.answers.together import together_or_alone
from physics.line.mesh import Resolution
from physics.progress import ProgressCallback, report_progress
from physics.simulation.advance import advance_reporting
from physics.simulation.drop_facts import TOUCHING
from physics.simulation.run import BATCH_LINES, Run
from physics.simulation.scenario import Scenario

SLOWEST = 0.5
"""No slower speed is tried, m/s: about a knot."""

AT_ONCE = 5
"""Speeds run side by side."""

TOLERANCE, COARSEST = 0.02, 2.0
RESOLUTION = Resolution(line_elements=16, leader_elements=2, grading=1.0)
"""Of the runs that search; the answer itself is run as finely as its scenario says."""

LINE_LENGTHS = 2.5
"""Over level ground a speed is followed until the boat has gone so many line lengths."""

RETRIES = 3
"""Steps up that are tried should the answer not clear when it is run finely."""

FINAL = 0.3
"""Share of the work that running the answer is taken to be."""


@dataclass(frozen=True, slots=True)
class ClearSpeed:
    """``speed`` m/s is the slowest that keeps all others clear, and ``ran`` how it went there;
    None if not even the trolling speed does. ``fouls_at`` is the next slower speed, at which one
    does not; None if the slowest that was tried clears."""

    speed: float | None
    fouls_at: float | None
    ran: Fought | None


def clear_speed(
    scenario: Scenario, fight: Fight, step: float, progress: ProgressCallback | None = None
) -> ClearSpeed:
    """Search whole ``steps``, m/s, up to the trolling speed, on all engines.

    Over a profile a speed counts only if all faster ones tried clear too: there another speed
    comes over other ground. Raises InvalidValue, ConvergenceError, Cancelled.
    """
    speeds = candidates(scenario.speed, step)
    low, high = -1, len(speeds)
    while high - low > 1:
        chosen = _spread(low, high)
        left = math.log(max(high - low, 2)) / math.log(len(speeds) + 1)
        share = (1.0 - FINAL) * (1.0 - left)
        clear = _clear(scenario, fight, [speeds[k] for k in chosen], progress, share)
        fouling = [k for k, good in zip(chosen, clear, strict=True) if not good]
        top = max(fouling, default=low)
        low, high = max(low, top), min([k for k in chosen if k > top], default=high)
    for at in range(high, min(high + RETRIES + 1, len(speeds))):
        part = None if progress is None else (lambda done: progress(1.0 - FINAL + FINAL * done))
        ran = fight_fish(scenario, _at(scenario, fight, speeds[at]), progress=part)
        if ran.clears:
            report_progress(progress, 1.0)
            return ClearSpeed(speeds[at], speeds[at - 1] if at else None, ran)
    return ClearSpeed(None, speeds[-1], None)


def candidates(fastest: float, step: float) -> list[float]:
    """Whole steps from SLOWEST up to a speed, and that speed itself, m/s, rising."""
    first = math.ceil(SLOWEST / step - 1e-9)
    last = math.floor(fastest / step + 1e-9)
    out = [k * step for k in range(first, last + 1)]
    if not out or fastest - out[-1] > 1e-6:
        out.append(fastest)
    return out


def _spread(low: int, high: int) -> list[int]:
    """Whole numbers between two, evenly spread, at most AT_ONCE."""
    inside = high - low - 1
    count = min(inside, AT_ONCE)
    return sorted({low + round((k + 1) * (inside + 1) / (count + 1)) for k in range(count)})


def _at(scenario: Scenario, fight: Fight, speed: float) -> Fight:
    """The same fight at another speed, over level ground followed until all is steady."""
    follow = followed(scenario, fight)
    if scenario.water.bottom.is_level:
        longest = max(rod.line_out for rod in scenario.rods)
        follow = min(max(follow, LINE_LENGTHS * longest / speed), LONGEST_FOLLOWED)
    return replace(fight, throttle=speed, follow=follow)


def _clear(
    scenario: Scenario,
    fight: Fight,
    speeds: Sequence[float],
    progress: ProgressCallback | None,
    share: float,
) -> list[bool]:
    """Whether all other lines clear at each speed."""
    whole = [fought_scenario(scenario, _at(scenario, fight, speed)) for speed in speeds]
    # the hooked line does nothing to the others
    rest = [rod for rod in scenario.rods if rod.name != fight.hooked]
    if not rest:
        return [True] * len(speeds)
    tried = [replace(one, rods=tuple(rest), line_orders=(), resolution=RESOLUTION) for one in whole]
    size = max(1, 2 * BATCH_LINES // len(rest))
    out: list[bool] = []
    for first in range(0, len(tried), size):
        batch = tried[first : first + size]
        # lines in a heap on the ground find no answer
        out += together_or_alone(
            lambda some: _run(some, fight, progress, share), batch, lambda _: False
        )
    return out


def _run(
    batch: Sequence[Scenario], fight: Fight, progress: ProgressCallback | None, share: float
) -> list[bool]:
    run = Run(batch, tolerance=TOLERANCE, longest=COARSEST)
    advance_reporting(run, np.array([one.duration for one in batch]), progress, share, share)
    limit = max(fight.needed, TOUCHING)
    out = []
    for k, one in enumerate(batch):
        trajectory = run.trajectory(k)
        times = sample_times(fight.at, one.duration)
        out.append(
            all(least_heights(trajectory, line, times).min() >= limit for line in trajectory.lines)
        )
    return out
