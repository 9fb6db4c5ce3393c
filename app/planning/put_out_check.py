"""A spread looked at as the plan would: at its best under what is pinned, and how sure it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from app.gear.catalog import Catalog
from app.planning.doubts import DOUBT_RESOLUTION, doubt_part, doubt_rows, in_doubt
from app.planning.plan import Plan, full_answer
from app.planning.put_out_grid import PutOutRequest
from app.planning.shortfalls import Miss
from app.planning.situation import HOLDS, WAITS, PlanRequest
from app.scenario.setup import Setup
from physics.answers.between import between
from physics.answers.chances import Chances, gathered
from physics.answers.crossings import Crossing, crossing
from physics.answers.holds import Responses
from physics.answers.put_out import Tried, choose
from physics.answers.steady import (
    Expected,
    SteadyAnswer,
    SteadySearch,
    drop_samples,
    steadiest,
)
from physics.answers.timing import Aim, lifting_and_clearance
from physics.answers.unison import Unison, lift_moments, unison
from physics.checks import InvalidValue
from physics.line.march import ConvergenceError
from physics.progress import ProgressCallback, part_of
from physics.simulation.events import LIFTING

Array = NDArray[np.float64]

SAMPLES = 32
"""Drops with varied inputs behind how sure a suggestion is."""

TRIES = 3
"""How often a shorter hold is taken where the drops themselves touch more often than the table of
all waits and holds says."""

LEAST_HOLD = 0.4
"""No hold of less than this share of the longest that serves is right most often."""

PLAN_SHARE, STEADY_SHARE, DROPS_SHARE = 0.5, 0.75, 0.9
"""Shares of the work of looking at a spread: its plan, what is right most often, how sure that is;
then whether lines cross."""


@dataclass(frozen=True, slots=True)
class Looked:
    """A spread at one (``wait``, ``hold``), s, as the plan gives it; R rods, n times.

    They are those right most often, where anything is in doubt and some touch so rarely as may
    be; else the best for the numbers as they are set. Where none serves the lures may lift however
    far apart.
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

    @property
    def touches_too_often(self) -> bool:
        """Whether a line touches in more of all drops than may be."""
        if self.chances is None or not in_doubt(self.setup.doubt):
            return False
        return self.chances.any_touch > self.setup.timing.touch_chance + 1e-9

    @property
    def keeps_every_wish(self) -> bool:
        """Whether it serves, touches no more often than may be, and has no lines that cross."""
        return self.serves and not self.touches_too_often and self.crossing is None

    @property
    def expected(self) -> float:
        """The window expected, s: of all drops, one that touches having none; else ``window``."""
        if self.chances is None or not self.serves or not in_doubt(self.setup.doubt):
            return self.window
        return self.chances.expected


Why = Literal["plan", "touch", "cross", "lost"]


@dataclass(frozen=True, slots=True)
class Refused:
    """A draft that did not hold, and ``why``: the plan refuses it, a line touches more often than
    may be, or lines cross; or no answer."""

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
    if found.touches_too_often:
        return Refused("touch", found)
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
    tried = _tried(request, plan)
    wait_s, hold, serves = _point(request, plan, tried)
    rows = doubt_rows(asked, SAMPLES)

    def drops(point: tuple[float, float]) -> Chances:
        told = part_of(progress, STEADY_SHARE, DROPS_SHARE)
        return gathered([doubt_part(asked, catalog, point, rows, told, holds=False)], rows)

    sure = None
    if in_doubt(setup.doubt):
        own = _serving(tried, plan.situation.aim.clearance, request.unison if serves else None)
        told = part_of(progress, PLAN_SHARE, STEADY_SHARE)
        for steady in _steady_points(plan, tried, own, rows, told):
            found = drops((steady.wait, steady.hold))
            if found.any_touch <= setup.timing.touch_chance + 1e-9:
                wait_s, hold, sure = steady.wait, steady.hold, found
                break
    sure = drops((wait_s, hold)) if sure is None else sure
    one = plan.paths(hold)
    lifting, clearance = lifting_and_clearance(
        one, (wait_s,), plan.situation.aim, plan.situation.bottom
    )
    known = np.isfinite(one.lure[0, 0, :, 2])
    drop = plan.situation.scenario
    crosses = crossing(drop, hold, progress=part_of(progress, DROPS_SHARE, 1.0))
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


def _tried(request: PutOutRequest, plan: Plan) -> Tried:
    """The plan's spread, each rod's only option, at all waits and holds under the pins."""
    waits = WAITS if request.wait is None else (request.wait,)
    holds = HOLDS if request.hold is None else (request.hold,)
    found, aim = plan.situation, plan.situation.aim
    spread = between(plan.responses, holds)
    lifting, clearance = lifting_and_clearance(spread, waits, aim, found.bottom)
    moments = lift_moments(spread, aim.mark)
    count = range(lifting.shape[2])
    return Tried(
        plan.request.setup.speed, np.array(waits), np.array(holds),
        tuple(lifting[..., r : r + 1] for r in count),
        tuple(clearance[..., r : r + 1] for r in count),
        tuple(moments[:, r : r + 1] for r in count),
        tuple(-np.nanmin(spread.lure[:, r : r + 1, :, 2], axis=-1) for r in count),
        tuple(np.zeros(1) for _ in count),
    )  # fmt: skip


def _point(request: PutOutRequest, plan: Plan, tried: Tried) -> tuple[float, float, bool]:
    """The best wait and hold under the pins, and whether it serves; else the plan's own."""
    clearance = plan.situation.aim.clearance
    pick = choose(tried, clearance, request.unison)
    if pick is None:
        pick_free = choose(tried, clearance)
        wait_s, hold = plan.point if pick_free is None else (pick_free.wait, pick_free.hold)
        wait_s = wait_s if request.wait is None else request.wait
        return wait_s, hold if request.hold is None else request.hold, False
    return pick.wait, pick.hold, True


def _steady_points(
    plan: Plan,
    tried: Tried,
    own: NDArray[np.bool_],
    rows: Array,
    progress: ProgressCallback | None,
) -> Iterator[SteadyAnswer]:
    """What is right most often of the waits and holds that are ``own`` (W, K), then with ever
    shorter holds. Raises Cancelled."""
    if not own.any():
        return
    found, holds = plan.situation, own.any(axis=0)
    longest = float(tried.holds[holds].max())
    holds &= tried.holds >= LEAST_HOLD * longest
    waits = own[:, holds].any(axis=1)
    search = SteadySearch(
        replace(found.scenario, resolution=DOUBT_RESOLUTION), found.bottom, found.aim,
        tuple(tried.waits[waits].tolist()), tuple(tried.holds[holds].tolist()),
    )  # fmt: skip
    expected = Expected.of(drop_samples(search, rows, progress))
    allowed, may_be = plan.request.setup.timing.touch_chance, own[np.ix_(waits, holds)]
    for _ in range(TRIES):
        steady = steadiest(expected, allowed, may_be)
        if steady is None:
            return
        yield steady
        may_be &= expected.holds < steady.hold


def _serving(tried: Tried, clearance: float, unison: float | None) -> NDArray[np.bool_]:
    """Where (W, K) a spread keeps every wish: each rod of it has but one option."""
    lifting = np.concatenate(tried.lifting, axis=2)
    low: Array = np.concatenate(tried.clearance, axis=2).min(axis=2)
    clear: NDArray[np.bool_] = low >= clearance
    if unison is None:
        return clear & (lifting > 0.0).any(axis=2)
    moments = np.concatenate(tried.moments, axis=1)
    apart: Array = moments.max(axis=1) - moments.min(axis=1)
    together: NDArray[np.bool_] = apart <= unison
    return clear & together & (lifting > 0.0).all(axis=2)
