"""The one change that would have the lures lift most nearly at once: line on one rod, or hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.common.units import COLOR
from app.gear.catalog import Catalog
from app.planning.put_out_grid import LEAST_OUT, RodFreedom, families_of, options_of
from app.scenario.setup import Setup
from physics.answers.holds import Responses
from physics.answers.options import COARSE
from physics.answers.put_out import try_options
from physics.answers.timing import Aim, TimingMap
from physics.answers.unison import lift_moments
from physics.environment.water import Bottom
from physics.line.march import ConvergenceError
from physics.progress import ProgressCallback
from physics.simulation.scenario import Scenario

Array = NDArray[np.float64]

FAR = COLOR.to_si(3.0)
"""Most line let out or taken in to mend it, m."""

LONGER = 10.0
"""Most that a hold is changed to mend it, s."""

WORTH = 0.5
"""A change that brings them less nearer than this is not told, s."""

KEPT = 0.5
"""Share of the window that another hold has to keep."""


@dataclass(frozen=True, slots=True)
class Mend:
    """A change of ``more``: m of line on the rod ``number``, or s of hold where that is None.

    All lures then lift within ``apart`` s of each other.
    """

    number: int | None
    more: float
    apart: float


def find_mends(
    setup: Setup,
    catalog: Catalog,
    scenario: Scenario,
    aim: Aim,
    bottom: Bottom,
    responses: Responses,
    table: TimingMap,
    point: tuple[float, float],
    progress: ProgressCallback | None = None,
) -> tuple[Mend, ...]:
    """The best change of line on one rod, and of the hold, that brings them nearer together.

    ``point`` is the (wait, hold) in question, s. Each keeps every line clear of the bottom. None
    where there is one rod, or nothing brings them nearer by WORTH. Raises Cancelled.
    """
    if len(setup.rods) < 2:
        return ()
    holds = [float(hold) for hold in table.holds]
    here = int(np.abs(table.holds - point[1]).argmin())
    moments = lift_moments(responses, aim.mark)
    now = _apart(moments[here])
    out = [
        *_of_line(setup, catalog, scenario, aim, bottom, (holds[here], moments[here]), point,
                  progress),
        *_of_hold(table, moments, holds, here, point[0], aim.clearance),
    ]  # fmt: skip
    best = [
        min(some, key=lambda mend: (round(mend.apart, 1), abs(mend.more)))
        for some in ([m for m in out if m.number is not None], [m for m in out if m.number is None])
        if some
    ]
    worth = [mend for mend in best if mend.apart < now - WORTH]
    return tuple(sorted(worth, key=lambda mend: mend.apart))


def _of_line(
    setup: Setup,
    catalog: Catalog,
    scenario: Scenario,
    aim: Aim,
    bottom: Bottom,
    known: tuple[float, Array],
    point: tuple[float, float],
    progress: ProgressCallback | None,
) -> list[Mend]:
    """Every change of line on one rod, half a color apart."""
    hold, now = known
    families = [
        tuple(
            tuple(one for one in family if abs(one.line_out - rod.line_out) <= FAR + 0.01)
            for family in families_of(rod, RodFreedom())
        )
        for rod in setup.rods
    ]
    families = [tuple(family for family in own if family) for own in families]
    rods = [options_of(rod, own, catalog) for rod, own in zip(setup.rods, families, strict=True)]
    try:
        tried = try_options(
            scenario, rods, aim, bottom, (point[0],), (hold,), (hold,), COARSE, progress
        )
    except ConvergenceError:
        return []
    out = []
    for r, own in enumerate(families):
        flat = [one for family in own for one in family]
        at = flat.index(setup.rods[r])
        # the coarse lines only tell what a change does
        shift = tried.moments[r][0] - tried.moments[r][0, at]
        for o, one in enumerate(flat):
            moved = now[r] + shift[o] if np.isfinite(now[r]) else tried.moments[r][0, o]
            serves = tried.clearance[r][0, 0, o] >= aim.clearance and tried.lifting[r][0, 0, o] > 0
            if o != at and serves and one.line_out >= LEAST_OUT - 1e-9:
                apart = _apart(np.where(np.arange(len(now)) == r, moved, now))
                out.append(Mend(r, one.line_out - flat[at].line_out, apart))
    return [mend for mend in out if np.isfinite(mend.apart)]


def _of_hold(
    table: TimingMap, moments: Array, holds: Sequence[float], here: int, wait: float, needed: float
) -> list[Mend]:
    """Every other hold that keeps clear and most of the window."""
    w = int(np.abs(table.waits - wait).argmin())
    clear, total = table.allowed(needed)[w], table.total[w]
    out = []
    for k, hold in enumerate(holds):
        more = hold - holds[here]
        if k != here and abs(more) <= LONGER and clear[k] and total[k] >= KEPT * total[here]:
            apart = _apart(moments[k])
            if np.isfinite(apart):
                out.append(Mend(None, more, apart))
    return out


def _apart(moments: Array) -> float:
    """Seconds between the first and the last; inf where one never lifts."""
    return float(np.ptp(moments)) if np.isfinite(moments).all() else np.inf
