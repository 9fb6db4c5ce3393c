"""Published: density and viscosity of water.

EOS-80 check values: UNESCO (1983), Technical Papers in Marine Science 44, p. 19;
Millero & Poisson (1981). Tag 2ND: read in many public test suites that agree.
Viscosity: COMPUTED with the public iapws library (IAPWS R12-08).
"""

import pytest
from numpy.testing import assert_allclose

from physics.environment.water import seawater_density, seawater_viscosity
from tests.beside import beside

DENSITY = 1e-5  # kg/m^3; the digits the standard shows (half a unit, and a little)
VISCOSITY = 0.005  # share; asked of a fitted formula


@pytest.mark.parametrize(
    ("salinity", "celsius", "published"),
    [
        (0.0, 5.0, 999.96675),  # 2ND
        (0.0, 25.0, 997.04796),  # 2ND
        (35.0, 5.0, 1027.67547),  # 2ND
        (35.0, 25.0, 1023.34306),  # 2ND
        (0.0, 0.0, 999.84259),  # COMPUTED, here and below
        (0.0, 4.0, 999.97496),
        (0.0, 10.0, 999.70208),
        (0.0, 15.0, 999.10157),
        (0.0, 20.0, 998.20632),
        (35.0, 10.0, 1026.95241),
        (35.0, 15.0, 1025.97275),
        (35.0, 20.0, 1024.76300),
        (5.0, 10.0, 1003.61208),
        (10.0, 10.0, 1007.50114),
    ],
)
def test_that_density_meets_the_unesco_check_values(salinity, celsius, published) -> None:
    ours = seawater_density(celsius, salinity)
    beside(f"density at S {salinity:g}, {celsius:g} C", ours, published, "kg/m^3")
    assert_allclose(ours, published, rtol=0.0, atol=DENSITY)


@pytest.mark.parametrize(
    ("celsius", "published"),
    [  # COMPUTED, mPa s at 0.101325 MPa
        (0.01, 1.79113), (5.0, 1.51817), (10.0, 1.30590),
        (15.0, 1.13757), (20.0, 1.00160), (25.0, 0.89002),
    ],
)  # fmt: skip
def test_that_fresh_water_has_the_viscosity_of_the_iapws(celsius, published) -> None:
    ours = 1e3 * seawater_viscosity(celsius, 0.0)
    beside(f"viscosity at {celsius:g} C", ours, published, "mPa s")
    assert_allclose(ours, published, rtol=VISCOSITY)


def test_that_salt_makes_water_denser_and_more_viscous() -> None:
    assert seawater_density(10.0, 35.0) > seawater_density(10.0, 5.0)
    assert seawater_viscosity(10.0, 35.0) > seawater_viscosity(10.0, 5.0)
