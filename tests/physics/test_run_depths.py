"""Run depths read off one long line per speed, against lines settled each by itself."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.answers import run_depths
from physics.answers.run_depths import DEEP, tow_depths
from physics.checks import InvalidValue
from physics.environment.water import Water
from physics.line.mesh import Resolution
from physics.line.tackle import Lure, Rod
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat
from tests.physics.spreads import FLOATER, JIG, LEADCORE, LEADER, PLUG

SEA = Water(DEEP)
SPEEDS = (0.8, 1.2, 2.0, 3.2, 5.0)
LONGEST = 110.0

LENGTH = 0.04
"""m; a length of line at a speed that was settled."""

BETWEEN = 0.08
"""m; at a speed between those."""


def line(out: float, lure: Lure = PLUG, height: float = 1.5) -> Rod:
    core = min(out, 90.0)
    parts = [replace(LEADCORE, length=core)]
    if out > core:
        parts.insert(0, replace(LEADER, name="backing", length=out - core))
    return Rod("rod", (*parts, LEADER), lure, height=height)


def settled(out: float, speed: float, lure: Lure = PLUG, height: float = 1.5) -> float:
    """Depth of a line by itself, finely cut."""
    fine = Resolution(72, 6)
    scenario = Scenario("tow", SEA, Boat("b"), (line(out, lure, height),), speed, resolution=fine)
    return -float(Run([scenario]).lures_at(0.0)[0][0, 2])


@pytest.mark.parametrize("lure", [PLUG, JIG, FLOATER], ids=["plug", "jig", "floater"])
@pytest.mark.parametrize("height", [1.5, 0.0, -0.5])
def test_that_any_length_runs_as_deep_as_if_it_were_settled_by_itself(lure, height) -> None:
    (found,) = tow_depths([line(LONGEST, lure, height)], SEA, SPEEDS)
    for out in (9.0, 20.0, 54.0, 88.0, 100.0):
        ours = float(found.by_out(3.2, np.array([out]))[0])
        assert_allclose(ours, settled(out, 3.2, lure, height), rtol=0.01, atol=LENGTH)


@pytest.mark.parametrize("speed", [1.6, 2.6, 4.0])
def test_that_speeds_between_are_near_those_settled(speed: float) -> None:
    (found,) = tow_depths([line(LONGEST)], SEA, SPEEDS)
    exact = settled(54.0, speed)
    for ours in (
        found.by_speed(54.0, np.array([speed]))[0],
        found.by_out(speed, np.array([54.0]))[0],
    ):
        assert_allclose(ours, exact, rtol=0.01, atol=BETWEEN)


def test_that_a_sinking_lure_runs_deeper_on_more_line_and_when_slower() -> None:
    (found,) = tow_depths([line(LONGEST)], SEA, SPEEDS)
    assert np.all(np.diff(found.depth, axis=1) >= 0.0)
    assert np.all(np.diff(found.depth[:, 10:], axis=0) < 0.0)


def test_that_more_rounds_of_sag_leave_the_depth_as_it_is(monkeypatch) -> None:
    rod = line(LONGEST, height=5.0)
    (found,) = tow_depths([rod], SEA, (1.2, 3.2))
    monkeypatch.setattr(run_depths, "SAG_ROUNDS", 60)
    (longer,) = tow_depths([rod], SEA, (1.2, 3.2))
    assert_allclose(found.depth, longer.depth, rtol=0.0, atol=1e-3)


def test_that_a_line_too_short_to_reach_the_water_skims() -> None:
    (found,) = tow_depths([line(LONGEST, height=6.0)], SEA, (3.0, 5.0))
    assert found.depth[-1, 0] == 0.0
    assert found.depth[-1, -1] > 1.0


def test_that_several_rods_at_once_get_what_each_gets_alone() -> None:
    rods = [line(LONGEST), line(60.0, JIG)]
    both = tow_depths(rods, SEA, SPEEDS)
    for rod, found in zip(rods, both, strict=True):
        (alone,) = tow_depths([rod], SEA, SPEEDS)
        assert_allclose(found.depth, alone.depth, atol=1e-3)


def test_that_an_impossible_speed_is_refused() -> None:
    with pytest.raises(InvalidValue, match="speed"):
        tow_depths([line(50.0)], SEA, (0.0, 2.0))
