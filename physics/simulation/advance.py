"""Advance a run with progress reports, so that long work can be watched and cancelled."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from physics.line.core.library import LIBRARY
from physics.progress import ProgressCallback, part_of, report_progress
from physics.simulation.run import Run

Array = NDArray[np.float64]

BURST, BURST_LINES = (6, 192) if LIBRARY is None else (32, 1024)
"""Most steps of a line between two reports of long work, and of all lines together: under 0.1 s."""


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
    goals = np.broadcast_to(np.asarray(until, dtype=float), len(run.scenarios))
    mine, groups = part_of(progress, first, last), _groups(run)
    for number, group in enumerate(groups):
        some = np.full(len(goals), -np.inf)
        some[group] = goals[group]
        told = part_of(mine, number / len(groups), (number + 1) / len(groups))
        start, end = run.reached(group), float(some[group].min())
        lines = sum(len(one.rods) for one in run.scenarios[group])
        steps = max(1, min(BURST, BURST_LINES // lines))
        while not run.advance(some, most_rounds=steps):
            report_progress(told, min((run.reached(group) - start) / max(end - start, 1e-9), 1.0))
        report_progress(told, 1.0)


def _groups(run: Run) -> list[slice]:
    """Scenarios to take on one after another: the compiled stepper is not faster with many at once.

    It is called less often where lines are few and go far.
    """
    count = len(run.scenarios)
    size = count
    if LIBRARY is not None:
        size = max(1, BURST_LINES // BURST * count // run.mesh.lines)
    return [slice(k, min(k + size, count)) for k in range(0, count, size)]
