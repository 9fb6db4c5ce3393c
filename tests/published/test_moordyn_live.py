"""Another program, run here and now: MoorDyn against ours on cases not in the stored set.

Both cut the line alike. Agreement verifies the mathematics, not the sea.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.line.line_orders import LineOrder
from physics.line.mesh import Resolution
from physics.line.paying import paying
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat
from physics.vessel.motion import PrescribedMotion
from tests.beside import beside
from tests.published import moordyn_run
from tests.published.reference_case import EAST, TIP_DEPTH, drop_table, gear, load, turn_table

DEPTH = 0.01  # share; same elements, different time steps and lure (a point, a 2 cm link)
TENSION = 0.03  # share; ringing, the stepwise motion they are handed, and drag at their nodes
SIDEWAYS = 0.05  # m; offset from the straight track in the turn

COLOR = 9.144


def theirs_for(**changes: float) -> dict:
    return {**load("drop_7p5kn_9col_H20").given["params"], "N_ldr": 3, **changes}


def coast(speed: float, tau: float, hold: float, back: float) -> moordyn_run.Place:
    """Exact: out of gear for ``hold`` s, then ``back`` s of even acceleration."""
    left = speed / (1.0 + hold / tau)
    run = speed * tau * np.log1p(hold / tau)

    def place(time: float) -> tuple[float, float]:
        if time <= hold:
            return speed * tau * np.log1p(time / tau), 0.0
        since = min(time - hold, back)
        ramp = left * since + (speed - left) * since**2 / (2.0 * back)
        return run + ramp + speed * max(time - hold - back, 0.0), 0.0

    return place


def circle(speed: float, radius: float, degrees: float) -> moordyn_run.Place:
    """Exact: a turn to port, then straight on."""
    end = np.radians(degrees) * radius / speed

    def place(time: float) -> tuple[float, float]:
        angle, after = speed * min(time, end) / radius, speed * max(time - end, 0.0)
        return (
            radius * np.sin(angle) + after * np.cos(angle),
            radius * (1.0 - np.cos(angle)) + after * np.sin(angle),
        )

    return place


CASES = {
    "drop from 5 kn, 6 colors": (
        theirs_for(L=6 * COLOR, N=30), 2.57, coast(2.57, 6.0, 15.0, 5.0),
        drop_table(2.57, 6.0, 15.0, 5.0), 45.0,
    ),
    "buoyant lure, drop from 3 m/s": (
        theirs_for(L=6 * COLOR, N=30, m_lure=0.020, V_lure=2.6e-5, CdA_lure=8e-4), 3.0,
        coast(3.0, 5.0, 20.0, 6.0), drop_table(3.0, 5.0, 20.0, 6.0), 45.0,
    ),
    "turn of 35 m radius, 4 colors": (
        theirs_for(L=4 * COLOR, N=20), 2.0, circle(2.0, 35.0, 120.0),
        turn_table(2.0, 35.0, 120.0), 60.0,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_that_moordyn_run_alongside_gives_the_same_depth_and_pull(name, tmp_path, monkeypatch):
    params, speed, place, table, until = CASES[name]
    monkeypatch.chdir(tmp_path)
    time, depth, north, pull = moordyn_run.tow(tmp_path, params, speed, place, until).T

    rod, water = gear(params)
    scenario = Scenario(
        name, water, Boat("boat"), (rod,), speed=speed, heading=EAST,
        motion=PrescribedMotion(table), duration=until,
        resolution=Resolution(params["N"], params["N_ldr"], 1.0),
    )  # fmt: skip
    ours = simulate(scenario)
    our_depth = ours.depth(0, time) - TIP_DEPTH
    beside(f"{name}: deepest", our_depth.max(), depth.max(), "m")
    beside(f"{name}: least pull", ours.tension(0, time).min(), pull.min(), "N")
    assert np.ptp(depth) > 0.1, "the maneuver moves the lure"
    assert_allclose(our_depth, depth, rtol=DEPTH)
    assert_allclose(ours.tension(0, time), pull, rtol=TENSION)
    assert_allclose(ours.lines[0].lure(time)[:, 1], north, rtol=0.0, atol=SIDEWAYS)


REEL = {"wound in": (6.0, 4.0, 0.5), "paid out": (4.0, 6.0, 1.0)}
"""Colors before and after, and m/s."""

REELED_DEPTH = 0.01  # share
PULL_AT_REST = 0.01  # share; while it moves they differ: theirs stretches the line evenly


@pytest.mark.parametrize("name", REEL)
def test_that_a_line_handled_alongside_moordyn_gives_the_same_depth(name, tmp_path, monkeypatch):
    """Line that comes and goes at the tip, against one that shrinks and grows all along.

    The library has no reel: it shares the length out among its segments, so its nodes do
    not go along with the line. That tells in the pull while line moves (a tenth at 0.5 m/s,
    what a line drawn faster through the water must pull more), hardly in the depth.
    """
    before, after, rate = REEL[name]
    params = theirs_for(L=before * COLOR, N=round(5 * before))
    rod, water = gear(params)
    order = LineOrder(5.0, rod.name, "line to", after * COLOR, rate)
    out = paying(before * COLOR, [order], 400.0)
    monkeypatch.chdir(tmp_path)
    time, depth, _, pull = moordyn_run.tow(
        tmp_path, params, 2.57, lambda t: (2.57 * t, 0.0), 75.0, line_out=out.at
    ).T
    ours = simulate(
        Scenario(
            name,
            water,
            Boat("boat"),
            (rod,),
            speed=2.57,
            heading=EAST,
            duration=75.0,
            resolution=Resolution(params["N"], params["N_ldr"], 1.0),
            line_orders=(order,),
        )
    )
    our_depth = ours.depth(0, time) - TIP_DEPTH
    beside(f"{name}: depth after 20 s", our_depth[79], depth[79], "m")
    beside(f"{name}: depth in the end", our_depth[-1], depth[-1], "m")
    assert np.ptp(depth) > 1.0, "the length tells"
    assert_allclose(our_depth, depth, rtol=REELED_DEPTH)
    assert_allclose(ours.tension(0, time)[[0, -1]], pull[[0, -1]], rtol=PULL_AT_REST)
