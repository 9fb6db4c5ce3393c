"""A plot that tells values beside the pointer, and the box they stand in."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QMouseEvent, QPainter, QPen

from app.ui.canvas import Axes, MagnitudeAxis, PaintedPlot
from app.ui.look import Look, font
from app.ui.steps import SMALL

ARM = 6.0
"""Half of the cross where a value was read, px."""

WIDEST = 0.4
"""Most of a plot's width that the box of values may take."""


class HoverPlot(PaintedPlot):
    """A plot that tells what lies under the pointer, and mostly does not move under the mouse.

    ``hover_lines`` is what the box last said; none when the pointer is elsewhere.
    """

    def __init__(self, look: Look, *, below_only: bool = False, still: bool = True) -> None:
        self._pointer: QPointF | None = None
        self.hover_lines: list[str] = []
        left = MagnitudeAxis("left", negative_only=below_only)
        super().__init__(look, {"left": left, "bottom": MagnitudeAxis("bottom")})
        self.setMouseTracking(True)
        if still:
            self.view.setMouseEnabled(x=False, y=False)

    def under_pointer(self, axes: Axes) -> float | None:
        """The place across, in data units, that the pointer is over; None if it is elsewhere."""
        if self._pointer is None or not axes.left < self._pointer.x() < axes.right:
            return None
        return (self._pointer.x() - axes.x0) / axes.kx

    def pointed_at(self, axes: Axes) -> tuple[float, float] | None:
        """The place, in data units, that the pointer is over; None if it is elsewhere."""
        across, pointer = self.under_pointer(axes), self._pointer
        if across is None or pointer is None or not axes.top < pointer.y() < axes.bottom:
            return None
        return across, (pointer.y() - axes.y0) / axes.ky

    def tell(
        self,
        painter: QPainter,
        axes: Axes,
        across: float,
        lines: list[str],
        heights: Sequence[float] = (),
    ) -> None:
        """Draw the box of values at a place across, and a cross at each height that was read;
        nothing when there are no values."""
        self.hover_lines = lines
        if lines:
            x = axes.x(across)
            for height in heights:
                draw_cross(painter, self.look, QPointF(x, axes.y(height)))
            draw_hover(painter, axes, self.look, x, lines)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._pointer = event.position()
        super().mouseMoveEvent(event)
        self.redraw()

    def value_at(self, at: QPoint) -> str:
        """What the box of values says, as long as it is there."""
        return "\n".join(self.hover_lines) or super().value_at(at)

    def as_picture(self, painter: QPainter, place: QRectF) -> None:
        """Paint axes and picture elsewhere, without the pointer's values."""
        pointer, self._pointer = self._pointer, None
        try:
            super().as_picture(painter, place)
        finally:
            self._pointer = pointer

    def leaveEvent(self, event: object) -> None:
        self._pointer, self.hover_lines = None, []
        self.redraw()
        super().leaveEvent(event)


def draw_cross(painter: QPainter, look: Look, at: QPointF) -> None:
    """A cross where a value was read, with a rim that parts it from what it lies on."""
    for color, width in ((look.panel, 4.0), (look.text, 1.6)):
        painter.setPen(QPen(QColor(color), width))
        painter.drawLine(at - QPointF(ARM, 0.0), at + QPointF(ARM, 0.0))
        painter.drawLine(at - QPointF(0.0, ARM), at + QPointF(0.0, ARM))


def draw_hover(painter: QPainter, axes: Axes, look: Look, x: float, lines: Sequence[str]) -> None:
    """A fine line at ``x`` px and the ``lines`` of text beside it, on whichever side has room.

    Of a line that would fill most of the plot the middle is left out: twins differ at the end.
    """
    pen = QPen(QColor(look.faint), 1.0)
    pen.setDashPattern([2.0, 2.0])
    painter.setPen(pen)
    painter.drawLine(QPointF(x, axes.top), QPointF(x, axes.bottom))
    face = font(SMALL)
    painter.setFont(face)
    metrics = QFontMetricsF(face)
    most = WIDEST * (axes.right - axes.left)
    lines = [metrics.elidedText(text, Qt.TextElideMode.ElideMiddle, most) for text in lines]
    width = max(metrics.horizontalAdvance(text) for text in lines) + 14
    tall = metrics.height() * len(lines) + 8
    left = x + 10 if x + 10 + width < axes.right else max(x - 10 - width, axes.left + 2)
    box = QRectF(left, axes.top + 6, width, tall)
    painter.setPen(QPen(QColor(look.edge), 1.0))
    painter.setBrush(QColor(look.panel))
    painter.drawRoundedRect(box, 5, 5)
    painter.setPen(QColor(look.text))
    for k, text in enumerate(lines):
        y = box.top() + 4 + metrics.ascent() + k * metrics.height()
        painter.drawText(QPointF(box.left() + 7, y), text)
