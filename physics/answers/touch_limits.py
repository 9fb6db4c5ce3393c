"""The longest hold that lets a line touch bottom in no more than so many drops."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from physics.answers.chances import LINES
from physics.answers.doubt import INPUTS
from physics.answers.steady import least_of, runs_of
from physics.progress import ProgressCallback, part_of
from physics.simulation.drop_facts import TOUCHING
from physics.simulation.scenario import Scenario

Array = NDArray[np.float64]

STEP = 0.25
"""Holds told apart, s."""


def touch_limits(
    scenario: Scenario,
    depths: Sequence[float],
    rows: Array,
    allowed: float,
    longest: float,
    progress: ProgressCallback | None = None,
) -> Array:
    """The longest hold (D, R), s, with which each line by itself touches so often at most.

    Over level bottoms ``depths`` (D,) m deep, for samples ``rows`` (S, inputs); the ``scenario``
    is over water deeper than any line. NaN where every hold touches more often; ``longest``
    s where even that does not. Raises ConvergenceError, Cancelled.
    """
    holds = np.arange(0.0, longest + 1e-9, STEP)
    rods = len(scenario.rods)
    low = np.empty((len(rows), len(holds), rods))
    size = max(1, LINES // rods)
    for first in range(0, len(rows), size):
        chosen = slice(first, first + size)
        told = part_of(progress, first / len(rows), min(first + size, len(rows)) / len(rows))
        for s, found in enumerate(runs_of(scenario, rows[chosen], holds.tolist(), told), first):
            low[s] = least_of(found, holds)
    own = rows[:, INPUTS.index("bottom")]
    chance = np.array(
        [((depth * own)[:, None, None] + low < TOUCHING).mean(axis=0) for depth in depths]
    )
    # one that touched with a shorter hold is not let off for a longer one
    fine = np.logical_and.accumulate(chance <= allowed + 1e-9, axis=1).sum(axis=1)
    out: Array = np.where(fine > 0, holds[fine - 1], np.nan)
    return out
