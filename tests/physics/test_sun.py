"""The light as a mate says it, and what a low sun does not break."""

import math

import numpy as np
import pytest

from physics.environment.sun import FLAT, INTO, OUT_OF, Sun, light, refraction, sun

LOW = math.radians(12.0)


def at(bearing: float, height: float) -> Sun:
    return Sun(np.radians(bearing), np.asarray(height))


@pytest.mark.parametrize(
    ("heading", "bearing", "said"),
    [
        (90.0, 95.0, INTO), (350.0, 20.0, INTO), (10.0, 315.0, INTO),
        (270.0, 95.0, OUT_OF), (0.0, 180.0, OUT_OF), (0.0, 90.0, FLAT), (200.0, 110.0, FLAT),
    ],
)  # fmt: skip
def test_that_a_low_sun_ahead_is_into_the_light_and_one_astern_out_of_it(
    heading, bearing, said
) -> None:
    assert light(math.radians(heading), at(bearing, LOW)) == said


@pytest.mark.parametrize("height", [-0.1, math.radians(51.0)])
def test_that_a_sun_that_is_down_or_high_gives_flat_light(height) -> None:
    assert light(0.0, at(0.0, height)) == FLAT


def test_that_many_times_and_places_are_reckoned_at_once_and_each_as_alone() -> None:
    times = np.array([0.0, 1e9, 1.7e9])
    many = sun(times, np.array([[10.0], [-80.0]]), 7.0)
    assert many.height.shape == (2, 3)
    assert many.height[1, 2] == sun(1.7e9, -80.0, 7.0).height
    assert many.bearing[1, 2] == sun(1.7e9, -80.0, 7.0).bearing


def test_that_refraction_lifts_most_at_the_horizon_and_nothing_under_foot_or_overhead() -> None:
    heights = np.radians(np.linspace(-90.0, 90.0, 36001))
    lift = np.degrees(refraction(heights))
    assert lift.max() == pytest.approx(0.65, abs=0.1)
    assert math.degrees(refraction(0.0)) == pytest.approx(0.483, abs=0.01)
    assert lift[0] == pytest.approx(0.0, abs=1e-9)
    assert lift[-1] == pytest.approx(0.0, abs=1e-3)
    # nothing jumps where one law takes over from the other
    assert np.abs(np.diff(lift)).max() < 0.006
