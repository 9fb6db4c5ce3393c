"""Exact: a body let go from rest in water, with no line on it.

At first it accelerates by its net weight over its mass plus added mass; in the
end it falls at sqrt(2 W / (rho Cd A)), and between the two by the tanh law.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.answers.sink import sink_rate
from physics.environment.water import Bottom, Water
from physics.line.drag import sphere_drag, sphere_fall_speed
from physics.line.march import Marcher
from physics.line.mesh import Mesh, loose_lures
from physics.line.tackle import Lure
from tests.beside import beside
from tests.physics.gear import NOBODY, at_rest, free, march_to, straight

WATER = Water(Bottom.level(1900.0), density=998.207, viscosity=998.207 * 1.0034e-6)

FIRST_GAP = 1e-3  # share; after 1 ms drag has taken a little
FALL_GAP = 1e-3  # share; the published check's own, same drag correlation


def let_go(lure: Lure, along: tuple[float, float, float]) -> tuple[Mesh, np.ndarray]:
    """A lure laid along a direction from its nose."""
    mesh = loose_lures([lure], WATER)
    return mesh, straight(mesh, along, np.array([0.0, 0.0, -20.0]))


def plug(added_across: float, added_along: float) -> Lure:
    return Lure(
        "plug", "sinking plug", 0.05, 3e-5, 0.12, 1e-4, 1e-3,
        added_mass_across=added_across, added_mass_along=added_along,
    )  # fmt: skip


@pytest.mark.parametrize(("across", "along"), [(0.9, 0.15), (1.5, 0.0), (0.0, 0.6)])
@pytest.mark.parametrize("upright", [False, True])
def test_that_a_body_let_go_starts_with_net_weight_over_mass_and_added_mass(
    across: float, along: float, upright: bool
) -> None:
    mesh, place = let_go(plug(across, along), (0.0, 0.0, -1.0) if upright else (1.0, 0.0, 0.0))
    time = 1e-3
    after = march_to(Marcher(mesh, NOBODY, free), at_rest(mesh, place, 1e-4), time)
    displaced = WATER.density * 3e-5
    share = along if upright else across
    exact = (0.05 - displaced) * WATER.gravity / (0.05 + share * displaced)
    ours = -after.velocity[2, -2:].mean() / time
    beside("first acceleration", float(ours), exact, "m/s^2")
    assert_allclose(ours, exact, rtol=FIRST_GAP)


def lead_ball(diameter: float) -> tuple[Lure, float]:
    """A lead ball with the drag of its terminal Reynolds number, and that speed."""
    speed = sphere_fall_speed(diameter, 11340.0, WATER.density, WATER.viscosity, WATER.gravity)
    reynolds = speed * diameter / WATER.kinematic_viscosity
    area = sphere_drag(reynolds) * np.pi * diameter**2 / 4.0
    volume = np.pi * diameter**3 / 6.0
    ball = Lure(
        "ball", "sinker", 11340.0 * volume, volume, 0.01, area, area,
        added_mass_across=0.5, added_mass_along=0.5, isotropic=True,
    )  # fmt: skip
    return ball, speed


@pytest.mark.parametrize(
    ("millimeters", "published"),
    [(5, 1.320), (10, 1.762), (20, 2.397), (30, 2.856)],  # COMPUTED with Clift et al.
)
def test_that_a_lead_ball_stepped_through_time_ends_at_its_terminal_speed(
    millimeters: int, published: float
) -> None:
    ball, speed = lead_ball(millimeters * 1e-3)
    mesh, place = let_go(ball, (0.0, 0.0, -1.0))
    after = march_to(Marcher(mesh, NOBODY, free), at_rest(mesh, place), 10.0)
    ours = -after.velocity[2, -1]
    beside(f"lead ball {millimeters} mm", float(ours), published, "m/s")
    assert_allclose(ours, speed, rtol=FALL_GAP)
    assert_allclose(ours, published, rtol=FALL_GAP)
    assert_allclose(sink_rate(ball, WATER), published, rtol=FALL_GAP)


@pytest.mark.parametrize("time", [0.05, 0.2, 0.6])
def test_that_a_lead_ball_gathers_speed_by_the_tanh_law(time: float) -> None:
    ball, speed = lead_ball(0.02)
    mesh, place = let_go(ball, (0.0, 0.0, -1.0))
    marcher = Marcher(mesh, NOBODY, free, tolerance=1e-6)
    after = march_to(marcher, at_rest(mesh, place), time)
    displaced = WATER.density * ball.volume
    weight = (ball.mass - displaced) * WATER.gravity
    rise = speed * (ball.mass + 0.5 * displaced) / weight
    assert_allclose(-after.velocity[2, -1], speed * np.tanh(time / rise), rtol=2e-3)
    fallen = place[2, -1] - after.position[2, -1]
    assert_allclose(fallen, speed * rise * np.log(np.cosh(time / rise)), rtol=2e-3)
