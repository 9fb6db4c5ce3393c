"""How far the model itself may be off, for rows of a kind, and what errors have in common.

A fitted factor takes up what model and sea differ by on the average of the rows. What is left
is taken as a Gaussian process without a mean over those rows: next to nothing near what was
measured, and growing away from it, to SHARES of the number and more (discrepancy in the sense of
Kennedy & O'Hagan (2001), J. R. Stat. Soc. B 63, 425-464). A late thumb is late every time.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from physics.calibration.measured import CoastDown, DockFall, DropTouch, Row

Array = NDArray[np.float64]

UNDER_WAY = "under way"
SHARES = {UNDER_WAY: 0.18, DockFall.kind: 0.04, CoastDown.kind: 0.03}
"""Standard deviation as a share: of the depth, of the seconds of a fall, of the speed lost on a
logarithmic scale. Of the size that lines and boats of other laws leave after a fit
(tests/benchmarks/calibrate_coverage.py)."""

REACH = {UNDER_WAY: 0.5, DockFall.kind: 1.0, CoastDown.kind: 0.5}
"""How far apart rows may be for their discrepancies to be alike, in logarithms of what sets
them apart: speed and seconds under way, depth at the dock, start and seconds of a coast."""

BEGINNING = 5.0
"""Seconds of a drop that set it apart from a tow."""


def _family(row: Row) -> str:
    return row.kind if row.kind in SHARES else UNDER_WAY


def _place(row: Row) -> tuple[float, float]:
    if isinstance(row, DockFall):
        return float(np.log(row.depth)), 0.0
    if isinstance(row, CoastDown):
        return float(np.log(row.start)), float(np.log(row.seconds))
    seconds = row.seconds if isinstance(row, DropTouch) else 0.0
    return float(np.log(row.speed)), float(np.log1p(seconds / BEGINNING))


def _scale(row: Row, predicted: float) -> float:
    if isinstance(row, CoastDown):
        left = max(predicted, 1e-3 * row.start)
        return left * max(float(np.log(row.start / left)), 0.0)
    return predicted


def discrepancy(rows: Sequence[Row], predicted: Array, measured: int) -> Array:
    """Covariance (n, n) of how far the model is off for each row; the first ``measured`` of them
    are those that factors are fitted to."""
    out = np.zeros((len(rows), len(rows)))
    families = np.array([_family(row) for row in rows])
    places = np.array([_place(row) for row in rows]).reshape(-1, 2)
    scale = np.array([_scale(row, float(p)) for row, p in zip(rows, predicted, strict=True)])
    for family in dict.fromkeys(families[:measured]):
        at = np.flatnonzero(families == family)
        fitted = np.flatnonzero(at < measured)
        gaps = (places[at, None] - places[None, at]) / REACH[family]
        alike = np.exp(-0.5 * (gaps**2).sum(axis=2))
        level = alike[:, fitted].mean(axis=1)
        centered = alike - level[:, None] - level[None, :] + level[fitted].mean()
        size = SHARES[family] * scale[at]
        out[np.ix_(at, at)] = centered * np.outer(size, size)
    return out


def in_common(rows: Sequence[Row], late: Array) -> Array:
    """Covariance (n, n) of errors that rows of one kind share; ``late`` (n,) moves each
    prediction by."""
    kinds = np.array([row.kind for row in rows])
    same = kinds[:, None] == kinds[None, :]
    out: Array = np.where(same, np.outer(late, late), 0.0)
    return out
