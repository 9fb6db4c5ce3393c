"""What the program says for a while, floating at the foot of the window: nothing moves for it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QStatusBar, QWidget

from app.ui.plain import as_tip
from app.ui.steps import FAR, GAP


class Said(QStatusBar):
    """Lies over ``window`` while it says something, above the caution; a click ends it."""

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window
        self.setSizeGripEnabled(False)
        self.setAutoFillBackground(True)
        self.messageChanged.connect(self._place)
        window.installEventFilter(self)
        self.hide()

    def _place(self) -> None:
        text = self.currentMessage()
        self.setVisible(bool(text))
        if not text:
            return
        room, row = self._window.rect(), self.fontMetrics().height()
        wide = min(self.fontMetrics().horizontalAdvance(text) + FAR, room.width() - 2 * GAP)
        tall = row + 2 * GAP
        # the caution has the last row of a page
        self.setGeometry((room.width() - wide) // 2, room.height() - tall - 3 * row, wide, tall)
        self.setToolTip(as_tip(text))
        self.raise_()

    def mousePressEvent(self, _event: QMouseEvent) -> None:
        self.clearMessage()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize:
            self._place()
        return super().eventFilter(watched, event)
