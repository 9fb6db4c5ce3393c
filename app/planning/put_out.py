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
from app.planning.put_out_check import Looked, Refused, look_at
from app.planning.put_out_drafts import Draft, best_drafts, distinct
from app.planning.put_out_full import (
    COARSE_STEP,
    MOST,
    Share,
    Suggestion,
    least_bad,
    look_closer,
    ranked,
    run_in_full,
    touching_less,
)
from app.planning.put_out_grid import Families, PutOutRequest, families_of, speeds_of
from app.planning.put_out_limits import OF_DROPS, Limit, find_limits, relaxed
from app.planning.put_out_stages import Job, Stage, run_stage
from app.planning.put_out_try import try_speed
from app.planning.situation import PlanRequest, situation
from app.scenario.setup import RodSetup
from physics.answers.put_out import Tried
from physics.progress import ProgressCallback

MOST_FAMILIES = 90
"""Families of lines, all rods and speeds together, that are run with every hold."""

LOOSER = (1.5, 2.0, 3.0, 5.0)
"""Where nothing lifts so nearly at once, so many times as far apart is tried."""

MOST_GIVEN_UP = 4
"""How many wishes are given up, one after another, until something holds when run in full."""

SHORTLIST = 2
"""Lures kept of each rod beside its own where there are too many to run."""


@dataclass(frozen=True, slots=True)
class PutOut:
    """The answer. ``before`` is the present spread at its best under the same pins.

    ``suggestions`` keep every wish and are better than it if it does, longest expected window
    first. Without any, ``limits`` say what stops it, and ``nearest`` is the nearest thing that can
    be done; both are empty where what is out is already the best that was found to keep every
    wish. ``refused`` are drafts that were not good enough when run in full, and why.
    """

    request: PutOutRequest
    before: Looked
    suggestions: tuple[Suggestion, ...]
    limits: tuple[Limit, ...] = ()
    nearest: Suggestion | None = None
    refused: tuple[Refused, ...] = ()

    @property
    def kept(self) -> bool:
        """Whether what is out now keeps every wish, speed and line within what is asked too."""
        setup = self.before.setup
        low, high = self.request.speeds or (setup.speed, setup.speed)
        within = all(
            not freedom.colors or freedom.most is None or rod.line_out <= freedom.most
            for rod, freedom in zip(setup.rods, self.request.rods, strict=True)
        )
        return self.before.keeps_every_wish and low - 1e-9 <= setup.speed <= high + 1e-9 and within


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
    now = PutOut(request, before, ())
    if not drafts and now.kept:
        return now
    if not drafts:
        limits = find_limits(request, before, list(known.values()))
        nearest, refused = yield from _nearest(
            request, request, catalog, families, known, limits, (0.4, 1.0)
        )
        return replace(now, limits=limits, nearest=nearest, refused=tuple(refused))
    finer = yield from look_closer(request, catalog, families, drafts, (0.4, 0.5))
    # what breaks a wish is nothing to beat
    least = before.expected if now.kept else 0.0
    found, refused = yield from run_in_full(request, catalog, finer, least, (0.5, 0.75))
    safer = touching_less(request, refused)
    if safer is not None and len(found) < MOST:
        (drafts,) = yield Stage(
            "Choosing what touches less", (Job(best_drafts, (safer, families, known)),), 0.75, 0.75
        )
        more_drafts = yield from look_closer(safer, catalog, families, drafts, (0.75, 0.8))
        new = distinct([*finer, *more_drafts], request)[len(distinct(finer, request)) :]
        more, worse = yield from run_in_full(request, catalog, new, least, (0.8, 0.9))
        found, refused = ranked([*found, *more]), [*refused, *worse]
    if found or now.kept:
        return replace(now, suggestions=tuple(found), refused=tuple(refused))
    nearest = least_bad(refused)
    stops = () if nearest is None else nearest.gives_up
    limits = tuple(Limit(what, "", 0.0) for what in OF_DROPS if what in stops)
    if safer is not None:
        # a lure that is not lost is worth more than any other wish
        other, worse = yield from _nearest(
            request, safer, catalog, families, known, limits, (0.9, 1.0)
        )
        nearest = nearest if other is None or "touch" in other.gives_up else other
        refused += worse
    return replace(now, limits=limits, nearest=nearest, refused=tuple(refused))


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


def _nearest(
    request: PutOutRequest,
    stricter: PutOutRequest,
    catalog: Catalog,
    families: tuple[Families, ...],
    tried: dict[float, Tried],
    limits: Sequence[Limit],
    share: Share,
) -> Generator[Stage, list[Any], tuple[Suggestion | None, list[Refused]]]:
    """The best with the first wish given up that lets something be done, run in full.

    Drafts keep to the ``stricter`` request, which may ask for more clearance.
    """
    begin, last = share

    def part() -> Share:
        nonlocal begin
        first, begin = begin, 0.5 * (begin + last)
        return first, begin

    waiting: list[tuple[str, PutOutRequest, list[Draft]]] = []
    if stricter.unison is not None:
        loose = [replace(stricter, unison=times * stricter.unison) for times in LOOSER]
        loose.append(replace(stricter, unison=None))
        jobs = tuple(Job(best_drafts, (one, families, tried)) for one in loose)
        results = yield Stage("Looking for what can be done", jobs, *part())
        notes = ["together" if one.unison is None else "unison" for one in loose]
        waiting = [one for one in zip(notes, loose, results, strict=True) if one[2]]
    wider = relaxed(stricter, limits)
    fallback, refused = None, list[Refused]()
    for _ in range(MOST_GIVEN_UP):
        while not waiting:
            following = next(wider, None)
            if following is None:
                return fallback, refused
            drafts = yield from _drafts_of(following[1], catalog, part())
            waiting += [(*following, drafts)] if drafts else []
        note, other, drafts = waiting.pop(0)
        own = replace(other, setup=request.setup)
        found, worse = yield from run_in_full(own, catalog, drafts, 0.0, part())
        refused += worse
        best = found[0] if found else least_bad(worse)
        if best is not None:
            best = replace(best, gives_up=(note, *best.gives_up))
        if found:
            return best, refused
        fallback = fallback or best
    return fallback, refused


def _drafts_of(
    request: PutOutRequest, catalog: Catalog, share: Share
) -> Generator[Stage, list[Any], list[Draft]]:
    """The best of a request with the tackle as it is."""
    families = tuple(
        families_of(rod, freedom, lures=(), leaders=())
        for rod, freedom in zip(request.setup.rods, request.rods, strict=True)
    )
    speeds = speeds_of(request, COARSE_STEP)
    jobs = tuple(Job(try_speed, (request, catalog, speed, families)) for speed in speeds)
    results = yield Stage("Looking for what can be done", jobs, *share)
    known = {one.speed: one for one in results if one is not None}
    choosing = Job(best_drafts, (request, families, known))
    drafts: list[Draft]
    (drafts,) = yield Stage("Choosing", (choosing,), share[1], share[1])
    return drafts
