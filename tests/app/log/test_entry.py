"""What an entry of the log may be."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from app.log.entry import PHASES, Entry, check, new_id
from app.log.from_setup import from_setup, weather_of
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


@pytest.mark.parametrize(
    ("toward", "tide"),
    [(40.0, "with"), (10.0, "with"), (130.0, "across"), (310.0, "across"), (200.0, "into")],
)
def test_that_a_setup_tells_how_she_heads_against_the_tide(
    demo: Setup, toward: float, tide: str
) -> None:
    set_ = math.radians(toward)
    moved = replace(demo.water, current=(math.sin(set_), math.cos(set_)), wind=(0.0, -5.0))
    told = weather_of(replace(demo, water=moved), math.radians(30.0))
    assert told["tide"] == tide
    # what goes south comes from the north
    assert (told["wind_speed"], math.cos(told["wind_from"])) == (5.0, pytest.approx(1.0))
