"""What every option of a rod does: lines run once each and placed under any rod tip.

Lines do not know of each other, and in a straight run nothing tells one place at the surface
from another. So what a line does depends on its own tackle, the height of its tip and the
boat's speed alone; from another tip it is the same, moved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.answers.between import between
from physics.answers.holds import AFTER, Responses, respond
from physics.environment.water import Bottom
from physics.line.march import LONGEST, TOLERANCE
from physics.line.mesh import Resolution
from physics.line.tackle import Rod
from physics.progress import ProgressCallback, part_of
from physics.simulation.scenario import MOST_RODS, Scenario

Array = NDArray[np.float64]

SPARE = 20.0
"""Water is this much deeper than the longest line, m."""


@dataclass(frozen=True, slots=True)
class Fineness:
    """How finely lines are run: as a run is by default, or coarser for a first look.

    ``resolution`` None is the scenario's own; ``after`` s are followed after in gear.
    """

    resolution: Resolution | None = None
    tolerance: float = TOLERANCE
    longest: float = LONGEST
    after: float = AFTER


COARSE = Fineness(Resolution(line_elements=8, leader_elements=2, grading=1.0), 0.1, 4.0, after=30.0)


def run_options(
    scenario: Scenario,
    rods: Sequence[Rod],
    holds: Sequence[float],
    fineness: Fineness = Fineness(),
    progress: ProgressCallback | None = None,
) -> Responses:
    """Each rod by itself for every hold, s, rising, with its tip at the transducer.

    The scenario's own rods and bottom are left aside: the water is deeper than any of these
    lines. Raises InvalidValue, ConvergenceError, Cancelled.
    """
    longest = max(rod.line_out + rod.lure.length for rod in rods)
    deep = replace(scenario, water=scenario.water.over(Bottom.level(longest + SPARE)))
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
                replace(deep, rods=plain), holds, after=fineness.after,
                tolerance=fineness.tolerance, longest=fineness.longest, progress=told,
            )
        )  # fmt: skip
    lure, low = (
        np.concatenate([getattr(part, name) for part in parts], axis=1) for name in ("lure", "low")
    )
    return replace(parts[0], lure=lure, low=low)


def between_lengths(known: Sequence[float], found: Responses, wanted: Sequence[float]) -> Responses:
    """Responses of other lengths of line, m, from those of ``known`` lengths, rising.

    ``found`` holds one line of each known length, alike but for that. A length that was run is
    itself.
    """
    if len(known) == 1:
        return found
    degree = min(3, len(known) - 1)
    lure, low = (
        np.moveaxis(
            scipy.interpolate.make_interp_spline(
                known, np.moveaxis(np.nan_to_num(paths), 1, 0), k=degree
            )(np.asarray(wanted)),
            0, 1,
        )
        for paths in (found.lure, found.low)
    )  # fmt: skip
    gone = np.isnan(found.lure[:, :1])
    return replace(found, lure=np.where(gone, np.nan, lure), low=np.where(gone, np.nan, low))


def placed(
    found: Responses, options: Sequence[int], rod: Rod, heading: float, holds: Sequence[float]
) -> Responses:
    """Some of the options under a rod's own tip, for ``holds`` s, run or between them."""
    ahead = np.array([np.sin(heading), np.cos(heading)])
    starboard = np.array([ahead[1], -ahead[0]])
    offset = np.array([*(rod.abeam * starboard - rod.astern * ahead), 0.0])
    chosen = list(options)
    own = replace(found, lure=found.lure[:, chosen] + offset, low=found.low[:, chosen] + offset)
    return between(own, holds)
