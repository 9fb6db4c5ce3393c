"""The Drill page with keys alone: a round played, its debrief, broken off, the next; trainees."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QInputDialog, QMessageBox

from app.clock import Clock
from app.drill import Drill
from app.drill_file import Planned, save
from app.drill_store import BROKEN_OFF, SCORED
from app.pages.drill import DrillPage
from app.window import Window
from tests.app.by_hand import HandTime, Live
from tests.app.drill_by_hand import HOLDS, WAITS, DrillHand

Key = Qt.Key


@pytest.fixture
def hand(
    make_window: Callable[[Live], Window], live: Live, monkeypatch: pytest.MonkeyPatch
) -> DrillHand:
    """The Drill page just opened with its key, its time and workers in a test's hands."""
    time = HandTime()
    monkeypatch.setattr("app.page_stack.Drill", partial(Drill, clock=lambda: Clock(time)))
    monkeypatch.setattr(Drill, "waits", WAITS)
    monkeypatch.setattr(Drill, "holds", HOLDS)
    window = make_window(live)
    QTest.keyClick(window, Key.Key_F7)
    drill = window.pages._drilling
    assert drill is not None
    return DrillHand(drill, time, live.screen)


@pytest.fixture
def page(hand: DrillHand) -> DrillPage:
    page = hand.drill.parent().drill  # type: ignore[union-attr]
    assert isinstance(page, DrillPage)
    return page


def press(page: DrillPage, key: Qt.Key) -> None:
    """A key, wherever the focus is."""
    QTest.keyClick(page.window(), key)


def begin(page: DrillPage, hand: DrillHand) -> None:
    """The first round with one key, and its steady tow."""
    press(page, Key.Key_Return)
    assert hand.drill.stage == "play"
    assert hand.drill.rehearsal is not None
    hand.drill.rehearsal.timer.stop()
    hand.settle()


def test_that_safety_is_read_before_the_first_round_and_it_is_one_key_away(
    page: DrillPage, hand: DrillHand
) -> None:
    assert not hand.drill.read_safety
    assert "I have read this" in page.start.begin.text()
    begin(page, hand)
    assert hand.drill.read_safety
    press(page, Key.Key_Escape)
    assert "I have read this" not in page.start.begin.text()


def test_that_a_whole_drill_is_played_with_keys_alone(page: DrillPage, hand: DrillHand) -> None:
    begin(page, hand)
    drill = hand.drill
    hand.worker.deliver("best")
    assert drill.best is not None
    assert drill.round is not None
    assert drill.rehearsal is not None
    wait, hold = drill.best.plan.point
    hand.sail_to(drill.round.mark.time + wait)
    press(page, Key.Key_Space)
    assert not drill.rehearsal.in_gear
    hand.sail_to(drill.round.mark.time + wait + hold)
    press(page, Key.Key_Space)
    hand.to_the_end()
    hand.worker.deliver("measure")
    assert drill.score is not None
    assert drill.score.points >= 95.0
    (result,) = drill.results()
    assert result.state == SCORED
    assert result.points == pytest.approx(drill.score.points)
    page.grab()
    press(page, Key.Key_Return)
    assert drill.stage == "play"
    assert drill.round.seed != result.seed or drill.planned[drill.at].seed != result.seed


def test_that_the_score_does_not_hang_on_frames_or_on_how_fast_time_runs(
    page: DrillPage, hand: DrillHand
) -> None:
    points = []
    for speed, frame in ((1, 0.05), (8, 0.1)):
        hand.drill.begin_set([Planned(1, 3)])
        assert hand.drill.rehearsal is not None
        hand.drill.rehearsal.timer.stop()
        hand.settle()
        hand.drill.rehearsal.set_speed(speed)
        hand.play_best(frame)
        assert hand.drill.score is not None
        points.append(hand.drill.score.points)
    assert points[0] == pytest.approx(points[1], abs=1.0)


def test_that_a_round_left_is_kept_as_broken_off_and_not_scored(
    page: DrillPage, hand: DrillHand
) -> None:
    begin(page, hand)
    hand.sail_to(3.0)
    press(page, Key.Key_Escape)
    assert hand.drill.stage == "start"
    (result,) = hand.drill.results()
    assert (result.state, result.points) == (BROKEN_OFF, None)


def test_that_quitting_in_the_middle_keeps_the_round_as_broken_off(
    page: DrillPage, hand: DrillHand
) -> None:
    begin(page, hand)
    hand.sail_to(3.0)
    path = hand.drill.store.path
    hand.drill.close()
    from app.drill_store import Store

    again = Store(path)
    (who,) = again.trainees()
    assert [r.state for r in again.results(who)] == [BROKEN_OFF]
    again.close()


def test_that_a_replay_is_the_live_run_itself(page: DrillPage, hand: DrillHand) -> None:
    begin(page, hand)
    drill = hand.drill
    hand.play_best()
    assert drill.rehearsal is not None
    rehearsal = drill.rehearsal
    run = rehearsal.run.trajectory()
    for moment in (5.0, 21.3, 40.0):
        rehearsal.look_back(moment)
        for number, line in enumerate(run.lines):
            assert rehearsal.picture.lure[number] == pytest.approx(line.lure(moment), abs=1e-9)


def test_that_levels_are_picked_with_digits_and_the_look_ahead_goes(
    page: DrillPage, hand: DrillHand
) -> None:
    for digit, helped in ((Key.Key_1, True), (Key.Key_3, False)):
        press(page, digit)
        press(page, Key.Key_Return)
        assert hand.drill.rehearsal is not None
        hand.drill.rehearsal.timer.stop()
        hand.settle()
        assert hand.drill.rehearsal.looks_ahead is helped
        press(page, Key.Key_Escape)


def test_that_the_drop_on_the_rehearse_page_is_not_touched(
    page: DrillPage, hand: DrillHand, live: Live
) -> None:
    before, setup = live.rehearsal.now, live.rehearsal.setup
    begin(page, hand)
    hand.sail_to(4.0)
    press(page, Key.Key_Space)
    assert live.rehearsal.in_gear
    assert live.rehearsal.now == before
    assert live.rehearsal.setup == setup


def test_that_a_set_is_opened_and_one_that_cannot_be_is_told(
    page: DrillPage, hand: DrillHand, tmp_path: Path
) -> None:
    path = tmp_path / "evening.toml"
    save("evening", [Planned(1, 4), Planned(1, 5)], path)
    page.open_set(path)
    assert hand.drill.stage == "play"
    assert hand.drill.rehearsal is not None
    hand.drill.rehearsal.timer.stop()
    assert not hand.drill.last
    hand.drill.leave()
    path.write_text("leadfall_drill = 9\n", encoding="utf-8")
    page.open_set(path)
    (box,) = [b for b in page.window().findChildren(QMessageBox) if b.isVisible()]
    assert "evening.toml" in box.text()
    box.close()
    assert hand.drill.stage == "start"


def test_that_trainees_come_are_renamed_and_go_only_when_confirmed(
    page: DrillPage, hand: DrillHand, monkeypatch: pytest.MonkeyPatch
) -> None:
    drill = hand.drill
    names = iter([("Ann", True), ("ann", True), ("Bea", True), ("", False)])
    monkeypatch.setattr(QInputDialog, "getText", lambda *_, **__: next(names))
    page.start.wanted.emit("add")
    assert drill.trainee.name == "Ann"
    page.start.wanted.emit("add")
    assert "is taken" in hand.said[-1]
    page.start.wanted.emit("rename")
    assert drill.trainee.name == "Bea"
    page.start.wanted.emit("add")
    count = len(drill.people())
    answers = iter([QMessageBox.StandardButton.Cancel, QMessageBox.StandardButton.Yes])
    monkeypatch.setattr(QMessageBox, "exec", lambda _box: next(answers))
    page.start.wanted.emit("delete")
    assert len(drill.people()) == count
    page.start.wanted.emit("delete")
    assert len(drill.people()) == count - 1


def test_that_a_question_card_is_asked_answered_and_put_in_its_box(
    page: DrillPage, hand: DrillHand
) -> None:
    press(page, Key.Key_Q)
    assert hand.drill.stage == "cards"
    while hand.worker.waiting:
        hand.worker.deliver()
    page.grab()
    assert page.cards.question.text().endswith("?")
    press(page, Key.Key_Escape)
    assert hand.drill.stage == "start"
