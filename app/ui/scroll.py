"""A scroll area: what does not fit is scrolled to, by hand or as Tab comes to it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QStyle, QWidget


class Scroll(QScrollArea):
    """Holds ``inside``, as large as there is room and no smaller than it can be.

    It is no stop for Tab: what is in it has the stops.
    """

    def __init__(self, inside: QWidget) -> None:
        super().__init__()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidgetResizable(True)
        self.setWidget(inside)
        self.viewport().setAutoFillBackground(False)
        inside.setAutoFillBackground(False)


class Column(Scroll):
    """Scrolls up and down only; as wide as what it holds must be, and at least ``least`` px.

    It never becomes narrower again, so that words that change push nothing about.
    """

    def __init__(self, inside: QWidget, least: int) -> None:
        self._least = least
        super().__init__(inside)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._widen()

    def _widen(self) -> None:
        bar = self.style().pixelMetric(QStyle.PixelMetric.PM_ScrollBarExtent)
        self._least = max(self._least, self.widget().minimumSizeHint().width() + bar)
        if self.minimumWidth() != self._least:
            self.setFixedWidth(self._least)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest and watched is self.widget():
            self._widen()
        return super().eventFilter(watched, event)
