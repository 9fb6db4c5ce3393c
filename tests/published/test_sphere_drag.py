"""Published: drag and terminal speed of a sphere, for sinkers.

Clift, Grace & Weber (1978), Bubbles, Drops and Particles; equations as the public
`fluids` library 1.3.1 carries them (2ND), its own test values READ there.
Brown & Lawler (2003), J. Environ. Eng. 129, 222-231: formula from MEMORY.
"""

import pytest
from numpy.testing import assert_allclose

from physics.line.drag import sphere_drag, sphere_fall_speed
from tests.beside import beside

SAME_DIGITS = 2e-6  # share; library values with seven digits
SAME_FORMULA = 2e-4  # share; last digit of the table
SAME_CORRELATION = 1e-3  # share; speeds with the same correlation
BETWEEN = 0.05  # share; between correlations (7 % in Cd at Re 1e5, 4 % in speed)

FRESH = (998.207, 998.207 * 1.0034e-6, 9.80665)  # 20 deg C


@pytest.mark.parametrize(
    ("reynolds", "published"),
    [(50.0, 1.574266), (500.0, 0.554924), (2500.0, 0.408180), (40000.0, 0.463907),
     (75000.0, 0.493999)],  # READ in the library's tests
)  # fmt: skip
def test_that_the_curve_meets_the_library_values(reynolds: float, published: float) -> None:
    beside(f"sphere Cd at Re {reynolds:g}", sphere_drag(reynolds), published)
    assert_allclose(sphere_drag(reynolds), published, rtol=SAME_DIGITS)


@pytest.mark.parametrize(
    ("reynolds", "clift", "brown_lawler"),
    [  # COMPUTED from the formulas
        (0.1, 244.26, 247.50), (1.0, 27.156, 27.600), (10.0, 4.2584, 4.1275),
        (100.0, 1.0870, 1.0731), (500.0, 0.5549, 0.5659), (1000.0, 0.4711, 0.4634),
        (2000.0, 0.4211, 0.4066), (5000.0, 0.3873, 0.3911), (1e4, 0.4052, 0.4106),
        (2e4, 0.4417, 0.4376),
    ],
)  # fmt: skip
def test_that_the_curve_is_clift_and_near_brown_and_lawler(reynolds, clift, brown_lawler) -> None:
    ours = sphere_drag(reynolds)
    assert_allclose(ours, clift, rtol=SAME_FORMULA)
    assert_allclose(ours, brown_lawler, rtol=BETWEEN)


def test_that_a_reynolds_number_beyond_the_curve_is_refused() -> None:
    with pytest.raises(ValueError, match="above 338000"):
        sphere_drag(4e5)


SPEEDS = [  # diameter mm, density, Clift, Brown-Lawler m/s; COMPUTED
    (2, 11340.0, 0.786, 0.803), (5, 11340.0, 1.320, 1.307), (10, 11340.0, 1.762, 1.769),
    (20, 11340.0, 2.397, 2.425), (30, 11340.0, 2.856, 2.953),
    (2, 7800.0, 0.627, 0.637), (5, 7800.0, 1.073, 1.066), (10, 7800.0, 1.444, 1.448),
    (20, 7800.0, 1.961, 1.975), (30, 7800.0, 2.333, 2.398),
    (2, 2500.0, 0.269, 0.266), (5, 2500.0, 0.490, 0.498), (10, 2500.0, 0.710, 0.703),
    (20, 2500.0, 0.946, 0.950), (30, 2500.0, 1.133, 1.140),
]  # fmt: skip


@pytest.mark.parametrize(("millimeters", "density", "clift", "brown_lawler"), SPEEDS)
def test_that_balls_fall_at_the_published_speed(millimeters, density, clift, brown_lawler) -> None:
    water, viscosity, gravity = FRESH
    ours = sphere_fall_speed(millimeters * 1e-3, density, water, viscosity, gravity)
    beside(f"{millimeters} mm, {density:g} kg/m^3", ours, clift, "m/s")
    assert_allclose(ours, clift, rtol=SAME_CORRELATION, atol=5e-4)  # half the last digit
    assert_allclose(ours, brown_lawler, rtol=BETWEEN)


def test_that_the_handbook_example_in_gas_is_met() -> None:
    # GPSA handbook, 13th ed., example 7-1 (2ND): 150 um, 31.2 in 2.07 lb/ft^3, 1.2e-5 Pa s
    pound_per_cubic_foot, foot = 16.01846, 0.3048
    ours = sphere_fall_speed(
        150e-6, 31.2 * pound_per_cubic_foot, 2.07 * pound_per_cubic_foot, 1.2e-5, 9.80665
    ) / foot  # fmt: skip
    beside("handbook drop", ours, 0.46, "ft/s")
    assert_allclose(ours, 0.46, rtol=0.03)  # a chart read to two digits
