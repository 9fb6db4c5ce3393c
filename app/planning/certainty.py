"""How sure a plan is, found in parts that run side by side.

Each part works out all samples' inputs for itself: what draws them takes half
a second to load, too long for the program that shows the result.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from app.gear.catalog import Catalog
from app.planning.doubts import doubt_holds, doubt_part, doubt_rows
from app.planning.situation import PlanRequest
from physics.answers.chances import SHARES, Chances, Samples, gathered
from physics.answers.doubt import Doubt
from physics.answers.hold_times import quantiles
from physics.answers.vary import factors
from physics.progress import ProgressCallback


@dataclass(frozen=True, slots=True)
class SurePart:
    """Some of the samples: what their inputs were multiplied by (S, inputs), and what they did."""

    rows: NDArray[np.float64]
    samples: Samples


def sure_part(
    request: PlanRequest,
    catalog: Catalog,
    point: tuple[float, float],
    number: int,
    parts: int,
    count: int = 64,
    progress: ProgressCallback | None = None,
) -> SurePart:
    """Part ``number`` of ``parts`` of ``count`` drops at a (wait, hold), s.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    rows = np.array_split(doubt_rows(request, count), parts)[number]
    return SurePart(rows, doubt_part(request, catalog, point, rows, progress, holds=False))


def holds_part(
    request: PlanRequest,
    catalog: Catalog,
    number: int,
    parts: int,
    count: int = 64,
    progress: ProgressCallback | None = None,
) -> NDArray[np.float64]:
    """Part ``number`` of ``parts`` of ``count`` samples' shortest holds (S, R), s.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    rows = np.array_split(doubt_rows(request, count), parts)[number]
    return doubt_holds(request, catalog, rows, progress)


def holds_of(parts: Sequence[NDArray[np.float64]]) -> NDArray[np.float64]:
    """The 10, 50 and 90 % of the shortest holds (3, R), s; inf beyond the longest."""
    return quantiles(np.concatenate(parts), SHARES)


def ready() -> None:
    """Draw a sample: a worker that has done so has loaded all that a plan needs."""
    factors(Doubt(), 2)


def sure_of(parts: Sequence[SurePart]) -> Chances:
    """How sure it is, from all parts in order."""
    rows = np.concatenate([part.rows for part in parts])
    return gathered([part.samples for part in parts], rows)
