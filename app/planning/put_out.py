"""What to put out for this mark: the search, from what may change to a few suggestions.

The work is cut into jobs that know nothing of each other, so that whoever drives it may run
them side by side: ``search`` yields them, stage after stage, and is sent what they gave.
"""

from __future__ import annotations

from collections.abc import Generator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from app.gear.catalog import Catalog
from app.planning.plan import PlanRequest, situation
from app.planning.put_out_check import Looked, Refused, look_at, verify
from app.planning.put_out_drafts import (
    Draft,
    Kind,
    best_drafts,
    best_of,
    distinct,
    flat_of,
    lengths_about,
)
from app.planning.put_out_grid import (
    Families,
    PutOutRequest,
    at_speed,
    families_of,
    speeds_of,
)
from app.planning.put_out_limits import Limit, find_limits, relaxed
from app.planning.put_out_stages import Job, Stage, run_stage
from app.planning.put_out_try import try_speed
from app.scenario.setup import RodSetup
from physics.answers.put_out import Tried
from physics.progress import ProgressCallback

MOST = 3
"""Suggestions."""

COARSE_STEP, FINE_STEP = 0.75, 0.25
"""Speeds tried first, and near the best, in what the setup tells speeds in."""

MOST_FAMILIES = 90
"""Families of lines, all rods and speeds together, that are run with every hold."""

LOOSER = (1.5, 2.0, 3.0, 5.0)
"""Where nothing lifts so nearly at once, so many times as far apart is tried."""

SHORTLIST = 2
"""Lures kept of each rod beside its own where there are too many to run."""


MOST_VERIFIED = 8
"""Drafts that are tried in full before it is given up."""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What may be put out instead; ``looked`` is its drop as the plan gives it.

    ``kind`` says what it is best of: ``best`` of all, at the ``speed`` or with the ``lines`` or
    the ``tackle`` of now, with ``one`` rod changed, at some ``other`` speed, or ``free``: of all
    for the numbers as they are set, but not over all drops. ``gives_up``
    names the wishes that it does not keep.
    """

    kind: Kind
    looked: Looked
    gives_up: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PutOut:
    """The answer. ``before`` is the present spread at its best under the same pins.

    ``suggestions`` keep every wish and are better than it, longest expected window first. Without
    any, ``limits`` say what stops it, and ``nearest`` is the nearest thing that can be done; both
    are empty where what is out is already the best that was found. ``refused`` are drafts that
    were not good enough when run in full, and why.
    """

    request: PutOutRequest
    before: Looked
    suggestions: tuple[Suggestion, ...]
    limits: tuple[Limit, ...] = ()
    nearest: Suggestion | None = None
    refused: tuple[Refused, ...] = ()


Search = Generator[Stage, list[Any], PutOut]


def put_out(
    request: PutOutRequest,
    catalog: Catalog,
    progress: ProgressCallback | None = None,
    executor: Executor | None = None,
) -> PutOut:
    """Run the whole search, the jobs of a stage side by side where there is an ``executor``.

    Raises InvalidValue, Cancelled.
    """
    going, results = search(request, catalog), None
    while True:
        try:
            stage = next(going) if results is None else going.send(results)
        except StopIteration as done:
            found: PutOut = done.value
            return found
        results = run_stage(stage, progress, executor)


def search(request: PutOutRequest, catalog: Catalog) -> Search:
    """The stages of the work, each sent its jobs' results in order. Raises InvalidValue."""
    request.check(catalog)
    situation(PlanRequest(request.setup), catalog)
    coarse = speeds_of(request, COARSE_STEP)
    families = yield from _shortlisted(request, catalog, coarse)
    jobs = [Job(look_at, (request, catalog))]
    jobs += [Job(try_speed, (request, catalog, speed, families)) for speed in coarse]
    before, *tried = yield Stage("Trying what may be put out", tuple(jobs), 0.1, 0.4)
    known = {one.speed: one for one in tried if one is not None}
    (drafts,) = yield Stage("Choosing", (Job(best_drafts, (request, families, known)),), 0.4, 0.4)
    if not drafts:
        limits = find_limits(request, before, list(known.values()))
        drafts, note = yield from _nearest(request, catalog, families, known, limits)
        if not drafts:
            return PutOut(request, before, (), limits)
        loose = loosened(request, note)
        found, refused = yield from _verified(loose, catalog, drafts, 0.0, 0.7)
        nearest = found[0] if found else _crossing(refused)
        if nearest is not None:
            nearest = replace(nearest, gives_up=(note, *nearest.gives_up))
        return PutOut(request, before, (), limits, nearest, tuple(refused))
    finer = yield from _finer(request, catalog, families, drafts)
    found, refused = yield from _verified(request, catalog, finer, before.expected, 0.55)
    if found or not refused:
        return PutOut(request, before, tuple(found), refused=tuple(refused))
    nearest = _crossing(refused)
    limits = () if nearest is None else (Limit("cross", "", 0.0),)
    return PutOut(request, before, (), limits, nearest, tuple(refused))


def _crossing(refused: Sequence[Refused]) -> Suggestion | None:
    """The best of those that keep every wish but that lines cross."""
    crossed = [one.looked for one in refused if one.why == "cross" and one.looked is not None]
    if not crossed:
        return None
    return Suggestion("best", max(crossed, key=lambda looked: looked.expected), ("cross",))


def _shortlisted(
    request: PutOutRequest, catalog: Catalog, speeds: Sequence[float]
) -> Generator[Stage, list[Any], tuple[Families, ...]]:
    """The families of each rod; where there are too many, of each only the lures that do most."""
    pairs = list(zip(request.setup.rods, request.rods, strict=True))
    every = tuple(families_of(rod, freedom) for rod, freedom in pairs)
    if sum(map(len, every)) * len(speeds) <= MOST_FAMILIES:
        return every
    every = tuple(families_of(rod, freedom, leaders=()) for rod, freedom in pairs)
    if sum(map(len, every)) * len(speeds) <= MOST_FAMILIES:
        return every
    few = sorted({speeds[0], speeds[len(speeds) // 2], speeds[-1]})
    thin = tuple(tuple(_thinned(family) for family in own) for own in every)
    jobs = tuple(Job(try_speed, (request, catalog, speed, thin)) for speed in few)
    found = yield Stage("Trying the lures", jobs, 0.0, 0.1)
    tried = [one for one in found if one is not None]
    clearance = request.setup.timing.clearance
    out = []
    for r, (rod, freedom) in enumerate(pairs):
        worth: dict[str, float] = {}
        lures = [one.lure for family in thin[r] for one in family]
        for one in tried:
            good = np.where(one.clearance[r] >= clearance, one.lifting[r], 0.0).max(axis=(0, 1))
            for lure, value in zip(lures, good, strict=True):
                if isinstance(lure, str) and lure != rod.lure:
                    worth[lure] = max(worth.get(lure, 0.0), float(value))
        best = sorted(worth, key=lambda lure: -worth[lure])[:SHORTLIST]
        out.append(families_of(rod, freedom, lures=best, leaders=()))
    return tuple(out)


def _thinned(family: tuple[RodSetup, ...]) -> tuple[RodSetup, ...]:
    at = np.linspace(0, len(family) - 1, min(4, len(family))).round().astype(int)
    return tuple(family[k] for k in dict.fromkeys(at.tolist()))


def _finer(
    request: PutOutRequest, catalog: Catalog, families: tuple[Families, ...], drafts: list[Draft]
) -> Generator[Stage, list[Any], list[Draft]]:
    """The drafts looked at again: speeds, lines, waits and holds between those tried first."""
    fine = speeds_of(request, FINE_STEP)
    step = request.setup.speed_unit.to_si(0.5 * COARSE_STEP) + 1e-9
    jobs, of = [], []
    for draft in distinct(drafts, request):
        near = [draft.pick.speed]
        if draft.kind == "best":
            near = [speed for speed in fine if abs(speed - draft.pick.speed) <= step]
        own = tuple(
            lengths_about(request.setup.rods[r], request.rods[r], one, families[r], draft.kind)
            for r, one in enumerate(draft.rods)
        )
        if draft.kind == "one":
            own = tuple(
                ((now,),) if now == one else about
                for now, one, about in zip(request.setup.rods, draft.rods, own, strict=True)
            )
        for speed in near:
            about = draft.pick.wait, draft.pick.hold
            jobs.append(Job(try_speed, (request, catalog, speed, own, about)))
            of.append((draft, own))
    results = yield Stage("Looking closer at the best", tuple(jobs), 0.4, 0.55)
    out: dict[int, Draft] = {}
    for (draft, own), tried in zip(of, results, strict=True):
        if tried is None:
            continue
        flat = [flat_of(families) for families in own]
        for better in best_of(request, flat, [tried], draft.kind, None):
            other = out.get(id(draft))
            if other is None or better.pick.window > other.pick.window + 0.05:
                out[id(draft)] = better
    return sorted(out.values(), key=lambda draft: -draft.pick.window)


# ---- run in full


def _verified(
    request: PutOutRequest,
    catalog: Catalog,
    drafts: list[Draft],
    least: float,
    first: float,
) -> Generator[Stage, list[Any], tuple[list[Suggestion], list[Refused]]]:
    """The first MOST different drafts that hold when run in full and of which more than ``least``
    s of window are expected, the most first."""
    waiting = distinct(drafts, request)[:MOST_VERIFIED]
    found: list[Suggestion] = []
    refused: list[Refused] = []
    while waiting and len(found) < MOST:
        some, waiting = waiting[: MOST - len(found)], waiting[MOST - len(found) :]
        jobs = tuple(
            Job(verify, (request, catalog, replace(
                at_speed(request.setup, draft.pick.speed, catalog), rods=draft.rods)))
            for draft in some
        )  # fmt: skip
        results = yield Stage("Running the best in full", jobs, first, 1.0)
        first = 0.5 * (first + 1.0)
        for draft, result in zip(some, results, strict=True):
            if isinstance(result, Refused):
                refused.append(result)
            elif result.expected > least + 0.05:
                found.append(Suggestion(draft.kind, result))
    found = sorted(found, key=lambda one: -one.looked.expected)
    # what is longest for the numbers as they are set need not be so over all drops
    found[1:] = [replace(one, kind="free") if one.kind == "best" else one for one in found[1:]]
    return found, refused


def loosened(request: PutOutRequest, note: str) -> PutOutRequest:
    """The request without the wishes that a note says are given up."""
    free = replace(request, unison=None)
    if note in ("unison", "together"):
        return free
    free = replace(free, hold=None)
    return free if note == "hold" else replace(free, wait=None)


def _nearest(
    request: PutOutRequest,
    catalog: Catalog,
    families: tuple[Families, ...],
    tried: dict[float, Tried],
    limits: Sequence[Limit],
) -> Generator[Stage, list[Any], tuple[list[Draft], str]]:
    """The first wish that can be given up so that something can be done, and what then."""
    if request.unison is not None:
        loose = [replace(request, unison=times * request.unison) for times in LOOSER]
        loose.append(replace(request, unison=None))
        jobs = tuple(Job(best_drafts, (one, families, tried)) for one in loose)
        results = yield Stage("Looking for what can be done", jobs, 0.4, 0.5)
        for one, drafts in zip(loose, results, strict=True):
            if drafts:
                return drafts, "together" if one.unison is None else "unison"
    for note, other in relaxed(request, limits):
        speeds = speeds_of(other, COARSE_STEP)
        wider = tuple(
            families_of(rod, freedom, lures=(), leaders=())
            for rod, freedom in zip(other.setup.rods, other.rods, strict=True)
        )
        jobs = tuple(Job(try_speed, (other, catalog, speed, wider)) for speed in speeds)
        results = yield Stage("Looking for what can be done", jobs, 0.5, 0.7)
        known = {one.speed: one for one in results if one is not None}
        (drafts,) = yield Stage("Choosing", (Job(best_drafts, (other, wider, known)),), 0.7, 0.7)
        if drafts:
            return drafts, note
    return [], ""
