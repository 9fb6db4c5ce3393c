"""The timing of a drop, from a setup to an answer: how long to wait, how long to hold.

Everything here is a module's function on values that can be sent to another
process. The mark is under the sounder at t = 0; the drop is from steady tow.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor, wait
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from app.gear.catalog import Catalog
from app.planning.mends import Mend, find_mends
from app.planning.remedies import find_remedies
from app.planning.rods import RodPlan, rod_plans
from app.planning.shortfalls import Miss, Shortfall, find_misses, find_shortfalls
from app.planning.situation import PlanRequest, Situation, moved, situation
from physics.answers.between import between, joined
from physics.answers.holds import AFTER, Responses, bare, dropped, respond
from physics.answers.timing import Aim, Answer, TimingMap, best, hold_for_clearance, timing_map
from physics.answers.unison import Unison, unison
from physics.environment.current import Uniform
from physics.environment.water import Bottom, Water
from physics.line.march import ConvergenceError
from physics.line.mesh import Resolution
from physics.progress import Cancelled, ProgressCallback

OUT_STEP = 0.5
"""Holds of a boat already out of gear are told to this, s: the wait cannot make up for them."""

RUN_HOLDS = (0.0, 2.0, 4.0, 8.0, 12.0, 18.0, 24.0, 30.0, 38.0, 46.0, 54.0)
"""Holds run for a full answer, s, with the longest one; the rest lie between.

Four lines of 7 to 10 colors: every 2 s hold up to 60 s is then within 3 mm in
depth and 4 cm in place of being run itself, at every moment.
"""

SHEAR_HOLDS = (0.0, 2.0, 4.0, *(1.5 * n for n in range(4, 40)))
"""Those in a current that changes with depth: near the ground it may fade so fast that what a line
does changes at once with the hold at which it gets there. Measured over 8 to 14 m, fading as a
power law or by rows, the shortest holds are then within 0.1 s but for one in a thousand (0.14 s);
twice as far apart they are up to 0.34 s off, with RUN_HOLDS up to 1.2 s."""

FIRST_HOLDS = (0.03, 0.2, 0.5, 1.0)
"""Holds run for the first answer, as shares of the longest; the rest lie between."""

FIRST_SPACING = 4.0
"""Waits and holds of the first answer are about this far apart, s."""

FIRST_AFTER = 25.0
FIRST_TOLERANCE = 0.1
FIRST_LONGEST = 4.0
FIRST_RESOLUTION = Resolution(line_elements=8, leader_elements=2, grading=1.0)

RUNS_SHARE = 0.85
"""Share of a full answer's work that running the holds is."""


@dataclass(frozen=True, slots=True)
class Plan:
    """An answer. R rods.

    ``answer`` is the best wait and hold, ``already_out`` the best hold at wait
    0; None where no lure lifts through the mark with every line clear.
    ``point`` (wait, hold) is what ``rods`` tells about: the one chosen, or the
    best. ``reach`` (R,) is the shortest hold, s, that brings each line within
    the clearance of the bottom at the mark's depth of water, or None.
    ``coarse`` marks a first answer. All runs are over water deeper than any
    line; where a line would touch, ``touched`` (K = 1) is the point run again
    over the ground as it lies, and ``rods`` is of that.
    """

    request: PlanRequest
    situation: Situation
    responses: Responses
    map: TimingMap
    answer: Answer | None
    already_out: Answer | None
    point: tuple[float, float]
    rods: tuple[RodPlan, ...]
    reach: tuple[float | None, ...]
    shortfalls: tuple[Shortfall, ...]
    misses: tuple[Miss, ...]
    coarse: bool
    touched: Responses | None = None
    mends: tuple[Mend, ...] = ()

    def unison(self, hold: float) -> Unison:
        """How nearly at once the lures lift after a hold, s."""
        return unison(self.paths(hold), self.situation.aim.mark)

    def at(self, wait: float, hold: float) -> tuple[RodPlan, ...]:
        """What each rod does at any wait and hold up to the longest; a few ms."""
        found = self.situation
        names = [rod.name for rod in found.scenario.rods]
        return rod_plans(names, self.responses, found.bottom, found.aim, wait, hold)

    def paths(self, hold: float) -> Responses:
        """Every lure's path for one hold, K = 1; placed for a wait by wait x boat_velocity."""
        return between(self.responses, (hold,))


def first_answer(
    request: PlanRequest, catalog: Catalog, progress: ProgressCallback | None = None
) -> Plan:
    """A quick plan: four holds on coarse lines, those between interpolated, few waits.

    Against the full answer, on the demos' spreads of 1 to 4 rods: depths
    within 0.33 m (95 % within 0.17 m), shortest holds within 1 s, and a best
    wait and hold whose window is within 3 s of the best. No remedies are tried.
    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    found = situation(request, catalog)
    coarse = replace(found.scenario, resolution=FIRST_RESOLUTION)
    run = tuple(share * request.holds[-1] for share in FIRST_HOLDS)
    responses = respond(
        coarse,
        run,
        after=FIRST_AFTER if found.bottom.is_level else AFTER,
        tolerance=FIRST_TOLERANCE,
        longest=FIRST_LONGEST,
        any_ground=not found.bottom.is_level,
        progress=progress,
    )
    waits, thinned = _thinned(request.waits), _thinned(request.holds)
    holds = tuple(dict.fromkeys((*thinned, request.holds[-1])))
    return _plan(request, found, between(responses, holds), waits, coarse=True)


def _thinned(seconds: tuple[float, ...]) -> tuple[float, ...]:
    """Enough of the waits or holds for a first answer."""
    spacing = (seconds[-1] - seconds[0]) / max(len(seconds) - 1, 1)
    return seconds[:: max(1, round(FIRST_SPACING / max(spacing, 1e-9)))]


def full_answer(
    request: PlanRequest,
    catalog: Catalog,
    progress: ProgressCallback | None = None,
    executor: Executor | None = None,
) -> Plan:
    """The whole plan. With an ``executor`` the holds are run in two halves on it.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    found = situation(request, catalog)

    def report_share(share: float) -> bool:
        return progress is not None and progress(RUNS_SHARE * share)

    run = run_holds(request)
    if executor is None:
        responses = respond_part(found, run, report_share)
    else:
        parts = [executor.submit(respond_part, found, half) for half in halves(run)]
        waiting = set(parts)
        while waiting:
            waiting = wait(waiting, timeout=0.1).not_done
            if report_share((len(parts) - len(waiting)) / len(parts)):
                for part in waiting:
                    part.cancel()
                raise Cancelled
        responses = joined([part.result() for part in parts])
    return finish(request, catalog, responses, progress)


def run_holds(request: PlanRequest) -> tuple[float, ...]:
    """The holds a full answer runs, s: the request's own where those are few."""
    run = holds_to_run(request.setup.water, request.holds[-1])
    return request.holds if len(request.holds) <= len(run) else run


def holds_to_run(
    water: Water,
    longest: float,
    usual: Sequence[float] = RUN_HOLDS,
    sheared: Sequence[float] = SHEAR_HOLDS,
) -> tuple[float, ...]:
    """The holds from which all others up to the ``longest``, s, can be told.

    ``usual`` are those that do where the current is the same at every depth, ``sheared`` elsewhere.
    """
    chosen = usual if isinstance(water.profile, Uniform) else sheared
    return (*(hold for hold in chosen if hold < longest - 1.0), longest)


def halves(holds: tuple[float, ...]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """The holds in two parts of about the same work."""
    middle = (len(holds) + 1) // 2
    return holds[:middle], holds[middle:]


def respond_part(
    found: Situation, holds: tuple[float, ...], progress: ProgressCallback | None = None
) -> Responses:
    """Some of the ``run_holds``, for ``finish`` once they are joined.

    Raises ConvergenceError, Cancelled.
    """
    any_ground = not found.bottom.is_level
    return respond(found.scenario, holds, any_ground=any_ground, progress=progress)


def finish(
    request: PlanRequest,
    catalog: Catalog,
    responses: Responses,
    progress: ProgressCallback | None = None,
) -> Plan:
    """A full plan from its ``run_holds``, run already. ``progress`` hears the last of the work.

    Responses may be those of another request with the same situation's scenario, made for any
    ground (``along``) where this one's is not level.
    Raises InvalidValue, Cancelled.
    """
    found = situation(request, catalog)

    def report_share(part: float, share: float) -> bool:
        return progress is not None and progress(
            RUNS_SHARE + (1.0 - RUNS_SHARE) * (part + 0.5 * share)
        )

    if found.bottom.is_level:
        responses = replace(responses, along=None)
    spread = between(responses, request.holds)
    plan = _plan(request, found, spread, request.waits, coarse=False)
    if any(rod.touches for rod in plan.rods):
        plan = _as_it_touches(plan, partial(report_share, 0.0))
    plan = replace(plan, mends=_mends(plan, catalog))
    rods = [short.number for short in plan.shortfalls]
    if not rods:
        return plan
    to = found.depth - request.clearance
    cures = find_remedies(
        request.setup, catalog, rods, to, request.holds[-1], partial(report_share, 0.5)
    )
    shortfalls = tuple(replace(s, remedies=cures[s.number], tried=True) for s in plan.shortfalls)
    return replace(plan, shortfalls=shortfalls)


def _mends(plan: Plan, catalog: Catalog) -> tuple[Mend, ...]:
    """What would have the lures lift more nearly at once, at the plan's own answer."""
    if plan.answer is None:
        return ()
    found, point = plan.situation, (plan.answer.wait, plan.answer.hold)
    return find_mends(
        plan.request.setup, catalog, found.scenario, found.aim, found.bottom, plan.responses,
        plan.map, point,
    )  # fmt: skip


def _as_it_touches(plan: Plan, progress: ProgressCallback) -> Plan:
    """The plan with its own point run over the ground as it lies."""
    found, (wait_s, hold) = plan.situation, plan.point
    boat_velocity = plan.responses.boat_velocity
    try:
        there = bare(found.scenario, bottom=moved(found.bottom, boat_velocity * wait_s))
        touched = dropped(there, hold, progress=progress)
    except ConvergenceError:
        return plan
    names = [rod.name for rod in found.scenario.rods]
    rods = rod_plans(names, touched, found.bottom, found.aim, wait_s, hold)
    return replace(plan, rods=rods, touched=touched)


def _plan(
    request: PlanRequest,
    found: Situation,
    responses: Responses,
    waits: tuple[float, ...],
    coarse: bool,
) -> Plan:
    aim, bottom = found.aim, found.bottom
    table = timing_map(responses, waits, aim, bottom)
    answer = best(table, aim.clearance)
    point = request.chosen or _point_of(answer, table, aim.clearance)
    here = table
    if not bottom.is_level:
        here = timing_map(responses, (0.0,), aim, Bottom.level(found.depth))
    rods = found.scenario.rods
    reach = tuple(hold_for_clearance(here, number, aim.clearance) for number in range(len(rods)))
    return Plan(
        request, found, responses, table, answer,
        _already_out(responses, table, aim, bottom, coarse) if waits[0] == 0.0 else None,
        point, rod_plans([rod.name for rod in rods], responses, bottom, aim, *point), reach,
        find_shortfalls(rods, here, responses, reach),
        find_misses(rods, table, responses, aim), coarse,
    )  # fmt: skip


def _already_out(
    responses: Responses, table: TimingMap, aim: Aim, bottom: Bottom, coarse: bool
) -> Answer | None:
    """The best hold at wait 0, to OUT_STEP: there a whole second may be most of the window."""
    if not coarse:
        holds = np.arange(table.holds[0], table.holds[-1] + 1e-9, OUT_STEP)
        table = timing_map(between(responses, holds.tolist()), (0.0,), aim, bottom)
    return best(table, aim.clearance, wait=0.0)


def _point_of(answer: Answer | None, table: TimingMap, clearance: float) -> tuple[float, float]:
    """The answer; or, when there is none, the longest hold that keeps clear at the first wait."""
    if answer is not None:
        return answer.wait, answer.hold
    clear = np.flatnonzero(table.allowed(clearance)[0])
    hold = table.holds[clear[-1]] if len(clear) else table.holds[0]
    return float(table.waits[0]), float(hold)
