"""Courses: shapes, their track over ground, and ways drawn by hand that are followed."""

from __future__ import annotations

import math

import numpy as np
import pytest

from app.common.units import FOOT
from app.scenario.courses import (
    SHAPES,
    TIGHTEST,
    ahead_of,
    course_name,
    course_path,
    course_words,
    drift_of,
    length_of,
    shaped_course,
    steered_along,
)
from physics.checks import InvalidValue
from physics.environment.water import Bottom, Water
from physics.vessel.boat import Boat, BoatState, Leg, Order
from physics.vessel.helm import HelmTrack

SPEED = 3.0
STILL, SET = (0.0, 0.0), (0.4, -0.3)


def afloat(x: float = 0.0, y: float = 0.0, heading: float = 0.0) -> BoatState:
    return BoatState(0.0, x, y, heading, SPEED, 0.0, 0.0, (0.0, SPEED), True, SPEED)


def helmsman(legs: tuple[Leg, ...], drift: tuple[float, float], heading: float = 0.0) -> HelmTrack:
    """The helm itself, given the course at once: what a predicted track must agree with."""
    water = Water(Bottom.level(20.0), current=drift)
    return HelmTrack(Boat("boat"), water, SPEED, heading, [Order(0.0, "course", legs=legs)])


def off(path: np.ndarray, drawn: np.ndarray) -> np.ndarray:
    """Distance (n,) of each place of a path from a drawn way, m."""
    a, d = drawn[:-1], np.diff(drawn, axis=0)
    w = path[:, None] - a
    t = np.clip((w * d).sum(2) / np.maximum((d * d).sum(1), 1e-12), 0.0, 1.0)
    return np.linalg.norm(w - t[..., None] * d, axis=2).min(axis=1)


# ---- shapes


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("shape", SHAPES)
def test_that_a_shape_ends_on_her_heading_and_begins_to_its_side(shape: str, side: int) -> None:
    legs = shaped_course(shape, 60.0, side)
    path = course_path(afloat(), legs, SPEED, STILL)
    turned = sum(leg.length * leg.curvature for leg in legs)
    assert math.cos(turned) == pytest.approx(1.0)
    assert side * path[3, 0] > 0.0
    end = (2.0 * 60.0 * side, 2.0 * 60.0) if shape == "S-turn" else (0.0, 0.0)
    assert path[-1] == pytest.approx(end, abs=1e-6)
    assert course_name(legs).endswith(shape)


def test_that_a_course_of_ones_own_has_no_shape() -> None:
    assert course_name((Leg(30.0, 0.01), Leg(20.0))) == "a course"
    assert course_name((Leg(30.0, 0.05), Leg(30.0, -0.05))) == "a course"


@pytest.mark.parametrize(("shape", "radius"), [("spiral", 60.0), ("circle", 2.0)])
def test_that_no_shape_and_too_tight_a_turn_are_refused(shape: str, radius: float) -> None:
    with pytest.raises(InvalidValue):
        shaped_course(shape, radius, 1)


@pytest.mark.parametrize("drift", [STILL, SET])
def test_that_the_predicted_track_is_the_one_the_helm_steers(drift: tuple[float, float]) -> None:
    legs = (Leg(40.0), *shaped_course("figure of eight", 50.0, -1), Leg(25.0, 0.02))
    path = course_path(afloat(heading=0.7), legs, SPEED, drift)
    boat = helmsman(legs, drift, 0.7).at(length_of(legs) / SPEED)
    assert path[-1] == pytest.approx((boat.x, boat.y), abs=0.01)
    gap = np.hypot(*np.diff(path, axis=0).T)
    assert gap.max() < 30.0


def test_that_what_is_left_of_a_course_is_the_rest_of_it() -> None:
    legs = (Leg(30.0, 0.01), Leg(20.0), Leg(10.0, -0.02))
    assert ahead_of(legs, 0.0) == legs
    assert ahead_of(legs, 35.0) == (Leg(15.0), Leg(10.0, -0.02))
    assert ahead_of(legs, 60.0) == ()
    assert length_of(ahead_of(legs, 12.5)) == pytest.approx(47.5)
    assert ahead_of(legs, 10.0, 25.0) == (Leg(20.0, 0.01), Leg(5.0))


def test_that_a_course_is_told_in_words() -> None:
    legs = shaped_course("figure of eight", FOOT.to_si(60.0), 1)
    words = course_words(legs, FOOT.to_si(210.2), FOOT)
    assert words == "steering a figure of eight, 210 of 754 ft"


def test_that_the_set_is_what_is_not_through_the_water() -> None:
    state = helmsman((Leg(50.0, 0.02),), SET, 0.7).at(4.0)
    assert drift_of(state) == pytest.approx(SET)


# ---- drawn ways


def circle(radius: float, points: int = 90) -> np.ndarray:
    """Once around to starboard, from the place she is at, heading north."""
    a = np.linspace(0.0, 2.0 * math.pi, points)
    return np.column_stack([radius - radius * np.cos(a), radius * np.sin(a)])


def zigzag(leg: float = 80.0, off_course: float = 0.4) -> np.ndarray:
    side = np.cumsum([0.0, *(leg * math.sin(off_course) * s for s in (1, -1, 1, -1))])
    return np.column_stack([side, leg * math.cos(off_course) * np.arange(5)])


@pytest.mark.parametrize("drift", [STILL, SET])
@pytest.mark.parametrize("drawn", [circle(60.0), zigzag()], ids=["circle", "zigzag"])
def test_that_a_drawn_way_is_followed_to_a_few_meters(
    drawn: np.ndarray, drift: tuple[float, float]
) -> None:
    legs = steered_along(drawn, afloat(), SPEED, drift)
    path = course_path(afloat(), legs, SPEED, drift)
    assert off(path, drawn).max() < 3.0
    # and all of it is gone over, not a short cut taken
    assert off(drawn, path).max() < 3.0
    assert np.hypot(*(path[-1] - drawn[-1])) < 2.0
    assert len(legs) < 0.2 * length_of(legs)


def test_that_a_hand_that_shakes_is_followed_smoothly() -> None:
    rng = np.random.default_rng(3)
    drawn = circle(70.0, 200) + rng.normal(scale=0.6, size=(200, 2))
    legs = steered_along(drawn, afloat(), SPEED, STILL)
    path = course_path(afloat(), legs, SPEED, STILL)
    assert off(path, circle(70.0)).max() < 3.5
    assert max(abs(leg.curvature) for leg in legs) < 0.05


@pytest.mark.parametrize("bearing", [0.0, 1.5, 3.14, -2.0])
def test_that_a_way_that_starts_elsewhere_is_gone_to_first(bearing: float) -> None:
    start = 120.0 * np.array([math.sin(bearing), math.cos(bearing)])
    drawn = start + np.array([[0.0, 0.0], [0.0, 100.0], [100.0, 150.0]])
    legs = steered_along(drawn, afloat(), SPEED, SET)
    path = course_path(afloat(), legs, SPEED, SET)
    # the sharpest corner, where she comes to the way, is cut by less than her tightest turn
    assert off(drawn, path).max() < 0.7 * TIGHTEST
    assert off(drawn[1:], path).max() < 4.0
    assert np.hypot(*(path[-1] - drawn[-1])) < 2.0
    assert max(abs(leg.curvature) for leg in legs) <= 1.0 / TIGHTEST


def test_that_a_drawn_knot_tighter_than_she_turns_comes_to_an_end() -> None:
    drawn = np.vstack([circle(4.0)] * 3) + np.array([0.0, 50.0])
    legs = steered_along(drawn, afloat(), SPEED, SET)
    assert max(abs(leg.curvature) for leg in legs) <= 1.0 / TIGHTEST
    assert length_of(legs) < 400.0


@pytest.mark.parametrize(
    ("points", "drift"),
    [(zigzag(), (3.0, 0.0)), (np.zeros((3, 2)), STILL), (np.empty((0, 2)), STILL)],
)
def test_that_a_way_nobody_can_follow_is_refused(
    points: np.ndarray, drift: tuple[float, float]
) -> None:
    with pytest.raises(InvalidValue):
        steered_along(points, afloat(), SPEED, drift)
