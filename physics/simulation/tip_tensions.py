"""The tension at the rod tips of a batch as it goes on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from physics.line.tip_tension import TipTension
from physics.simulation.batch_state import BatchState
from physics.simulation.past import JERK, Past

Array = NDArray[np.float64]

KEPT = 4
"""Instants whose tensions are remembered: frames between two steps ask for the same two."""


class TipTensions:
    """Works them out at steps, of one batch with what is done to its lines.

    ``of_lines`` tells them of any steps of these lines.
    """

    def __init__(self, state: BatchState) -> None:
        self.of_lines = TipTension(state.batch.mesh, state.handled)
        self._known: dict[tuple[float, ...], Array] = {}

    def forget(self) -> None:
        """Other steps are taken from now on."""
        self._known = {}

    def at(self, time: float, pasts: Sequence[Past]) -> Array:
        """Tension at each tip (L,), N, at a time within the last steps; straight between steps."""
        ends = [past.index(time) for past in pasts]
        starts = [max(j - 1, 0) for j in ends]
        (t0, p0), (t1, p1) = self._of_steps(pasts, starts), self._of_steps(pasts, ends)
        share = np.clip((time - t0) / np.maximum(t1 - t0, 1e-9), 0.0, 1.0)
        out: Array = p0 + share * (p1 - p0)
        return out

    def _of_steps(self, pasts: Sequence[Past], steps: Sequence[int]) -> tuple[Array, Array]:
        """When each line's step ends (L,), s, and the tension then (L,), N."""
        rows = list(zip(pasts, steps, strict=True))
        key = tuple(past.time[j] for past, j in rows)
        time = np.array(key)
        if key not in self._known:
            self._known[key] = np.concatenate([
                self.of_lines.of(i, time[i : i + 1], np.array([past.tip[j]]),
                                 list(past.state[j][:JERK, None]))
                for i, (past, j) in enumerate(rows)
            ])  # fmt: skip
        tension = self._known[key]
        while len(self._known) > KEPT:
            self._known.pop(next(iter(self._known)))
        return time, tension
