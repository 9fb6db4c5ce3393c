"""The Timing page with its planner's worker in a test's hands."""

from __future__ import annotations

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDoubleSpinBox

from app.shell.window import Window
from tests.app.by_hand import HandBackground, Live, worker_of

RUNS = ("first", "half 0", "half 1", "finish")
"""The jobs of a plan, in order."""


class Desk:
    """A window on its Timing page, its planner's worker in a test's hands."""

    def __init__(self, window: Window, live: Live) -> None:
        self.window, self.live = window, live
        self.planner, self.page = window.planner, window.pages.timing

    @property
    def worker(self) -> HandBackground:
        return worker_of(self.planner)

    def plan(self) -> None:
        """Let the whole plan be found, but for how sure it is and the card."""
        for kind in RUNS:
            if self.worker.busy(kind):
                self.worker.deliver(kind)

    def pixel(self, wait: float, hold: float) -> QPoint:
        """Where on the map a wait and hold is."""
        page_map = self.page.map
        return page_map.mapFromScene(page_map.view.mapViewToScene(QPointF(wait, hold)))

    def field(self, key: str) -> QDoubleSpinBox:
        return self.page.fields.fields[key].box

    def said_at(self, key: str) -> str:
        """What stands under a field."""
        field = self.page.fields.fields[key]
        return field.error.text() if field.error.isVisible() else ""

    def type_number(self, key: str, text: str) -> None:
        box = self.field(key)
        box.setFocus()
        box.selectAll()
        QTest.keyClicks(box, text)
        QTest.keyClick(box, Qt.Key.Key_Return)

    def words(self) -> str:
        return self.page.answer.words.text()

    def cell(self, row: int, column: int) -> str:
        item = self.page.lines.item(row, column)
        assert item is not None
        return item.text()
