"""How far the model itself may be off, for rows of a kind, and what errors have in common.

A fitted factor takes up what model and sea differ by on the average of the rows. What is left
is taken as a Gaussian process without a mean over those rows (discrepancy in the sense of
Kennedy & O'Hagan (2001), J. R. Stat. Soc. B 63, 425-464): a part of SHARES that is alike in rows
near each other, and under way one that tilts, by TILTS, away from the middle of what was
measured: drag of line and lure that grows otherwise with speed than the model's. A late thumb is
late every time.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from physics.calibration.measured import CoastDown, DockFall, DropTouch, Row

Array = NDArray[np.float64]

UNDER_WAY = "under way"
SHARES = {UNDER_WAY: 0.03, DockFall.kind: 0.04, CoastDown.kind: 0.03}
"""Standard deviation as a share: of the depth, of the seconds of a fall, of the speed lost on a
logarithmic scale. Of the size that lines and boats of other laws leave after a fit
(tests/benchmarks/calibrate_coverage.py)."""

REACH = {UNDER_WAY: 0.5, DockFall.kind: 1.0, CoastDown.kind: 0.5}
"""How far apart rows may be for their discrepancies to be alike, in logarithms of what sets
them apart: speed and seconds under way, depth at the dock, start and seconds of a coast."""

TILTS = {UNDER_WAY: (0.16, 0.05)}
"""Standard deviation of how the discrepancy under way tilts: a share of the depth when the speed
is once more the middle of those measured, and when the seconds of a drop are e times as many."""

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


def _tilted(places: Array, fitted: NDArray[np.intp], tilts: tuple[float, float]) -> Array:
    """Covariance (n, n) of a share that is straight in speed and in the logarithm of seconds."""
    away = places - places[fitted].mean(axis=0)
    away[:, 0] = np.expm1(away[:, 0])
    away = (away - away[fitted].mean(axis=0)) * tilts
    out: Array = away @ away.T
    return out


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
        share = SHARES[family] ** 2 * centered
        if family in TILTS:
            share += _tilted(places[at], fitted, TILTS[family])
        out[np.ix_(at, at)] = share * np.outer(scale[at], scale[at])
    return out


def in_common(rows: Sequence[Row], late: Array) -> Array:
    """Covariance (n, n) of errors that rows of one kind share; ``late`` (n,) moves each
    prediction by."""
    kinds = np.array([row.kind for row in rows])
    same = kinds[:, None] == kinds[None, :]
    out: Array = np.where(same, np.outer(late, late), 0.0)
    return out
