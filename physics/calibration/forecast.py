"""What a fit says of numbers that were not measured, and how sure that is.

Kriging with a trend: what rows left over says something of numbers like theirs, and nothing of
those far off, where the model may be as wrong as model_error says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from physics.answers.doubt import EIGHTY
from physics.calibration.calibrate import Calibration
from physics.calibration.factors import factors_at
from physics.calibration.fit import STEP
from physics.calibration.measured import Row
from physics.calibration.model_error import discrepancy
from physics.calibration.predict import predict
from physics.progress import ProgressCallback


@dataclass(frozen=True, slots=True)
class Forecast:
    """A row not measured yet: its ``value`` with the fitted gear, and the 80 % interval of the
    true one, in the row's unit. What the rows left over moves the interval, not the value."""

    row: Row
    value: float
    low: float
    high: float


def forecasts(
    result: Calibration, rows: Sequence[Row], progress: ProgressCallback | None = None
) -> tuple[Forecast, ...]:
    """Each row's number foretold. Raises InvalidValue, ConvergenceError, Cancelled."""
    if not rows:
        return ()
    names = [part.name for part in result.fitted]
    x = np.log([part.factor for part in result.fitted])
    steps = np.where([part.bound > 0 for part in result.fitted], -STEP, STEP)
    points = np.vstack([x, x + np.diag(steps)])
    values = predict(result.gear, rows, [factors_at(names, point) for point in points], progress)
    slopes = ((values[1:] - values[0]) / steps[:, None]).T
    known = [part.row for part in result.rows]
    fitted = np.array([part.predicted for part in result.rows])
    n = len(known)
    model = discrepancy([*known, *rows], np.concatenate([fitted, values[0]]), n)
    residual = np.array([part.residual for part in result.rows])
    pull = np.linalg.solve(np.array(result.noise), model[:n, n:])
    left = slopes - pull.T @ np.array(result.jacobian)
    variance = (
        np.diag(model)[n:]
        - (model[:n, n:] * pull).sum(axis=0)
        + np.einsum("ij,jk,ik->i", left, np.array(result.covariance), left)
    )
    middle = values[0] + pull.T @ residual
    reach = EIGHTY * result.stretch * np.sqrt(np.maximum(variance, 0.0))
    return tuple(
        Forecast(row, float(value), max(float(center - width), 0.0), float(center + width))
        for row, value, center, width in zip(rows, values[0], middle, reach, strict=True)
    )
