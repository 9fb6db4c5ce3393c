"""The keys that keep a drop: one or two, undone by one undo; what goes with it is known, or was
said, and never guessed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.log.entry import WAITS
from app.log.model import Log
from app.log.recording import LATER
from app.scenario.setup import Setup
from app.session.picture import PlacedMark
from app.shell.window import Window
from physics.environment.water import Bottom
from physics.vessel.motion import PrescribedMotion
from tests.app.by_hand import Live, worker_of
from tests.app.log.made import LATE, entries_of

KEY = Qt.Key


def drop_and(window: Window, live: Live, seconds: float) -> None:
    live.sail(5.0)
    QTest.keyClick(window, KEY.Key_Space)
    live.sail(seconds)


def test_that_a_hit_is_kept_in_two_keys_and_undone_in_one(
    window: Window, live: Live, log: Log
) -> None:
    drop_and(window, live, 6.0)
    speed = live.live_run.clock.speed
    QTest.keyClick(window, KEY.Key_H)
    QTest.keyClick(window, KEY.Key_2)
    (entry,) = entries_of(log)
    assert live.live_run.clock.speed == speed
    assert [line.outcome for line in entry.lines] == ["nothing", "drop"]
    assert entry.lines[1].after == pytest.approx(6.0, abs=0.2)
    assert entry.rehearsal
    assert entry.hold is None
    assert "kept in the log (rehearsal" in window.statusBar().currentMessage()
    QTest.keyClick(window, KEY.Key_2)
    assert live.live_run.clock.speed == 2
    # the model's word, and the hold once it is over
    worker_of(log).deliver("said")
    live.live_run.set_speed(1)
    live.sail(4.0)
    QTest.keyClick(window, KEY.Key_Space)
    live.sail(1.0)
    live.screen.go_by(1.0)
    live.live_run.tick()
    (entry,) = entries_of(log)
    assert entry.hold == pytest.approx(10.0, abs=0.3)
    said = entry.lines[1].said
    assert said is not None
    assert said.phase == "falling"
    window.document.undo_stack.undo()
    assert entries_of(log) == []


def test_that_another_hit_of_the_drop_goes_into_its_entry_and_the_number_lapses(
    window: Window, live: Live, log: Log
) -> None:
    drop_and(window, live, 5.0)
    for number in (KEY.Key_1, KEY.Key_2):
        QTest.keyClick(window, KEY.Key_H)
        QTest.keyClick(window, number)
    (entry,) = entries_of(log)
    assert entry.hits == 2
    QTest.keyClick(window, KEY.Key_L)
    assert len(entries_of(log)) == 1
    assert "already" in window.statusBar().currentMessage()
    QTest.keyClick(window, KEY.Key_H)
    window.pages.recorder._lapse()
    QTest.keyClick(window, KEY.Key_4)
    assert live.live_run.clock.speed == 4
    assert len(entries_of(log)) == 1


def test_that_a_drop_without_a_hit_is_kept_in_one_key_and_real_only_when_said(
    window: Window, live: Live, log: Log
) -> None:
    log.today.say(on_water=True)
    drop_and(window, live, 5.0)
    QTest.keyClick(window, KEY.Key_L)
    (entry,) = entries_of(log)
    assert not entry.rehearsal
    assert entry.hits == 0
    said = window.statusBar().currentMessage()
    assert said.startswith("The drop without a hit: kept in the log (on the water")
    # tomorrow it is a rehearsal again
    log.now = lambda: LATE + timedelta(days=1)
    assert not log.today.told.on_water


def test_that_what_was_said_of_the_day_and_what_the_setup_tells_go_with_a_drop_in_two_keys(
    make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live], demo: Setup
) -> None:
    # the lures are astern, in the south, where it is deep
    ground = Bottom(((-60.0, 14.0), (-15.0, 13.5), (30.0, 6.0), (90.0, 6.5), (120.0, 9.0)))
    water = replace(demo.water, bottom=ground, current=(0.0, -0.6))
    live = make_live(replace(demo, water=water, heading=0.0))
    window = make_window(live)
    log = window.pages.entries
    log.now = lambda: LATE
    QTest.keyClick(window, KEY.Key_F10)
    row = window.pages.log.today
    assert not row.part.isEnabled()
    for box, letter in ((row.stage, "f"), (row.part, "e")):
        QTest.keyClick(box, letter)
    assert row.tide.text() == "Tide since 19:00"
    log.now = lambda: LATE + timedelta(hours=1)
    QTest.keyClick(window, KEY.Key_F2)
    drop_and(window, live, 2.0)
    QTest.keyClick(window, KEY.Key_H)
    QTest.keyClick(window, KEY.Key_1)
    (entry,) = entries_of(log)
    assert (entry.tide, entry.side, entry.stage, entry.part) == ("into", "deep", "flood", "early")
    told = window.statusBar().currentMessage()
    assert "(rehearsal, into the tide, deep side, early flood)" in told
    # of the next day nothing was said
    log.now = lambda: LATE + timedelta(days=1)
    log._look()
    assert (row.tide.text(), row.stage.currentData()) == ("Tide now", "")
    assert not log.today.told.stage


def test_that_what_nobody_said_and_level_ground_cannot_tell_is_left_open(
    window: Window, live: Live, log: Log
) -> None:
    drop_and(window, live, 2.0)
    QTest.keyClick(window, KEY.Key_L)
    (entry,) = entries_of(log)
    assert (entry.side, entry.stage, entry.part) == ("", "", "")
    assert "tide's stage not said" in window.statusBar().currentMessage()
    # what the mate says goes before what the ground tells
    log.today.say(side="top", stage="slack")
    live.live_run.shift()
    drop_and(window, live, 2.0)
    QTest.keyClick(window, KEY.Key_L)
    assert {(e.side, e.stage) for e in entries_of(log)} == {("", ""), ("top", "slack")}


def test_that_a_pass_along_a_recorded_way_is_kept_with_her_speed_and_heading_then(
    make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live], demo: Setup
) -> None:
    way = PrescribedMotion(((0.0, 3.0, 0.0), (4.0, 2.0, 1.0)))
    live = make_live(replace(demo, motion=way, hold=None, mark=None))
    window = make_window(live)
    live.sail(5.0)
    QTest.keyClick(window, KEY.Key_L)
    (entry,) = entries_of(window.pages.entries)
    assert (entry.speed, entry.heading) == (pytest.approx(2.0), pytest.approx(1.0))


def test_that_what_a_person_adds_to_a_drop_stays_when_more_is_known_of_it(
    window: Window, live: Live, log: Log
) -> None:
    drop_and(window, live, 6.0)
    QTest.keyClick(window, KEY.Key_H)
    QTest.keyClick(window, KEY.Key_2)
    (entry,) = entries_of(log)
    landed = replace(entry.lines[1], fish="bluefish", landed=True)
    log.edit((entry,), (replace(entry, lines=(entry.lines[0], landed)),), "line")
    worker_of(log).deliver("said")
    QTest.keyClick(window, KEY.Key_H)
    QTest.keyClick(window, KEY.Key_1)
    (entry,) = entries_of(log)
    first, second = entry.lines
    assert (first.outcome, second.outcome, second.fish) == ("drop", "drop", "bluefish")
    assert second.landed
    assert second.said is not None
    assert log.store.earlier(entry.id) == []


def test_that_a_pass_after_a_drop_is_not_the_drop_once_more(
    window: Window, live: Live, log: Log
) -> None:
    drop_and(window, live, 6.0)
    QTest.keyClick(window, KEY.Key_L)
    QTest.keyClick(window, KEY.Key_Space)
    live.sail(LATER + 1.0, frame=1.0)
    QTest.keyClick(window, KEY.Key_H)
    QTest.keyClick(window, KEY.Key_1)
    live.sail(5.0)
    QTest.keyClick(window, KEY.Key_L)
    drop, hit, quiet = sorted(entries_of(log), key=lambda entry: -(entry.hold or 0.0))
    assert drop.hold == pytest.approx(6.0, abs=0.3)
    assert (hit.hold, quiet.hold) == (0.0, 0.0)
    assert {hit.hits, quiet.hits} == {0, 1}


def test_that_a_drop_long_after_its_mark_is_kept_without_a_wait(
    window: Window, live: Live, log: Log, monkeypatch: pytest.MonkeyPatch
) -> None:
    mark = PlacedMark(-WAITS.high, 0.0, 0.0, 5.0)
    monkeypatch.setattr(live.live_run, "mark", lambda: mark)
    drop_and(window, live, 2.0)
    QTest.keyClick(window, KEY.Key_L)
    (entry,) = entries_of(log)
    assert entry.wait is None


def test_that_the_keys_keep_nothing_on_other_pages(window: Window, log: Log) -> None:
    for page in ("timing", "drill", "log"):
        window.show_page(page)
        QTest.keyClick(window, KEY.Key_L)
    assert entries_of(log) == []
