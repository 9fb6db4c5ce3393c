"""Exact: a line at rest between two held ends hangs in a catenary."""

import numpy as np
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from physics.line.march import Marcher
from physics.line.system import LineSystem
from physics.line.tackle import Rod
from tests.beside import beside
from tests.physics.gear import mesh_of, more_of, rope

WEIGHT = 2.0  # N/m in water
LENGTH = 20.0  # m, of which the last 0.2 m is the 'lure', a piece of the same line
SPAN = 14.0  # m

SHAPE_GAP = 1e-3  # share of the sag, 100 elements
PULL_GAP = 2e-3  # share of the end pull; the end node carries half an element


def hung():
    """Mesh and nodes of the line at rest."""
    line = rope(LENGTH - 0.2, WEIGHT)
    mesh = mesh_of(Rod("rod", (line,), more_of(line, 0.2)), 99)
    out = np.concatenate([[0.0], np.cumsum(mesh.length)])
    position = np.zeros((3, mesh.nodes))
    position[0] = SPAN * out / LENGTH
    position[2] = -10.0 - 6.0 * np.sin(np.pi * out / LENGTH)
    ends = np.array([0, mesh.nodes - 1])
    marcher = Marcher(mesh, ends, lambda _time: np.zeros((3, 2)))
    return mesh, marcher.settle(position, np.zeros_like(position), longest=4000.0).position


def test_that_a_line_between_two_posts_hangs_in_a_catenary() -> None:
    mesh, place = hung()
    a = brentq(lambda a: 2.0 * a * np.sinh(SPAN / 2.0 / a) - LENGTH, 0.5, 50.0)
    sag = a * (np.cosh(SPAN / 2.0 / a) - 1.0)
    exact = -10.0 - sag + a * (np.cosh((place[0] - SPAN / 2.0) / a) - 1.0)
    beside("sag", float(-10.0 - place[2].min()), sag, "m")
    assert_allclose(place[2], exact, rtol=0.0, atol=SHAPE_GAP * sag)
    assert_allclose(place[1], 0.0, atol=1e-9)

    system = LineSystem(mesh)
    still = np.zeros_like(place)
    system.evaluate(place, still, still, np.ones(mesh.nodes))
    pull = np.linalg.norm(system.residual[:, 0])
    beside("pull on the post", float(pull), WEIGHT * a * np.cosh(SPAN / 2.0 / a), "N")
    assert_allclose(pull, WEIGHT * a * np.cosh(SPAN / 2.0 / a), rtol=PULL_GAP)
