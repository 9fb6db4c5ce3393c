"""What a person asks of a run: how deep each rod ran and fell, when, and over what.

Depends on: physics.events, physics.trajectory.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.events import Event
from physics.trajectory import Trajectory

LOOK = 0.1
"""Spacing of the look for the least height and, without a drop, the deepest point, s."""


@dataclass(frozen=True, slots=True)
class RodReport:
    """One rod's run, SI: depths and heights m, times s, pull N.

    ``after_in_gear`` is how long the lure went on sinking once back in gear,
    ``least_height`` its least height over the bottom, ``above_mark`` how far
    over the mark's depth it passed the mark's place (negative below), ``pull``
    the line's in the steady tow. None where the run has no such thing.
    """

    name: str
    run_depth: float
    deepest: float
    deepest_time: float
    after_in_gear: float | None
    least_height: float
    above_mark: float | None
    pull: float


def report(trajectory: Trajectory, events: Sequence[Event]) -> list[RodReport]:
    """A report for each rod; of several drops the deepest one counts."""
    end = min(trajectory.end, trajectory.scenario.duration)
    times = np.linspace(trajectory.start, end, int((end - trajectory.start) / LOOK) + 2)
    out = []
    for number, line in enumerate(trajectory.lines):
        mine = [event for event in events if event.rod == line.rod.name]
        depths = trajectory.depth(number, times)
        at = int(depths.argmax())
        deepest, when, after = float(depths[at]), float(times[at]), None
        drops = [event for event in mine if event.kind == "deepest"]
        if drops:
            drop = max(drops, key=lambda event: event.values["depth_m"])
            deepest, when = drop.values["depth_m"], drop.time
            after = drop.values.get("after_in_gear_s")
        passes = [event for event in mine if event.kind == "passes the mark"]
        out.append(
            RodReport(
                name=line.rod.name,
                run_depth=trajectory.run_depth(number),
                deepest=deepest,
                deepest_time=when,
                after_in_gear=after,
                least_height=_least_height(trajectory, number, times),
                above_mark=-passes[0].values["below_mark_m"] if passes else None,
                pull=float(trajectory.tension(number, times[:1])[0]),
            )
        )
    return out


def _least_height(trajectory: Trajectory, number: int, times: NDArray[np.float64]) -> float:
    """Least height of the lure's lower end over the bottom, m."""
    ends = trajectory.lines[number].nodes(times)[:, :, -2:]
    ground = trajectory.scenario.water.bottom.depth_at(ends[:, 0], ends[:, 1])
    return float((ends[:, 2] + ground).min())
