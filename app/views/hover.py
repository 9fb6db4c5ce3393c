"""The box of values beside the pointer on a plot against time.

Depends on: canvas, look.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app.look import Look, font
from app.views.canvas import Axes


def draw_hover(painter: QPainter, axes: Axes, look: Look, x: float, lines: Sequence[str]) -> None:
    """A fine line at ``x`` px and the ``lines`` of text beside it, on whichever side has room."""
    pen = QPen(QColor(look.faint), 1.0)
    pen.setDashPattern([2.0, 2.0])
    painter.setPen(pen)
    painter.drawLine(QPointF(x, axes.top), QPointF(x, axes.bottom))
    face = font(8.5)
    painter.setFont(face)
    metrics = QFontMetricsF(face)
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
