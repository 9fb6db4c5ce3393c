"""Exact: a ball let go from rest falls z = V tau ln cosh(t / tau), at v = V tanh(t / tau).

V = sqrt(2 W / (rho Cd A)) and tau = V (m + added mass) / W, W its weight in water.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.calibration.calibrate import calibrate
from physics.calibration.factors import Factors, Gear, Prior, usual_prior, value_of
from physics.calibration.measured import DockFall
from physics.calibration.predict import predict
from physics.checks import InvalidValue
from physics.line.tackle import LURE_LIMITS, OSMIUM, Lure
from tests.physics.gear import ball
from tests.physics.measurements import BOAT, PLUG, ROD, WATER

BALL = ball(0.050, 2.0e-5, 1.2e-3)
GEAR = Gear(WATER, lure=BALL)
DEPTHS = (0.5, 2.0, 5.0)

FALL = 0.006  # s; the first step of a fall begins without acceleration. A hand errs by 0.3 s


def seconds(lure: Lure, depth: float) -> float:
    """The closed form turned round: t = tau arcosh e^(z / (V tau))."""
    displaced = WATER.density * lure.volume
    weight = WATER.gravity * (lure.mass - displaced)
    speed = np.sqrt(2.0 * weight / (WATER.density * lure.broadside_area))
    tau = speed * (lure.mass + lure.added_mass_across * displaced) / weight
    x = depth / (speed * tau)
    # arcosh(e^x), written so that it does not overflow
    return float(tau * (x + np.log1p(np.sqrt(-np.expm1(-2.0 * x)))))


def tries(lure: Lure, depths=DEPTHS) -> list[DockFall]:
    return [DockFall(depth, seconds(lure, depth), 0.005, 0.02) for depth in depths]


@pytest.mark.parametrize(
    "factors", [Factors(), Factors(lure_drag=1.6), Factors(lure_weight=0.6)], ids=str
)
def test_that_a_ball_takes_the_seconds_of_the_closed_form(factors: Factors) -> None:
    lure = factors.on_lure(BALL, WATER.density)
    ours = predict(GEAR, tries(BALL), [factors])[0]
    assert_allclose(ours, [seconds(lure, depth) for depth in DEPTHS], rtol=0.0, atol=FALL)


def test_that_a_ball_followed_for_too_short_falls_on_at_its_last_rate() -> None:
    row = DockFall(40.0, 5.0)
    assert_allclose(predict(GEAR, [row], [Factors()])[0, 0], seconds(BALL, 40.0), rtol=2e-3)


@pytest.mark.parametrize("truth", [0.7, 1.45])
def test_that_falls_give_the_drag_area_back(truth: float) -> None:
    found = calibrate(GEAR, tries(replace(BALL, broadside_area=1.2e-3 * truth)))
    part = found.of("lure_drag")
    assert_allclose(part.factor, truth, rtol=0.01)
    assert part.low < truth < part.high
    assert_allclose(part.value, 1.2e-3 * part.factor)


def test_that_falls_give_the_weight_in_water_back() -> None:
    displaced = WATER.density * BALL.volume
    heavier = replace(BALL, mass=displaced + 1.3 * (BALL.mass - displaced))
    found = calibrate(GEAR, tries(heavier), [usual_prior("lure_weight", GEAR)])
    tuned = found.tuned.falling
    assert tuned is not None
    assert_allclose(tuned.mass, heavier.mass, rtol=0.02)
    assert tuned.volume == BALL.volume
    assert_allclose(found.of("lure_weight").value, value_of("lure_weight", GEAR) * 1.3, rtol=0.03)


def test_that_a_fall_cannot_tell_drag_from_weight() -> None:
    both = [usual_prior(name, GEAR) for name in ("lure_drag", "lure_weight")]
    found = calibrate(GEAR, tries(replace(BALL, broadside_area=1.6e-3), (5.0,)), both)
    (a, shared), (_, b) = found.covariance
    assert shared / np.sqrt(a * b) > 0.9
    alone = calibrate(GEAR, tries(replace(BALL, broadside_area=1.6e-3), (5.0,)), both[:1])
    assert found.of("lure_drag").spread > 1.5 * alone.of("lure_drag").spread


def test_that_a_lure_that_rises_is_timed_rising() -> None:
    floater = replace(PLUG, mass=0.040)
    gear = Gear(WATER, lure=floater)
    truth = Factors(lure_drag=1.3)
    expected = predict(gear, [DockFall(3.0, 10.0)], [truth])[0, 0]
    found = calibrate(gear, [DockFall(3.0, float(expected), 0.001, 0.01)] * 3)
    assert_allclose(found.of("lure_drag").factor, 1.3, rtol=0.01)


def test_that_a_lure_that_hovers_has_no_weight_to_fit() -> None:
    hovering = replace(PLUG, mass=WATER.density * PLUG.volume * 1.001)
    with pytest.raises(InvalidValue, match="clearly sinks or floats"):
        usual_prior("lure_weight", Gear(WATER, lure=hovering))


@pytest.mark.parametrize("share", [1.0, 1.001, 0.999], ids=str)
def test_that_a_lure_that_hovers_has_no_fall_to_time(share: float) -> None:
    hovering = replace(PLUG, mass=share * WATER.density * PLUG.volume)
    with pytest.raises(InvalidValue, match="clearly sinks or floats"):
        calibrate(Gear(WATER, lure=hovering), [DockFall(3.0, 8.0)])


@pytest.mark.parametrize(
    "name", ["line_drag", "lure_drag", "lure_weight", "coast_down", "exponent"]
)
@pytest.mark.parametrize(
    "lure",
    [
        PLUG,
        replace(PLUG, mass=0.2 * WATER.density * PLUG.volume),
        replace(PLUG, mass=0.7 * OSMIUM * PLUG.volume),
        replace(PLUG, mass=1e-4, volume=4e-7),
        Lure("sinker", "sinker", 12.0, 0.001, 0.2, 1e-3, 1e-2),
    ],
    ids=["plug", "cork", "tungsten", "speck", "ball"],
)
def test_that_bounds_of_a_usual_prior_are_what_the_gear_can_be(name: str, lure: Lure) -> None:
    gear = Gear(WATER, BOAT, replace(ROD, lure=lure), line="leadcore")
    prior = usual_prior(name, gear)
    for bound in (prior.low, prior.high):
        tuned = Factors(**{name: bound}).on(gear)
        # a bound cut off at would leave the fit without a slope
        assert_allclose(value_of(name, tuned), bound * value_of(name, gear), rtol=1e-3)


def test_that_a_floater_never_weighs_less_than_nothing() -> None:
    cork = replace(PLUG, mass=0.2 * WATER.density * PLUG.volume)
    high = usual_prior("lure_weight", Gear(WATER, lure=cork)).high
    assert_allclose(high, 1.0 / (1.0 - 0.2), rtol=3e-3)  # all that it displaces
    assert Factors(lure_weight=3.0).on_lure(cork, WATER.density).mass == LURE_LIMITS["mass"].low


def test_that_a_wider_prior_leans_less_on_what_was_assumed() -> None:
    row = tries(replace(BALL, broadside_area=1.2e-3 * 1.4), (2.0,))
    vague = [replace(row[0], seconds_error=0.5)]
    factors = [
        calibrate(GEAR, vague, [Prior("lure_drag", spread)]).of("lure_drag").factor
        for spread in (0.05, 0.25, 1.0)
    ]
    assert 1.0 < factors[0] < factors[1] < factors[2] < 1.45


def test_that_a_lure_is_needed() -> None:
    with pytest.raises(InvalidValue, match="lure"):
        calibrate(Gear(WATER), [DockFall(3.0, 8.0)])
