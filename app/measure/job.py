"""A fit and what to measure next, as one job for a worker process."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from physics.answers.sink import free_falls, line_sink_rate
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
    """The fit, the measurements that would teach most, best first, and depths ``foretold``.

    ``sinks`` says of a factor how fast its line or lure sinks before and after the fit, m/s.
    """

    result: Calibration
    next: tuple[Suggestion, ...]
    foretold: tuple[Forecast, ...] = ()
    sinks: dict[str, tuple[float, float]] = field(default_factory=dict)


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
        result,
        best_next(result, progress=then),
        forecasts(result, depths_to_tell(result)),
        _sinks(result),
    )


def _sinks(result: Calibration) -> dict[str, tuple[float, float]]:
    out: dict[str, tuple[float, float]] = {}
    gears = result.gear, result.tuned
    fitted = {part.name for part in result.fitted}
    if fitted & {"lure_drag", "lure_weight"}:
        lures = [gear.falling for gear in gears if gear.falling is not None]
        before, after = (fall.rate for fall in free_falls(lures, result.gear.water))
        out |= dict.fromkeys(("lure_drag", "lure_weight"), (before, after))
    if "line_drag" in fitted:
        rods = [gear.rod for gear in gears if gear.rod is not None]
        lines = [
            next((s for s in rod.sections if s.name == result.gear.line), None)
            or max(rod.sections, key=lambda s: s.mass_per_length)
            for rod in rods
        ]
        if all(line.normal_drag != 0.0 for line in lines):
            before, after = (line_sink_rate(line, result.gear.water) for line in lines)
            out["line_drag"] = before, after
    return out
