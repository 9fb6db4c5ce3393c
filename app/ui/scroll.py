"""A scroll area: what does not fit is scrolled to, by hand or as Tab comes to it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QStyle, QWidget


class Scroll(QScrollArea):
    """Holds ``inside``, as large as there is room and no smaller than it can be.

    It is no stop for Tab: what is in it has the stops.
    """

    def __init__(self, inside: QWidget) -> None:
        super().__init__()
        self.inside = inside
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setWidgetResizable(True)
        self.setWidget(inside)
        self.viewport().setAutoFillBackground(False)
        inside.setAutoFillBackground(False)


class Whole(Scroll):
    """Holds a page: as large as the view, or as small as its layout can make it.

    Qt's own way asks a layout with wrapped text how tall it would like to be and scrolls
    although it could be smaller.
    """

    def __init__(self, inside: QWidget) -> None:
        layout = inside.layout()
        assert layout is not None
        self._layout = layout
        super().__init__(inside)
        self.setWidgetResizable(False)

    def _fit(self) -> None:
        view, least = self.maximumViewportSize(), self._layout.totalMinimumSize()
        bar = self.style().pixelMetric(QStyle.PixelMetric.PM_ScrollBarExtent)
        high = self._least_height(view.width())
        wide = view.width() - bar if high > view.height() else view.width()
        tall = view.height() - bar if least.width() > wide else view.height()
        wide = max(wide, least.width())
        self.inside.resize(wide, max(tall, self._least_height(wide)))

    def _least_height(self, width: int) -> int:
        least = self._layout.totalMinimumSize()
        if not self._layout.hasHeightForWidth():
            return least.height()
        return self._layout.totalMinimumHeightForWidth(max(width, least.width()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._fit()
        super().resizeEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest and watched is self.inside:
            self._fit()
        return super().eventFilter(watched, event)


class Upright(Scroll):
    """Scrolls up and down only; never narrower than what it holds must be."""

    def __init__(self, inside: QWidget) -> None:
        super().__init__(inside)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._widen()

    def _must(self) -> int:
        bar = self.style().pixelMetric(QStyle.PixelMetric.PM_ScrollBarExtent)
        return self.inside.minimumSizeHint().width() + bar

    def _widen(self) -> None:
        self.setMinimumWidth(self._must())

    def text_resized(self) -> None:
        """What it holds says how wide it must be, not what it was."""
        self._widen()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.LayoutRequest and watched is self.inside:
            self._widen()
        return super().eventFilter(watched, event)


class Column(Upright):
    """As wide as what it holds must be, and at least ``least`` px.

    It never becomes narrower again by itself, so that words that change push nothing about.
    """

    def __init__(self, inside: QWidget, least: int) -> None:
        super().__init__(inside)
        self.set_width(least)

    def set_width(self, least: int) -> None:
        """Be another width, px, if what it holds can be."""
        self._least = least
        self.setFixedWidth(max(least, self._must()))

    def text_resized(self) -> None:
        """As wide as what it holds must be by now."""
        self.set_width(self._least)

    def _widen(self) -> None:
        if self._must() > self.minimumWidth():
            self.setFixedWidth(self._must())
