"""How sure the plan on screen is, worked out in parts beside the plan's other work."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
from numpy.typing import NDArray

from app.gear.catalog import Catalog
from app.planning.certainty import SurePart, holds_of, holds_part, sure_of, sure_part
from app.planning.situation import PlanRequest
from app.session.pool import WORKERS
from physics.answers.chances import Chances


class SureWork:
    """Asks for jobs by ``ask`` (kind, what takes the answer, job, arguments), gives up those that
    are not needed by ``skip`` (kind), and tells by ``told`` that something is known, or no more.

    ``chances`` are those of the drops at the point looked at, ``hold_bands`` how much the shortest
    holds differ, s (3, rods, ...), which is the same at every point.
    """

    def __init__(
        self, ask: Callable[..., None], skip: Callable[[str], None], told: Callable[[], None]
    ) -> None:
        self._ask, self._skip, self._told = ask, skip, told
        self.chances: Chances | None = None
        self.at = (0.0, 0.0)
        self.hold_bands: NDArray[np.float64] | None = None
        self._parts: dict[int, SurePart] = {}
        self._spread_parts: dict[int, NDArray[np.float64]] = {}

    def begin(
        self,
        request: PlanRequest,
        catalog: Catalog,
        point: tuple[float, float],
        samples: int,
        known: Chances | None = None,
    ) -> None:
        """Work out the chances ``at`` a (wait, hold), s, unless ``known``; the bands if missing."""
        self._parts.clear()
        self.chances, self.at = known, point
        for number in range(WORKERS):
            kind, got = f"sure {number}", partial(self._got, number)
            if known is None:
                self._ask(kind, got, sure_part, request, catalog, point, number, WORKERS, samples)
            else:
                self._skip(kind)
        if self.hold_bands is None:
            self._spread_parts.clear()
        for number in range(WORKERS):
            kind, got = f"spread {number}", partial(self._got_spread, number)
            if self.hold_bands is None:
                self._ask(kind, got, holds_part, request, catalog, number, WORKERS, samples)
            else:
                self._skip(kind)
        self._told()

    def forget(self) -> None:
        """Of another drop nothing is known."""
        self.chances = self.hold_bands = None

    def _got(self, number: int, part: SurePart) -> None:
        self._parts[number] = part
        if len(self._parts) == WORKERS:
            self.chances = sure_of([self._parts[k] for k in range(WORKERS)])
            self._parts.clear()
            self._told()

    def _got_spread(self, number: int, part: NDArray[np.float64]) -> None:
        self._spread_parts[number] = part
        if len(self._spread_parts) == WORKERS:
            self.hold_bands = holds_of([self._spread_parts[k] for k in range(WORKERS)])
            self._spread_parts.clear()
            self._told()
