"""Panels side by side, the last of which gives way to the others."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSplitter

from app.ui.steps import GAP


class YieldingSplitter(QSplitter):
    """Where not all have room, the last panel is out of sight."""

    def __init__(self) -> None:
        super().__init__(Qt.Orientation.Horizontal)
        self.setHandleWidth(GAP)
        self.setChildrenCollapsible(False)

    def _least(self, count: int) -> int:
        panels = [self.widget(number) for number in range(count)]
        each = [max(p.minimumWidth(), p.minimumSizeHint().width()) for p in panels if p is not None]
        return sum(each) + GAP * (count - 1)

    def minimumSizeHint(self) -> QSize:
        return QSize(self._least(self.count() - 1), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        last = self.widget(self.count() - 1)
        if last is not None:
            last.setVisible(self._least(self.count()) <= self.width())
        super().resizeEvent(event)
