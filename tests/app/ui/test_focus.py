"""Who works by keys sees where the focus is, on whatever it stands."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication, QPushButton, QToolButton, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.shell.window import Window
from app.ui.canvas import PaintedPlot
from app.ui.look import LOOKS, Look, style_sheet
from tests.app.ui.test_look import GRAPHICS, contrast, every_look

NAMES = ("", "small", "why", "page", "primary", "lever")
"""What has a style of its own, of buttons that are checked or filled."""


def button(name: str, *, checked: bool) -> QPushButton | QToolButton:
    out = QToolButton() if name in ("why", "page") else QPushButton()
    out.setText("■■■")
    out.setProperty("small", True) if name == "small" else out.setObjectName(name)
    out.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    if checked:
        out.setCheckable(True)
        out.setChecked(True)
    return out


def changed(before: QImage, after: QImage) -> list[tuple[str, str]]:
    """Colors of each pixel that is another one."""
    colors = [
        (before.pixelColor(x, y).name(), after.pixelColor(x, y).name())
        for x in range(before.width()) for y in range(before.height())
    ]  # fmt: skip
    return [(old, new) for old, new in colors if old != new]


@every_look
@pytest.mark.parametrize("name", NAMES)
def test_that_a_filled_button_with_the_focus_is_told_from_one_without(
    qtbot: QtBot, dressed: QApplication, look: Look, name: str
) -> None:
    page = QWidget()
    qtbot.addWidget(page)
    page.setStyleSheet(style_sheet(look))
    column = QVBoxLayout(page)
    first, second = (button(name, checked=name not in ("primary", "lever")) for _ in range(2))
    for part in (first, second):
        column.addWidget(part)
    page.show()
    page.activateWindow()
    first.setFocus(Qt.FocusReason.TabFocusReason)
    QApplication.processEvents()
    least, without = second.sizeHint(), second.grab().toImage()
    second.setFocus(Qt.FocusReason.TabFocusReason)
    QApplication.processEvents()
    assert second.sizeHint() == least, "nothing moves as the focus comes"
    seen = [pair for pair in changed(without, second.grab().toImage())
            if contrast(*pair) >= GRAPHICS]  # fmt: skip
    assert len(seen) > 2 * (second.width() + second.height()) - 60


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize(("name", "plot"), [("timing", "map"), ("ground", "profile")])
def test_that_a_plot_that_keys_work_on_has_a_frame_with_the_focus(
    window: Window, name: str, plot: str, look: str
) -> None:
    window.show_page(name)
    window.live_run.timer.stop()
    window.preferences.set_look(look)
    drawn: PaintedPlot = getattr(getattr(window.pages, name), plot)
    assert drawn.focusPolicy() & Qt.FocusPolicy.TabFocus
    window.activateWindow()
    drawn.clearFocus()
    QApplication.processEvents()
    without = drawn.viewport().grab().toImage()
    drawn.setFocus(Qt.FocusReason.TabFocusReason)
    QApplication.processEvents()
    with_focus = drawn.viewport().grab().toImage()
    middle = without.rect().center()
    for edge in ([(x, middle.y()) for x in range(3)], [(middle.x(), y) for y in range(3)]):
        pairs = [(without.pixelColor(*at).name(), with_focus.pixelColor(*at).name()) for at in edge]
        assert max(contrast(*pair) for pair in pairs) >= GRAPHICS
