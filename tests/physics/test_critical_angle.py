"""Exact: a line with no end body tows dead straight at the critical angle.

Under cross-flow drag with a constant coefficient the angle phi to the
horizontal obeys cos(phi) = (-w + sqrt(w^2 + 4)) / 2, w the weight in water
over the broadside drag of the same length. It is tied to the speed V at which
the same line falls broadside: U sin(phi) = V sqrt(cos(phi)).
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.line.march import Marcher
from physics.line.tackle import Rod
from tests.beside import beside
from tests.physics.gear import (
    DEEP,
    NOBODY,
    at_rest,
    constant,
    free,
    march_to,
    mesh_of,
    more_of,
    rope,
    steady_tow,
    straight,
)

SPEED = 2.0
BROADSIDE = 0.5 * DEEP.density * 1.2 * 0.01 * SPEED**2  # N/m at Cn 1.2, 10 mm

ANGLE_GAP = 0.01  # degrees; what the published check asks for
STRAIGHT = 1e-3  # degrees; Newton's stop leaves about 3e-4 between elements
SINK_GAP = 1e-3  # share; what the published check asks for


def critical_angle(weight_over_drag: float) -> float:
    """Radians."""
    w = weight_over_drag
    return float(np.arccos((-w + np.sqrt(w * w + 4.0)) / 2.0))


def towed_angles(weight_over_drag: float) -> np.ndarray:
    """Angle of every element to the horizontal, degrees, in our steady tow."""
    line = rope(50.0, weight_over_drag * BROADSIDE)
    mesh = mesh_of(Rod("rod", (line,), more_of(line, 0.5)), 60)
    step = np.diff(steady_tow(mesh, SPEED).position, axis=1)
    return np.degrees(np.arctan2(-step[2], -step[0]))


@pytest.mark.parametrize(
    ("weight_over_drag", "degrees"),
    [(0.02, 8.08928), (0.05, 12.75775), (0.1, 17.96424), (0.5, 38.66828)],  # COMPUTED
)
def test_that_a_line_without_end_body_is_straight_at_the_critical_angle(
    weight_over_drag: float, degrees: float
) -> None:
    ours = towed_angles(weight_over_drag)
    beside(f"critical angle, w {weight_over_drag}", float(ours.mean()), degrees, "deg")
    assert_allclose(ours, degrees, rtol=0.0, atol=ANGLE_GAP)
    assert_allclose(ours, ours.mean(), rtol=0.0, atol=STRAIGHT)
    exact = np.degrees(critical_angle(weight_over_drag))
    assert_allclose(ours, exact, rtol=0.0, atol=STRAIGHT)


@pytest.mark.parametrize("tangential_drag", [0.005, 0.025])
def test_that_friction_along_the_line_leaves_the_critical_angle_alone(
    tangential_drag: float,
) -> None:
    line = rope(50.0, 0.1 * BROADSIDE, tangential_drag=tangential_drag)
    mesh = mesh_of(Rod("rod", (line,), more_of(line, 0.5)), 60)
    step = np.diff(steady_tow(mesh, SPEED).position, axis=1)
    ours = np.degrees(np.arctan2(-step[2], -step[0]))
    assert_allclose(ours, np.degrees(critical_angle(0.1)), rtol=0.0, atol=ANGLE_GAP)


@pytest.mark.parametrize("weight_over_drag", [0.02, 0.1, 0.5])
def test_that_the_towed_angle_and_the_broadside_fall_are_one_number(
    weight_over_drag: float,
) -> None:
    line = rope(5.0, weight_over_drag * BROADSIDE)
    mesh = mesh_of(Rod("rod", (line,), more_of(line, 0.5)), 8)
    lying = straight(mesh, (1.0, 0.0, 0.0), np.array([0.0, 0.0, -10.0]))
    fall = march_to(Marcher(mesh, NOBODY, free), at_rest(mesh, lying), 20.0)
    sink = -fall.velocity[2].mean()
    phi = np.radians(towed_angles(weight_over_drag).mean())
    beside("U sin(phi)", SPEED * np.sin(phi), sink * np.sqrt(np.cos(phi)), "m/s")
    assert_allclose(SPEED * np.sin(phi), sink * np.sqrt(np.cos(phi)), rtol=SINK_GAP)


def test_that_a_tip_at_rest_lets_the_line_hang_plumb() -> None:
    line = rope(20.0, 2.0)
    mesh = mesh_of(Rod("rod", (line,), more_of(line, 0.5)), 20)
    slack = straight(mesh, (-1.0, 0.0, -1.0), np.array([0.0, 0.0, -5.0]))
    hung = Marcher(mesh, mesh.first, constant(0.0)).settle(slack, np.zeros_like(slack), 4000.0)
    assert_allclose(hung.position[:2], 0.0, atol=1e-3)
