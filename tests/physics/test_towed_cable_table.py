"""Exact: the steady towed cable with weight and friction, ball at the end.

Values COMPUTED by adaptive quadrature of
dT/ds = W sin(phi) + F cos^2(phi), T dphi/ds = W cos(phi) - R sin^2(phi),
the cross-flow law, from phi = 90 degrees at the ball. No printed table could
be read (Pode 1951, DTMB Report 687; Glauert 1934, R&M 1592); these replace one.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.integrate import solve_ivp

from tests.beside import beside
from tests.physics.pode import towed_shape

GAP = 1e-3  # share; asked of 200 or more segments
ROUNDING = 1e-5  # share; the table's digits against the quadrature done here

TABLE = [  # w, f, phi deg, tau, sigma, xi, eta
    (0.02, 0.0, 45, 1.017991, 1.022036, 0.426109, 0.899541),
    (0.02, 0.0, 20, 1.037030, 2.989126, 2.130902, 1.851521),
    (0.02, 0.0, 15, 1.044830, 4.308471, 3.390869, 2.241482),
    (0.05, 0.0, 60, 1.028284, 0.595000, 0.160966, 0.565671),
    (0.05, 0.0, 30, 1.072513, 1.937769, 1.151460, 1.450267),
    (0.05, 0.0, 15, 1.141838, 6.078788, 5.042647, 2.836762),
    (0.1, 0.0, 45, 1.098125, 1.121615, 0.480541, 0.981251),
    (0.1, 0.0, 20, 1.286779, 5.351876, 4.236682, 2.867793),
    (0.5, 0.0, 45, 1.972246, 2.339912, 1.206066, 1.944492),
    (0.0, 0.02, 45, 1.004301, 1.001225, 0.414956, 0.882338),
    (0.0, 0.02, 15, 1.049655, 3.801738, 2.928040, 2.052896),
    (0.02, 0.02, 45, 1.022451, 1.023322, 0.426890, 0.900553),
    (0.02, 0.02, 15, 1.105390, 4.405327, 3.480875, 2.275448),
    (0.05, 0.02, 30, 1.088951, 1.947597, 1.159197, 1.456194),
    (0.05, 0.02, 15, 1.238234, 6.290894, 5.242410, 2.905256),
    (0.1, 0.02, 20, 1.366616, 5.488783, 4.361362, 2.922940),
    (0.5, 0.02, 45, 1.989316, 2.347652, 1.211073, 1.950357),
]


@pytest.mark.parametrize(("w", "f", "phi", "tau", "sigma", "xi", "eta"), TABLE)
def test_that_a_towed_cable_has_the_shape_and_tension_of_the_quadrature(
    w: float, f: float, phi: float, tau: float, sigma: float, xi: float, eta: float
) -> None:
    ours = towed_shape(w, f, reach=sigma * 1.02).at(sigma)
    beside(f"w {w} f {f} phi {phi}: depth", ours.eta, eta)
    beside(f"w {w} f {f} phi {phi}: tension", ours.tau, tau)
    assert_allclose([ours.phi, ours.tau, ours.xi, ours.eta], [phi, tau, xi, eta], rtol=GAP)


@pytest.mark.parametrize("row", [row for row in TABLE if row[1] == 0.0])
def test_that_tension_without_friction_rises_by_weight_times_height(row) -> None:
    w, _, _, _, sigma, _, _ = row
    ours = towed_shape(w, 0.0, reach=sigma * 1.02).at(sigma)
    assert_allclose(ours.tau, 1.0 + w * ours.eta, rtol=GAP)


@pytest.mark.parametrize("row", TABLE[::4])
def test_that_the_table_solves_the_equations_it_claims_to(row) -> None:
    w, f, phi, tau, sigma, xi, eta = row

    def rates(_s, state):
        p, t, _, _ = state
        bend = (w * np.cos(p) - np.sin(p) ** 2) / t
        return [bend, w * np.sin(p) + f * np.cos(p) ** 2, np.cos(p), np.sin(p)]

    answer = solve_ivp(rates, (0.0, sigma), [np.pi / 2, 1.0, 0.0, 0.0], rtol=1e-10, atol=1e-12)
    assert_allclose(answer.y[:, -1], [np.radians(phi), tau, xi, eta], rtol=ROUNDING)
