"""What candidates do, each by itself: falling alone, dropped on a line, and towed.

Everything here is a module's function on values that can be sent to another
process. All of it is in still water deeper than any line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.answers.run_depths import DEEP, TowDepths, tow_depths
from physics.answers.sink import Fall, free_falls
from physics.answers.together import together_or_alone
from physics.environment.water import Water
from physics.line.tackle import Lure, Rod
from physics.progress import ProgressCallback, report_progress
from physics.simulation.advance import advance_reporting
from physics.simulation.drop_facts import deepest, sinks_on
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario, cut_for_orders
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Boat, Order

Array = NDArray[np.float64]

TOLERANCE, LONGEST = 0.01, 4.0
"""The stepper's, m and s. On the usual lines of a run (its elements are not coarsened) every
depth of a drop is within 6 mm of the finer steps of ``simulate``, and costs a third less."""

AFTER = 75.0
"""Seconds a drop is followed after in gear."""

SPACING = 0.1
"""Spacing of a drop's samples, s."""

FALL_SECONDS = 15.0
"""A free fall is followed for this long: long past its terminal rate."""

BACK = 0.1
"""A lure is lifted once this share of the depth it gained is left."""

MOST_TOWED = 8
"""Lines towed in one batch between two progress reports."""


@dataclass(frozen=True, slots=True)
class Failed:
    """Something that could not be computed, and why."""

    why: str


def _failed(error: Exception) -> Failed:
    return Failed(str(error))


@dataclass(frozen=True, slots=True)
class Drop:
    """One line's drop. Out of gear at t = 0, from steady tow, in gear again after ``hold`` s.

    ``time`` (n,) s; ``depth`` (n,) m of the lure; ``tension`` (n,) N at the tip.
    """

    hold: float
    time: Array
    depth: Array
    tension: Array

    @property
    def run_depth(self) -> float:
        """Depth in the steady tow before, m."""
        return float(self.depth[0])

    @property
    def gained(self) -> float:
        """Depth gained in the hold, m; negative for a lure that rose."""
        return float(np.interp(self.hold, self.time, self.depth)) - self.run_depth

    @property
    def deepest(self) -> tuple[float, float]:
        """When it is deepest, s, and how deep, m."""
        found = deepest(self.time, self.depth)
        return found.time, found.depth

    @property
    def dropped(self) -> bool:
        """Whether it got deeper at all."""
        return self.sinks_on is not None

    @property
    def sinks_on(self) -> float | None:
        """Seconds it goes on sinking once in gear; None if it did not drop."""
        return sinks_on(deepest(self.time, self.depth), self.run_depth, self.hold)

    @property
    def lift_time(self) -> float | None:
        """Seconds from deepest until a tenth of what it gained is left; None if not seen."""
        if not self.dropped:
            return None
        when, deepest = self.deepest
        limit = self.run_depth + BACK * (deepest - self.run_depth)
        late = np.flatnonzero((self.time > when) & (self.depth <= limit))
        if not len(late):
            return None
        return _crossing(self.time, self.depth, int(late[0]), limit) - when

    def seconds_to(self, depth: float) -> float | None:
        """Seconds out of gear until it is ``depth`` m down; 0 if it runs there; None if never."""
        down = np.flatnonzero(self.depth >= depth)
        if not len(down):
            return None
        return _crossing(self.time, self.depth, int(down[0]), depth)

    @property
    def pull(self) -> float:
        """Pull at the tip in the steady tow before, N."""
        return float(self.tension[0])

    @property
    def least_pull(self) -> float:
        """Least pull at the tip in the drop, N."""
        return float(self.tension.min())


def _crossing(time: Array, value: Array, at: int, level: float) -> float:
    """When a sampled value crosses a level just before sample ``at``, s."""
    if at == 0:
        return float(time[0])
    low, high = float(value[at - 1]), float(value[at])
    return float(time[at - 1] + (level - low) / (high - low) * (time[at] - time[at - 1]))


def still(water: Water) -> Water:
    """The water without current, wind, or a bottom within reach."""
    return water.still(DEEP)


def falls(
    lures: Sequence[Lure], water: Water, progress: ProgressCallback | None = None
) -> list[Fall | Failed]:
    """Free falls of lures alone, in one batch. Raises Cancelled."""
    report_progress(progress, 0.0)
    return together_or_alone(
        lambda some: free_falls(some, still(water), FALL_SECONDS), lures, _failed
    )


def drops(
    rods: Sequence[Rod], water: Water, boat: Boat, speed: float, hold: float,
    progress: ProgressCallback | None = None,
) -> list[Drop | Failed]:  # fmt: skip
    """The same drop for each rod, from steady tow at ``speed`` m/s, ``hold`` s out of gear.

    Raises Cancelled.
    """
    return together_or_alone(
        lambda some: [
            _drop(made, hold)
            for made in _trajectories(some, still(water), boat, speed, hold, progress)
        ],
        rods,
        _failed,
    )


def scenario(rod: Rod, water: Water, boat: Boat, speed: float, hold: float) -> Scenario:
    """The drop of one rod as a scenario: out of gear at once. Raises InvalidValue."""
    orders = (Order(0.0, "out of gear"), Order(hold, "in gear"))
    return cut_for_orders(
        Scenario("drop", still(water), boat, (rod,), speed, orders=orders, duration=hold + AFTER)
    )


def _trajectories(
    rods: Sequence[Rod],
    water: Water,
    boat: Boat,
    speed: float,
    hold: float,
    progress: ProgressCallback | None,
) -> list[Trajectory]:
    run = Run(
        [scenario(rod, water, boat, speed, hold) for rod in rods],
        tolerance=TOLERANCE,
        longest=LONGEST,
    )
    advance_reporting(run, hold + AFTER, progress)
    return [run.trajectory(k) for k in range(len(rods))]


def _drop(trajectory: Trajectory, hold: float) -> Drop:
    count = round((hold + AFTER) / SPACING) + 1
    time: Array = np.linspace(0.0, hold + AFTER, count)
    return Drop(hold, time, trajectory.depth(0, time), trajectory.tension(0, time))


def tows(
    rods: Sequence[Rod],
    water: Water,
    speeds: Sequence[float],
    progress: ProgressCallback | None = None,
) -> list[TowDepths | Failed]:
    """Run depths by speed and length of line; each rod with its longest. Raises Cancelled."""
    found: list[TowDepths | Failed] = []
    for first in range(0, len(rods), MOST_TOWED):
        report_progress(progress, first / len(rods))
        some = rods[first : first + MOST_TOWED]
        found += together_or_alone(lambda part: tow_depths(part, water, speeds), some, _failed)
    return found
