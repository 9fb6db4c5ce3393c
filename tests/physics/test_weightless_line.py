"""Exact: a weightless line behind a heavy ball is a catenary on its side.

With sigma = R s / T0 up from the ball (R broadside drag per length, T0 the
ball's weight): xi = sqrt(1 + sigma^2) - 1, eta = asinh(sigma), and the tension
is T0 everywhere.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tests.beside import beside
from tests.physics.pode import towed_shape

GAP = 1e-3  # share; the published check's own, for a converged mesh
ORDER_BAND = 0.25  # second order, fitted over two halvings


@pytest.fixture(scope="module")
def shape():
    return towed_shape(0.0, 0.0, reach=10.0)


@pytest.mark.parametrize(
    ("sigma", "degrees", "xi", "eta"),
    [  # COMPUTED
        (1.0, 45.0000, 0.414214, 0.881374),
        (2.0, 26.5651, 1.236068, 1.443635),
        (5.0, 11.3099, 4.099020, 2.312438),
        (10.0, 5.7106, 9.049876, 2.998223),
    ],
)
def test_that_a_weightless_line_lies_on_the_sideways_catenary(
    shape, sigma: float, degrees: float, xi: float, eta: float
) -> None:
    assert_allclose(xi, np.sqrt(1.0 + sigma**2) - 1.0, rtol=2e-6)
    assert_allclose(eta, np.arcsinh(sigma), rtol=2e-6)
    ours = shape.at(min(sigma, shape.reach))
    beside(f"depth at sigma {sigma:g}", ours.eta, eta)
    beside(f"astern at sigma {sigma:g}", ours.xi, xi)
    assert_allclose([ours.xi, ours.eta], [xi, eta], rtol=GAP)
    assert_allclose(ours.phi, degrees, rtol=GAP)
    assert_allclose(ours.tau, 1.0, rtol=GAP)


def test_that_the_shape_error_falls_as_the_square_of_the_element() -> None:
    finest = towed_shape(0.0, 0.0, reach=5.0, elements=400).at(5.0)  # stretch: 1e-4 in all
    counts = (40, 80, 160)
    errors = [
        abs(towed_shape(0.0, 0.0, reach=5.0, elements=n).at(5.0).eta - finest.eta) for n in counts
    ]
    order = -np.polyfit(np.log(counts), np.log(errors), 1)[0]
    assert_allclose(order, 2.0, rtol=0.0, atol=ORDER_BAND)
