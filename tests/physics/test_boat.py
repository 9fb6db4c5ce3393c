"""The boat in gear, on one engine, and the rod tips it carries through a turn."""

from dataclasses import astuple

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.checks import InvalidValue
from physics.environment.water import Bottom, Water
from physics.simulation.batch import tip_offset
from physics.simulation.run import Run, simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat, Leg, Order
from physics.vessel.helm import SPARSE, THINNED_AT_ONCE, HelmTrack
from tests.physics.spreads import PLUG, drop, leadcore_rod

CALM = Water(Bottom.level(50.0))
BOAT = Boat(
    "boat", trolling_speed=3.0, half_time=4.0, one_engine=0.6, idle_speed=1.2,
    shift_time=0.5, idle_time=1.0, throttle_time=2.0,
)  # fmt: skip

HOLDS = 1e-3  # m/s; a speed law reaches its goal only with time
CARRIED = 0.02  # m; the tip's velocity is stepped with the line's own steps, place follows


def test_that_a_boat_in_gear_holds_its_throttle() -> None:
    track = HelmTrack(BOAT, CALM, 3.0)
    assert_allclose([track.at(60.0).speed, track.at(60.0).y], [3.0, 180.0], rtol=1e-9)


def test_that_one_engine_of_two_holds_its_share_of_the_speed() -> None:
    track = HelmTrack(BOAT, CALM, 3.0, 0.0, [Order(1.0, "engines", 1)])
    assert_allclose(track.at(200.0).speed, 0.6 * 3.0, atol=HOLDS)


def test_that_a_new_throttle_is_reached_and_held() -> None:
    track = HelmTrack(BOAT, CALM, 3.0, 0.0, [Order(1.0, "throttle", 2.0)])
    assert_allclose(track.at(200.0).speed, 2.0, atol=HOLDS)


def test_that_going_in_gear_shifts_idles_and_throttles_up_in_that_order() -> None:
    track = HelmTrack(BOAT, CALM, 3.0, 0.0, [Order(0.0, "out of gear"), Order(10.0, "in gear")])
    asked = [track.at(t).set_speed for t in (9.9, 10.4, 10.6, 11.4, 12.5, 13.6, 60.0)]
    assert_allclose(asked, [0.0, 0.0, 1.2, 1.2, 2.1, 3.0, 3.0], atol=1e-9)
    assert not track.at(9.9).in_gear
    assert track.at(10.1).in_gear
    assert track.at(10.4).surge < 0.0
    assert track.at(12.0).surge > 0.0
    assert_allclose(track.at(90.0).speed, 3.0, atol=HOLDS)


@pytest.mark.parametrize("times", [1.0, 2.0, 4.0, 8.0])
@pytest.mark.parametrize("half_time", [0.5, 1.5, 5.0])
def test_that_a_boat_driven_fast_coasts_as_its_law_says(times: float, half_time: float) -> None:
    """u = u0 / (1 + t/tau), x = u0 tau ln(1 + t/tau) from any speed u0: tau goes as 1/u0."""
    boat = Boat("boat", trolling_speed=1.0, half_time=half_time, leeway=0.0)
    track = HelmTrack(boat, CALM, times, 0.0, [Order(1.0, "out of gear")])
    tau = half_time / times
    for t in (0.05, 0.2, 1.0, 10.0):
        now = track.at(1.0 + t)
        assert_allclose(now.speed, times / (1.0 + t / tau), rtol=2e-5)
        assert_allclose(now.y, times * (1.0 + tau * np.log1p(t / tau)), rtol=2e-5)


def test_that_a_boat_driven_fast_comes_to_the_speed_that_is_set_and_keeps_it() -> None:
    short = Boat("boat", trolling_speed=1.0, half_time=1.5, exponent=2.75, leeway=0.0)
    orders = [Order(0.0, "out of gear"), Order(0.5, "in gear")]
    track = HelmTrack(short, CALM, 3.9558, 0.0, orders)
    speeds = [track.at(0.01 * k).speed for k in range(60)]
    assert np.all(np.diff(speeds[:50]) < 0.0), "slows all the while out of gear"
    assert min(speeds) > 0.9, "and does not stop in half a second"
    assert_allclose([track.at(t).speed for t in (10.0, 60.0)], 3.9558, atol=HOLDS)
    thinned = HelmTrack(short, CALM, 3.9558, 0.0, orders)
    thinned.at(400.0)
    thinned.thin(390.0)
    assert thinned.at(3.003) == track.at(3.003)


def test_that_no_boat_is_driven_beyond_what_drag_can_be() -> None:
    short = Boat("boat", trolling_speed=0.5, half_time=1.0, exponent=3.0)
    rods = (leadcore_rod("plug", PLUG),)
    with pytest.raises(InvalidValue, match=r"speed.*no more than 2\.55 m/s"):
        Scenario("fast", CALM, short, rods, speed=6.0)
    with pytest.raises(InvalidValue, match="no more than"):
        Scenario("fast", CALM, short, rods, speed=1.0, orders=(Order(1.0, "throttle", 6.0),))
    run = Run([Scenario("slow", CALM, short, rods, speed=1.0)])
    with pytest.raises(InvalidValue, match="no more than"):
        run.order(Order(0.0, "throttle", 6.0))
    assert run.boat(5.0).speed == pytest.approx(1.0)


def test_that_a_propeller_out_of_gear_adds_its_drag_only_out_of_gear() -> None:
    dragging = Boat("boat", trolling_speed=3.0, propeller_drag=0.5)
    out, into = dragging.surge(2.0, 0.0, in_gear=False), dragging.surge(2.0, 0.0, in_gear=True)
    assert_allclose(out, 1.5 * into, rtol=1e-12)


@pytest.mark.parametrize("curvature", [1.0 / 30.0, -1.0 / 30.0])
def test_that_a_turning_boat_carries_its_rod_tips_along(curvature: float) -> None:
    rods = (
        leadcore_rod("port", astern=4.0, abeam=-3.0),
        leadcore_rod("starboard", astern=1.0, abeam=3.0, height=1.5),
    )
    run = simulate(drop(*rods, orders=(Order(2.0, "wheel", curvature),), heading=0.4))
    for time in np.linspace(0.0, 30.0, 13):
        boat = run.track.at(float(time))
        for rod, line in zip(rods, run.lines, strict=True):
            s, c = np.sin(boat.heading), np.cos(boat.heading)
            tip = [boat.x - rod.astern * s + rod.abeam * c, boat.y - rod.astern * c - rod.abeam * s]
            assert_allclose(line.nodes(time)[:, 0], [*tip, rod.height], rtol=0.0, atol=CARRIED)
            offset, _ = tip_offset(rod, boat)
            assert_allclose(boat.x + offset[0], tip[0], atol=1e-9)
            assert_allclose(boat.y + offset[1], tip[1], atol=1e-9)


def test_that_a_positive_wheel_turns_to_starboard() -> None:
    there = HelmTrack(BOAT, CALM, 3.0, 0.0, [Order(0.0, "wheel", 0.02)]).at(10.0)
    assert there.heading > 0.0
    assert there.x > 1.0


OLD = 1200.0  # s; a track is thinned before this


def long_track() -> HelmTrack:
    """Half an hour of drops, turns, a course and marks, at odd moments."""
    legs = (Leg(60.0, 0.02), Leg(90.0, -0.02))
    orders = [
        Order(begin + after, action, value, legs if action == "course" else ())
        for begin in np.arange(7.3, 1800.0, 211.7)
        for after, action, value in (
            (0.0, "mark", 9.0), (3.13, "out of gear", 0.0), (21.4, "in gear", 0.0),
            (60.03, "wheel", 0.015), (80.0, "wheel", 0.0), (90.01, "throttle", 2.2),
            (110.0, "course", 0.0),
        )
    ]  # fmt: skip
    track = HelmTrack(BOAT, CALM, 3.0, 0.3, orders, turning=0.001)
    track.at(1800.0)
    return track


def test_that_a_thinned_track_tells_the_same_to_the_last_bit() -> None:
    whole, thinned = long_track(), long_track()
    thinned.thin(OLD)
    assert thinned._count < 0.5 * whole._count
    for time in np.arange(0.0, 1800.0, 1.37):
        time = float(time)
        assert thinned.at(time) == whole.at(time)
        assert thinned.next_break(time) == whole.next_break(time)
        assert thinned.throttle_at(time) == whole.throttle_at(time)
        assert thinned.course_at(time) == whole.course_at(time)
    edge = 0.0
    while edge < 1700.0:
        end = min(whole.next_break(edge), edge + 30.0)
        mine, theirs = thinned.pieces(edge, end), whole.pieces(edge, end)
        for a, b in zip(astuple(mine), astuple(theirs), strict=True):
            assert np.array_equal(a, b)
        edge = end


@pytest.mark.parametrize("when", [33.33, 444.4, OLD - 0.7])
def test_that_an_order_in_the_thinned_past_leads_where_it_did(when: float) -> None:
    whole, thinned = long_track(), long_track()
    thinned.thin(OLD)
    for track in (whole, thinned):
        track.order(Order(when, "wheel", -0.01))
    for time in np.arange(when - 20.0, when + 400.0, 3.1):
        assert thinned.at(float(time)) == whole.at(float(time))


def test_that_a_track_thinned_as_it_grows_stays_short() -> None:
    track = HelmTrack(BOAT, CALM, 3.0)
    for time in np.arange(0.0, 7200.0, 5.0):
        track.at(float(time))
        track.thin(float(time) - 60.0)
    assert track._count < 7200.0 / SPARSE + 5 * (60.0 + 0.2 * THINNED_AT_ONCE) + 50
