"""Feet or meters, and the look: announced once, and only on change."""

import pytest

from app.common.units import FOOT_PER_SECOND, METER_PER_SECOND, NEWTON, POUND_FORCE
from app.ui.look import LIGHT, LOOKS
from app.ui.preferences import LENGTHS, Preferences


@pytest.fixture
def told(preferences: Preferences) -> list[str]:
    told: list[str] = []
    preferences.units_changed.connect(lambda: told.append("units"))
    preferences.look_changed.connect(lambda: told.append("look"))
    return told


def test_that_a_change_of_units_is_announced_once(
    preferences: Preferences, told: list[str]
) -> None:
    preferences.set_length("meters")
    preferences.set_length("meters")
    assert told == ["units"]
    assert preferences.length is LENGTHS["meters"]


def test_that_a_change_of_look_is_announced_once(preferences: Preferences, told: list[str]) -> None:
    preferences.set_look("dark")
    preferences.set_look("dark")
    assert told == ["look"]
    assert preferences.look is LOOKS["dark"]


def test_that_unknown_names_change_and_announce_nothing(
    preferences: Preferences, told: list[str]
) -> None:
    preferences.set_length("fathoms")
    preferences.set_look("sepia")
    assert told == []
    assert (preferences.length_name, preferences.look) == ("feet", LIGHT)


def test_that_damaged_stored_preferences_fall_back_to_feet_and_light() -> None:
    odd = Preferences("", "None")
    assert (odd.length_name, odd.look) == ("feet", LIGHT)


def test_that_rates_and_pulls_go_with_the_length(preferences: Preferences) -> None:
    assert (preferences.rate, preferences.pull) == (FOOT_PER_SECOND, POUND_FORCE)
    preferences.set_length("meters")
    assert (preferences.rate, preferences.pull) == (METER_PER_SECOND, NEWTON)
