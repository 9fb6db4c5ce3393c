"""The drop of a plan again and again, with inputs as unsure as the setup says.

Everything here is a module's function on values that can be sent to another process.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from app.gear.catalog import Catalog
from app.planning.situation import PlanRequest, Situation, moved, situation
from physics.answers.chances import LINES, Chances, Samples, gathered, sample
from physics.answers.doubt import INPUTS, Doubt
from physics.answers.hold_times import HoldSearch, shortest_holds
from physics.answers.holds import bare, followed
from physics.answers.vary import factors
from physics.line.mesh import Resolution
from physics.progress import ProgressCallback

DOUBT_RESOLUTION = Resolution(line_elements=12, leader_elements=2, grading=1.0)
"""Lines of the repeated drops: bands within 0.08 m of those of the usual lines."""


def doubts(
    request: PlanRequest,
    catalog: Catalog,
    point: tuple[float, float],
    progress: ProgressCallback | None = None,
    count: int = 64,
) -> Chances:
    """How sure a (wait, hold) is, s, with the setup's own doubts.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    rows = doubt_rows(request, count)
    return gathered([doubt_part(request, catalog, point, rows, progress)], rows)


def in_doubt(doubt: Doubt) -> bool:
    """Whether anything is."""
    return any(getattr(doubt, name) > 0.0 for name in INPUTS)


def doubt_rows(request: PlanRequest, count: int = 64) -> np.ndarray:
    """What the inputs are multiplied by in each sample (count, inputs).

    Where nothing is in doubt one sample says what all would.
    """
    doubt = request.setup.doubt
    return factors(doubt, count if in_doubt(doubt) else 1)


def doubt_part(
    request: PlanRequest,
    catalog: Catalog,
    point: tuple[float, float],
    rows: np.ndarray,
    progress: ProgressCallback | None = None,
    *,
    holds: bool = True,
) -> Samples:
    """The samples of some of the ``doubt_rows``, for ``gathered`` with the others.

    Without ``holds`` the shortest ones are not looked for: they are more than
    half the work, and the same at every point. Raises InvalidValue, ConvergenceError,
    Cancelled.
    """
    found = situation(request, catalog)
    boat_velocity = np.array(found.scenario.track().at(-1.0).velocity)
    deep = replace(found.scenario, resolution=DOUBT_RESOLUTION)
    after = followed(any_ground=not found.bottom.is_level)
    there = bare(deep, bottom=moved(found.bottom, boat_velocity * point[0]))
    search = _search(request, found) if holds else None
    return sample(
        there, point[1], rows, after=after, search=search, windows=(point[0], found.aim),
        progress=progress,
    )  # fmt: skip


def doubt_holds(
    request: PlanRequest,
    catalog: Catalog,
    rows: np.ndarray,
    progress: ProgressCallback | None = None,
) -> np.ndarray:
    """The shortest holds (S, R), s, of some of the ``doubt_rows``; inf where none reaches.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    return shortest_holds(_search(request, situation(request, catalog)), rows, LINES, progress)


def _search(request: PlanRequest, found: Situation) -> HoldSearch:
    deep = replace(found.scenario, resolution=DOUBT_RESOLUTION)
    return HoldSearch(deep, found.depth, request.clearance, request.holds[0], request.holds[-1])
