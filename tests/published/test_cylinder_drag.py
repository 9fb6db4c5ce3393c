"""Published: cross-flow drag of a round cylinder.

Cheng N.-S. (2013), J. Hydraulic Engineering 139, 602-611; formula as two public
codes carry it (tag 2ND), values COMPUTED from it. Beside it a table in a public
code, apparently after Hoerner (1965), tag 2ND.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.line.drag import cylinder_drag
from tests.beside import beside

SAME_FORMULA = 2e-4  # share; the last digit shown
BETWEEN_SOURCES = 0.10  # share; spread between drag curves
SLOPE = 1e-6  # share; derivative against central differences


@pytest.mark.parametrize(
    ("reynolds", "published"),
    [
        (0.1, 62.76), (1.0, 11.903), (10.0, 2.873), (50.0, 1.5354), (100.0, 1.3285),
        (200.0, 1.2291), (500.0, 1.1142), (1000.0, 0.9842), (2000.0, 0.9101),
        (5000.0, 0.9727), (1e4, 1.0879), (1e5, 1.2107),
    ],
)  # fmt: skip
def test_that_the_curve_is_cheng_2013(reynolds: float, published: float) -> None:
    ours = float(cylinder_drag(np.array(reynolds))[0])
    beside(f"Cd at Re {reynolds:g}", ours, published)
    assert_allclose(ours, published, rtol=SAME_FORMULA)


@pytest.mark.parametrize(
    ("reynolds", "published"),
    [
        (0.1, 58.0), (1.0, 12.0), (10.0, 2.8), (40.0, 1.8), (60.0, 1.6), (100.0, 1.40),
        (1000.0, 1.08), (4000.0, 1.00), (1e4, 1.15), (1e5, 1.23), (2e5, 1.20),
    ],
)  # fmt: skip
def test_that_another_table_lies_within_the_spread_of_sources(reynolds, published) -> None:
    ours = float(cylinder_drag(np.array(reynolds))[0])
    beside(f"Cd at Re {reynolds:g}, other table", ours, published)
    assert_allclose(ours, published, rtol=BETWEEN_SOURCES)


def test_that_leadcore_at_trolling_speed_sees_1_1_to_1_35() -> None:
    ours, _ = cylinder_drag(np.linspace(100.0, 500.0, 9))
    assert ours.min() > 1.1
    assert ours.max() < 1.35


def test_that_the_slope_is_the_derivative_of_the_curve() -> None:
    reynolds = np.geomspace(0.5, 1e5, 40)
    step = 1e-5 * reynolds
    rise = cylinder_drag(reynolds + step)[0] - cylinder_drag(reynolds - step)[0]
    scale = cylinder_drag(reynolds)[0] / reynolds
    assert_allclose(cylinder_drag(reynolds)[1] / scale, rise / (2 * step) / scale, atol=SLOPE)
