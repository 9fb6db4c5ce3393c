"""Common practice, no source: leadcore runs about 5 ft down a color, less when faster.

Trade weights of 27-lb leadcore (a single unsourced listing): 2.42 g/m, 0.9 mm,
0.01917 N/m in fresh water. COMPUTED depths a color are the critical angle's.
The model is not tuned to any of it.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.environment.water import Bottom, Water
from physics.line.march import Marcher
from physics.line.mesh import Resolution, build_mesh
from physics.line.tackle import LineSection, Lure, Rod
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat
from tests.beside import beside
from tests.physics.gear import constant, more_of, straight

MPH = 0.44704
FOOT = 0.3048
COLOR = 9.144

FRESH = Water(Bottom.level(200.0), density=999.1, viscosity=1.138e-3)
LEADCORE = LineSection("27-lb leadcore", 5 * COLOR, 0.9e-3, 2.42e-3, 1e4)
WET_WEIGHT = 0.01917  # N/m

ROUNDING = 0.06  # ft; the table shows tenths
SMOOTH = 0.15  # ft; the table says Cd about 1.27 throughout, ours follows the Reynolds number


def long_line(mph: float, **drag: float) -> float:
    """Feet down a color of a line with nothing on its end."""
    line = replace(LEADCORE, tangential_drag=0.0, **drag)
    tail = more_of(replace(line, normal_drag=drag.get("normal_drag", 1.27)), 0.2)
    mesh = build_mesh([(Rod("rod", (line,), tail), FRESH)], Resolution(40, 1))
    mesh = replace(mesh, buoyancy=mesh.weight * (1.0 - WET_WEIGHT / (2.42e-3 * FRESH.gravity)))
    guess = straight(mesh, (-1.0, 0.0, -0.2), np.array([0.0, 0.0, -3.0]))
    speed = mph * MPH
    velocity = np.zeros_like(guess)
    velocity[0] = speed
    nodes = Marcher(mesh, mesh.first, constant(speed)).settle(guess, velocity, 4000.0).position
    step = nodes[:, 10] - nodes[:, 5]
    return float(-step[2] / np.linalg.norm(step) * COLOR / FOOT)


@pytest.mark.parametrize(
    ("mph", "smooth", "strumming"),
    [(1.0, 11.8, 9.5), (1.5, 8.1, 6.5), (1.8, 6.8, 5.4), (2.0, 6.1, 4.9), (2.5, 4.9, 3.9),
     (3.0, 4.1, 3.3)],  # COMPUTED, ft a color: Cd about 1.27, and Cd 2.0
)  # fmt: skip
def test_that_a_long_bare_line_runs_as_deep_as_the_critical_angle(mph, smooth, strumming) -> None:
    plain, rough = long_line(mph), long_line(mph, normal_drag=2.0)
    beside(f"ft a color at {mph} mph", plain, smooth, "ft")
    beside(f"ft a color at {mph} mph, Cd 2", rough, strumming, "ft")
    assert_allclose(rough, strumming, rtol=0.0, atol=ROUNDING)
    assert_allclose(plain, smooth, rtol=0.0, atol=SMOOTH)


def trolled(mph: float) -> float:
    """Feet down a color of five colors, a 10 ft leader and a light spoon."""
    leader = LineSection("leader", 10 * FOOT, 0.4e-3, 1.5e-4, 1500.0)
    spoon = Lure("spoon", "spoon", 0.010, 1.3e-6, 0.07, 3e-4, 1.5e-3)
    rod = Rod("rod", (LEADCORE, leader), spoon, astern=0.0, height=1.0)
    speed = mph * MPH
    run = simulate(Scenario("tow", FRESH, Boat("boat"), (rod,), speed=speed, duration=1.0))
    return run.run_depth(0) / FOOT / 5


def test_that_leadcore_runs_four_to_eight_feet_a_color_at_trolling_speed() -> None:
    ours = [trolled(mph) for mph in (1.5, 2.0, 2.5)]
    for mph, feet in zip((1.5, 2.0, 2.5), ours, strict=True):
        beside(f"five colors and a spoon at {mph} mph", feet, 5.0, "ft a color")
    assert min(ours) > 4.0
    assert max(ours) < 8.0


def test_that_depth_falls_about_as_one_over_speed() -> None:
    slope = np.polyfit(np.log([1.5, 2.0, 2.5]), np.log([trolled(v) for v in (1.5, 2.0, 2.5)]), 1)[0]
    assert_allclose(slope, -1.0, rtol=0.0, atol=0.25)  # drag of spoon and leader come on top
