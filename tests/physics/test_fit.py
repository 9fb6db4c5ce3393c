"""Exact: straight-line models, where the posterior is known in closed form."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.calibration.fit import Fit, covariance, fit, tangent_step, with_row

SLOPES = np.array([[1.0, 0.3], [0.2, -0.8], [0.7, 0.1], [-0.4, 0.9]])
ERRORS = np.array([0.2, 0.1, 0.3, 0.2])
SPREADS = np.array([0.25, 0.5])
WIDE = np.full(2, 5.0)

EXACT = 1e-6  # of the answer; a straight model leaves only the solver's rounding
EIGHTY = 1.2815515655446004
REPEATS = 200
COVERAGE = (0.70, 0.90)  # 3.5 standard deviations of 200 throws at 80 %


def straight(points: np.ndarray) -> np.ndarray:
    return 2.0 + points @ SLOPES.T


def posterior(measured: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Mean and covariance by the normal equations."""
    weight = np.diag(ERRORS**-2.0)
    inverse = np.linalg.inv(np.diag(SPREADS**-2.0) + SLOPES.T @ weight @ SLOPES)
    return inverse @ SLOPES.T @ weight @ (measured - 2.0), inverse


def test_that_a_straight_model_gives_the_posterior_of_the_normal_equations() -> None:
    measured = np.array([2.5, 1.7, 2.4, 2.2])
    found = fit(straight, measured, ERRORS, SPREADS, -WIDE, WIDE)
    mean, inverse = posterior(measured)
    assert_allclose(found.x, mean, rtol=EXACT)
    assert_allclose(found.covariance, inverse, rtol=EXACT)
    assert_allclose(found.predicted, straight(mean[None])[0], rtol=EXACT)
    assert not found.bound.any()


def test_that_no_rows_of_any_weight_leave_the_prior() -> None:
    left = covariance(SLOPES, np.full(4, 1e9), SPREADS)
    assert_allclose(left, np.diag(SPREADS**2), rtol=EXACT, atol=1e-15)


def test_that_a_rank_one_update_is_the_covariance_with_the_row() -> None:
    less = covariance(SLOPES[:3], ERRORS[:3], SPREADS)
    more = covariance(SLOPES, ERRORS, SPREADS)
    assert_allclose(with_row(less, SLOPES[3], ERRORS[3]), more, rtol=EXACT)
    assert np.all(np.diag(more) < np.diag(less))


@pytest.mark.parametrize(("side", "end"), [(1, 0.2), (-1, -0.2)])
def test_that_a_bound_hit_is_told_and_kept(side: int, end: float) -> None:
    narrow = np.array([0.2, 5.0])
    measured = straight(np.array([[side * 3.0, 0.0]]))[0]
    found = fit(straight, measured, ERRORS, SPREADS, -narrow, narrow)
    assert found.bound.tolist() == [side, 0]
    assert_allclose(found.x[0], end, atol=0.02 * SPREADS[0])


@pytest.mark.parametrize("side", [1, -1])
def test_that_the_others_are_at_their_least_for_a_value_held_by_its_bound(side: int) -> None:
    narrow = np.array([0.2, 5.0])
    measured = straight(np.array([[side * 3.0, 0.5]]))[0]
    found = fit(straight, measured, ERRORS, SPREADS, -narrow, narrow)
    assert found.bound.tolist() == [side, 0]
    # the one value left, with the other where it is held
    left = measured - 2.0 - SLOPES[:, 0] * side * 0.2
    weight = SLOPES[:, 1] / ERRORS**2
    exact = float(weight @ left) / (float(weight @ SLOPES[:, 1]) + SPREADS[1] ** -2.0)
    assert_allclose(found.x, [side * 0.2, exact], rtol=EXACT)
    assert abs(posterior(measured)[0][1] - exact) > 0.3, "without bounds it lies elsewhere"
    assert_allclose(found.predicted, straight(found.x[None])[0], rtol=EXACT)


def test_that_a_value_a_tangent_step_brings_to_its_bound_stops_there_for_the_others_too() -> None:
    narrow = np.array([0.2, 5.0])
    measured = straight(np.array([[3.0, 0.5]]))[0]
    inside = np.array([0.1, 0.0])
    start = Fit(
        inside,
        SLOPES,
        straight(inside[None])[0],
        covariance(SLOPES, ERRORS, SPREADS),
        np.zeros(2, dtype=np.intp),
    )
    there, moved = tangent_step(start, measured, ERRORS, SPREADS, -narrow, narrow)
    found = fit(straight, measured, ERRORS, SPREADS, -narrow, narrow)
    assert_allclose(there.x, found.x, rtol=EXACT)
    assert moved > 0.3
    assert there.bound.tolist() == [1, 0]


def test_that_a_bent_model_is_followed_to_its_least() -> None:
    # depth against log drag, much like a tow's: 5 m at 1, four standard errors away
    def bent(points: np.ndarray) -> np.ndarray:
        return 5.0 * np.exp(-0.6 * points)

    found = fit(
        bent, np.array([3.0]), np.array([0.05]), np.array([0.5]), np.full(1, -2.0), np.full(1, 2.0)
    )
    grid = np.linspace(0.5, 1.2, 70001)
    cost = ((5.0 * np.exp(-0.6 * grid) - 3.0) / 0.05) ** 2 + (grid / 0.5) ** 2
    sd = float(np.sqrt(found.covariance[0, 0]))
    assert_allclose(found.x[0], grid[cost.argmin()], atol=0.05 * sd)


def test_that_eighty_percent_intervals_hold_the_truth_eight_times_in_ten() -> None:
    rng = np.random.default_rng(11)
    held = np.zeros(2)
    for _ in range(REPEATS):
        truth = SPREADS * rng.normal(size=2)
        measured = straight(truth[None])[0] + ERRORS * rng.normal(size=4)
        found = fit(straight, measured, ERRORS, SPREADS, -WIDE, WIDE)
        held += np.abs(found.x - truth) < EIGHTY * np.sqrt(np.diag(found.covariance))
    assert np.all((held / REPEATS > COVERAGE[0]) & (held / REPEATS < COVERAGE[1])), held
