"""Two things beside each other on a large screen, one under the other on a small one."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QWidget

from app.ui.look import px
from app.ui.steps import SNUG, WIDE


class RowOrColumn(QWidget):
    """Beside each other from ``least`` px on, each in half of the room."""

    def __init__(self, first: QWidget, second: QWidget, least: int) -> None:
        super().__init__()
        self._least = least
        self._box = QBoxLayout(QBoxLayout.Direction.TopToBottom, self)
        self._box.setContentsMargins(0, 0, 0, 0)
        for part in (first, second):
            self._box.addWidget(part)
        self._arrange()

    def _arrange(self) -> None:
        beside = self.width() >= px(self._least)
        ways = QBoxLayout.Direction
        self._box.setDirection(ways.LeftToRight if beside else ways.TopToBottom)
        self._box.setSpacing(WIDE if beside else SNUG)
        for place in range(self._box.count()):
            self._box.setStretch(place, int(beside))
            item = self._box.itemAt(place)
            if item is not None:
                item.setAlignment(Qt.AlignmentFlag.AlignTop if beside else Qt.AlignmentFlag(0))

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._arrange()
        super().resizeEvent(event)
