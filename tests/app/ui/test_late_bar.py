"""A bar for work that takes long: it does not come for a moment, and does not flicker."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from app.ui.late_bar import LateBar


@pytest.fixture
def bar(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> LateBar:
    """A bar in a hurry."""
    monkeypatch.setattr("app.ui.late_bar.LATE_MS", 40)
    made = LateBar("How much is done")
    qtbot.addWidget(made)
    return made


def test_that_work_soon_done_shows_no_bar(bar: LateBar, qtbot: QtBot) -> None:
    turned: list[bool] = []
    bar.late.turned.connect(lambda: turned.append(bar.late.shown))
    bar.tell(True, 0.5)
    bar.tell(False, 1.0)
    qtbot.wait(80)
    assert not turned
    assert not bar.isVisible()


def test_that_a_bar_of_work_given_up_by_hand_goes_at_once(bar: LateBar, qtbot: QtBot) -> None:
    bar.tell(True, 0.5)
    qtbot.waitUntil(lambda: bar.late.shown)
    bar.late.end()
    assert not bar.isVisible()


def test_that_work_in_short_pieces_shows_no_bar_either_until_it_goes_on(
    bar: LateBar, qtbot: QtBot
) -> None:
    for _ in range(3):
        bar.tell(True, 0.2)
        bar.tell(False, 1.0)
    assert not bar.late.shown
    bar.tell(True, 0.3)
    qtbot.waitUntil(lambda: bar.late.shown)
    assert bar.isVisible()
    assert bar.value() == 300


def test_that_a_bar_that_came_stays_a_while_and_does_not_flicker(
    bar: LateBar, qtbot: QtBot
) -> None:
    turned: list[bool] = []
    bar.late.turned.connect(lambda: turned.append(bar.late.shown))
    bar.tell(True, 0.1)
    qtbot.waitUntil(lambda: bar.late.shown)
    bar.tell(False, 1.0)
    assert bar.isVisible()
    bar.tell(True, 0.2)
    qtbot.wait(80)
    assert turned == [True]
    bar.tell(False, 1.0)
    qtbot.waitUntil(lambda: not bar.late.shown)
    assert turned == [True, False]
