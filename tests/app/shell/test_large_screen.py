"""The room of a large screen goes to plots; what is read does not become too wide to read."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtWidgets import QApplication, QWidget

from app.shell.window import Window
from app.ui.steps import READABLE
from tests.app.by_hand import lay_out

LARGE, SMALL = (2560, 1440), (1280, 720)


@pytest.fixture
def large(window: Window) -> Window:
    window.resize(*LARGE)
    return window


def shown(window: Window, name: str) -> QWidget:
    window.show_page(name)
    window.live_run.timer.stop()
    lay_out()
    page: QWidget = getattr(window.pages, name)
    return page


def test_that_what_tackle_does_is_drawn_over_half_of_a_large_screen(large: Window) -> None:
    shown(large, "tackle")
    page = large.pages.tackle
    assert page.trial.plot.width() > 0.45 * LARGE[0]
    assert page.form_panel.width() < 0.3 * LARGE[0]
    for name, value in page.trial.times:
        assert value.geometry().right() - name.x() < READABLE / 2


def test_that_results_of_a_fit_have_most_of_a_large_screen(large: Window) -> None:
    shown(large, "measure")
    page = large.pages.measure
    assert page.fit.mapTo(page, QPoint()).x() < 0.4 * LARGE[0]
    assert page.fit.x() == page.factors["line_drag"].x()
    assert page.fit.width() <= READABLE


def test_that_a_question_is_read_in_the_middle_of_a_large_screen(large: Window) -> None:
    shown(large, "drill")
    page = large.pages.drill
    page.stages.setCurrentWidget(page.cards)
    QApplication.processEvents()
    question = page.cards.question
    assert question.width() <= READABLE
    middle = question.mapTo(page, question.rect().center()).x()
    assert middle == pytest.approx(page.width() / 2, abs=2)


def test_that_a_small_screen_is_shared_as_before(window: Window) -> None:
    window.resize(*SMALL)
    shown(window, "tackle")
    page = window.pages.tackle
    assert page.trial.plot.width() > 440
    assert page.form_panel.width() > 480
    shown(window, "measure")
    measure = window.pages.measure
    assert measure.fit.geometry().right() == measure.empty.geometry().right()
