"""The best that can be made of a drill: where to go out of gear, how long to hold, what it wins.

Depends on: catalog, planning, setup; physics.between, physics.boat, physics.drop, physics.holds,
physics.march, physics.scenario, physics.timing, physics.water.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from app.catalog import Catalog
from app.planning import (
    FIRST_LONGEST,
    FIRST_RESOLUTION,
    FIRST_TOLERANCE,
    Plan,
    PlanRequest,
    moved,
    situation,
)
from app.setup import Setup
from physics.between import between
from physics.boat import Order
from physics.drop import BATCH_LINES, Run
from physics.holds import SPACING, Responses, Tell, carry, lowest, respond
from physics.march import LONGEST, TOLERANCE
from physics.scenario import Scenario
from physics.timing import Aim, Answer, best, timing_map
from physics.water import Bottom

Array = NDArray[np.float64]

AFTER = 45.0
"""Drops are followed this long after in gear, s: a long line on one engine takes that long
to come to the mark."""

WAITS = tuple(1.0 * n for n in range(46))
HOLDS = tuple(1.0 * n for n in range(1, 46))
COARSE_HOLDS = (1.0, 5.0, 12.0, 24.0, 45.0)
"""Looked at first for a spread in steady tow, s; the last are run on coarse lines."""

NEAR_HOLDS = (-4.0, -1.5, 1.5, 4.0)
"""Run about the best hold on the usual lines, s from it."""

FINER = 0.25
"""Spacing of the last look around the best wait and hold, s."""

AROUND = 1.5
"""How far around it, s."""

ENGINE_WAITS = (0.0, 5.0, 10.0, 15.0)
ENGINE_HOLDS = (1.0, 6.0, 13.0, 22.0)
"""Run for a boat that has just gone to one engine, s; waits between lie on the nearest of them."""


@dataclass(frozen=True, slots=True)
class Best:
    """The wait after the mark and the hold, s, and the strike window of all lures together, s.

    Every line keeps the setup's clearance off the bottom.
    """

    wait: float
    hold: float
    window: float


def best_of_plan(plan: Plan) -> Best | None:
    """The plan's answer, looked at again in quarter seconds around it; None if it has none.

    The plan knows of no order but out of gear and in gear.
    """
    if plan.answer is None:
        return None
    found = plan.situation
    return _finest(plan.responses, found.aim, found.bottom, plan.answer)


def best_of(
    setup: Setup, catalog: Catalog, one_engine_at: float | None = None, tell: Tell | None = None
) -> Best | None:
    """The best wait and hold for a setup with a mark; None if no lure lifts through it.

    A plan starts from steady tow. With ``one_engine_at`` s the boat is still
    slowing down at the mark, so waits and holds are run with that order
    instead. Raises Unusable, march.Stuck, holds.Stopped.
    """
    if one_engine_at is not None:
        return _best_slowed(setup, catalog, tell)
    found = situation(PlanRequest(setup), catalog)
    coarse = replace(found.scenario, resolution=FIRST_RESOLUTION)
    rough = respond(
        coarse, COARSE_HOLDS, after=AFTER, tolerance=FIRST_TOLERANCE, longest=FIRST_LONGEST,
        tell=tell,
    )  # fmt: skip
    aim, bottom = found.aim, found.bottom
    answer = best(timing_map(between(rough, HOLDS), WAITS, aim, bottom), aim.clearance)
    if answer is None:
        return None
    run = _near(answer.hold, NEAR_HOLDS)
    responses = respond(found.scenario, run, after=AFTER, tell=tell)
    holds = tuple(float(h) for h in np.arange(run[0], run[-1] + 1e-9, 0.5))
    answer = best(timing_map(between(responses, holds), WAITS, aim, bottom), aim.clearance)
    return None if answer is None else _finest(responses, aim, bottom, answer)


def _near(hold: float, steps: Sequence[float]) -> tuple[float, ...]:
    return tuple(sorted({max(hold + step, 0.0) for step in steps}))


def _around(middle: float, most: float = np.inf) -> tuple[float, ...]:
    steps = np.arange(-AROUND, AROUND + 1e-9, FINER)
    return tuple(float(t) for t in middle + steps if 0.0 <= t <= most)


def _finest(responses: Responses, aim: Aim, bottom: Bottom, answer: Answer) -> Best | None:
    holds = _around(answer.hold, float(responses.holds[-1]))
    table = timing_map(between(responses, holds), _around(answer.wait), aim, bottom)
    finer = best(table, aim.clearance)
    return None if finer is None else Best(finer.wait, finer.hold, finer.window)


def slowed(setup: Setup, catalog: Catalog) -> tuple[Scenario, Aim, Bottom]:
    """What is run for a boat under the setup's own orders: over water deeper than any line.

    With it the aim and the bottom, its origin at the mark's place. Raises Unusable.
    """
    found = situation(PlanRequest(setup), catalog)
    own = setup.scenario(catalog)
    assert own.mark is not None
    here = own.track().at(own.mark.time)
    straight = np.array(found.scenario.track().at(-1.0).velocity) * own.mark.time
    # the plan laid the ground from where full speed up to the mark would have brought her
    bottom = moved(found.bottom, np.array([here.x, here.y]) - straight)
    scenario = replace(found.scenario, orders=setup.orders, mark=own.mark)
    return scenario, found.aim, bottom


def respond_slowed(
    scenario: Scenario,
    waits: Sequence[float],
    holds: Sequence[float],
    *,
    tolerance: float = TOLERANCE,
    longest: float = LONGEST,
    tell: Tell | None = None,
) -> list[Responses]:
    """Responses to the holds, rising, s, for each of the waits, rising, s, under its own orders.

    Each is placed so that adding its own wait x way puts it where it was from
    the mark's place; near that wait it is moved with the boat's way there.
    Raises march.Stuck, holds.Stopped.
    """
    assert scenario.mark is not None
    mark = scenario.mark.time
    stem = Run([scenario], tolerance=tolerance, longest=longest)
    pairs: list[tuple[Run, float, float]] = []
    for wait in waits:
        stem.advance(max(mark + wait - longest, 0.0))
        start = stem.branch()
        start.advance_exactly(mark + wait)
        pairs += [(start, wait, hold) for hold in holds]
    size = max(1, BATCH_LINES // len(scenario.rods))
    time: Array = np.arange(0.0, holds[-1] + AFTER + 1e-9, SPACING)
    here = stem.boat(mark)
    origin = np.array([here.x, here.y, 0.0])
    lure = np.full((len(pairs), len(scenario.rods), len(time), 3), np.nan)
    low, way = np.full_like(lure, np.nan), np.zeros((len(pairs), 2))
    for first in range(0, len(pairs), size):
        part = pairs[first : first + size]
        fan = stem.fan([start for start, _, _ in part])
        for k, (start, wait, hold) in enumerate(part):
            way[first + k] = start.boat(mark + wait).velocity
            fan.order(Order(mark + wait, "out of gear"), k)
            fan.order(Order(mark + wait + hold, "in gear"), k)
        ends = np.array([mark + wait + hold + AFTER for _, wait, hold in part])
        shares = first / len(pairs), (first + len(part)) / len(pairs)
        carry(fan, ends, tell, *shares)
        for k, (_, wait, hold) in enumerate(part):
            known = time <= hold + AFTER
            back = origin + wait * np.array([*way[first + k], 0.0])
            for j, line in enumerate(fan.trajectory(k).lines):
                at = mark + wait + time[known]
                lure[first + k, j, known] = line.lure(at) - back
                low[first + k, j, known] = lowest(line.nodes(at)) - back
    n = len(holds)
    return [
        Responses(np.asarray(holds, dtype=float), time, lure[n * w : n * w + n],
                  low[n * w : n * w + n], way[n * w])
        for w in range(len(waits))
    ]  # fmt: skip


def best_answer(
    rows: Sequence[Responses],
    waits: Sequence[float],
    holds: Sequence[float],
    aim: Aim,
    bottom: Bottom,
) -> Answer | None:
    """The best over rows run for some waits, each serving the waits nearest to it, s."""
    answers = []
    reach = 0.5 * float(np.max(np.diff(waits))) if len(waits) > 1 else AROUND
    for wait, row in zip(waits, rows, strict=True):
        near = [float(t) for t in wait + np.arange(-reach, reach + 1e-9, 0.5) if t >= 0.0]
        table = timing_map(between(row, holds), near, aim, bottom)
        if (found := best(table, aim.clearance)) is not None:
            answers.append(found)
    return max(answers, key=lambda found: found.window, default=None)


def _best_slowed(setup: Setup, catalog: Catalog, tell: Tell | None) -> Best | None:
    scenario, aim, bottom = slowed(setup, catalog)
    coarse = replace(scenario, resolution=FIRST_RESOLUTION)
    rows = respond_slowed(
        coarse, ENGINE_WAITS, ENGINE_HOLDS,
        tolerance=FIRST_TOLERANCE, longest=FIRST_LONGEST, tell=tell,
    )  # fmt: skip
    holds = tuple(float(h) for h in np.arange(ENGINE_HOLDS[0], ENGINE_HOLDS[-1] + 0.5))
    near = best_answer(rows, ENGINE_WAITS, holds, aim, bottom)
    for _ in range(2):
        # coarse lines are a few inches off: again with the usual ones, at that very wait
        if near is None:
            return None
        wait, few = near.wait, _near(near.hold, (-2.0, 0.0, 2.0))
        (row,) = respond_slowed(scenario, (wait,), few, tell=tell)
        fine = _around(near.hold, few[-1])
        near = best(timing_map(between(row, fine), _around(wait), aim, bottom), aim.clearance)
        if near is not None and near.wait == wait:
            break
    return None if near is None else Best(near.wait, near.hold, near.window)
