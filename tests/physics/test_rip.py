"""Sides of a rip: deep, shallow and on top, or nothing where the ground does not tell."""

from __future__ import annotations

import math

import pytest

from physics.environment.rip import DEEP, SHALLOW, TOP, UNTOLD, side_of_rip
from physics.environment.water import Bottom

RIDGE = ((0.0, 12.0), (50.0, 8.0), (60.0, 8.0), (100.0, 16.0))
EDGE = ((0.0, 7.0), (40.0, 7.2), (100.0, 16.0))
ALIKE = ((0.0, 12.0), (50.0, 8.0), (100.0, 12.3))


@pytest.mark.parametrize(
    ("points", "place", "side"),
    [
        (RIDGE, 0.0, SHALLOW), (RIDGE, -500.0, SHALLOW), (RIDGE, 40.0, TOP), (RIDGE, 60.0, TOP),
        (RIDGE, 64.0, TOP), (RIDGE, 70.0, DEEP), (RIDGE, 500.0, DEEP),
        (EDGE, 0.0, SHALLOW), (EDGE, 50.0, SHALLOW), (EDGE, 70.0, UNTOLD), (EDGE, 95.0, DEEP),
        (ALIKE, 50.0, TOP), (ALIKE, 10.0, UNTOLD), (ALIKE, 90.0, UNTOLD),
        (((0.0, 9.0),), 0.0, UNTOLD),
        (((0.0, 9.0), (50.0, 9.9)), 0.0, UNTOLD),
        # more than one rip
        (((0.0, 12.0), (30.0, 8.0), (60.0, 12.0), (90.0, 8.5), (120.0, 13.0)), 30.0, UNTOLD),
        # unevenness is no rip
        (((0.0, 12.0), (20.0, 12.4), (50.0, 8.0), (70.0, 14.0), (80.0, 13.5), (100.0, 16.0)),
         90.0, DEEP),
    ],
)  # fmt: skip
def test_that_a_place_is_on_the_side_that_the_ground_tells(points, place, side) -> None:
    for bearing in (0.0, 1.0, 4.0):
        bottom = Bottom(points, bearing)
        x, y = place * math.sin(bearing), place * math.cos(bearing)
        # along the rip nothing changes
        x, y = x + 70.0 * math.cos(bearing), y - 70.0 * math.sin(bearing)
        assert side_of_rip(bottom, x, y) == side
