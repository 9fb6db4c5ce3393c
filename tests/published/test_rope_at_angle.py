"""Published, as a spread and not as agreement: drag of a straight rope at an angle.

Fridman A. L. (1986), Calculations for fishing gear designs, table 3.3, p. 64, tag
2ND (in a public script): drag along the flow over L d. The cross-flow principle
with the same end values, 1.3 sin^3 + 0.12 cos^3, is COMPUTED. Ours is that
principle; from 10 to 30 degrees, where leadcore lies, it is some 40 % lower than
measured rope. That is the model's honest uncertainty, and the first thing to calibrate.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.line.system import LineSystem
from physics.line.tackle import Rod
from tests.beside import beside
from tests.physics.gear import DEEP, mesh_of, more_of, rope, straight

TABLE = {  # degrees: Fridman (2ND), cross-flow (COMPUTED)
    0: (0.12, 0.120), 10: (0.20, 0.121), 20: (0.32, 0.152), 30: (0.41, 0.240),
    40: (0.56, 0.399), 50: (0.70, 0.616), 60: (0.90, 0.859), 70: (1.12, 1.084),
    80: (1.25, 1.242), 90: (1.30, 1.300),
}  # fmt: skip

ROUNDING = 6e-4  # of Cx; three decimals shown
STEEP = 0.08  # share; from 60 degrees on the two agree
LOWEST = -0.55  # share; the documented gap from 10 to 30 degrees
SPEED = 1.5


def drag_of_rope(degrees: float) -> float:
    """Drag of our line held straight at an angle to the flow, over rho/2 L d U^2."""
    line = rope(10.0, 0.5, normal_drag=1.3, tangential_drag=0.12 / np.pi)
    mesh = mesh_of(Rod("rod", (line,), more_of(line, 0.5)), 20)
    a = np.radians(degrees)
    nodes = straight(mesh, (np.cos(a), np.sin(a), 0.0), np.array([0.0, 0.0, -20.0]))
    velocity = np.zeros_like(nodes)
    velocity[0] = SPEED
    system = LineSystem(mesh)
    system.evaluate(nodes, velocity, np.zeros_like(nodes), np.ones(mesh.nodes))
    return float(system.residual[0].sum() / (0.5 * DEEP.density * 10.5 * 0.01 * SPEED**2))


@pytest.mark.parametrize("degrees", TABLE)
def test_that_our_line_follows_the_cross_flow_principle(degrees: int) -> None:
    published, cross_flow = TABLE[degrees]
    ours = drag_of_rope(degrees)
    beside(f"rope at {degrees} deg, Fridman", ours, published)
    assert_allclose(ours, cross_flow, rtol=0.0, atol=ROUNDING)


@pytest.mark.parametrize("degrees", [60, 70, 80, 90])
def test_that_a_steep_rope_agrees_with_the_measured_one(degrees: int) -> None:
    assert_allclose(drag_of_rope(degrees), TABLE[degrees][0], rtol=STEEP)


@pytest.mark.parametrize("degrees", [10, 20, 30])
def test_that_a_slanting_rope_is_low_by_a_third_to_a_half(degrees: int) -> None:
    short = drag_of_rope(degrees) / TABLE[degrees][0] - 1.0
    assert LOWEST < short < -0.35
