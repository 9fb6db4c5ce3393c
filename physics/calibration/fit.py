"""Least squares with priors: bounded, in logarithms, with the covariance that follows.

Minimizes sum ((prediction - measurement) / error)^2 + sum (x / spread)^2. Its curvature at
the least, prior^-1 + J'J, is the inverse of the covariance (Gauss-Newton's, that is the
Laplace approximation; exact where predictions are linear in x).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

Array = NDArray[np.float64]

STEP = 0.02
"""Step of the differences, in logarithms: a few centimeters of depth, well over the noise
that a stepper's choices leave."""

CLOSE = 0.1
"""The search ends once a step betters the sum by less than this share of it."""

NEAR = 0.3
"""From within so many standard deviations the last step is taken on the tangent, unevaluated:
what the curve adds there is of second order."""

MOST_SEARCHES = 4

AT_BOUND = 0.02
"""A value this near its bound, in spreads of its prior, lies on it."""

Predict = Callable[[Array], Array]
"""Predictions (P, n) for points (P, k)."""


@dataclass(frozen=True, slots=True)
class Fit:
    """k values and n predictions at the least.

    ``x`` (k,), ``jacobian`` (n, k) of the predictions, ``predicted`` (n,), ``covariance``
    (k, k), ``bound`` (k,) -1 at the lower, +1 at the upper bound, else 0.
    """

    x: Array
    jacobian: Array
    predicted: Array
    covariance: Array
    bound: NDArray[np.intp]


def fit(
    predict: Predict,
    measured: Array,
    errors: Array,
    spreads: Array,
    low: Array,
    high: Array,
    start: Array | None = None,
) -> Fit:
    """The values (k,) that measurements (n,) with ``errors`` and priors agree on best.

    ``errors`` are (n,) standard deviations, or where errors have something in common the lower
    Cholesky factor (n, n) of their covariance. Priors are normal about 0 with ``spreads`` (k,),
    cut off at ``low`` and ``high`` (k,). One call of ``predict`` serves a point and its
    differences.
    """
    known: dict[bytes, tuple[Array, Array]] = {}

    def at(x: Array) -> tuple[Array, Array]:
        key = x.tobytes()
        if key not in known:
            steps = np.where(x + STEP > high, -STEP, STEP)
            found = predict(np.vstack([x, x + np.diag(steps)]))
            known[key] = found[0], ((found[1:] - found[0]) / steps[:, None]).T
        return known[key]

    def residuals(x: Array) -> Array:
        return np.concatenate([in_errors(at(x)[0] - measured, errors), x / spreads])

    def slopes(x: Array) -> Array:
        return np.vstack([in_errors(at(x)[1], errors), np.diag(1.0 / spreads)])

    x = np.zeros(len(spreads)) if start is None else start
    inside = 1e-3 * (high - low)
    for _ in range(MOST_SEARCHES):
        done = scipy.optimize.least_squares(
            residuals,
            np.clip(x, low + inside, high - inside),
            jac=slopes,
            bounds=(low, high),
            x_scale=spreads,
            ftol=CLOSE,
            xtol=1e-5,
            gtol=1e-6,
            max_nfev=30,
        )
        x = np.asarray(done.x, dtype=float)
        predicted, jacobian = at(x)
        rough = Fit(x, jacobian, predicted, covariance(jacobian, errors, spreads), _bound(
            x, spreads, low, high))  # fmt: skip
        last, moved = tangent_step(rough, measured, errors, spreads, low, high)
        if moved <= NEAR:
            break
        x = last.x
    return last


def tangent_step(
    found: Fit, measured: Array, errors: Array, spreads: Array, low: Array, high: Array
) -> tuple[Fit, float]:
    """The least where predictions go on straight from ``found``, and how far off that was.

    The least is that within the bounds. The distance is the greatest in any value, in its
    standard deviations after the fit. Nothing is evaluated. Arguments as of ``fit``.
    """
    after = covariance(found.jacobian, errors, spreads)
    slopes = np.vstack([in_errors(found.jacobian, errors), np.diag(1.0 / spreads)])
    short = np.concatenate([in_errors(measured - found.predicted, errors), -found.x / spreads])
    # what a bound holds back the others must not count on: solved with it, not cut off after
    step = scipy.optimize.lsq_linear(
        slopes, short, (low - found.x, high - found.x), method="bvls"
    ).x
    x = np.clip(found.x + step, low, high)
    moved = x - found.x
    predicted = found.predicted + found.jacobian @ moved
    there = Fit(x, found.jacobian, predicted, after, _bound(x, spreads, low, high))
    return there, float((np.abs(moved) / np.sqrt(np.diag(after))).max())


def _bound(x: Array, spreads: Array, low: Array, high: Array) -> NDArray[np.intp]:
    near = AT_BOUND * spreads
    return np.where(x - low < near, -1, np.where(high - x < near, 1, 0)).astype(np.intp)


def in_errors(values: Array, errors: Array) -> Array:
    """Values (n,) or (n, k) in units of their errors, which then have nothing in common."""
    if errors.ndim == 2:
        solved: Array = scipy.linalg.solve_triangular(errors, values, lower=True)
        return solved
    out: Array = (values.T / errors).T
    return out


def covariance(jacobian: Array, errors: Array, spreads: Array) -> Array:
    """(prior^-1 + J'J)^-1 (k, k) of rows (n, k) with errors as of ``fit``, prior spreads (k,)."""
    scaled = in_errors(jacobian, errors)
    # solved in units of the spreads, where the least curvature is 1
    inner = np.eye(len(spreads)) + (scaled * spreads).T @ (scaled * spreads)
    out: Array = np.linalg.inv(inner) * np.outer(spreads, spreads)
    return out


def with_row(covariance: Array, slopes: Array, error: float) -> Array:
    """The covariance (k, k) once a row with ``slopes`` (k,) and ``error`` is added.

    Rank-one update: Sherman & Morrison (1950), Ann. Math. Stat. 21, 124-127.
    """
    reach = covariance @ slopes
    out: Array = covariance - np.outer(reach, reach) / (error**2 + float(slopes @ reach))
    return out
