"""The wheel of the mouse scrolls the page: it changes only what is in hand."""

from __future__ import annotations

import re
from pathlib import Path

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QComboBox, QSlider, QWidget

import app
from app.shell.page_stack import PAGES
from app.shell.window import Window

MADE = re.compile(r"(?<!class )\b(QComboBox|QSpinBox|QDoubleSpinBox)\(")

IN_A_CELL = "ui/choosing.py"
"""Is there only while one chooses in it."""


def turn(widget: QWidget) -> bool:
    """A notch of the wheel over a widget, down; whether it took it."""
    at = QPointF(5.0, 5.0)
    event = QWheelEvent(
        at, widget.mapToGlobal(at), QPoint(), QPoint(0, -120), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(widget, event)
    return event.isAccepted()


def boxes(page: QWidget) -> list[QComboBox]:
    return [box for box in page.findChildren(QComboBox) if box.count() > 1 and box.isEnabled()]


def test_that_no_list_to_choose_from_turns_unless_it_is_in_hand(window: Window) -> None:
    for name, _, _ in PAGES:
        window.show_page(name)
        window.live_run.timer.stop()
        for box in boxes(getattr(window.pages, name)):
            before = box.currentIndex()
            assert box.focusPolicy() == Qt.FocusPolicy.StrongFocus, "the wheel gives no focus"
            assert not turn(box), "the page hears of it"
            assert box.currentIndex() == before, box.accessibleName()


def test_that_the_list_in_hand_turns_and_no_other_control(window: Window) -> None:
    window.show_page("measure")
    window.live_run.timer.stop()
    window.activateWindow()
    rod = window.pages.measure.rod
    rod.setFocus()
    assert rod.currentIndex() == 0
    assert turn(rod)
    assert rod.currentIndex() == 1
    (wheel,) = window.page.helm.findChildren(QSlider)
    assert not turn(wheel)
    assert wheel.value() == 0, "nor is the helm put over by scrolling"


def test_that_no_view_makes_a_box_that_turns_by_itself() -> None:
    root = Path(app.__file__).parent
    found = {
        path.relative_to(root).as_posix(): MADE.findall(path.read_text("utf-8"))
        for path in root.rglob("*.py")
    }
    assert {name for name, made in found.items() if made} == {IN_A_CELL}
