"""Another program, run here and now: MoorDyn in turns as tight as can be ordered.

Ours is cut as it is by default, theirs as fine as needed for its own answer to stand still.
Agreement verifies the mathematics, not the sea.
"""

from dataclasses import dataclass

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.environment.current import Layers
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat
from physics.vessel.motion import PrescribedMotion
from tests.beside import beside
from tests.physics.tight_turns import COLOR, KNOT
from tests.published import moordyn_run
from tests.published.reference_case import EAST, TIP_DEPTH, gear, turn_table
from tests.published.test_moordyn_live import circle, theirs_for

DEPTH = 0.01  # share; what the program promises

SETTLING = 20.0
"""Under way from rest so long before the turn, s, beside two lengths of the line."""

SHEAR = ((0.0, 0.4, 0.6), (12.0, -0.1, 0.0))
"""The current's velocity at the surface and from 12 m down, m/s, straight between."""


@dataclass(frozen=True)
class Turn:
    """Half a circle and the straightening after it; theirs cut into so many elements."""

    radius: float
    colors: int
    knots: float
    elements: int
    sheared: bool = False
    after: float = 15.0


TURNS = {
    "3 colors, 5 kn, 20 m, sheared": Turn(20.0, 3, 5.0, 20, sheared=True, after=10.0),
    "3 colors, 3 kn, 10 m": Turn(10.0, 3, 3.0, 20, after=10.0),
}
MORE = {
    "3 colors, 5 kn, 33 m": Turn(33.0, 3, 5.0, 30),
    "3 colors, 7.5 kn, 10 m": Turn(10.0, 3, 7.5, 60),
    "6 colors, 7.5 kn, 20 m": Turn(20.0, 6, 7.5, 80),
    "6 colors, 5 kn, 30 m, sheared": Turn(30.0, 6, 5.0, 60, sheared=True),
    "10 colors, 5 kn, 20 m, sheared": Turn(20.0, 10, 5.0, 90, sheared=True, after=25.0),
    "10 colors, 7.5 kn, 20 m": Turn(20.0, 10, 7.5, 120, after=25.0),
}


def depths(turn: Turn, folder) -> tuple[np.ndarray, np.ndarray]:
    """Depth of the lure under the tow point, m: ours and theirs at the same instants."""
    speed, long = turn.knots * KNOT, turn.colors * COLOR
    leader = max(3, round(turn.elements / 5))
    params = theirs_for(L=long, N=turn.elements, N_ldr=leader, water_depth=100.0)
    current = SHEAR if turn.sheared else ()
    until = float(np.pi * turn.radius / speed + turn.after)
    shortest = min(long / turn.elements, params["L_ldr"] / leader)
    time, theirs, _, _ = moordyn_run.tow(
        folder, params, speed, circle(speed, turn.radius, 180.0), until,
        step=moordyn_run.STEP * 2.0 ** np.floor(np.log2(shortest / 1.8)), current=current,
        warm_up=SETTLING + np.ceil(2.0 * (long + params["L_ldr"]) / speed),
    ).T  # fmt: skip

    rod, water = gear(params)
    if turn.sheared:
        deep = tuple((depth + TIP_DEPTH, *flow) for depth, *flow in SHEAR)
        water = type(water)(
            water.bottom, water.density, current=SHEAR[0][1:], gravity=water.gravity,
            profile=Layers(deep),
        )  # fmt: skip
    scenario = Scenario(
        "turn", water, Boat("boat"), (rod,), speed=speed, heading=EAST,
        motion=PrescribedMotion(turn_table(speed, turn.radius, 180.0)), duration=until,
    )  # fmt: skip
    return simulate(scenario).depth(0, time) - TIP_DEPTH, theirs


@pytest.mark.parametrize(
    "name", [*TURNS, *(pytest.param(name, marks=pytest.mark.long) for name in MORE)]
)
def test_that_in_a_tight_turn_the_lure_is_as_deep_as_moordyn_has_it(name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    ours, theirs = depths({**TURNS, **MORE}[name], tmp_path)
    beside(f"{name}: deepest", ours.max(), theirs.max(), "m")
    beside(f"{name}: most apart", 1.0 + np.abs(ours / theirs - 1.0).max(), 1.0)
    assert np.ptp(theirs) > 0.2, "the turn moves the lure"
    assert_allclose(ours, theirs, rtol=DEPTH)
