"""Exact: out of gear with drag as speed squared, u = u0/(1 + t/tau), x = u0 tau ln(1 + t/tau)."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.environment.water import Bottom, Water
from physics.vessel.boat import Boat, Order
from physics.vessel.helm import HelmTrack
from tests.beside import beside

CALM = Water(Bottom.level(50.0))

TABLE_GAP = 1e-3  # share; the table carries three digits
INTEGRATION = 1e-6  # share; Runge-Kutta at 0.1 s is good to about 1e-8 of the speed


def coasting(length: float, *, exponent: float = 2.0, propeller_drag: float = 0.0) -> HelmTrack:
    """A boat at 1 m/s that goes out of gear at once, at half speed after ``length`` s."""
    boat = Boat(
        "boat", trolling_speed=1.0, half_time=length, exponent=exponent,
        propeller_drag=propeller_drag,
    )  # fmt: skip
    return HelmTrack(boat, CALM, 1.0, 0.0, [Order(0.0, "out of gear")])


@pytest.mark.parametrize(
    ("length", "speeds", "runs"),
    [  # COMPUTED: Lc = mass / k = 21 m and 63 m, u0 = 1 m/s; at 10, 20, 30, 60 s
        (21.0, (0.677, 0.512, 0.412, 0.259), (8.18, 14.05, 18.63, 28.35)),
        (63.0, (0.863, 0.759, 0.677, 0.512), (9.28, 17.37, 24.54, 42.15)),
    ],
)
def test_that_a_boat_out_of_gear_coasts_by_the_closed_form(length, speeds, runs) -> None:
    track = coasting(length)
    for time, speed, run in zip((10.0, 20.0, 30.0, 60.0), speeds, runs, strict=True):
        ours = track.at(time)
        beside(f"coasted in {time:g} s, Lc {length:g} m", ours.y, run, "m")
        assert_allclose(ours.speed, speed, rtol=TABLE_GAP + 0.0005 / speed)  # last digit shown
        assert_allclose(ours.y, run, rtol=TABLE_GAP)
        assert_allclose(ours.speed, 1.0 / (1.0 + time / length), rtol=INTEGRATION)
        assert_allclose(ours.y, length * np.log1p(time / length), rtol=INTEGRATION)


@pytest.mark.parametrize("exponent", [1.0, 1.5, 2.0, 3.0])
@pytest.mark.parametrize("propeller_drag", [0.0, 0.5])
def test_that_half_time_is_when_half_the_speed_is_left(
    exponent: float, propeller_drag: float
) -> None:
    track = coasting(8.0, exponent=exponent, propeller_drag=propeller_drag)
    assert_allclose(track.at(8.0).speed, 0.5, rtol=INTEGRATION)


def test_that_drag_in_proportion_to_speed_gives_an_exponential() -> None:
    track = coasting(8.0, exponent=1.0)
    assert_allclose(track.at(20.0).speed, 0.5 ** (20.0 / 8.0), rtol=INTEGRATION)


@pytest.mark.parametrize(("radius", "port"), [(40.0, False), (60.0, True)])
def test_that_the_wheel_held_over_draws_a_circle(radius: float, port: bool) -> None:
    boat = Boat("boat", trolling_speed=2.0)
    turn = -1.0 / radius if port else 1.0 / radius
    track = HelmTrack(boat, CALM, 2.0, 0.0, [Order(0.0, "wheel", turn)])
    time = np.pi * radius / 2.0  # half a circle at 2 m/s
    there = track.at(time)
    assert_allclose([there.x, there.y], [2.0 / turn, 0.0], atol=1e-5 * radius)
    assert_allclose(there.heading, np.pi if not port else -np.pi, rtol=INTEGRATION)
