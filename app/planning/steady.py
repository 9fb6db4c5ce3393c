"""The steady answer of a plan: the wait and hold that are right most often, and what matters.

Found in parts that run side by side, as how sure a plan is (``certainty``), over the same
samples. The table of all waits and holds is of drops over deep water; what is told of the exact
and of the steady answer comes from the drops themselves over the ground as it lies, the very
samples that the bands at those points are of.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from app.gear.catalog import Catalog
from app.planning.doubts import DOUBT_RESOLUTION, doubt_part, doubt_rows, in_doubt
from app.planning.plan import Plan
from app.planning.situation import PlanRequest, situation
from physics.answers.chances import Chances, gathered
from physics.answers.doubt import INPUTS
from physics.answers.steady import (
    Drops,
    Expected,
    SteadyAnswer,
    SteadySearch,
    all_drops,
    drop_samples,
    steadiest,
)
from physics.answers.worth import Worth, worth_of
from physics.progress import ProgressCallback, part_of
from physics.simulation.drop_facts import TOUCHING

SPARE = 1.2
"""How much longer than those that let a line of the spread touch holds are tried, as a share and
for each share of doubt: with the usual doubts nine samples of ten touch there."""

FINE_STEP, FINE_FROM = 0.5, 0.4
"""Near the answer waits and holds are told apart to this, s: from this share of the longest hold
that keeps the clearance, as many as have a window there."""

POINTS_SHARE = 0.3
"""Share of the work that the drops at the two answers are."""


@dataclass(frozen=True, slots=True)
class SteadyPlan:
    """What is unsure of a plan taken into account.

    ``expected`` is of the plan's waits and holds, and ``fine`` of those about the answers between
    them too, in which the steady one is looked for; ``allowed`` the chance of touching that may be;
    ``exact`` what is expected of the plan's own answer and ``answer`` of the steady one, or
    None where there is none. ``drops`` is how many samples tell so. ``worth`` is what knowing
    an input would buy.
    """

    expected: Expected
    fine: Expected
    allowed: float
    drops: int
    exact: SteadyAnswer | None
    answer: SteadyAnswer | None
    worth: Worth

    def at(self, wait: float, hold: float) -> SteadyAnswer:
        """What is expected of a wait and hold, s: of the answers what is told of them."""
        for one in (self.answer, self.exact):
            if one is not None and (one.wait, one.hold) == (wait, hold):
                return one
        return self.fine.at(wait, hold)

    @property
    def same(self) -> bool:
        """Whether both answers are one wait and hold."""
        here = [(a.wait, a.hold) for a in (self.exact, self.answer) if a is not None]
        return len(here) == 2 and here[0] == here[1]


def steady_holds(plan: Plan) -> tuple[float, ...]:
    """The plan's holds up to where nearly every sample touches at any wait."""
    holds = plan.request.holds
    touching = (plan.map.clearance.min(axis=2) < TOUCHING).all(axis=0)
    if not touching.any():
        return holds
    doubt = plan.request.setup.doubt
    # how far a lure swings changes depths by a tenth of its own doubt
    total = float(np.linalg.norm([getattr(doubt, n) for n in INPUTS if n != "lure_swing"]))
    longest = float(plan.map.holds[touching.argmax()]) * (1.0 + SPARE * total)
    count = int(np.searchsorted(holds, longest)) + 1
    return holds[: max(count, 2)]


Grid = tuple[tuple[float, ...], tuple[float, ...]]
"""Waits and holds, rising, s."""


def steady_grid(plan: Plan) -> Grid:
    """The plan's waits, its ``steady_holds``, and those between about the answers."""
    waits, holds = plan.request.waits, steady_holds(plan)
    good = plan.map.allowed(plan.request.clearance) & (plan.map.total > 0.0)
    if not good.any():
        return waits, holds
    longest = float(plan.map.holds[good.any(axis=0)].max())
    some = plan.map.waits[good[:, plan.map.holds >= FINE_FROM * longest].any(axis=1)]
    return (
        _with_between(waits, float(some.min()), float(some.max())),
        _with_between(holds, FINE_FROM * longest, longest),
    )


def _with_between(seconds: tuple[float, ...], first: float, last: float) -> tuple[float, ...]:
    """Also those of FINE_STEP from ``first`` to ``last``."""
    count = np.arange(np.ceil(first / FINE_STEP), np.floor(last / FINE_STEP) + 1)
    return tuple(np.union1d(np.round(seconds, 6), np.round(FINE_STEP * count, 6)).tolist())


def steady_part(
    request: PlanRequest,
    catalog: Catalog,
    grid: Grid,
    number: int,
    parts: int,
    count: int = 64,
    progress: ProgressCallback | None = None,
) -> Drops:
    """Part ``number`` of ``parts`` of ``count`` samples at all waits and holds of a ``grid``.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    rows = np.array_split(doubt_rows(request, count), parts)[number]
    return steady_drops(request, catalog, grid, rows, progress)


def steady_drops(
    request: PlanRequest,
    catalog: Catalog,
    grid: Grid,
    rows: NDArray[np.float64],
    progress: ProgressCallback | None = None,
) -> Drops:
    """What some ``rows`` (S, inputs) do at all waits and holds of a ``grid``.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    found = situation(request, catalog)
    coarse = replace(found.scenario, resolution=DOUBT_RESOLUTION)
    return drop_samples(SteadySearch(coarse, found.bottom, found.aim, *grid), rows, progress)


def steady_of(plan: Plan, parts: Sequence[Drops]) -> SteadyPlan:
    """The whole from all parts in order; of both answers as the table has them."""
    drops = all_drops(parts)
    table = drops.at(plan.map.waits, plan.map.holds)
    out = SteadyPlan(
        Expected.of(table), Expected.of(drops), plan.request.setup.timing.touch_chance,
        len(drops.rows), None, None, worth_of(drops.rows, table.worth),
    )  # fmt: skip
    return allowing(plan, out, out.allowed)


def sure_already(plan: Plan) -> SteadyPlan:
    """Where nothing is in doubt the plan's answer is the steady one, and always right."""
    table = plan.map
    touches = table.clearance.min(axis=2) < TOUCHING
    none = np.zeros_like(table.total)
    window = np.where(touches, 0.0, table.total)
    expected = Expected(table.waits, table.holds, window, none, touches.astype(float), none)
    answer = plan.answer
    told = None if answer is None else expected.at(answer.wait, answer.hold)
    nothing = np.zeros((2, len(INPUTS)))
    worth = Worth(0.0 if answer is None else answer.window, *nothing)
    allowed = plan.request.setup.timing.touch_chance
    return SteadyPlan(expected, expected, allowed, 1, told, told, worth)


def allowing(plan: Plan, found: SteadyPlan, allowed: float, below: float = np.inf) -> SteadyPlan:
    """With another chance allowed, both answers as the table has them; holds ``below``, s, alone.

    The steady answer keeps the clearance with the numbers as they are set, as the exact one does.
    """
    fine, exact = found.fine, None
    answer = steadiest(fine, allowed, _clear(plan, fine) & (fine.holds < below))
    if plan.answer is not None:
        exact = fine.at(plan.answer.wait, plan.answer.hold)
    return replace(found, allowed=allowed, exact=exact, answer=answer)


def _clear(plan: Plan, fine: Expected) -> NDArray[np.bool_]:
    """Where (W, K) the plan's waits and holds on all sides keep the clearance."""
    clear = plan.map.allowed(plan.request.clearance)
    out = np.ones((len(fine.waits), len(fine.holds)), dtype=bool)
    w, k = (
        (np.searchsorted(whole, some + 1e-6) - 1, np.searchsorted(whole, some - 1e-6))
        for whole, some in ((plan.map.waits, fine.waits), (plan.map.holds, fine.holds))
    )
    for row in w:
        for column in k:
            out &= clear[row][:, column]
    return out


def seen(found: Chances, wait: float, hold: float) -> SteadyAnswer:
    """What the drops at a wait and hold, s, themselves say of it."""
    return SteadyAnswer(
        wait, hold, found.expected, found.expected_error, found.any_touch, found.any_touch_error
    )


def taken_in(plan: Plan, found: SteadyPlan, sure: Chances, wait: float, hold: float) -> SteadyPlan:
    """With what the drops at a wait and hold, s, say, where that is one of the answers.

    A steady answer that they say touches more than is allowed makes way for one with a
    shorter hold.
    """
    told = seen(sure, wait, hold)
    if found.exact is not None and (found.exact.wait, found.exact.hold) == (wait, hold):
        found = replace(found, exact=told)
    if found.answer is None or (found.answer.wait, found.answer.hold) != (wait, hold):
        return found
    if told.touch > found.allowed + 1e-9:
        return replace(allowing(plan, found, found.allowed, hold), exact=found.exact)
    return replace(found, answer=told)


def steady_plan(
    plan: Plan, catalog: Catalog, progress: ProgressCallback | None = None, count: int = 64
) -> SteadyPlan:
    """All of it, here. Raises InvalidValue, ConvergenceError, Cancelled."""
    request = plan.request
    if not in_doubt(request.setup.doubt):
        return sure_already(plan)
    told = part_of(progress, 0.0, 1.0 - POINTS_SHARE)
    part = steady_part(request, catalog, steady_grid(plan), 0, 1, count, told)
    found = steady_of(plan, [part])
    done: set[tuple[float, float]] = set()
    while waiting := [p for p in points(found) if p not in done]:
        told = part_of(progress, 1.0 - POINTS_SHARE, 1.0)
        done.add(waiting[0])
        found = taken_in(plan, found, sure_at(request, catalog, waiting[0], count, told),
                         *waiting[0])  # fmt: skip
    return found


def points(found: SteadyPlan) -> list[tuple[float, float]]:
    """The waits and holds, s, that drops are run for."""
    here = [(a.wait, a.hold) for a in (found.exact, found.answer) if a is not None]
    return list(dict.fromkeys(here))


def sure_at(
    request: PlanRequest,
    catalog: Catalog,
    point: tuple[float, float],
    count: int = 64,
    progress: ProgressCallback | None = None,
) -> Chances:
    """The drops at a (wait, hold), s, without the shortest holds.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    rows = doubt_rows(request, count)
    part = doubt_part(request, catalog, point, rows, progress, holds=False)
    return gathered([part], rows)


def touch_limit(expected: Expected, allowed: float) -> NDArray[np.float64]:
    """The longest hold of each wait (W,) whose chance of touching is ``allowed`` at most, s.

    Between holds told apart as their chances rise; NaN where none is.
    """
    out = np.full(len(expected.waits), np.nan)
    for w, chance in enumerate(expected.touch):
        beyond = np.flatnonzero(chance > allowed + 1e-9)
        k = int(beyond[0]) if len(beyond) else len(chance)
        if k == len(chance):
            out[w] = expected.holds[-1]
        elif k > 0:
            out[w] = np.interp(allowed, chance[k - 1 : k + 1], expected.holds[k - 1 : k + 1])
    return out
