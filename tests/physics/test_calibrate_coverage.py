"""How often 80 % intervals hold the truth, for rows that need the line or the lure computed.

The model on 13 values of one factor, joined by cubics, stands in for itself: cheap enough for
200 fits and as bent as the real thing. A last test holds the stand-in against whole fits.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.interpolate import PchipInterpolator

from physics.calibration.calibrate import calibrate
from physics.calibration.factors import Factors, Prior, usual_prior
from physics.calibration.fit import Fit, fit
from physics.calibration.measured import DockFall, DropTouch, Row, TowDepth
from physics.calibration.predict import errors, predict
from tests.physics.measurements import GEAR, misread, with_measured

KINDS: dict[str, tuple[str, list[Row]]] = {
    "tow": ("line_drag", [TowDepth(2.0, 4.4), TowDepth(2.8, 2.2)]),
    "dock": ("lure_drag", [DockFall(3.0, 8.0, seconds_error=0.8), DockFall(5.0, 13.0)]),
    "drop": (
        "coast_down",
        [DropTouch(3.2, 30.0, 12.0, 3.0, depth_error=0.1), DropTouch(2.6, 6.0, 14.0, 3.0)],
    ),
}

REACH = 3.0
"""The stand-in goes so many prior spreads to either side."""

REPEATS = 200
COVERAGE = (0.70, 0.90)  # 3.5 standard deviations of 200 throws at 80 %


class StandIn:
    """Predictions of some rows against the logarithm of one factor."""

    def __init__(self, name: str, rows: list[Row]) -> None:
        self.prior = usual_prior(name, GEAR)
        edge = min(REACH * self.prior.spread, -np.log(self.prior.low), np.log(self.prior.high))
        grid = np.linspace(-edge, edge, 13)
        many = [Factors(**{name: float(np.exp(x))}) for x in grid]
        self.curve = PchipInterpolator(grid, predict(GEAR, rows, many))
        self.edge = edge

    def fit(self, measured: np.ndarray, error: np.ndarray) -> Fit:
        return fit(
            lambda points: self.curve(points[:, 0]), measured, error,
            np.array([self.prior.spread]), np.array([-self.edge]), np.array([self.edge]),
        )  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_that_intervals_hold_the_truth_eight_times_in_ten(kind: str) -> None:
    name, rows = KINDS[kind]
    model, rng, held, narrower = StandIn(name, rows), np.random.default_rng(4), 0, 0
    error = errors(GEAR, rows, Factors())[1]
    for _ in range(REPEATS):
        truth = float(np.clip(model.prior.spread * rng.normal(), -model.edge, model.edge))
        found = model.fit(model.curve(truth) + error * rng.normal(size=len(rows)), error)
        spread = float(np.sqrt(found.covariance[0, 0]))
        held += abs(found.x[0] - truth) < 1.2816 * spread
        narrower += spread < 0.9 * model.prior.spread
    assert COVERAGE[0] < held / REPEATS < COVERAGE[1]
    assert narrower > 0.9 * REPEATS


@pytest.mark.parametrize("kind", KINDS)
def test_that_the_stand_in_is_the_model(kind: str) -> None:
    name, rows = KINDS[kind]
    rng = np.random.default_rng(8)
    exact = predict(GEAR, rows, [Factors(**{name: 1.15})])[0]
    noisy = [misread(with_measured(r, v), rng) for r, v in zip(rows, exact, strict=True)]
    prior = usual_prior(name, GEAR)
    found = calibrate(GEAR, noisy, [Prior(name, prior.spread, prior.low, prior.high)])
    cheap = StandIn(name, noisy).fit(
        np.array([row.measured for row in noisy]), np.linalg.cholesky(np.array(found.noise))
    )
    part = found.of(name)
    assert_allclose(np.log(part.factor), cheap.x[0], atol=0.1 * part.spread)
    assert_allclose(part.spread, np.sqrt(cheap.covariance[0, 0]), rtol=0.1)
