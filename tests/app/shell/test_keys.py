"""Keys: Tab alone comes to every control, Space is the lever, Enter presses, Escape leaves."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QScrollBar,
    QSlider,
    QWidget,
)

from app.live.line_card import LineCard
from app.session.live_run import LiveRun
from app.shell.page_stack import LIVE, PAGES
from app.shell.window import Window
from app.ui.keys import home_of
from app.ui.number_field import NumberField

Key = Qt.Key
NAMES = [name for name, _, _ in PAGES]
MOST = 200
"""No page has as many stops as this."""

CONTROLS = (
    QAbstractButton,
    QAbstractSpinBox,
    QAbstractSlider,
    QAbstractItemView,
    QComboBox,
    QLineEdit,
    LineCard,
)


FIELDS = (NumberField, QComboBox, QLineEdit, QSlider)


def at(window: Window, name: str) -> QWidget:
    """A page in front, with time standing still."""
    window.show_page(name)
    window.live_run.timer.stop()
    QApplication.processEvents()
    page: QWidget = getattr(window.pages, name)
    return page


def walk(window: Window) -> list[QWidget]:
    """Where Tab comes to, until it is back where it began; what has the focus first may have it
    by other means."""
    stops: list[QWidget] = []
    for _ in range(MOST):
        focus = QApplication.focusWidget()
        assert focus is not None
        QTest.keyClick(focus, Key.Key_Tab)
        stop = QApplication.focusWidget()
        assert stop is not None
        if stops and stop is stops[0]:
            return stops
        assert stop not in stops, f"Tab goes round without coming back: {stop}"
        stops.append(stop)
    raise AssertionError("Tab never comes back")


def one_of_several(button: QAbstractButton) -> bool:
    """Whether another of its group is the stop, and arrows go from that to this one."""
    group = button.group()
    return group is not None and group.exclusive() and not button.isChecked()


def controls(window: Window) -> Iterator[QWidget]:
    """Everything in sight that a person works; not the parts it is made of."""
    for widget in window.findChildren(QWidget):
        if (
            isinstance(widget, CONTROLS)
            and widget.isVisible()
            and widget.isEnabled()
            and widget.window() is window
            and not isinstance(widget, QScrollBar)
            and not (isinstance(widget, QAbstractButton) and one_of_several(widget))
            and not isinstance(widget.parent(), QAbstractSpinBox | QComboBox | QAbstractItemView)
            and not isinstance(widget.parent(), QLineEdit)
            and not widget.objectName().startswith("qt_")
        ):
            yield widget


@pytest.mark.parametrize("name", NAMES)
def test_that_tab_alone_comes_to_every_control_as_one_reads(window: Window, name: str) -> None:
    page = at(window, name)
    stops = walk(window)
    missed = [w for w in controls(window) if w not in stops]
    assert not missed, [(type(w).__name__, w.accessibleName(), w.objectName()) for w in missed]
    inside = [stop for stop in stops if page.isAncestorOf(stop)]
    for one, following in pairwise(inside):
        if one.parent() is following.parent():
            end = following.mapTo(page, QPoint(0, following.height())).y()
            assert end > one.mapTo(page, QPoint(0, 0)).y(), (
                f"from {one.accessibleName()} up to {following.accessibleName()}"
            )


@pytest.mark.parametrize("name", LIVE)
def test_that_space_works_the_lever_once_whatever_has_the_focus(
    window: Window, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    at(window, name)
    shifts: list[int] = []
    monkeypatch.setattr(LiveRun, "shift", lambda _run: shifts.append(1))
    for stop in walk(window):
        if isinstance(stop, QLineEdit):
            continue
        stop.setFocus()
        shifts.clear()
        QTest.keyClick(stop, Key.Key_Space)
        assert len(shifts) == 1, f"{type(stop).__name__} {stop.accessibleName()}"


def test_that_enter_presses_the_button_in_focus_and_space_does_not(window: Window) -> None:
    page = window.page
    assert not window.live_run.clock.paused
    page.pause.setFocus()
    QTest.keyClick(page.pause, Key.Key_Space)
    assert not window.live_run.clock.paused
    QTest.keyClick(page.pause, Key.Key_Return)
    assert window.live_run.clock.paused


def test_that_enter_opens_a_list_and_ticks_a_box(
    window: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    helm = window.page.helm
    was = helm.auto.isChecked()
    helm.auto.setFocus()
    QTest.keyClick(helm.auto, Key.Key_Return)
    assert helm.auto.isChecked() is not was
    at(window, "compare")
    box = window.pages.compare.across
    box.setFocus()
    opened: list[int] = []
    monkeypatch.setattr(box, "showPopup", lambda: opened.append(1))
    QTest.keyClick(box, Key.Key_Return)
    assert opened


def test_that_escape_gives_the_keys_back_to_the_page(window: Window) -> None:
    for name in NAMES:
        page = at(window, name)
        fields = [w for w in controls(window) if isinstance(w, FIELDS) and page.isAncestorOf(w)]
        # the numbers of Ground are in panels that are folded at first
        assert fields or name == "ground"
        for field in fields:
            field.setFocus()
            QTest.keyClick(field, Key.Key_Escape)
            assert QApplication.focusWidget() is home_of(page), field.accessibleName()


def test_that_every_table_lets_tab_go_and_copies(window: Window) -> None:
    for name in NAMES:
        at(window, name)
    tables = [
        w
        for w in window.findChildren(QAbstractItemView)
        if not isinstance(w.parent(), QAbstractItemView) and hasattr(w, "rowCount")
    ]
    assert len(tables) >= 8
    for table in tables:
        assert not table.tabKeyNavigation(), table.accessibleName()
        assert "Copy" in [action.text() for action in table.actions()], table.accessibleName()


def test_that_a_table_is_copied_with_its_headings_by_ctrl_c(window: Window) -> None:
    at(window, "tackle")
    at(window, "compare")
    table = window.pages.compare.table
    table.clearSelection()
    table.setFocus()
    clipboard = QApplication.clipboard()
    clipboard.setText("")
    (whole,) = [a for a in table.actions() if a.text() == "Copy the whole table"]
    whole.trigger()
    lines = clipboard.text().splitlines()
    assert len(lines) == table.rowCount() + 1
    assert lines[1].split("\t")[0] or lines[1].split("\t")[1]
    table.selectRow(0)
    QTest.keyClick(table, Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert clipboard.text().count("\n") == 1


def test_that_every_button_is_a_stop_and_no_area_that_scrolls_is_one(window: Window) -> None:
    for name in NAMES:
        at(window, name)
    buttons, areas = window.findChildren(QPushButton), window.findChildren(QScrollArea)
    assert buttons
    assert areas
    silent = [b for b in buttons if not b.focusPolicy() & Qt.FocusPolicy.TabFocus]
    assert [b.text() for b in silent if not one_of_several(b)] == []
    assert all(area.focusPolicy() == Qt.FocusPolicy.NoFocus for area in areas)
