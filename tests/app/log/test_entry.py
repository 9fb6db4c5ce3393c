"""What an entry of the log may be."""

from __future__ import annotations

from dataclasses import replace

from app.log.entry import PHASES, Entry, check, new_id
from app.log.from_setup import from_setup
from app.scenario.setup import Setup
from physics.environment import water
from physics.simulation.lure_facts import FALLING, RISING, RUNNING
from physics.vessel import boat
from tests.app.log.made import NOW


def test_that_an_entry_holds_whatever_a_setup_may_have(demo: Setup) -> None:
    blown = replace(demo.water, wind=(water.WIND.high, 0.0))
    fast = replace(demo, speed=boat.SPEED.high, water=blown)
    check(Entry(new_id(), NOW, **from_setup(fast)), NOW)


def test_that_a_lure_does_one_of_what_can_be_kept() -> None:
    assert PHASES == (FALLING, RISING, RUNNING)
