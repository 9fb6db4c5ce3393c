"""A fit and what to measure next, as one job for a worker process."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from physics.answers.holds import Tell
from physics.calibration.calibrate import Calibration, calibrate
from physics.calibration.factors import Gear, usual_prior
from physics.calibration.measured import Row
from physics.calibration.next_row import Suggestion, best_next

FIT_SHARE = 0.75
"""Share of the work that the fit itself is."""


@dataclass(frozen=True, slots=True)
class Fitting:
    """The fit, and the measurements that would teach most, best first."""

    result: Calibration
    next: tuple[Suggestion, ...]


def fit_gear(
    gear: Gear, rows: Sequence[Row], names: Sequence[str], tell: Tell | None = None
) -> Fitting:
    """Fit the named factors. Raises Unusable, march.Stuck, holds.Stopped."""
    priors = [usual_prior(name, gear) for name in names]

    def first(share: float) -> bool:
        return tell is not None and tell(FIT_SHARE * share)

    def then(share: float) -> bool:
        return tell is not None and tell(FIT_SHARE + (1.0 - FIT_SHARE) * share)

    result = calibrate(gear, rows, priors, tell=first)
    return Fitting(result, best_next(result, tell=then))
