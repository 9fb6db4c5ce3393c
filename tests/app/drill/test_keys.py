"""The Drill page: a round left, sets of rounds, trainees, and question cards."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QInputDialog, QMessageBox

from app.drill.file import Planned, save
from app.drill.model import Drill
from app.drill.page import DrillPage
from app.drill.store import BROKEN_OFF
from app.session.clock import Clock
from app.shell.window import Window
from tests.app.by_hand import HandTime, Live
from tests.app.drill.drill_by_hand import HOLDS, WAITS, DrillHand

Key = Qt.Key


@pytest.fixture
def hand(
    make_window: Callable[[Live], Window], live: Live, monkeypatch: pytest.MonkeyPatch
) -> DrillHand:
    """The Drill page just opened with its key, its time and workers in a test's hands."""
    time = HandTime()
    monkeypatch.setattr("app.drill.model.Drill", partial(Drill, clock=lambda: Clock(time)))
    monkeypatch.setattr(Drill, "waits", WAITS)
    monkeypatch.setattr(Drill, "holds", HOLDS)
    window = make_window(live)
    QTest.keyClick(window, Key.Key_F7)
    drill = window.pages.drilling
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
    assert hand.drill.live_run is not None
    hand.drill.live_run.timer.stop()
    hand.settle()


def test_that_a_round_left_is_kept_as_broken_off_and_not_scored(
    page: DrillPage, hand: DrillHand
) -> None:
    begin(page, hand)
    hand.sail_to(3.0)
    press(page, Key.Key_Escape)
    assert hand.drill.stage == "start"
    (result,) = hand.drill.results()
    assert (result.state, result.points) == (BROKEN_OFF, None)


def test_that_a_set_is_opened_and_one_that_cannot_be_is_told(
    page: DrillPage, hand: DrillHand, tmp_path: Path
) -> None:
    path = tmp_path / "evening.toml"
    save("evening", [Planned(1, 4), Planned(1, 5)], path)
    page.open_set(path)
    assert hand.drill.stage == "play"
    assert hand.drill.live_run is not None
    hand.drill.live_run.timer.stop()
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
    assert "a leader of 20 ft," in page.cards.note.text()
    page.cards._preferences.set_length("meters")
    told = page.cards.question.text() + page.cards.note.text()
    assert "a leader of 6 m," in told
    assert " ft" not in told
    press(page, Key.Key_Escape)
    assert hand.drill.stage == "start"
