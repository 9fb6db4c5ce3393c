"""Two whole tasks done with the mouse and the keys, and how many actions they take.

An action is a click, a key by itself, or one value typed into a field.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QWidget

from app.common.units import COLOR
from app.compare.lures import LureChooser
from app.planning import card_table
from app.planning.card_table import Times
from app.scenario.setup import Setup
from app.shell.window import Window
from app.timing.model import Planner
from physics.line.mesh import Resolution
from tests.app.by_hand import Live, worker_of

pytestmark = pytest.mark.qt_log_ignore("does not support grabbing the keyboard")
"""The platform without a screen says so of every list that opens."""

LEFT = Qt.MouseButton.LeftButton


class Hand:
    """Does what a person does, and counts it."""

    def __init__(self) -> None:
        self.actions = 0

    def click(self, widget: QWidget) -> None:
        QApplication.processEvents()
        assert widget.isVisible()
        assert widget.isEnabled()
        self.actions += 1
        QTest.mouseClick(widget, LEFT)

    def key(self, widget: QWidget, key: Qt.Key, modifier: Qt.KeyboardModifier) -> None:
        self.actions += 1
        QTest.keyClick(widget, key, modifier)

    def type(self, text: str) -> None:
        """A value into the field that has the focus, with the Enter that ends it."""
        self.actions += 1
        QApplication.processEvents()
        field = QApplication.focusWidget()
        assert field is not None
        QTest.keyClicks(field, text)
        QTest.keyClick(field, Qt.Key.Key_Return)

    def pick(self, box: QComboBox, name: str) -> None:
        """Open a list of choices and click one of them."""
        self.click(box)
        # a list that has just opened takes no click for as long as a double click may last
        view = box.view()
        assert QTest.qWaitForWindowExposed(view.window())
        QTest.qWait(150)
        at = box.model().index(box.findText(name), 0)
        view.scrollTo(at)
        self.actions += 1
        QTest.mouseClick(view.viewport(), LEFT, pos=view.visualRect(at).center())
        QTest.qWait(20)
        assert box.currentText() == name


@pytest.fixture
def hand(qapp: QApplication) -> Iterator[Hand]:
    interval = qapp.doubleClickInterval()
    qapp.setDoubleClickInterval(1)
    yield Hand()
    qapp.setDoubleClickInterval(interval)


SPREAD = (
    (8.0, "heavy jig, 3 oz"),
    (7.0, "sinking plug, 7 in"),
    (5.0, "light spoon, 4 in"),
    (4.5, "bucktail jig, 2 oz"),
)


def test_that_an_own_spread_of_four_rods_is_a_printed_card_in_twenty_actions(
    make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live], demo: Setup,
    hand: Hand, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    live = make_live(replace(demo, resolution=Resolution(4, 1)))
    window = make_window(live)
    monkeypatch.setattr(Planner, "holds", (0.0, 10.0, 20.0))
    monkeypatch.setattr(Planner, "waits", (0.0, 10.0))
    monkeypatch.setattr(Planner, "samples", 2)
    # what stands on the card is tested elsewhere
    monkeypatch.setattr(card_table, "_times", lambda scenario, *rest: Times(
        scenario.speed, *np.zeros((3, len(rest[1]), len(scenario.rods)))
    ))  # fmt: skip
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "out.pdf"))
    monkeypatch.setattr("app.timing.card_menu.usual_printer", lambda: printer)

    hand.key(window, Qt.Key.Key_E, Qt.KeyboardModifier.ControlModifier)
    editor = window.editor
    assert editor is not None
    for number, (colors, lure) in enumerate(SPREAD):
        if number < 2:
            hand.click(editor.rows[number].colors)
            editor.rows[number].colors.selectAll()
        else:
            hand.click(editor.add)
        hand.type(f"{colors:g}")
        hand.pick(editor.rows[number].lure, lure)
    hand.click(window.page_row.buttons["timing"])
    worker = worker_of(window.planner)
    for kind in ("first", "half 0", "half 1", "finish", "card"):
        worker.deliver(kind)
    hand.click(window.pages.timing.card.print)

    rods = live.document.setup.rods
    assert [(round(COLOR.from_si(rod.line_out), 6), rod.lure) for rod in rods] == [*SPREAD]
    assert len(PdfReader(tmp_path / "out.pdf").pages) == 4
    assert hand.actions <= 20, hand.actions
    live.worker.waiting.clear()


def test_that_three_lures_are_compared_and_saved_in_nine_actions(
    window: Window, hand: Hand, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    saved = tmp_path / "compare.csv"
    asked: list[str] = []

    def ask(*_: object) -> tuple[str, str]:
        # Enter in the dialog, whose name is filled in
        hand.actions += 1
        asked.append("")
        return str(saved), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", ask)
    hand.key(window, Qt.Key.Key_F4, Qt.KeyboardModifier.NoModifier)
    page = window.pages.compare
    hand.click(page.editor.lures)
    chooser = page.editor.findChild(LureChooser)
    assert chooser is not None
    lures = ("heavy jig, 3 oz", "sinking plug, 7 in", "light spoon, 4 in")
    for lure in lures:
        (item,) = chooser.list.findItems(lure, Qt.MatchFlag.MatchExactly)
        chooser.list.scrollToItem(item)
        hand.actions += 1
        at = chooser.list.visualItemRect(item).center()
        QTest.mouseClick(chooser.list.viewport(), LEFT, pos=at)
    hand.click(chooser.compare)
    worker = worker_of(window.pages.comparison)
    while worker.busy("fall"):
        worker.deliver("fall")
    page.refresh_now()
    assert len(page.falls.curves) == 3
    menu = page.menu
    hand.actions += 1
    menu.popup(page.save.mapToGlobal(page.save.rect().center()))
    (entry,) = [action for action in menu.actions() if "table as CSV" in action.text()]
    hand.actions += 1
    QTest.mouseClick(menu, LEFT, pos=menu.actionGeometry(entry).center())

    assert asked
    text = saved.read_text(encoding="utf-8")
    assert all(lure in text for lure in lures)
    assert len(text.splitlines()) == 4
    assert hand.actions == 9
