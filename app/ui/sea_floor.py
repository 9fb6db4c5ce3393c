"""The bottom, as every plot of depth paints it."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from app.ui.canvas import Axes
from app.ui.look import Look, font
from app.ui.steps import SMALL

UNDER_EACH = "bottom under each lure, in its line's dash"


def paint_level(painter: QPainter, axes: Axes, look: Look, y: float) -> None:
    """A level bottom at ``y`` px, down to the foot of the plot."""
    painter.fillRect(
        QRectF(axes.left, y, axes.right - axes.left, axes.bottom - y), QColor(look.bottom)
    )
    painter.setPen(QPen(QColor(look.bottom_edge), 2.0))
    painter.drawLine(QPointF(axes.left, y), QPointF(axes.right, y))


def paint_profile(painter: QPainter, axes: Axes, look: Look, ground: QPolygonF) -> None:
    """A bottom along a way, px, filled to the foot of the plot."""
    body = QPolygonF(ground)
    body.append(QPointF(ground.last().x(), axes.bottom + 2))
    body.append(QPointF(ground.first().x(), axes.bottom + 2))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(look.bottom))
    painter.drawPolygon(body)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(look.bottom_edge), 2.0))
    painter.drawPolyline(ground)


def paint_under_each(painter: QPainter, look: Look, grounds: Iterable[QPolygonF]) -> None:
    """The bottom under each line, px, in that line's dash."""
    for number, ground in enumerate(grounds):
        pen = QPen(QColor(look.bottom_edge), 1.4)
        dashes = look.line_pen(number).dashPattern()
        if dashes:
            pen.setDashPattern(dashes)
        painter.setPen(pen)
        painter.drawPolyline(ground)


def say_under_each(painter: QPainter, axes: Axes, look: Look) -> None:
    """What ``paint_under_each`` drew, at the foot of the plot."""
    face = font(SMALL)
    painter.setFont(face)
    painter.setPen(QColor(look.faint))
    x = axes.right - QFontMetricsF(face).horizontalAdvance(UNDER_EACH) - 6
    painter.drawText(QPointF(x, axes.bottom - 5), UNDER_EACH)


def paint_clearance(painter: QPainter, axes: Axes, look: Look, y: float) -> None:
    """The height every line has to keep, at ``y`` px."""
    pen = QPen(QColor(look.alarm), 1.0)
    pen.setDashPattern([5.0, 4.0])
    painter.setPen(pen)
    painter.drawLine(QPointF(axes.left, y), QPointF(axes.right, y))
