"""A course is steered by the way run through the water, whatever the boat does meanwhile."""

from __future__ import annotations

import math

import numpy as np
import pytest

from physics.checks import InvalidValue
from physics.environment.water import Bottom, Water
from physics.simulation.run import Run
from physics.vessel.boat import Boat, Leg, Order
from physics.vessel.helm import HelmTrack
from tests.physics.spreads import drop, leadcore_rod

BOAT = Boat("test boat")
R = 60.0
CIRCLE = (Leg(2.0 * math.pi * R, 1.0 / R),)
EIGHT = (*CIRCLE, Leg(2.0 * math.pi * R, -1.0 / R))


def steered(*orders: Order, water: Water | None = None) -> HelmTrack:
    return HelmTrack(BOAT, water or Water(Bottom.level(20.0)), 3.0, 0.0, orders)


def test_that_a_circle_comes_back_to_where_it_began_and_goes_straight_on() -> None:
    track = steered(Order(10.0, "course", legs=CIRCLE))
    begun, done = track.at(10.0), track.at(10.0 + 2.0 * math.pi * R / 3.0)
    assert math.hypot(done.x - begun.x, done.y - begun.y) < 1e-4
    later = track.at(done.time + 20.0)
    assert later.turn == 0.0
    assert later.heading == pytest.approx(begun.heading + 2.0 * math.pi, abs=1e-6)


def test_that_a_figure_of_eight_ends_on_its_first_heading_where_it_began() -> None:
    track = steered(Order(10.0, "course", legs=EIGHT))
    begun, done = track.at(10.0), track.at(10.0 + 4.0 * math.pi * R / 3.0)
    assert math.hypot(done.x - begun.x, done.y - begun.y) < 1e-4
    assert done.heading == pytest.approx(begun.heading, abs=1e-6)


def test_that_a_circle_closes_whatever_the_speed_does_on_the_way() -> None:
    """Out of gear, slowed to one engine, throttled up: the shape through the water is the same."""
    track = steered(
        Order(5.0, "course", legs=CIRCLE),
        Order(20.0, "out of gear"),
        Order(35.0, "in gear"),
        Order(60.0, "engines", 1),
        Order(90.0, "throttle", 4.0),
    )
    begun = track.at(5.0)
    ends = [t for t in np.arange(100.0, 400.0, 0.05) if track.at(t).turn == 0.0]
    done = track.at(ends[0])
    assert math.hypot(done.x - begun.x, done.y - begun.y) < 0.25
    assert done.heading == pytest.approx(begun.heading + 2.0 * math.pi, abs=1e-6)


def test_that_every_end_of_a_leg_is_a_break_before_it_is_run_over() -> None:
    legs = (Leg(12.0, 0.05), Leg(30.0), Leg(9.0, -0.05), Leg(21.0, 0.01))
    track = steered(Order(10.0, "course", legs=legs))
    want = 10.0 + np.cumsum([leg.length for leg in legs]) / 3.0
    time, found = 10.0, []
    while time < 60.0:
        time = min(track.next_break(time), time + 1.0)
        found.append(time)
    for end in want:
        assert min(abs(end - t) for t in found) < 1e-6


def test_that_a_wheel_order_ends_the_course() -> None:
    track = steered(Order(10.0, "course", legs=EIGHT), Order(30.0, "wheel", 0.0))
    assert track.at(300.0).heading == pytest.approx(track.at(30.0).heading)


def test_that_a_course_learned_late_is_the_course_known_from_the_start() -> None:
    order = Order(10.0, "course", legs=EIGHT)
    known, late = steered(order), steered()
    late.at(47.0)
    late.order(order)
    for time in (15.0, 60.0, 133.3):
        assert late.at(time) == known.at(time)


def test_that_the_way_run_of_a_course_is_told_until_it_is_done() -> None:
    legs = (Leg(12.0, 0.05), Leg(30.0), Leg(9.0, -0.05))
    track = steered(Order(10.0, "course", legs=legs))
    assert track.course_at(9.9) is None
    for time, way in ((10.0, 0.0), (12.0, 6.0), (20.0, 30.0), (26.9, 50.7)):
        told = track.course_at(time)
        assert told is not None
        assert told[0] == legs
        assert told[1] == pytest.approx(way, abs=1e-6)
    assert track.course_at(27.1) is None


def test_that_the_tide_carries_a_course_along() -> None:
    order = Order(10.0, "course", legs=CIRCLE)
    still, tidal = (
        steered(order),
        steered(order, water=Water(Bottom.level(20.0), current=(0.5, -0.2))),
    )
    a, b = still.at(97.0), tidal.at(97.0)
    assert (b.x - a.x, b.y - a.y) == pytest.approx((0.5 * 97.0, -0.2 * 97.0), abs=1e-6)


def test_that_a_boat_without_way_stays_on_her_leg() -> None:
    track = steered(Order(5.0, "course", legs=CIRCLE), Order(10.0, "out of gear"))
    assert track.at(2000.0).heading < 2.0 * math.pi
    assert track.next_break(500.0) == math.inf


@pytest.mark.parametrize(
    "order",
    [
        lambda: Order(1.0, "course"),
        lambda: Order(1.0, "wheel", 0.1, CIRCLE),
        lambda: Leg(0.0, 0.1),
        lambda: Leg(5.0, 0.5),
    ],
)
def test_that_a_course_nobody_can_steer_is_refused(order) -> None:
    with pytest.raises(InvalidValue):
        order()


def test_that_a_run_carried_on_in_one_go_takes_every_bend_of_a_course() -> None:
    """Legs so long that their ends are out of sight when the run sets out."""
    legs = (Leg(90.0), Leg(60.0, 1.0 / R), Leg(90.0))
    scenario = drop(
        leadcore_rod("rod"), orders=(Order(0.0, "course", legs=legs),), speed=3.0, duration=80.0
    )
    at_once, by_and_by = Run([scenario]), Run([scenario])
    at_once.advance(80.0)
    for time in np.arange(0.5, 80.5, 0.5):
        by_and_by.advance(float(time))
    times = np.linspace(0.0, 80.0, 161)
    ours, theirs = (run.trajectory().lines[0].nodes(times) for run in (at_once, by_and_by))
    assert np.abs(ours - theirs).max() < 1e-6
