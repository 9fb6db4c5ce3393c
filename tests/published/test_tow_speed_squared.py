"""Published: pull of a trolling depressor rises as speed squared.

Fuwa et al. (2002), Fisheries Science 68 (sup2), 1845-1848, abstract READ: mean
tension in proportion to speed squared from 0.75 to 1.05 m/s at every tow point.
No dimensions are given, so only the law is checked, on a lipped plug of ours.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.environment.water import Bottom, Water
from physics.line.tackle import LineSection, Lure, Rod
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat
from tests.beside import beside

SEA = Water(Bottom.level(100.0))
SPEEDS = np.array([0.75, 0.90, 1.05])

LAW = 0.1  # of the exponent; the line's weight and its drag curve bend it a little


@pytest.mark.parametrize("length", [10.0, 20.0, 30.0])
def test_that_a_lipped_plug_pulls_as_speed_squared(length: float) -> None:
    line = LineSection("mono", length, 0.5e-3, 2.25e-4, 1500.0)
    weightless = SEA.density * 1e-4
    plug = Lure(
        "depressor", "floating lipped plug", weightless, 1e-4, 0.15, 1.5e-3, 4e-3, lip_area=1e-3
    )
    rod = Rod("rod", (line,), plug, astern=0.0, height=0.0)
    pulls = []
    for speed in SPEEDS:
        scenario = Scenario("tow", SEA, Boat("b"), (rod,), speed=float(speed), duration=1.0)
        pulls.append(float(simulate(scenario).tension(0, np.array([0.0]))[0]))
    exponent = np.polyfit(np.log(SPEEDS), np.log(pulls), 1)[0]
    beside(f"exponent of speed, {length:g} m out", exponent, 2.0)
    assert_allclose(exponent, 2.0, rtol=0.0, atol=LAW)
