"""The best answer of a round where lines may come close: what is lost by them counts as in a score.

A plan knows every line by itself. Here the drop itself is run, as it would be played.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from app.drill.round import Round
from app.gear.catalog import Catalog
from app.planning.plan import Plan
from physics.answers.timing import Answer
from physics.answers.together import together_or_alone
from physics.progress import ProgressCallback
from physics.simulation.advance import advance_reporting
from physics.simulation.events import LINES_CLOSE
from physics.simulation.gaps import moving, nearer
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Order

Array = NDArray[np.float64]

CLOSE_LOOK = 0.5
"""Spacing at which lines are looked at for coming close, s."""

AT_ONCE = 8
"""Drops that are run together."""


@dataclass(frozen=True, slots=True)
class Apart:
    """A ``plan`` at the wait and hold of most points, and the pairs that come close there."""

    plan: Plan
    crossed: tuple[str, ...] = ()


def close_pairs(trajectory: Trajectory, since: float, until: float) -> tuple[str, ...]:
    """Pairs of lines that come close, but for those that were close at first."""
    time: Array = np.arange(since, until, CLOSE_LOOK)
    lines = trajectory.lines
    seen = moving([line.nodes(time) for line in lines])
    out = []
    for i, j in combinations(range(len(lines)), 2):
        near = nearer(seen[i], seen[j], LINES_CLOSE)
        if near.any() and not near[0]:
            out.append(f"{lines[i].rod.name} and {lines[j].rod.name}")
    return tuple(out)


def kept_apart(
    round_: Round,
    catalog: Catalog,
    plan: Plan,
    costs: float,
    full_marks: float,
    progress: ProgressCallback | None = None,
) -> Apart:
    """The plan with the answer of most points, each pair that comes close ``costs`` some of 100.

    The longest window there is, by ``full_marks``, is worth 100. Raises Cancelled.
    """
    answer = plan.answer
    if answer is None or len(plan.rods) < 2:
        return Apart(plan)
    (crossed,) = _crossed(round_, catalog, [(answer.wait, answer.hold)], progress)
    if not crossed:
        return Apart(plan)
    table = plan.map
    total = np.where(table.allowed(plan.request.clearance), table.total, 0.0)
    points = 100.0 * np.minimum(total / (full_marks * answer.window), 1.0)
    best, most = (answer, crossed), 100.0 - costs * len(crossed)
    rows = points.argmax(axis=0)
    columns = np.argsort(-points.max(axis=0), kind="stable").tolist()
    for first in range(0, len(columns), AT_ONCE):
        worth = [k for k in columns[first : first + AT_ONCE] if points[rows[k], k] > most]
        if not worth:
            break
        drops = [(float(table.waits[rows[k]]), float(table.holds[k])) for k in worth]
        for k, (wait, hold), pairs in zip(
            worth, drops, _crossed(round_, catalog, drops, progress), strict=True
        ):
            here = float(points[rows[k], k]) - costs * len(pairs or ())
            if pairs is not None and here > most:
                each_line = tuple(table.lifting[rows[k], k].tolist())
                best, most = (Answer(wait, hold, float(total[rows[k], k]), each_line), pairs), here
    found, crossed = best
    if found is answer:
        return Apart(plan, crossed)
    point = found.wait, found.hold
    told = replace(plan, answer=found, point=point, rods=plan.at(*point), touched=None, mends=())
    return Apart(told, crossed)


def _crossed(
    round_: Round,
    catalog: Catalog,
    drops: Sequence[tuple[float, float]],
    progress: ProgressCallback | None,
) -> list[tuple[str, ...] | None]:
    """The pairs that come close in drops of (wait, hold), s; None for one that cannot be run."""
    plain, at = round_.setup.scenario(catalog), round_.mark.time
    ordered = []
    for wait, hold in drops:
        out = at + wait
        orders = (Order(out, "out of gear"), Order(out + hold, "in gear"))
        until = round_.end_time(orders)
        ordered.append(replace(plain, orders=orders, duration=until))

    return together_or_alone(partial(_run, at=at, progress=progress), ordered, lambda _: None)


def _run(
    scenarios: Sequence[Scenario], at: float, progress: ProgressCallback | None
) -> list[tuple[str, ...] | None]:
    run = Run(scenarios)
    advance_reporting(run, np.array([one.duration for one in scenarios]), progress)
    return [close_pairs(run.trajectory(k), at, one.duration) for k, one in enumerate(scenarios)]
