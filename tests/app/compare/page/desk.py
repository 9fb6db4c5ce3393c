"""The Compare page with its worker in a test's hands."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDoubleSpinBox

from app.common.units import COLOR
from app.compare.candidates import Candidate, Lineup
from app.compare.columns import COLUMNS
from app.shell.window import Window
from tests.app.by_hand import HandBackground, Live, worker_of

JOBS = {"drop 0", "drop 1", "fall", "tow 0", "tow 1"}
"""What the page asks for when it is opened."""


class Desk:
    """A window on its Compare page, its worker in a test's hands."""

    def __init__(self, window: Window, live: Live) -> None:
        QTest.keyClick(window, Qt.Key.Key_F4)
        self.window, self.live, self.page = window, live, window.pages.compare
        comparison = window.pages.comparison
        self.comparison = comparison
        self.stack = live.document.undo_stack

    @property
    def worker(self) -> HandBackground:
        return worker_of(self.comparison)

    def settle(self) -> None:
        """Let everything that was asked be computed, and shown."""
        while self.worker.waiting:
            self.worker.deliver()
        self.page.refresh_now()

    def names(self) -> list[str]:
        return [c.name for c in self.comparison.lineup.candidates]

    def column(self, key: str) -> int:
        return 1 + [column.key for column in COLUMNS].index(key)

    def cells(self, column: int | str) -> list[str]:
        """A column of the table from top to bottom."""
        self.page.refresh_now()
        table = self.page.table
        at = self.column(column) if isinstance(column, str) else column
        found = [table.item(row, at) for row in range(table.rowCount())]
        return ["" if item is None else item.text() for item in found]

    def type_number(self, box: QDoubleSpinBox, text: str) -> None:
        box.setFocus()
        box.selectAll()
        QTest.keyClicks(box, text)
        QTest.keyClick(box, Qt.Key.Key_Return)

    def set_lineup(self, *candidates: Candidate) -> None:
        self.comparison.edit(Lineup(candidates), "others")


PLUG = Candidate("plug", "sinking plug, 5 in")
JIG = Candidate("jig", "heavy jig, 3 oz", line_out=COLOR.to_si(7.0))
BALL = Candidate("ball", "ball sinker, 4 oz", alone=True)
