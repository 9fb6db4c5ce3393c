"""A fit and what to measure next, as one job for a worker process."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from physics.calibration.calibrate import Calibration, calibrate
from physics.calibration.factors import Gear, usual_prior
from physics.calibration.forecast import Forecast, forecasts
from physics.calibration.measured import Row
from physics.calibration.next_row import Suggestion, best_next, depths_to_tell
from physics.progress import ProgressCallback

FIT_SHARE = 0.75
"""Share of the work that the fit itself is."""


@dataclass(frozen=True, slots=True)
class Fitting:
    """The fit, the measurements that would teach most, best first, and depths ``foretold``."""

    result: Calibration
    next: tuple[Suggestion, ...]
    foretold: tuple[Forecast, ...] = ()


def fit_gear(
    gear: Gear, rows: Sequence[Row], names: Sequence[str], progress: ProgressCallback | None = None
) -> Fitting:
    """Fit the named factors. Raises InvalidValue, ConvergenceError, Cancelled."""
    priors = [usual_prior(name, gear) for name in names]

    def first(share: float) -> bool:
        return progress is not None and progress(FIT_SHARE * share)

    def then(share: float) -> bool:
        return progress is not None and progress(FIT_SHARE + (1.0 - FIT_SHARE) * share)

    result = calibrate(gear, rows, priors, progress=first)
    return Fitting(
        result, best_next(result, progress=then), forecasts(result, depths_to_tell(result))
    )
