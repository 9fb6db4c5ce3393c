"""What a person types in the form: read as it is meant."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest

from app.log.as_typed import read_day


@pytest.fixture
def new_york(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """This computer's clock is that of a place with summer time."""
    if not hasattr(time, "tzset"):
        pytest.skip("the system's time zone cannot be set for one program")
    monkeypatch.setenv("TZ", "EST5EDT,M3.2.0,M11.1.0")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.mark.usefixtures("new_york")
def test_that_a_day_in_winter_has_the_clock_of_winter() -> None:
    summer = datetime(2026, 7, 1, 6, 42).astimezone()
    assert summer.utcoffset() == timedelta(hours=-4)
    winter = read_day("2026-01-10", summer)
    assert (winter.hour, winter.minute, winter.utcoffset()) == (6, 42, timedelta(hours=-5))


@pytest.mark.usefixtures("new_york")
def test_that_a_clock_of_elsewhere_stays() -> None:
    there = datetime.fromisoformat("2026-07-01T06:42:00+02:00")
    assert read_day("20260110", there).utcoffset() == timedelta(hours=2)
