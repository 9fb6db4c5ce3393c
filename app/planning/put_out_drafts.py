"""The best of what was tried, freely and under some restraints, as drafts to run in full."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from app.common.units import COLOR
from app.planning.put_out_grid import Families, PutOutRequest, RodFreedom
from app.scenario.setup import RodSetup, Setup
from physics.answers.put_out import Mask, Pick, Tried, choose
from physics.progress import ProgressCallback, report_progress

NEAR_COLORS = 2
"""How many half colors about a first choice are looked at again."""

DIFFERENT = 0.5
"""Colors, or units of speed, by which suggestions differ at the least."""

Kind = Literal["best", "speed", "lines", "tackle", "one", "other", "free"]


@dataclass(frozen=True, slots=True)
class Draft:
    """A choice not run in full yet: rods at a speed, and the kind of restraint it is best under."""

    kind: Kind
    rods: tuple[RodSetup, ...]
    pick: Pick


def flat_of(families: Families) -> list[RodSetup]:
    """The options in the order in which a pick numbers them."""
    return [one for family in families for one in family]


def best_drafts(
    request: PutOutRequest,
    families: tuple[Families, ...],
    tried: dict[float, Tried],
    progress: ProgressCallback | None = None,
) -> list[Draft]:
    """The best of all that was tried, and the best under some restraints, longest window first."""
    now, flat = request.setup.rods, [flat_of(own) for own in families]
    same = [np.array([one == now[r] for one in own]) for r, own in enumerate(flat)]
    tackle = [
        np.array([(one.lure, one.leader) == (now[r].lure, now[r].leader) for one in own])
        for r, own in enumerate(flat)
    ]
    wishes: list[tuple[Kind, list[float], list[Mask] | None]] = [("best", list(tried), None)]
    own_speed = [speed for speed in tried if speed == request.setup.speed]
    if len(tried) > 1:
        wishes.append(("speed", own_speed, None))
        wishes.append(("lines", list(tried), same))
    if not all(mask.all() for mask in tackle):
        wishes.append(("tackle", list(tried), tackle))
    if len(now) > 1:
        anything = [np.ones(len(own), dtype=bool) for own in flat]
        for r in range(len(now)):
            masks = [anything[i] if i == r else same[i] for i in range(len(now))]
            wishes.append(("one", own_speed or list(tried), masks))
    out: list[Draft] = []
    for n, (kind, speeds, allowed) in enumerate(wishes):
        report_progress(progress, n / len(wishes))
        out += best_of(request, flat, [tried[s] for s in speeds], kind, allowed)
    if out and len(tried) > 1:
        apart = request.setup.speed_unit.to_si(DIFFERENT) - 1e-9
        far = [one for one in tried.values() if abs(one.speed - out[0].pick.speed) >= apart]
        out += best_of(request, flat, far, "other", None)
    return sorted(out, key=lambda draft: -draft.pick.window)


def best_of(
    request: PutOutRequest, flat: list[list[RodSetup]], tried: Sequence[Tried], kind: Kind,
    masks: list[Mask] | None,
) -> list[Draft]:  # fmt: skip
    """The best of some speeds, if there is any."""
    clearance, now = request.setup.timing.clearance, request.setup.speed
    picks = [choose(one, clearance, request.unison, masks) for one in tried]
    found = [pick for pick in picks if pick is not None]
    if not found:
        return []
    best = max(found, key=lambda pick: (round(pick.window, 2), -abs(pick.speed - now)))
    rods = tuple(flat[r][o] for r, o in enumerate(best.options))
    return [Draft(kind, rods, best)]


def lengths_about(
    now: RodSetup, freedom: RodFreedom, chosen: RodSetup, families: Families, kind: Kind
) -> Families:
    """A few lengths about the one chosen, with its tackle, other leaders allowed, and as now."""
    if kind == "lines":
        return ((now,),)
    near: list[tuple[RodSetup, ...]] = []
    for family in families:
        if chosen in family:
            at = family.index(chosen)
            near.append(family[max(0, at - NEAR_COLORS) : at + NEAR_COLORS + 1])
    if now.sections is None and kind != "tackle":
        ties = dict.fromkeys((now.leader, *freedom.leaders))
        near += [
            tuple(replace(one, leader=leader) for one in near[0])
            for leader in ties
            if leader != chosen.leader
        ]
    if not any(now in family for family in near):
        near.append((now,))
    return tuple(near)


def distinct(drafts: Sequence[Draft], request: PutOutRequest) -> list[Draft]:
    """Drafts that differ from every one before them."""
    out: list[Draft] = []
    for draft in drafts:
        if all(_differ(draft, other, request.setup) for other in out):
            out.append(draft)
    return out


def _differ(one: Draft, other: Draft, setup: Setup) -> bool:
    """Whether somebody would call these two different things to put out."""
    unit = setup.speed_unit
    if abs(unit.from_si(one.pick.speed - other.pick.speed)) >= DIFFERENT - 1e-9:
        return True
    for a, b in zip(one.rods, other.rods, strict=True):
        if (a.lure, a.leader) != (b.lure, b.leader):
            return True
        # half a color on one line is no other suggestion
        if abs(a.line_out - b.line_out) > COLOR.to_si(DIFFERENT) + 1e-6:
            return True
    return False
