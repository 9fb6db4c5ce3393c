"""A spread looked at as the plan would: at its best under what is pinned, and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from app.gear.catalog import Catalog
from app.planning.doubts import doubt_part, doubt_rows
from app.planning.plan import HOLDS, WAITS, Plan, PlanRequest, full_answer
from app.planning.put_out_grid import PutOutRequest
from app.planning.shortfalls import Miss
from app.scenario.setup import Setup
from physics.answers.between import between
from physics.answers.chances import Chances, gathered
from physics.answers.crossings import Crossing, crossing
from physics.answers.holds import Responses
from physics.answers.put_out import Tried, choose
from physics.answers.timing import Aim, lifting_and_clearance
from physics.answers.unison import Unison, lift_moments, unison
from physics.checks import InvalidValue
from physics.line.march import ConvergenceError
from physics.progress import ProgressCallback, part_of
from physics.simulation.events import LIFTING

Array = NDArray[np.float64]

SAMPLES = 32
"""Drops with varied inputs behind how sure a suggestion is."""

PLAN_SHARE, CROSS_SHARE = 0.6, 0.75
"""Shares of the work of looking at a spread: its plan, then whether lines cross; then doubts."""


@dataclass(frozen=True, slots=True)
class Looked:
    """A spread at one (``wait``, ``hold``), s, as the plan gives it; R rods, n times.

    ``each_line`` (R,) s are the strike windows, ``clearance`` m the least of any line off the
    bottom. ``depth`` (R, n) m is of each lure against ``time`` (n,) s from out of gear,
    ``counts`` (R, n) where it is in its strike window. ``serves``: it keeps every wish and has a
    window; ``misses`` are the plan's. ``crossing`` are the first two lines that cross in the
    drop or a turn after it; ``chances`` how sure it is.
    """

    setup: Setup
    wait: float
    hold: float
    each_line: tuple[float, ...]
    clearance: float
    unison: Unison
    time: Array
    depth: Array
    counts: NDArray[np.bool_]
    mark_depth: float
    mark_band: float
    bottom: float
    serves: bool
    misses: tuple[Miss, ...] = ()
    crossing: Crossing | None = None
    chances: Chances | None = None

    @property
    def window(self) -> float:
        """The strike windows of all lines added up, s; 0 where it does not serve."""
        return sum(self.each_line) if self.serves else 0.0


Why = Literal["plan", "cross", "lost"]


@dataclass(frozen=True, slots=True)
class Refused:
    """A draft that did not hold, and ``why``: the plan refuses it, or lines cross; or no answer."""

    why: Why
    looked: Looked | None = None


def look_at(
    request: PutOutRequest, catalog: Catalog, progress: ProgressCallback | None = None
) -> Looked:
    """The request's own spread at its best under what is pinned. Raises InvalidValue, Cancelled."""
    try:
        return _look(request, request.setup, catalog, progress)
    except ConvergenceError as error:
        raise InvalidValue("spread", request.setup.name, f"lines that can be run ({error})") from (
            error
        )


def verify(
    request: PutOutRequest,
    catalog: Catalog,
    setup: Setup,
    progress: ProgressCallback | None = None,
) -> Looked | Refused:
    """A changed spread, run in full. Raises Cancelled."""
    try:
        found = _look(request, setup, catalog, progress)
    except (InvalidValue, ConvergenceError):
        return Refused("lost")
    if not found.serves:
        return Refused("plan", found)
    return Refused("cross", found) if found.crossing is not None else found


def _look(
    request: PutOutRequest, setup: Setup, catalog: Catalog, progress: ProgressCallback | None
) -> Looked:
    asked = PlanRequest(setup)
    if request.hold is not None:
        # the plan wants two; the other is only there for that
        other = request.hold + (1.0 if request.hold < 1.0 else -1.0)
        asked = replace(asked, holds=tuple(sorted((request.hold, other))))
    plan = full_answer(asked, catalog, part_of(progress, 0.0, PLAN_SHARE))
    wait_s, hold, serves = _point(request, plan)
    one = plan.paths(hold)
    lifting, clearance = lifting_and_clearance(
        one, (wait_s,), plan.situation.aim, plan.situation.bottom
    )
    known = np.isfinite(one.lure[0, 0, :, 2])
    drop = plan.situation.scenario
    crosses = crossing(drop, hold, progress=part_of(progress, PLAN_SHARE, CROSS_SHARE))
    told = part_of(progress, CROSS_SHARE, 1.0)
    rows, point = doubt_rows(asked, SAMPLES), (wait_s, hold)
    sure = gathered([doubt_part(asked, catalog, point, rows, told, holds=False)], rows)
    mark = plan.situation.aim.mark
    return Looked(
        setup=setup, wait=wait_s, hold=hold, each_line=tuple(lifting[0, 0].tolist()),
        clearance=float(clearance.min()), unison=unison(one, mark), time=one.time[known],
        depth=-one.lure[0][:, known, 2], counts=_counts(one, plan.situation.aim, wait_s)[:, known],
        mark_depth=mark.depth, mark_band=mark.band, bottom=plan.situation.depth, serves=serves,
        misses=plan.misses, crossing=crosses, chances=sure,
    )  # fmt: skip


def _counts(one: Responses, aim: Aim, wait: float) -> NDArray[np.bool_]:
    """Where (R, n) each lure lifts in the mark's band and near its place."""
    x, y, z = np.moveaxis(one.lure[0], -1, 0)
    east, north = wait * one.boat_velocity
    with np.errstate(invalid="ignore"):
        near = np.hypot(x + east, y + north) <= aim.radius
        in_band = np.abs(z + aim.mark.depth) <= aim.mark.band
        out: NDArray[np.bool_] = near & in_band & (one.rise[0] > LIFTING)
    return out


def _point(request: PutOutRequest, plan: Plan) -> tuple[float, float, bool]:
    """The best wait and hold under the pins, and whether it serves; else the plan's own."""
    waits = WAITS if request.wait is None else (request.wait,)
    holds = HOLDS if request.hold is None else (request.hold,)
    found, aim = plan.situation, plan.situation.aim
    spread = between(plan.responses, holds)
    lifting, clearance = lifting_and_clearance(spread, waits, aim, found.bottom)
    moments = lift_moments(spread, aim.mark)
    count = range(lifting.shape[2])
    tried = Tried(
        plan.request.setup.speed, np.array(waits), np.array(holds),
        tuple(lifting[..., r : r + 1] for r in count),
        tuple(clearance[..., r : r + 1] for r in count),
        tuple(moments[:, r : r + 1] for r in count),
        tuple(-np.nanmin(spread.lure[:, r : r + 1, :, 2], axis=-1) for r in count),
        tuple(np.zeros(1) for _ in count),
    )  # fmt: skip
    pick = choose(tried, aim.clearance, request.unison)
    if pick is None:
        pick_free = choose(tried, aim.clearance)
        wait_s, hold = plan.point if pick_free is None else (pick_free.wait, pick_free.hold)
        wait_s = wait_s if request.wait is None else request.wait
        return wait_s, hold if request.hold is None else request.hold, False
    return pick.wait, pick.hold, True
