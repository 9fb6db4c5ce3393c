"""Where nothing can be put out that does it: which limit stops it, and which wish to give up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from app.common.units import COLOR
from app.gear.catalog import Catalog
from app.planning.put_out_check import Looked
from app.planning.put_out_grid import PutOutRequest, RodFreedom
from app.planning.remedies import FASTEST, SLOWEST
from app.scenario.setup import LINES_OUT
from physics.answers.put_out import Tried

What = Literal["ground", "shallow", "lift", "together", "unison", "cross"]

MORE_COLORS = COLOR.to_si(5.0)
MORE_SPEED = 2.0
"""How far line and speeds are let go beyond what was allowed, to find what can be done; the
latter in what the setup tells speeds in."""


@dataclass(frozen=True, slots=True)
class Limit:
    """What stops it: of a ``rod``, or of all of them where it has no name.

    ground: a line comes within the clearance of the bottom whatever is done; at best ``by`` m
    are left. shallow: with all the line allowed the lure stays more than ``by`` m off the
    bottom, above the mark. lift: it gets there, but never lifts through the mark. together:
    each line by itself could, but not at one speed, wait and hold. unison: they could, but not
    so nearly at once. cross: what would do crosses in the drop or in a turn.
    """

    what: What
    rod: str
    by: float


def find_limits(
    request: PutOutRequest, catalog: Catalog, before: Looked, tried: Sequence[Tried]
) -> tuple[Limit, ...]:
    """What keeps every option from doing it; ``tried`` are those of all speeds."""
    clearance = request.setup.timing.clearance
    over_mark = before.bottom - before.mark_depth + before.mark_band
    out = []
    for r, rod in enumerate(request.setup.rods):
        clear = [one.clearance[r] >= clearance for one in tried]
        lifts = [one.lifting[r] > 0.0 for one in tried]
        if any(bool((a & b).any()) for a, b in zip(clear, lifts, strict=True)):
            continue
        lowest = min((float(one.clearance[r].min()) for one in tried), default=np.inf)
        if not any(bool(a.any()) for a in clear):
            most = max((float(one.clearance[r].max()) for one in tried), default=0.0)
            out.append(Limit("ground", rod.name, most))
        elif lowest > over_mark:
            out.append(Limit("shallow", rod.name, lowest))
        elif any(bool(a.any()) for a in lifts):
            left = max(
                float(np.where(up, one.clearance[r], -np.inf).max())
                for one, up in zip(tried, lifts, strict=True)
            )
            out.append(Limit("ground", rod.name, left))
        else:
            out.append(Limit("lift", rod.name, 0.0))
    if out:
        return tuple(out)
    alone = len(request.setup.rods) == 1 or request.unison is None
    return (Limit("together" if alone else "unison", "", request.unison or 0.0),)


def relaxed(request: PutOutRequest) -> Iterator[tuple[str, PutOutRequest]]:
    """The request with ever more of its wishes given up, and which: the pins first."""
    free = replace(request, unison=None)
    if request.hold is not None:
        free = replace(free, hold=None)
        yield "hold", free
    if request.wait is not None:
        free = replace(free, wait=None)
        yield "wait", free
    more = MORE_SPEED * request.setup.speed_unit.size
    speeds = request.speeds or (request.setup.speed, request.setup.speed)
    wide = max(SLOWEST, speeds[0] - more), min(FASTEST, speeds[1] + more)
    if SLOWEST <= request.setup.speed <= FASTEST:
        free = replace(free, speeds=wide)
        yield "speed", free
    rods = []
    for rod, freedom in zip(request.setup.rods, request.rods, strict=True):
        most = max(rod.on_reel, rod.line_out, freedom.most or 0.0) + MORE_COLORS
        rods.append(RodFreedom(most=min(most, LINES_OUT.high)))
    yield "line", replace(free, rods=tuple(rods))
