"""What helps: the guide of a first drop, and the manual."""

from __future__ import annotations

import re
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.rehearse.guide import STEPS
from app.shell.manual import chapters
from app.shell.window import Window
from app.ui.settings import Settings
from tests.app.by_hand import Live


def test_that_the_guide_goes_on_as_its_steps_are_done_and_does_not_come_again(
    window: Window, live: Live, settings: Settings
) -> None:
    window.show_guide()
    guide = window.page.guide
    live.sail(1.0)
    focus = QApplication.focusWidget()
    for step in range(len(STEPS)):
        assert guide.isVisible()
        assert guide.words.text() == STEPS[step]
        key = Qt.Key.Key_M if step == 2 else Qt.Key.Key_Space
        QTest.keyClick(window, key)
        live.sail(2.0)
    assert not guide.isVisible()
    assert QApplication.focusWidget() is focus
    assert Settings(settings.path).get("guided") == "yes"


def test_that_escape_puts_the_guide_away_and_help_brings_it_back(
    window: Window, settings: Settings
) -> None:
    window.show_page("tackle")
    (again,) = [
        action
        for menu in window.menuBar().actions()
        for action in menu.menu().actions()  # type: ignore[attr-defined]
        if action.text() == "A first drop, step by step"
    ]
    again.trigger()
    assert window.page.guide.isVisible()
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    assert not window.page.guide.isVisible()
    assert settings.get("guided") == "yes"


def test_that_the_manual_shows_every_page_with_its_pictures(window: Window) -> None:
    window.show_manual()
    manual = window.manual
    assert manual is not None
    QApplication.processEvents()
    assert manual.text.verticalScrollBar().maximum() > 0
    assert manual.text.verticalScrollBar().value() == 0, "a page begins at its title"
    assert manual.pages.count() == len(chapters()) >= 4
    for row, file in enumerate(chapters().values()):
        manual.pages.setCurrentRow(row)
        shown = manual.text.toPlainText()
        text = file.read_text(encoding="utf-8")
        assert text.splitlines()[0].lstrip("# ") in shown
        for name in re.findall(r"!\[.*?\]\((.*?)\)", text):
            picture = Path(file.parent, name)
            assert not QImage(str(picture)).isNull(), name
    assert "strike window" in manual.text.toPlainText()
    manual.close()
