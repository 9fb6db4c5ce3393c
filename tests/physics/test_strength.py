"""A line pulled beyond its strength is told of, and by how much."""

from dataclasses import replace

import numpy as np
import pytest

from physics.environment.water import Bottom, Water
from physics.line.line_orders import LineOrder
from physics.line.tackle import LineSection, Rod
from physics.simulation.events import Event, find_events
from physics.simulation.run import Run, simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat
from tests.physics.spreads import LEADER, PLUG

# tension at a step is of that step; the rod's pull and the first element's differ by its own drag
SHARE = 0.05


def tow(core: float, leader: float, **changes: object) -> Scenario:
    """Steady at 6 m/s with 60 m of soft leadcore and a leader of these strengths, N."""
    line = LineSection("core", 60.0, 0.9e-3, 2.6e-3, 800.0, strength=core)
    rod = Rod("rod", (line, replace(LEADER, strength=leader)), PLUG)
    base = Scenario("tow", Water(Bottom.level(60.0)), Boat("boat"), (rod,), 6.0, duration=4.0)
    return replace(base, **changes)


def told(scenario: Scenario) -> list[Event]:
    return [event for event in find_events(simulate(scenario)) if event.kind == "over strength"]


def test_that_the_pull_told_is_the_pull_on_the_rod() -> None:
    scenario = tow(1.0, 0.0)
    event = told(scenario)[0]
    pull = float(simulate(scenario).tension(0, np.array([0.0]))[0])
    assert event.values["tension_n"] == pytest.approx(pull, rel=SHARE)
    assert (event.section, event.rod, event.time) == ("core", "rod", 0.0)
    assert event.values["strength_n"] == 1.0


def test_that_each_kind_of_line_is_held_against_its_own_strength() -> None:
    pull = float(simulate(tow(0.0, 0.0)).tension(0, np.array([0.0]))[0])
    assert not told(tow(2.0 * pull, 2.0 * pull))
    assert [event.section for event in told(tow(0.5 * pull, 2.0 * pull))] == ["core"]
    assert [event.section for event in told(tow(2.0 * pull, 0.5))] == ["leader"]


def test_that_a_line_of_unknown_strength_is_never_called_too_weak() -> None:
    assert not told(tow(0.0, 0.0))
    assert Run([tow(0.0, 0.0)]).over_strength(0.0) == ("",)


def test_that_a_fish_overloads_a_line_when_it_comes_on_and_not_before() -> None:
    fish = (LineOrder(2.0, "rod", "fish on", 30.0),)
    calm = simulate(tow(0.0, 0.0))
    stands = 1.3 * float(calm.tension(0, np.array([0.0]))[0])
    scenario = tow(stands, 0.0, line_orders=fish)
    (event,) = told(scenario)
    assert 2.0 <= event.time < 4.0
    run = Run([scenario])
    run.advance(4.0)
    assert run.over_strength(1.0) == ("",)
    assert run.over_strength(4.0) == ("core",)


def test_that_line_still_on_the_reel_carries_nothing_and_paying_out_is_followed() -> None:
    out = (LineOrder(0.5, "rod", "line to", 80.0, 1.0),)
    pull = float(simulate(tow(0.0, 0.0)).tension(0, np.array([0.0]))[0])
    scenario = tow(0.5 * pull, 0.0, line_orders=out, duration=8.0)
    (event,) = told(scenario)
    run = simulate(scenario)
    most = float(run.tension(0, np.linspace(0.0, 8.0, 200)).max())
    assert event.values["tension_n"] == pytest.approx(most, rel=SHARE)
