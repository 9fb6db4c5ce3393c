"""The compiled library moves the boat as Python does; between its points cubics tell where."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from physics.environment.water import Bottom, Water
from physics.vessel.boat import Boat, BoatState, Leg, Order
from physics.vessel.core import compiled
from physics.vessel.helm import HelmTrack

WATER = Water(Bottom.level(30.0), current=(0.3, -0.2), wind=(3.0, 1.0))
LEGS = (Leg(20.0), Leg(31.0, 0.05), Leg(0.3, 0.1), Leg(0.2, -0.1), Leg(10.0, -0.05))
TIMES = np.linspace(0.0, 60.0, 401)

ACTIONS = st.sampled_from(
    [
        ("out of gear", 0.0, ()), ("in gear", 0.0, ()), ("throttle", 2.0, ()),
        ("engines", 1.0, ()), ("engines", 2.0, ()), ("wheel", 0.04, ()), ("course", 0.0, LEGS),
        ("mark", 5.0, ()),
    ]
)  # fmt: skip
ORDERS = st.lists(st.tuples(st.floats(0.0, 40.0), ACTIONS), max_size=7)
BOATS = st.builds(
    Boat, st.just("boat"), trolling_speed=st.sampled_from([3.86, 1.0]),
    exponent=st.sampled_from([1.0, 1.4, 2.0]),
    propeller_drag=st.sampled_from([0.0, 0.4]), shift_time=st.sampled_from([0.0, 0.7]),
)  # fmt: skip


def steered(boat: Boat, given_orders: list[tuple[float, tuple]]) -> HelmTrack:
    orders = [Order(time, action, value, legs) for time, (action, value, legs) in given_orders]
    return HelmTrack(boat, WATER, 3.5, 0.4, orders)


def gap(ours: BoatState, theirs: BoatState) -> float:
    names = ("x", "y", "heading", "speed", "surge", "turn", "set_speed")
    return max(abs(getattr(ours, name) - getattr(theirs, name)) for name in names)


@pytest.mark.skipif(compiled.LIBRARY is None, reason="no compiled library was built")
@settings(max_examples=60, deadline=None)
@given(boat=BOATS, orders=ORDERS)
def test_that_the_compiled_boat_goes_where_the_one_in_python_goes(boat, orders) -> None:
    ours, theirs = steered(boat, orders), steered(boat, orders)
    ours.at(TIMES[-1])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(compiled, "LIBRARY", None)
        theirs.at(TIMES[-1])
        gaps = [gap(ours.at(time), theirs.at(time)) for time in TIMES]
        breaks = [ours.next_break(time) for time in TIMES]
        assert breaks == pytest.approx([theirs.next_break(time) for time in TIMES], abs=1e-8)
    assert max(gaps) <= 1e-9, "but for the last digit of a power"


@settings(max_examples=40, deadline=None)
@given(boat=BOATS, orders=ORDERS, start=st.floats(0.0, 20.0))
def test_that_cubics_over_every_break_are_within_their_word_of_the_motion(
    boat, orders, start
) -> None:
    track = steered(boat, orders)
    pieces = track.pieces(start, start + 30.0)
    breaks, at = [], start
    while (at := track.next_break(at)) < start + 30.0:
        breaks.append(at)
    for time in start + np.linspace(0.01, 29.99, 177):
        if min((abs(time - at) for at in breaks), default=1.0) < 1e-6:
            continue
        k = int(np.searchsorted(pieces.time, time)) - 1
        h = pieces.time[k + 1] - pieces.time[k]
        there = track.at(float(time))
        for rows, value in (
            (pieces.speed, there.speed), (pieces.heading, there.heading), (pieces.turn, there.turn),
        ):  # fmt: skip
            a, b, c, d = rows[k]
            x = (time - pieces.time[k]) / h
            s, t = x * x * (3.0 - 2.0 * x), x * (1.0 - x)
            told = (1.0 - s) * a + s * c + h * t * ((1.0 - x) * b - x * d)
            assert told == pytest.approx(value, abs=4e-6), time


def test_that_a_track_that_runs_for_hours_is_the_same_however_it_is_asked() -> None:
    at_once, by_steps = (HelmTrack(Boat("boat"), WATER, 3.5, 0.0, [Order(3.0, "wheel", 0.01)])
                         for _ in range(2))  # fmt: skip
    far = at_once.at(1200.0)
    for time in np.arange(0.0, 1200.0, 7.3):
        by_steps.at(float(time))
    assert gap(far, by_steps.at(1200.0)) == 0.0
    assert math.isclose(far.heading, 0.01 * 3.5 * 1197.0, rel_tol=1e-9)
