"""What every option of a rod does: lines run once each and placed under any rod tip.

Lines do not know of each other, and in a straight run nothing tells one place at the surface
from another. So what a line does depends on its own tackle, the height of its tip and the
boat's speed alone; from another tip it is the same, moved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.answers.between import between
from physics.answers.holds import AFTER, SOON, Responses, below_all, respond
from physics.line.march import LONGEST, TOLERANCE
from physics.line.mesh import Resolution
from physics.line.tackle import Rod
from physics.progress import ProgressCallback, part_of
from physics.simulation.scenario import MOST_RODS, Scenario

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Fineness:
    """How finely lines are run: as a run is by default, or coarser for a first look.

    ``resolution`` None is the scenario's own; ``after`` s are followed after in gear, where that
    is not to serve any ground.
    """

    resolution: Resolution | None = None
    tolerance: float = TOLERANCE
    longest: float = LONGEST
    after: float = AFTER


COARSE = Fineness(Resolution(line_elements=8, leader_elements=2, grading=1.0), 0.1, 4.0, SOON)


def run_options(
    scenario: Scenario,
    rods: Sequence[Rod],
    holds: Sequence[float],
    fineness: Fineness = Fineness(),
    *,
    any_ground: bool = False,
    progress: ProgressCallback | None = None,
) -> Responses:
    """Each rod by itself for every hold, s, rising, with its tip at the transducer.

    The scenario's own rods and bottom are left aside: the water is deeper than any of these
    lines; ``any_ground`` as in ``respond``. Raises InvalidValue, ConvergenceError, Cancelled.
    """
    deep = replace(scenario, water=scenario.water.over(below_all(rods)))
    if fineness.resolution is not None:
        deep = replace(deep, resolution=fineness.resolution)
    parts = []
    for first in range(0, len(rods), MOST_RODS):
        some = rods[first : first + MOST_RODS]
        plain = tuple(
            replace(rod, name=str(n), astern=0.0, abeam=0.0) for n, rod in enumerate(some)
        )
        told = part_of(progress, first / len(rods), (first + len(some)) / len(rods))
        parts.append(
            respond(
                replace(deep, rods=plain), holds, after=AFTER if any_ground else fineness.after,
                tolerance=fineness.tolerance, longest=fineness.longest,
                any_ground=any_ground, progress=told,
            )
        )  # fmt: skip
    return side_by_side(parts)


def side_by_side(parts: Sequence[Responses]) -> Responses:
    """Responses of some lines each to the same holds, as those of all of them."""
    lure, low, *along = (
        np.concatenate([getattr(part, name) for part in parts], axis=1)
        for name in ("lure", "low", "along")
        if getattr(parts[0], name) is not None
    )
    return replace(parts[0], lure=lure, low=low, along=along[0] if along else None)


def of_lines(found: Responses, lines: Sequence[int]) -> Responses:
    """Some of the lines of responses, by number."""
    chosen = list(lines)
    along = None if found.along is None else found.along[:, chosen]
    return replace(found, lure=found.lure[:, chosen], low=found.low[:, chosen], along=along)


def between_lengths(known: Sequence[float], found: Responses, wanted: Sequence[float]) -> Responses:
    """Responses of other lengths of line, m, from those of ``known`` lengths, rising.

    ``found`` holds one line of each known length, alike but for that. A length that was run is
    itself.
    """
    if len(known) == 1:
        return found
    degree = min(3, len(known) - 1)

    def other(paths: NDArray[Any]) -> NDArray[Any]:
        whole = np.moveaxis(np.nan_to_num(paths), 1, 0)
        curve = scipy.interpolate.make_interp_spline(known, whole, k=degree)
        out = np.moveaxis(curve(np.asarray(wanted)), 0, 1)
        return np.where(np.isnan(paths[:, :1]), np.nan, out).astype(paths.dtype)

    along = None if found.along is None else other(found.along)
    return replace(found, lure=other(found.lure), low=other(found.low), along=along)


def placed(
    found: Responses, options: Sequence[int], rod: Rod, heading: float, holds: Sequence[float]
) -> Responses:
    """Some of the options under a rod's own tip, for ``holds`` s, run or between them."""
    ahead = np.array([np.sin(heading), np.cos(heading)])
    starboard = np.array([ahead[1], -ahead[0]])
    offset = np.array([*(rod.abeam * starboard - rod.astern * ahead), 0.0])
    own = of_lines(found, options)
    along = None if own.along is None else (own.along + offset).astype(own.along.dtype)
    moved = replace(own, lure=own.lure + offset, low=own.low + offset, along=along)
    return between(moved, holds)
