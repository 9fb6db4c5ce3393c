"""Drafts looked at more closely, run in full, and ranked by what is expected of all drops."""

from __future__ import annotations

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from itertools import compress
from typing import Any

import numpy as np

from app.gear.catalog import Catalog
from app.planning.put_out_check import Looked, Refused, verify
from app.planning.put_out_drafts import (
    Draft,
    Kind,
    best_of,
    distinct,
    flat_of,
    lengths_about,
)
from app.planning.put_out_grid import Families, PutOutRequest, at_speed, speeds_of
from app.planning.put_out_limits import OF_DROPS
from app.planning.put_out_stages import Job, Stage
from app.planning.put_out_try import try_speed
from app.scenario.known_doubt import known_doubt
from app.scenario.setup import Setup
from physics.simulation.drop_facts import TOUCHING

MOST = 3
"""Suggestions."""

COARSE_STEP, FINE_STEP = 0.75, 0.25
"""Speeds tried first, and near the best, in what the setup tells speeds in."""

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


Share = tuple[float, float]
"""From where to where of the whole work."""


def look_closer(
    request: PutOutRequest,
    catalog: Catalog,
    families: tuple[Families, ...],
    drafts: list[Draft],
    share: Share,
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
    results = yield Stage("Looking closer at the best", tuple(jobs), *share)
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


def run_in_full(
    request: PutOutRequest, catalog: Catalog, drafts: list[Draft], least: float, share: Share
) -> Generator[Stage, list[Any], tuple[list[Suggestion], list[Refused]]]:
    """The first MOST different drafts that hold when run in full and of which more than ``least``
    s of window are expected, the most first."""
    waiting = distinct(drafts, request)[:MOST_VERIFIED]
    found: list[Suggestion] = []
    refused: list[Refused] = []
    first, last = share
    while waiting and len(found) < MOST:
        some, waiting = waiting[: MOST - len(found)], waiting[MOST - len(found) :]
        jobs = tuple(Job(verify, (request, catalog, _put_out(request, draft, catalog)))
                     for draft in some)  # fmt: skip
        results = yield Stage("Running the best in full", jobs, first, last)
        first = 0.5 * (first + last)
        for draft, result in zip(some, results, strict=True):
            if isinstance(result, Refused):
                refused.append(result)
            elif result.expected > least + 0.05:
                found.append(Suggestion(draft.kind, result))
    return ranked(found), refused


def _put_out(request: PutOutRequest, draft: Draft, catalog: Catalog) -> Setup:
    """The setup with a draft out, in as much doubt as its tackle is."""
    now = request.setup
    setup = replace(at_speed(now, draft.pick.speed, catalog), rods=draft.rods)
    return replace(setup, doubt=known_doubt(setup, now, catalog))


def ranked(found: Sequence[Suggestion]) -> list[Suggestion]:
    """The MOST of which most is expected, the best first."""
    out = sorted(found, key=lambda one: -one.looked.expected)[:MOST]
    # what is longest for the numbers as they are set need not be so over all drops
    out[1:] = [replace(one, kind="free") if one.kind == "best" else one for one in out[1:]]
    return out


def touching_less(request: PutOutRequest, refused: Sequence[Refused]) -> PutOutRequest | None:
    """The request with as much more clearance as the least of those that touch too often lacks.

    None where none does.
    """
    allowed = request.setup.timing.touch_chance
    lacking = [
        TOUCHING - float(np.quantile(one.looked.chances.clearance.min(axis=1), allowed))
        for one in refused
        if one.why == "touch" and one.looked is not None and one.looked.chances is not None
    ]
    if not lacking:
        return None
    timing = request.setup.timing
    more = replace(timing, clearance=timing.clearance + max(min(lacking), TOUCHING))
    return replace(request, setup=replace(request.setup, timing=more))


def least_bad(refused: Sequence[Refused]) -> Suggestion | None:
    """The best of those that keep every wish but that a line touches too often, or lines cross."""
    near = [one.looked for one in refused if one.looked is not None and one.looked.serves]
    if not near:
        return None
    best = max(near, key=lambda looked: looked.expected)
    does = best.touches_too_often, best.crossing is not None
    return Suggestion("best", best, tuple(compress(OF_DROPS, does)))
