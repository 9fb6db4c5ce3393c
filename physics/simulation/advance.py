"""Advance a run with progress reports, so that long work can be watched and cancelled."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from physics.line.core.library import LIBRARY
from physics.progress import ProgressCallback, part_of, report_progress
from physics.simulation.run import Run

Array = NDArray[np.float64]

BURST, BURST_LINES = (6, 192) if LIBRARY is None else (20, 480)
"""Most steps between two reports of long work, and of all lines together: under 0.1 s."""


def advance_reporting(
    run: Run,
    until: float | Array,
    progress: ProgressCallback | None,
    first: float = 0.0,
    last: float = 1.0,
) -> None:
    """Advance a run a few steps at a time, with a report after each; ``until`` as in Run.advance.

    The share reported rises from ``first`` to ``last`` with the slowest line.
    Raises ConvergenceError, Cancelled.
    """
    start, end = run.reached(), float(np.min(until))
    steps = max(1, min(BURST, BURST_LINES // run.mesh.lines))
    mine = part_of(progress, first, last)
    while not run.advance(until, most_rounds=steps):
        report_progress(mine, min((run.reached() - start) / max(end - start, 1e-9), 1.0))
    report_progress(mine, 1.0)
