"""What may not be is refused in words; what may be costs none."""

from __future__ import annotations

import math

import pytest

from physics.checks import InvalidValue, require_number


class Unread(float):
    """A number that may not be put into words."""

    def __format__(self, spec: str) -> str:
        raise AssertionError(spec)


def test_that_nothing_is_worded_for_a_number_that_may_be() -> None:
    for value in (Unread(0.0), Unread(1.0), Unread(2.0), 1):
        require_number("depth", value, Unread(0.0), Unread(2.0), "m")
    require_number("depth", Unread(0.1), Unread(0.0), Unread(2.0), "m", above=True)


@pytest.mark.parametrize("value", [-0.1, 2.1, math.nan, math.inf, True, "1", None])
def test_that_what_may_not_be_is_refused_with_what_may(value: object) -> None:
    with pytest.raises(InvalidValue, match="from 0 to 2 m"):
        require_number("depth", value, 0.0, 2.0, "m")


def test_that_the_lower_end_is_refused_where_only_more_will_do() -> None:
    with pytest.raises(InvalidValue, match="more than 0 to 2"):
        require_number("depth", 0.0, 0.0, 2.0, above=True)
