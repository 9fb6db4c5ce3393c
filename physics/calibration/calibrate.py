"""Fit the gear to what was measured, and say how sure that is.

Works in logarithms of factors with log-normal priors. Errors of measurement, and how far the
model may be off, are worked out where the fit starts and again where it ends, so a row taken
where the lure falls fast counts a late thumb for more. A row far from what the others say counts
for less: errors are taken to follow Student's distribution with TAILS degrees of freedom (Lange,
Little & Taylor (1989), J. Am. Stat. Assoc. 84, 881-896).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.answers.doubt import DOUBT, EIGHTY
from physics.calibration.factors import (
    NAMES,
    Factors,
    Gear,
    Prior,
    factors_at,
    usual_prior,
    value_of,
)
from physics.calibration.fit import NEAR, Fit, fit, in_errors, tangent_step
from physics.calibration.measured import KINDS, CoastDown, Row
from physics.calibration.model_error import discrepancy, in_common
from physics.calibration.predict import predict, uncertainty
from physics.calibration.tows import Shapes
from physics.checks import InvalidValue
from physics.progress import ProgressCallback, part_of, report_progress

Array = NDArray[np.float64]

MOST_ROWS = 500

POORLY = 0.7
"""A factor whose spread is still more than this share of its prior's is poorly known."""

BY_CHANCE = 0.005
"""Rows contradict each other if chance alone would scatter them so less often than this."""

SETTLED = 1e-3
"""Rows are weighed well enough once no value moves by this share of its spread."""

TAILS = 4.0
"""Degrees of freedom of the errors' distribution: a row 10 errors off counts as one 2 off."""

MEDIAN = 0.4549
"""Median of the square of a standard normal number."""

REWEIGHED = 30
"""Most rounds of weighing rows anew by how far off they are; nothing is evaluated in them."""

PACE = 0.85
"""Each evaluation is told as this much less of the work left: nobody knows how many it takes."""


@dataclass(frozen=True, slots=True)
class Fitted:
    """One factor after the fit.

    ``factor`` with its 80 % interval, stretched where rows contradict each other, ``low`` to
    ``high``; ``value`` is what it makes of the assumed value, SI as in factors.value_of,
    ``value_low`` to ``value_high`` likewise (the first is the nearer to zero). ``spread`` and
    ``prior`` are standard deviations of the logarithm after and before; ``bound`` is -1 or +1
    where the search ran into the lower or upper bound, and then the interval cannot be trusted.
    """

    name: str
    factor: float
    low: float
    high: float
    value: float
    value_low: float
    value_high: float
    spread: float
    prior: float
    bound: int

    @property
    def ratio(self) -> float:
        """Spread after over spread before: near 1, the rows have said nothing of it."""
        return self.spread / self.prior


@dataclass(frozen=True, slots=True)
class RowFit:
    """One row after the fit: ``measured``, ``predicted`` and ``error`` (of measurement and model
    together) in the row's own unit; ``assumed`` was predicted before the fit."""

    row: Row
    measured: float
    predicted: float
    error: float
    assumed: float

    @property
    def residual(self) -> float:
        """Measured less predicted."""
        return self.measured - self.predicted

    @property
    def normalized_residual(self) -> float:
        """The residual in errors; beyond 3 the row wants a second look."""
        return self.residual / self.error


@dataclass(frozen=True, slots=True)
class Calibration:
    """What n rows said of k factors.

    ``gear`` as assumed before; ``covariance`` (k, k) of the logarithms, in the order of
    ``fitted``; ``chi_square`` of rows and priors together, whose expectation is n;
    ``chance`` that it comes out as large when all errors and priors are as stated.
    ``jacobian`` (n, k) of the predictions; ``noise`` (n, n) covariance of the errors of rows as
    they were weighed; ``stretch`` by how much spreads had to grow for rows to agree even so.
    """

    gear: Gear
    fitted: tuple[Fitted, ...]
    rows: tuple[RowFit, ...]
    covariance: tuple[tuple[float, ...], ...]
    chi_square: float
    chance: float
    jacobian: tuple[tuple[float, ...], ...]
    noise: tuple[tuple[float, ...], ...]
    stretch: float

    @property
    def factors(self) -> Factors:
        """The fitted factors; those not fitted are 1."""
        return Factors(**{part.name: part.factor for part in self.fitted})

    @property
    def tuned(self) -> Gear:
        """The gear with the fitted factors in it."""
        return self.factors.on(self.gear)

    @property
    def contradictory(self) -> bool:
        """Whether rows (or rows and what was assumed) disagree far beyond their errors."""
        return self.chance < BY_CHANCE

    @property
    def single(self) -> bool:
        """One row only: nothing checks it, the interval rests on what was assumed."""
        return len(self.rows) == 1

    @property
    def poorly_known(self) -> tuple[str, ...]:
        """Factors that still rest mostly on their priors."""
        return tuple(part.name for part in self.fitted if part.ratio > POORLY)

    @property
    def bounds_hit(self) -> tuple[str, ...]:
        """Factors that ran into a bound."""
        return tuple(part.name for part in self.fitted if part.bound)

    def of(self, name: str) -> Fitted:
        """One factor. Raises KeyError."""
        for part in self.fitted:
            if part.name == name:
                return part
        raise KeyError(name)


def usual_priors(gear: Gear, rows: Sequence[Row]) -> tuple[Prior, ...]:
    """The factors worth fitting to such rows, with their usual priors. Raises InvalidValue.

    A boat's exponent is fitted only when coast-downs were read at more than one share of
    the speed.
    """
    wanted = {name for row in rows for name in row.usual}
    shares = {round(row.speed / row.start, 2) for row in rows if isinstance(row, CoastDown)}
    if len(shares) < 2:
        wanted.discard("exponent")
    return tuple(usual_prior(name, gear) for name in NAMES if name in wanted)


def calibrate(
    gear: Gear,
    rows: Sequence[Row],
    priors: Sequence[Prior] | None = None,
    *,
    progress: ProgressCallback | None = None,
) -> Calibration:
    """Fit the factors that ``priors`` name (the usual ones if None) to rows of any kinds.

    All rods of rows are taken to carry the same line and lure as the gear. Raises InvalidValue
    without rows, or where the gear lacks what a row or prior needs; ConvergenceError;
    Cancelled once ``progress`` says so.
    """
    if not 1 <= len(rows) <= MOST_ROWS:
        raise InvalidValue("rows", len(rows), f"1 to {MOST_ROWS} measurements")
    if priors is None:
        priors = usual_priors(gear, rows)
    names = [prior.name for prior in priors]
    if not names or len(set(names)) < len(names):
        raise InvalidValue("priors", ", ".join(names) or None, "one or more factors, each once")
    said = {name for row in rows for name in row.tells}
    for name in names:
        value_of(name, gear)
        if name not in said:
            kinds = ", ".join(row.kind for row in KINDS if name in row.tells)
            raise InvalidValue("priors", name, f"with rows that tell of it: {kinds}")
    work = _Work(gear, tuple(rows), tuple(names), progress)
    spreads = np.array([prior.spread for prior in priors])
    low = np.log([prior.low for prior in priors])
    high = np.log([prior.high for prior in priors])
    measured = np.array([row.measured for row in rows])
    assumed, noise = work.noise(np.zeros(len(names)))
    found = fit(work.predict, measured, _root(noise), spreads, low, high)
    _, noise = work.noise(found.x)
    start, moved = found, 0.0
    for _ in range(REWEIGHED):
        before = found.x
        weighed = _weighed(noise, measured - found.predicted)
        found, _ = tangent_step(start, measured, _root(weighed), spreads, low, high)
        after = np.sqrt(np.diag(found.covariance))
        moved = float((np.abs(found.x - start.x) / after).max())
        if (np.abs(found.x - before) < SETTLED * after).all():
            break
    if moved > NEAR:
        factor = _root(weighed)
        found = fit(work.predict, measured, factor, spreads, low, high, start=found.x)
    report_progress(progress, 1.0)
    return _told(gear, rows, priors, found, noise, weighed, assumed)


def _root(covariance: Array) -> Array:
    out: Array = np.linalg.cholesky(covariance).astype(np.float64, copy=False)
    return out


def _weighed(noise: Array, residual: Array) -> Array:
    """The covariance (n, n) of rows with that of those far from the rest made larger."""
    apart = residual / np.sqrt(np.diag(noise))
    # from their middle: rows that agree keep their say against what was assumed
    square = (apart - np.median(apart)) ** 2
    return noise + np.diag(np.diag(noise) * np.maximum((square - 1.0) / (TAILS + 1.0), 0.0))


class _Work:
    """Predictions at points of logarithms, with the share done reported as it goes."""

    def __init__(
        self,
        gear: Gear,
        rows: tuple[Row, ...],
        names: tuple[str, ...],
        progress: ProgressCallback | None,
    ) -> None:
        self._gear, self._rows, self._names, self._tell = gear, rows, names, progress
        self._left, self._shapes = 1.0, Shapes()

    def predict(self, points: Array) -> Array:
        many = [factors_at(self._names, point) for point in points]
        found = predict(self._gear, self._rows, many, self._asked(), self._shapes)
        self._left *= PACE
        return found

    def noise(self, point: Array) -> tuple[Array, Array]:
        """Predictions (n,), and the covariance (n, n) of measured numbers about them."""
        factors = factors_at(self._names, point)
        found, error, late = uncertainty(
            self._gear, self._rows, factors, self._asked(), self._shapes
        )
        self._left *= PACE
        model = discrepancy(self._rows, found, len(self._rows))
        return found, np.diag(error**2) + in_common(self._rows, late) + model

    def _asked(self) -> ProgressCallback | None:
        return part_of(self._tell, 1.0 - self._left, 1.0 - PACE * self._left)


def _told(
    gear: Gear,
    rows: Sequence[Row],
    priors: Sequence[Prior],
    found: Fit,
    noise: Array,
    weighed: Array,
    assumed: Array,
) -> Calibration:
    prior_spreads = np.array([prior.spread for prior in priors])
    residual = np.array([row.measured for row in rows]) - found.predicted
    moved = float(((found.x / prior_spreads) ** 2).sum())

    normal = in_errors(residual, _root(noise))
    chi_square = float(normal @ normal) + moved
    chance = float(scipy.special.gammaincc(len(rows) / 2.0, chi_square / 2.0))
    # where most rows agree those that do not are weighed down already
    middle = float(np.median(residual**2 / np.diag(weighed)))
    stretch = max(1.0, (middle / MEDIAN) ** 0.5) if chance < BY_CHANCE else 1.0
    spreads = np.sqrt(np.diag(found.covariance))
    fitted = []
    for i, prior in enumerate(priors):
        value, x, reach = (
            value_of(prior.name, gear),
            float(found.x[i]),
            EIGHTY * float(spreads[i]) * stretch,
        )
        factor, low, high = (float(np.exp(x + side * reach)) for side in (0.0, -1.0, 1.0))
        fitted.append(Fitted(
            prior.name, factor, low, high, value * factor, value * low, value * high,
            float(spreads[i]), prior.spread, int(found.bound[i]),
        ))  # fmt: skip
    errors = np.sqrt(np.diag(noise))
    row_fits = tuple(
        RowFit(row, row.measured, float(guess), float(width), float(before))
        for row, guess, width, before in zip(rows, found.predicted, errors, assumed, strict=True)
    )
    return Calibration(
        gear, tuple(fitted), row_fits, _rows_of(found.covariance), chi_square, chance,
        _rows_of(found.jacobian), _rows_of(weighed), stretch,
    )  # fmt: skip


def _rows_of(matrix: Array) -> tuple[tuple[float, ...], ...]:
    return tuple(map(tuple, matrix.tolist()))


def shares_left(result: Calibration) -> dict[str, float]:
    """What is left of doubt in each fitted factor: a standard deviation as a share.

    Stretched where rows contradict each other; a lure's is brought from its weight in water
    to its mass.
    """
    out = {}
    for part in result.fitted:
        share = float(np.expm1(part.spread * result.stretch))
        lure = result.tuned.falling
        if part.name == "lure_weight" and lure is not None:
            wet = abs(lure.mass - result.gear.water.density * lure.volume)
            share *= wet / lure.mass
        out[part.name] = min(share, DOUBT.high)
    return out


__all__ = [
    "Calibration",
    "Fitted",
    "RowFit",
    "calibrate",
    "shares_left",
    "usual_priors",
]
