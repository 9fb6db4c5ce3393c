"""What a lure does when the boat stops, from the physics alone."""

from dataclasses import replace

import numpy as np
import pytest

from physics.answers.sink import free_falls, line_sink_rate, sink_rate
from physics.checks import InvalidValue
from physics.line.tackle import Rod
from physics.simulation.run import Run, simulate
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Boat, Order
from tests.beside import noted
from tests.physics.spreads import DEEP_SEA, FLOATER, JIG, LEADCORE, MONO, PLUG, leadcore_rod

STOP = (Order(1.0, "out of gear"),)
AT = np.array([0.0, 25.0])


def stopped(rod: Rod) -> Trajectory:
    """Out of gear for 24 s from 3 kn, in a boat that loses half its speed in 3 s."""
    boat = Boat("boat", trolling_speed=1.54, half_time=3.0)
    return simulate(Scenario("stop", DEEP_SEA, boat, (rod,), 1.54, orders=STOP, duration=26.0))


def test_that_a_floating_lipped_plug_on_plain_mono_rises_when_the_boat_stops() -> None:
    towed, later = stopped(Rod("rod", (MONO,), FLOATER)).depth(0, AT)
    assert towed > 0.5, "towed, its lip holds it down"
    assert later < 0.8 * towed


def test_that_a_sinking_plug_on_plain_mono_sinks_when_the_boat_stops() -> None:
    towed, later = stopped(Rod("rod", (MONO,), PLUG)).depth(0, AT)
    assert later > towed + 1.0


def test_that_a_jig_falls_nose_first_and_faster_than_a_level_plug_of_its_weight() -> None:
    plug = replace(JIG, name="even", kind="sinking plug", mass_center=0.5)
    nose_down, level = free_falls([JIG, plug], DEEP_SEA)
    assert nose_down.pitch[-1] > np.radians(80.0)
    assert abs(level.pitch[-1]) < np.radians(1.0)
    assert nose_down.rate > 1.5 * level.rate


def test_that_a_free_floater_rises_and_a_free_plug_sinks() -> None:
    assert sink_rate(FLOATER, DEEP_SEA) < -0.05
    assert sink_rate(PLUG, DEEP_SEA) > 0.05


@pytest.mark.parametrize("gravity", [9.78, 9.83])
def test_that_a_level_line_falls_by_its_weight_where_it_is(gravity: float) -> None:
    # exact for a constant coefficient: V = sqrt(2 W / (rho Cd d))
    water = replace(DEEP_SEA, gravity=gravity)
    line = replace(LEADCORE, normal_drag=1.3)
    weight = gravity * (line.mass_per_length - water.density * line.area)
    fall = np.sqrt(2.0 * weight / (water.density * 1.3 * line.diameter))
    assert line_sink_rate(line, water) == pytest.approx(fall, rel=1e-9)


def test_that_a_line_without_drag_has_no_rate_to_settle_to() -> None:
    with pytest.raises(InvalidValue, match=r"^leadcore: normal_drag is 0\.0; allowed: more than 0"):
        line_sink_rate(replace(LEADCORE, normal_drag=0.0), DEEP_SEA)


@pytest.mark.parametrize("lip", [2e-4, 8e-4, 2e-3])
def test_that_a_big_lip_finds_its_steady_tow_without_a_search(lip: float) -> None:
    # some 90 to 160 solves; hundreds of thousands if the matrix forgets how the lip turns
    rod = Rod("rod", (MONO,), replace(FLOATER, lip_area=lip))
    run = Run([Scenario("tow", DEEP_SEA, Boat("boat"), (rod,), speed=3.86)])
    assert run.count.solves < 600


@pytest.mark.parametrize("lure", [FLOATER, PLUG], ids=["floater", "plug"])
def test_that_behind_leadcore_the_outcome_is_left_to_the_weights(lure) -> None:
    run = stopped(leadcore_rod("rod", lure))
    towed, later = run.depth(0, AT)
    winner = "line and lure sank" if later > towed else "the lure's float won"
    noted(f"{lure.name} behind six colors: {towed:.2f} m, 24 s on {later:.2f} m; {winner}")
    assert np.isfinite([towed, later]).all()
    assert 0.0 < later < run.lines[0].rod.line_out
