"""What a person asks of a run: how deep each rod ran and fell, when, and over what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from physics.simulation.drop_facts import deepest, nearest_ground
from physics.simulation.events import AT_ONCE, Event
from physics.simulation.trajectory import Trajectory

LOOK = 0.1
"""Spacing of the look for the least height and, without a drop, the deepest point, s."""


@dataclass(frozen=True, slots=True)
class RodReport:
    """One rod's run, SI: depths and heights m, times s, pull N.

    ``after_in_gear`` is how long the lure went on sinking once back in gear,
    ``least_height`` the least height of lure or line over the bottom, ``above_mark`` how far
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
    bottom = trajectory.scenario.water.bottom
    out = []
    for number, line in enumerate(trajectory.lines):
        mine = [event for event in events if event.rod == line.rod.name]
        whole = deepest(times, trajectory.depth(number, times), trajectory.height(number, times))
        depth, when, after = whole.depth, whole.time, None
        drops = [event for event in mine if event.kind == "deepest"]
        if drops:
            drop = max(drops, key=lambda event: event.values["depth_m"])
            depth, when = drop.values["depth_m"], drop.time
            after = drop.values.get("after_in_gear_s")
        passes = [event for event in mine if event.kind == "passes the mark"]
        out.append(
            RodReport(
                name=line.rod.name,
                run_depth=trajectory.run_depth(number),
                deepest=depth,
                deepest_time=when,
                after_in_gear=after,
                least_height=min(
                    float(nearest_ground(line.nodes(times[k : k + AT_ONCE]), bottom)[1].min())
                    for k in range(0, len(times), AT_ONCE)
                ),
                above_mark=-passes[0].values["below_mark_m"] if passes else None,
                pull=float(trajectory.tension(number, times[:1])[0]),
            )
        )
    return out
