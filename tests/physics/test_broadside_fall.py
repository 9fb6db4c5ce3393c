"""Exact: a level line let go at both ends falls as z = V tau ln cosh(t / tau).

V = sqrt(2 W / (rho Cd d)) is the fall speed, tau = V (m + added mass) / W the
time it takes to get there. Inputs: 27-lb leadcore as the trade weighs it,
fresh water at 15 deg C.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.environment.water import Bottom, Water
from physics.line.march import Marcher
from physics.line.mesh import Resolution, build_mesh
from physics.line.tackle import LineSection, Rod
from tests.beside import beside
from tests.physics.gear import NOBODY, at_rest, free, march_to, more_of, straight

WATER = Water(Bottom.level(100.0), density=999.1, viscosity=1.14e-3)
WEIGHT = 0.01917  # N/m in water
MASS = 2.42e-3  # kg/m
DIAMETER = 0.9e-3  # m

GAP = 5e-3  # share; what the published check asks for
LEVEL = 1e-6  # m; every node falls alike


def fallen(drag: float, time: float) -> np.ndarray:
    """Depth below the start of every node, m."""
    line = LineSection("leadcore", 9.144, DIAMETER, MASS, 1e4, normal_drag=drag)
    mesh = build_mesh([(Rod("rod", (line,), more_of(line, 0.1)), WATER)], Resolution(8, 1))
    # leadcore's braid holds water, so the published weight is more than its outline's
    mesh = replace(mesh, buoyancy=mesh.weight * (1.0 - WEIGHT / (MASS * WATER.gravity)))
    start = straight(mesh, (1.0, 0.0, 0.0), np.array([0.0, 0.0, -5.0]))
    marcher = Marcher(mesh, NOBODY, free, tolerance=2e-5)
    return -5.0 - march_to(marcher, at_rest(mesh, start), time).position[2]


@pytest.mark.parametrize(
    ("drag", "time", "depth"),
    [  # COMPUTED
        (1.2, 0.1, 0.01493),
        (1.2, 1.0, 0.1846),
        (1.2, 10.0, 1.8811),
        (2.0, 0.1, 0.01225),
        (2.0, 1.0, 0.1437),
        (2.0, 10.0, 1.4578),
    ],
)
def test_that_a_level_line_let_go_falls_by_the_closed_form(
    drag: float, time: float, depth: float
) -> None:
    speed = np.sqrt(2.0 * WEIGHT / (WATER.density * drag * DIAMETER))
    tau = speed * (MASS + WATER.density * np.pi * DIAMETER**2 / 4.0) / WEIGHT
    exact = speed * tau * np.log(np.cosh(time / tau))
    ours = fallen(drag, time)
    beside(f"fall in {time:g} s at Cd {drag}", float(ours.mean()), depth, "m")
    assert_allclose(ours, depth, rtol=GAP)
    assert_allclose(ours, exact, rtol=GAP)
    assert_allclose(ours, ours.mean(), rtol=0.0, atol=LEVEL)
