"""Two entries side by side: whatever the form shows as other is told, in the units in use."""

from __future__ import annotations

from dataclasses import replace

from app.common.units import KNOT, METER, MILE_PER_HOUR
from app.log.differences import Difference, differences
from tests.app.log.made import a_drop


def test_that_what_the_form_shows_as_other_is_told() -> None:
    first = a_drop(hold=20.0, wait=9.0, place=(30.0, -40.5))
    second = replace(first, hold=20.4, wait=9.1, place=(30.00002, -40.5))
    assert differences(first, second, KNOT, METER) == (
        Difference("Wait", "9 s", "9.1 s"),
        Difference("Hold", "20 s", "20.4 s"),
        Difference("Place", "30, -40.5", "30.00002, -40.5"),
    )


def test_that_a_wind_is_told_in_the_unit_of_speeds() -> None:
    first = a_drop(wind_speed=MILE_PER_HOUR.to_si(10.0))
    second = replace(first, wind_speed=MILE_PER_HOUR.to_si(20.0))
    (found,) = differences(first, second, MILE_PER_HOUR, METER)
    assert found == Difference("Wind", "10 mph", "20 mph")
