"""Where nothing can be put out that does it: which limit stops it, and which wish to give up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from app.common.units import COLOR
from app.planning.put_out_check import Looked
from app.planning.put_out_grid import PutOutRequest, RodFreedom
from app.planning.remedies import FASTEST, SLOWEST
from app.scenario.setup import LINES_OUT
from physics.answers.put_out import Tried

OfDrops = Literal["touch", "cross"]
"""What is seen of a spread only once it is run in full."""

OF_DROPS: tuple[OfDrops, ...] = ("touch", "cross")

What = Literal["ground", "shallow", "aside", "place", "lift", "together", "unison"] | OfDrops

MORE_COLORS = COLOR.to_si(5.0)
MORE_SPEED = 2.0
"""How far line and speeds are let go beyond what was allowed, to find what can be done; the
latter in what the setup tells speeds in."""


@dataclass(frozen=True, slots=True)
class Limit:
    """What stops it: of a ``rod``, or of all of them where it has no name.

    ground: a line comes within the clearance of the bottom whatever is done; at best ``by`` m
    are left. shallow: with all the line allowed the lure stays ``by`` m above the mark. aside:
    it passes ``by`` m to that ``side`` of the mark. place: it lifts through the mark's depths, but
    not at its place. lift: it gets there, but never lifts through
    the mark. together: each line by itself could, but not at one speed, wait and hold. unison:
    they could, but not so nearly at once. touch: what would do touches in more drops than may be.
    cross: it crosses in the drop or in a turn.
    """

    what: What
    rod: str
    by: float
    side: str = ""


def find_limits(
    request: PutOutRequest, before: Looked, tried: Sequence[Tried]
) -> tuple[Limit, ...]:
    """What keeps every option from doing it; ``tried`` are those of all speeds."""
    clearance = request.setup.timing.clearance
    out = []
    aside = {miss.rod: miss for miss in before.misses if miss.why == "aside"}
    for r, rod in enumerate(request.setup.rods):
        clear = [one.clearance[r] >= clearance for one in tried]
        lifts = [one.lifting[r] > 0.0 for one in tried]
        if any(bool((a & b).any()) for a, b in zip(clear, lifts, strict=True)):
            continue
        if rod.name in aside:
            miss = aside[rod.name]
            out.append(Limit("aside", rod.name, miss.by, miss.side))
            continue
        deepest = max((float(one.deepest[r].max()) for one in tried), default=0.0)
        if not any(bool(a.any()) for a in clear):
            most = max((float(one.clearance[r].max()) for one in tried), default=0.0)
            out.append(Limit("ground", rod.name, most))
        elif deepest < before.mark_depth - before.mark_band:
            out.append(Limit("shallow", rod.name, before.mark_depth - deepest))
        elif any(np.isfinite(one.moments[r]).any() for one in tried):
            # what fouls is not measured, but it does come up through the mark's depth
            left = max(
                float(np.where(np.isfinite(one.moments[r]), one.clearance[r], -np.inf).max())
                for one in tried
            )
            out.append(Limit("ground" if left < clearance else "place", rod.name, left))
        else:
            out.append(Limit("lift", rod.name, 0.0))
    if out:
        return tuple(out)
    alone = len(request.setup.rods) == 1 or request.unison is None
    return (Limit("together" if alone else "unison", "", request.unison or 0.0),)


def relaxed(request: PutOutRequest, limits: Sequence[Limit]) -> Iterator[tuple[str, PutOutRequest]]:
    """The request with ever more of its wishes given up, and which: the pins first.

    What would not help against the ``limits`` is left out.
    """
    what = {limit.what for limit in limits}
    free = replace(request, unison=None)
    if request.hold is not None:
        free = replace(free, hold=None)
        yield "hold", free
    if request.wait is not None:
        free = replace(free, wait=None)
        yield "wait", free
    if what & {"aside", "place", "lift"}:
        return
    if SLOWEST <= request.setup.speed <= FASTEST:
        more = MORE_SPEED * request.setup.speed_unit.size
        low, high = request.speeds or (request.setup.speed, request.setup.speed)
        free = replace(free, speeds=(max(SLOWEST, low - more), min(FASTEST, high + more)))
        yield "speed", free
    if "shallow" in what:
        rods = []
        for rod, freedom in zip(request.setup.rods, request.rods, strict=True):
            most = max(rod.on_reel, rod.line_out, freedom.most or 0.0) + MORE_COLORS
            rods.append(RodFreedom(most=min(most, LINES_OUT.high)))
        yield "line", replace(free, rods=tuple(rods))
