"""Which measurement would teach most, after those already made."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from physics.calibration.calibrate import Calibration
from physics.calibration.coast import coasting
from physics.calibration.factors import Gear, factors_at
from physics.calibration.fit import STEP, with_row
from physics.calibration.measured import (
    LOG_SPEED,
    CoastDown,
    DockFall,
    DropTouch,
    Row,
    TowDepth,
)
from physics.calibration.predict import errors, predict
from physics.calibration.tows import Shapes
from physics.progress import ProgressCallback, part_of, report_progress

Array = NDArray[np.float64]

USUAL_SPEED = 2.5
"""Where neither boat nor rows say how fast she trolls, m/s: about 5 kn, between the slow boats
that are shipped and the fast ones (assumed)."""

TOW_SPEEDS = (0.6, 1.0, 1.4)
"""Speeds of tows that might be made, as shares of the trolling speed."""

DROP_SPEEDS = (0.75, 1.0)
DROP_SECONDS = (6.0, 12.0, 20.0)
"""When drops that might be made touch bottom, s."""

DOCK_DEPTHS = (3.0, 6.0)
LONGEST_FALL = 60.0
"""Nobody times a lure at the dock for longer, s."""

COAST_TIMES = (0.5, 1.0, 2.5)
"""When coast-downs that might be made are read, in half times."""


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A measurement not made yet, as the model expects it to come out.

    ``row`` has its kind, speed, hold, depth or seconds; ``shrinks`` says for each fitted
    factor what share of its variance would go; ``gain`` is that of all, in prior variances.
    """

    row: Row
    shrinks: tuple[tuple[str, float], ...]
    gain: float


def best_next(
    result: Calibration, *, most: int = 3, progress: ProgressCallback | None = None
) -> tuple[Suggestion, ...]:
    """The measurements that would shrink the posterior most, best first.

    A few of each kind the gear allows are tried, near the trolling speed, each with the
    usual errors. Raises ConvergenceError, Cancelled.
    """
    gear, names = result.gear, [part.name for part in result.fitted]
    x = np.log([part.factor for part in result.fitted])
    priors = np.array([part.prior for part in result.fitted])
    covariance = np.array(result.covariance)
    found, shapes = _tried(result), Shapes()
    rows = _as_expected(
        found, predict(gear, found, [result.factors], part_of(progress, 0.0, 0.3), shapes)[0]
    )
    if not rows:
        return ()
    steps = np.where([part.bound > 0 for part in result.fitted], -STEP, STEP)
    points = np.vstack([x, x + np.diag(steps)])
    many = [factors_at(names, point) for point in points]
    values = predict(gear, rows, many, part_of(progress, 0.3, 0.7), shapes)
    slopes = (values[1:] - values[0]) / steps[:, None]
    _, error = errors(gear, rows, result.factors, part_of(progress, 0.7, 1.0), shapes)
    out = []
    for i, row in enumerate(rows):
        after = with_row(covariance, slopes[:, i], float(error[i]))
        gone = np.diag(covariance) - np.diag(after)
        shrinks = zip(names, (gone / np.diag(covariance)).tolist(), strict=True)
        out.append(Suggestion(row, tuple(shrinks), float((gone / priors**2).sum())))
    report_progress(progress, 1.0)
    return tuple(sorted(out, key=lambda each: -each.gain)[:most])


def depths_to_tell(result: Calibration) -> list[Row]:
    """Tows worth foretelling once a line's or lure's drag is fitted: about the trolling speed."""
    fitted = {part.name for part in result.fitted}
    if result.gear.rod is None or not fitted & set(TowDepth.usual):
        return []
    speed = _trolling(result.gear, [part.row for part in result.rows])
    limit = LOG_SPEED[1]
    return [TowDepth(min(share * speed, limit), 1.0) for share in TOW_SPEEDS]


def _tried(result: Calibration) -> list[Row]:
    """Rows that might be made with this gear and say anything of what was fitted."""
    gear, tuned = result.gear, result.tuned
    speed = _trolling(gear, [part.row for part in result.rows])
    rows: list[Row] = []
    if gear.falling is not None:
        rows += [DockFall(depth, 1.0) for depth in DOCK_DEPTHS]
    rods = {row.row.rod for row in result.rows if isinstance(row.row, TowDepth | DropTouch)}
    rods.discard(None)
    if gear.rod is not None:
        rods = {None}
    for rod in rods:
        rows += [TowDepth(share * speed, 1.0, rod) for share in TOW_SPEEDS]
        if gear.boat is not None:
            rows += [
                DropTouch(share * speed, seconds, seconds, 1.0, rod)
                for share in DROP_SPEEDS
                for seconds in DROP_SECONDS
            ]
    if tuned.boat is not None:
        for share in COAST_TIMES:
            seconds = share * tuned.boat.half_time
            left = coasting(tuned.boat, np.array([speed]), np.array([seconds]))
            rows.append(CoastDown(speed, seconds, float(left[0])))
    named = {part.name for part in result.fitted}
    return [row for row in rows if named & set(row.tells)]


def _trolling(gear: Gear, rows: Sequence[Row]) -> float:
    if gear.boat is not None:
        return gear.boat.trolling_speed
    speeds = [row.speed for row in rows if isinstance(row, TowDepth | DropTouch)]
    return float(np.mean(speeds)) if speeds else USUAL_SPEED


def _as_expected(rows: Sequence[Row], values: Array) -> list[Row]:
    """The rows with what the model expects for their measured number; impossible ones left out."""
    out: list[Row] = []
    for row, value in zip(rows, values.tolist(), strict=True):
        if isinstance(row, DockFall) and value <= LONGEST_FALL:
            out.append(replace(row, seconds=value))
        elif isinstance(row, TowDepth | DropTouch) and value > 0.1:
            out.append(replace(row, depth=value))
        elif isinstance(row, CoastDown):
            out.append(row)
    return out
