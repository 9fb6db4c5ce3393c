"""Coast-downs: the closed form against the boat's own steps, and fits that find her half time."""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.calibration.calibrate import calibrate
from physics.calibration.coast import SpeedTables, coasting
from physics.calibration.factors import COAST_DOWN, Gear, Prior, usual_prior
from physics.calibration.measured import CoastDown, coast_table, coast_to_share
from physics.checks import InvalidValue
from physics.vessel.boat import Boat, Order
from physics.vessel.helm import HelmTrack
from tests.physics.measurements import BOAT, WATER, misread

GEAR = Gear(WATER, BOAT)
STEPS = 1e-6  # share; the boat's Runge-Kutta steps are good to 1e-7 of the speed
REPEATS = 200
COVERAGE = (0.70, 0.90)  # 3.5 standard deviations of 200 throws at 80 %


def left(start: float, seconds: float, half_time: float) -> float:
    """Speed for drag as speed squared: u0 / (1 + u0 t / (u_r tau))."""
    return start / (1.0 + start * seconds / (BOAT.trolling_speed * half_time))


@pytest.mark.parametrize("exponent", [1.0, 1.0 + 1e-7, 1.5, 2.0, 3.0])
@pytest.mark.parametrize("start", [1.5, 3.0, 4.5])
def test_that_the_closed_form_is_what_the_boat_does(exponent: float, start: float) -> None:
    boat = replace(BOAT, exponent=exponent)
    track = HelmTrack(boat, WATER, start, 0.0, [Order(0.0, "out of gear")])
    times = np.array([0.5, 3.0, 8.0, 25.0])
    stepped = [track.at(float(t)).speed for t in times]
    assert_allclose(coasting(boat, start, times), stepped, rtol=STEPS)


def test_that_the_table_of_a_drop_is_what_the_helm_does() -> None:
    orders = [Order(0.0, "out of gear"), Order(4.3, "in gear")]
    track = HelmTrack(BOAT, WATER, 2.6, 0.0, orders)
    tables = SpeedTables(15.0, WATER)
    speeds, kinks = tables.of(BOAT, 2.6, 4.3)
    assert_allclose(speeds, [track.at(float(t)).speed for t in tables.time], rtol=0.0, atol=2.5e-3)
    assert_allclose(kinks, np.cumsum([4.3, BOAT.shift_time, BOAT.idle_time, BOAT.throttle_time]))
    assert speeds[-1] > 2.0 > speeds[43]


def test_that_exact_readings_give_half_time_and_exponent_back() -> None:
    boat = replace(BOAT, half_time=7.3, exponent=1.7)
    track = HelmTrack(boat, WATER, 3.4, 0.0, [Order(0.0, "out of gear")])
    times = [0.0, 2.0, 5.0, 10.0, 20.0, 40.0]
    rows = [
        replace(row, speed_error=0.002, seconds_error=0.0, start_error=0.0)
        for row in coast_table(times, [track.at(t).speed for t in times])
    ]
    found = calibrate(GEAR, rows)
    assert_allclose(found.of("coast_down").value, 7.3, rtol=5e-3)
    assert_allclose(found.of("exponent").value, 1.7, rtol=1e-2)
    tuned = found.tuned.boat
    assert tuned is not None
    assert tuned.propeller_drag == BOAT.propeller_drag
    assert_allclose([row.predicted for row in found.rows], [r.speed for r in rows], atol=0.005)
    assert not found.contradictory
    assert not found.poorly_known


def test_that_intervals_of_the_half_time_hold_the_truth_eight_times_in_ten() -> None:
    rng = np.random.default_rng(5)
    prior, held, shrunk = Prior("coast_down", COAST_DOWN, 0.2, 5.0), 0, 0
    for _ in range(REPEATS):
        truth = math.exp(prior.spread * rng.normal())
        half = BOAT.half_time * truth
        exact = [CoastDown(3.2, t, left(3.2, t, half)) for t in (0.6 * half, 1.2 * half)]
        found = calibrate(GEAR, [misread(row, rng) for row in exact], [prior])
        part = found.of("coast_down")
        held += part.low < truth < part.high
        shrunk += part.ratio < 0.5
    assert COVERAGE[0] < held / REPEATS < COVERAGE[1]
    assert shrunk == REPEATS


def test_that_a_share_of_the_speed_is_the_same_row_as_the_speed() -> None:
    assert coast_to_share(3.0, 0.5, 6.0) == CoastDown(3.0, 6.0, 1.5)


def test_that_one_share_of_the_speed_says_nothing_of_the_exponent() -> None:
    rows = [coast_to_share(3.0, 0.5, 6.0), coast_to_share(3.0, 0.5, 7.0)]
    assert [part.name for part in calibrate(GEAR, rows).fitted] == ["coast_down"]


@pytest.mark.parametrize(
    ("times", "speeds", "says"),
    [([0.0], [3.0], "table"), ([0.0, 4.0], [3.0, 3.5], "less than"), ([4.0, 0.0], [3.0, 2.0], "s")],
)
def test_that_a_table_that_is_no_coast_down_is_refused(times, speeds, says) -> None:
    with pytest.raises(InvalidValue, match=says):
        coast_table(times, speeds)


def test_that_a_boat_is_needed() -> None:
    with pytest.raises(InvalidValue, match="boat"):
        calibrate(Gear(WATER), [coast_to_share(3.0, 0.5, 6.0)])


@pytest.mark.parametrize(
    ("half_time", "low", "high"), [(5.0, 0.2, 5.0), (60.0, 0.2, 2.0), (1.25, 0.4, 5.0)]
)
def test_that_a_half_time_may_become_what_a_boat_may_have(half_time, low, high) -> None:
    prior = usual_prior("coast_down", Gear(WATER, replace(BOAT, half_time=half_time)))
    assert_allclose([prior.low, prior.high], [low, high])


def test_that_a_half_time_out_of_bounds_is_told() -> None:
    slow = Gear(WATER, Boat("boat", trolling_speed=3.0, half_time=4.0))
    sure = {"speed_error": 0.02, "seconds_error": 0.1, "start_error": 0.02}
    rows = [
        CoastDown(3.0, t, left(3.0, t, 5.0 * 30.0 / BOAT.half_time), **sure)
        for t in (10.0, 20.0, 40.0)
    ]
    found = calibrate(slow, rows, [Prior("coast_down", 0.5, 0.2, 5.0)])
    assert found.bounds_hit == ("coast_down",)
    assert_allclose(found.of("coast_down").factor, 5.0, rtol=0.02)
