"""Published: how fast small boats drift before the wind.

Allen & Plourde (1999), USCG CG-D-08-99, and Allen (2005), as a public drift model's
data file carries them; tag 2ND. Downwind slope in percent of the 10 m wind,
offset and standard deviation in cm/s. The slope is an input of ours, so this
proves units, sign and assembly, not the slope. Crosswind drift is left out of
the model.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.environment.water import Bottom, Water
from physics.vessel.boat import Boat, Order
from physics.vessel.helm import HelmTrack
from tests.beside import beside

CLASSES = {  # slope %, offset cm/s, standard deviation cm/s
    "sport boat, modified V": (6.54, 0.0, 3.00),
    "sport fisher, center console": (5.55, 0.0, 3.30),
    "skiff, modified V": (3.15, 0.0, 2.20),
    "skiff, V hull": (2.87, 3.98, 3.33),
}

EXACT = 1e-9  # share; drift is a sum of constants
WAIT = 600.0  # s; out of gear long enough


def drift(slope: float, wind: tuple, current: tuple = (0.0, 0.0)) -> np.ndarray:
    """Velocity over ground (east, north), m/s, after ten minutes out of gear, heading north."""
    boat = Boat("boat", leeway=slope / 100.0, half_time=1.0, exponent=1.5)
    water = Water(Bottom.level(50.0), current=current, wind=wind)
    track = HelmTrack(boat, water, 2.0, 0.0, [Order(0.0, "out of gear")])
    a, b = track.at(WAIT), track.at(WAIT + 100.0)
    return np.array([b.x - a.x, b.y - a.y]) / 100.0


@pytest.mark.parametrize("wind", [5.0, 10.0])
@pytest.mark.parametrize("name", list(CLASSES)[:3])
def test_that_a_drifting_boat_stays_within_one_deviation_of_its_class(name, wind) -> None:
    slope, offset, deviation = CLASSES[name]
    ours = 100.0 * drift(slope, (wind, 0.0))[0]
    beside(f"{name} in {wind:g} m/s", ours, slope * wind + offset, "cm/s")
    assert_allclose(ours, slope * wind + offset, rtol=0.0, atol=deviation)


@pytest.mark.parametrize(("wind", "published"), [(5.0, 18.3), (10.0, 32.7)])
def test_that_a_class_with_an_offset_is_met_to_within_that_offset(wind, published) -> None:
    # ours has no offset: 4 cm/s short, 1.2 deviations, unless the slope is raised for it
    slope, offset, deviation = CLASSES["skiff, V hull"]
    ours = 100.0 * drift(slope, (wind, 0.0))[0]
    beside(f"V-hull skiff in {wind:g} m/s", ours, published, "cm/s")
    assert_allclose(ours + offset, published, rtol=0.0, atol=0.06)  # last digit shown
    raised = 100.0 * drift(slope + offset / 7.5, (wind, 0.0))[0]
    assert_allclose(raised, published, rtol=0.0, atol=deviation)


@pytest.mark.parametrize("towards", [(6.0, 0.0), (-6.0, 0.0), (0.0, -6.0), (4.0, -4.0)])
def test_that_drift_goes_the_way_the_wind_blows(towards) -> None:
    ours = drift(5.0, towards) - drift(5.0, (0.0, 0.0))
    assert_allclose(ours, 0.05 * np.array(towards), rtol=EXACT, atol=1e-9)


def test_that_drift_adds_to_the_current() -> None:
    ours = drift(5.0, (6.0, 0.0), (0.2, -0.4)) - drift(5.0, (6.0, 0.0))
    assert_allclose(ours, [0.2, -0.4], rtol=EXACT)
