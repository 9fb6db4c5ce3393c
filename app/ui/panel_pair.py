"""Two panels beside each other where both find room, else one, with a button to the other."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from app.ui.look import font
from app.ui.panel import Panel
from app.ui.steps import GAP, SMALL


class PanelPair(QWidget):
    """Room is shared as ``shares`` says, but no panel is narrower than what is in it would be."""

    def __init__(self, panels: tuple[Panel, Panel], shares: tuple[int, int]) -> None:
        super().__init__()
        self.panels, self._shares = panels, shares
        self.front = 0
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(GAP)
        self.buttons = tuple(self._button_to(other.title.text()) for other in reversed(panels))
        for panel, button in zip(panels, self.buttons, strict=True):
            panel.head.addWidget(button)
            self._row.addWidget(panel)
        self._arrange()

    def _button_to(self, other: str) -> QPushButton:
        button = QPushButton(other)
        button.setFont(font(SMALL))
        button.setProperty("small", True)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.setToolTip("There is room for one table only: show the other")
        button.clicked.connect(self._turn)
        return button

    def _turn(self) -> None:
        self.front = 1 - self.front
        self._arrange()
        self.buttons[self.front].setFocus()

    def _arrange(self) -> None:
        first, second = (self._needed(number) for number in (0, 1))
        room = self.width() - GAP
        both = first + second <= room
        for number, panel in enumerate(self.panels):
            self.buttons[number].setHidden(both)
            panel.setVisible(both or number == self.front)
        if both:
            wanted = round(room * self._shares[0] / sum(self._shares))
            left = min(max(wanted, first), room - second)
            self._row.setStretch(0, left)
            self._row.setStretch(1, room - left)

    def _needed(self, number: int) -> int:
        """What a panel needs beside the other, px: there it has no button."""
        panel, button = self.panels[number], self.buttons[number]
        items = (panel.body.itemAt(k) for k in range(panel.body.count()))
        head, *parts = (item.sizeHint().width() for item in items if item is not None)
        if not button.isHidden():
            head -= button.sizeHint().width() + panel.head.spacing()
        margins = panel.body.contentsMargins()
        return max(head, *parts) + margins.left() + margins.right()

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest:
            self._arrange()
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._arrange()
        super().resizeEvent(event)
