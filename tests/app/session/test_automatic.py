"""Wait and hold done by itself: on time, and the scenario's own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from app.scenario.setup import Setup
from tests.app.by_hand import Live
from tests.app.session.live_hands import uneven

SMOOTH = 0.01
"""How far a kept sample of a track may be from the run's own answer, m."""


@pytest.mark.parametrize("speed", [1, 3, 8])
def test_that_the_automatic_hold_goes_in_gear_exactly_on_time(live: Live, speed: int) -> None:
    live_run = live.live_run
    live_run.set_speed(speed)
    live_run.auto_hold.set(True, 7.5)
    live.sail(1.234)
    live_run.shift()
    frame = uneven(4)
    while live_run.now < 12.0:
        live.frame(frame())
    ((out, back),) = live_run.spells()
    assert out == pytest.approx(1.234, abs=1e-9)
    assert back == pytest.approx(out + 7.5, abs=1e-9)
    assert live_run.in_gear
    assert live_run.last_hold() == pytest.approx(7.5, abs=1e-9)


def test_that_the_automatic_hold_leaves_no_kink_in_the_track(live: Live) -> None:
    live_run = live.live_run
    live_run.set_speed(8)
    live_run.auto_hold.set(True, 7.3)
    live_run.shift()
    live.sail(14.0)
    kept = live_run.track.time >= 0.0
    times, places = live_run.track.time[kept], live_run.track.lure[kept]
    for number, line in enumerate(live_run.run.trajectory().lines):
        gap = np.abs(places[:, number] - line.lure(times)).max(axis=1)
        assert gap.max() < SMOOTH, f"{gap.max():.3f} m off at {times[gap.argmax()]:.2f} s"


def test_that_a_hold_shortened_below_what_has_passed_ends_at_once(live: Live) -> None:
    live_run = live.live_run
    live_run.auto_hold.set(True, 20.0)
    live_run.shift()
    live.sail(5.0)
    live_run.auto_hold.set(True, 3.0)
    live.sail(0.2)
    assert live_run.in_gear
    assert live_run.last_hold() == pytest.approx(5.0, abs=1e-9)


def test_that_switching_the_automatic_hold_off_lets_the_boat_lie(live: Live) -> None:
    live.live_run.shift()
    live.sail(5.0)
    live.live_run.auto_hold.set(False, 20.0)
    live.sail(20.0)
    assert not live.live_run.in_gear
    assert live.live_run.hold_so_far() == pytest.approx(25.0, abs=1e-9)


def test_that_automatic_wait_and_hold_are_the_scenarios_own_and_undone_one_by_one(
    live: Live, demo: Setup
) -> None:
    live_run, document = live.live_run, live.document
    document.saved = document.setup
    live.sail(1.0)
    live_run.auto_wait.set(True, 9.0)
    assert document.changed
    live_run.auto_wait.set(True, 10.0)
    live_run.auto_wait.set(True, 11.0)
    live_run.auto_hold.set(False, 20.0)
    assert document.setup == replace(demo, wait=11.0, hold=None)
    assert not live_run.settling, "what goes on is not begun anew"
    seen = []
    while document.undo_stack.canUndo():
        document.undo_stack.undo()
        seen.append((live_run.auto_wait.on, live_run.auto_wait.seconds, live_run.auto_hold.on))
    assert seen == [(True, 11.0, True), (True, 9.0, True), (False, 11.0, True)]
    assert not document.changed
    assert live.said == []


def test_that_seconds_offered_for_a_hold_that_is_off_are_no_change_of_the_scenario(
    live: Live, demo: Setup
) -> None:
    live.document.open(replace(demo, hold=None))
    live_run = live.live_run
    live_run.auto_hold.set(False, 33.0)
    assert not live.document.undo_stack.canUndo()
    live_run.auto_hold.set(True, live_run.auto_hold.seconds)
    assert live.document.setup.hold == 33.0


def test_that_opening_a_scenario_takes_its_wait(live: Live, demo: Setup) -> None:
    live.live_run.auto_wait.set(True, 9.0)
    live.document.open(replace(demo, name="Other"))
    assert not live.live_run.auto_wait.on
    live.document.open(replace(demo, name="Third", wait=4.0, hold=8.0))
    live.settle()
    live.sail(26.0)
    mark = live.document.setup.mark
    assert mark is not None
    assert live.live_run.spells()[0] == (
        pytest.approx(mark.time + 4.0), pytest.approx(mark.time + 12.0)
    )  # fmt: skip
