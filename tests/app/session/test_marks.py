"""Marks of a live run: where they lie, and what a change of the setup does to them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from physics.vessel.boat import Order
from tests.app.by_hand import Live
from tests.app.session.live_hands import shallower


def test_that_a_mark_lies_under_the_transducer_at_that_instant(live: Live) -> None:
    live_run = live.live_run
    live.sail(4.2)
    boat = live_run.run.boat(live_run.now)
    live_run.drop_mark()
    live.sail(3.0)
    mark = live_run.picture.mark
    assert mark is not None
    assert (mark.time, mark.x, mark.y) == pytest.approx((4.2, boat.x, boat.y), abs=1e-9)
    assert live.document.setup.mark is not None
    assert mark.depth == live.document.setup.mark.depth
    there = live_run.picture.along(np.array([mark.x]), np.array([mark.y]))
    assert float(there[0]) == pytest.approx(-3.0 * live.document.setup.speed, rel=1e-6)


def test_that_the_setups_own_mark_appears_when_its_time_comes(live: Live) -> None:
    live.sail(9.9)
    assert live.live_run.picture.mark is None
    live.sail(0.2)
    mark = live.live_run.picture.mark
    assert mark is not None
    assert mark.time == 10.0


def test_that_a_mark_still_to_come_takes_the_depth_it_is_given_meanwhile(live: Live) -> None:
    live_run = live.live_run
    mark = live.document.setup.mark
    assert mark is not None
    live.sail(3.0)
    assert live.document.edit(
        replace(live.document.setup, mark=replace(mark, depth=4.0)), "mark depth"
    )
    live.sail(mark.time)
    placed = live_run.mark()
    assert placed is not None
    assert (placed.time, placed.depth) == (mark.time, 4.0)


def test_that_a_mark_taken_out_of_the_setup_does_not_come(live: Live) -> None:
    live_run = live.live_run
    mark = live.document.setup.mark
    assert mark is not None
    live.sail(mark.time - 0.05)
    assert live.document.edit(replace(live.document.setup, mark=None), "no mark")
    live.sail(3.0)
    assert live_run.mark() is None


def test_that_marks_in_the_orders_still_come_when_the_setups_own_is_changed(live: Live) -> None:
    live_run = live.live_run
    mark = live.document.setup.mark
    assert mark is not None
    later = Order(mark.time + 5.0, "mark", 3.0)
    assert live.document.edit(replace(live.document.setup, orders=(later,)), "a mark in the orders")
    live.settle()
    live.sail(1.0)
    assert live.document.edit(
        replace(live.document.setup, mark=replace(mark, depth=4.0)), "mark depth"
    )
    live.sail(mark.time + 6.0)
    placed = live_run.mark()
    assert placed is not None
    assert (placed.time, placed.depth) == (later.time, 3.0)


def test_that_a_mark_that_has_been_stays_where_it_was(live: Live) -> None:
    live_run = live.live_run
    mark = live.document.setup.mark
    assert mark is not None
    live.sail(mark.time + 2.0)
    assert live.document.edit(
        replace(live.document.setup, mark=replace(mark, depth=4.0)), "mark depth"
    )
    live.sail(1.0)
    placed = live_run.mark()
    assert placed is not None
    assert placed.depth == mark.depth


def test_that_a_mark_moved_while_the_tow_settles_is_where_it_was_put(live: Live) -> None:
    mark = live.document.setup.mark
    assert mark is not None
    assert live.document.edit(shallower(live), "colors out")
    moved = replace(live.document.setup, mark=replace(mark, depth=4.0))
    assert live.document.edit(moved, "mark depth")
    live.settle()
    live.sail(mark.time + 1.0)
    placed = live.live_run.mark()
    assert placed is not None
    assert placed.depth == 4.0
