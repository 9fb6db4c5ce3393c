"""Small shapes drawn in pixels: line symbols, lures in their attitude, the boat, fish."""

from __future__ import annotations

import math
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF

from app.ui.look import SYMBOLS


@lru_cache(maxsize=64)
def symbol_path(number: int, size: float) -> QPainterPath:
    """Symbol of the number-th line of the spread, centered, ``size`` px across."""
    kind = SYMBOLS[number % len(SYMBOLS)]
    half = size / 2
    path = QPainterPath()
    if kind == "circle":
        path.addEllipse(QPointF(0, 0), half, half)
    elif kind == "square":
        path.addRect(QRectF(-half * 0.88, -half * 0.88, size * 0.88, size * 0.88))
    else:
        corners = {"triangle": 3, "diamond": 4, "pentagon": 5, "star": 10}[kind]
        points = QPolygonF()
        for k in range(corners):
            reach = half * (0.45 if kind == "star" and k % 2 else 1.12)
            angle = -math.pi / 2 + 2 * math.pi * k / corners
            points.append(QPointF(reach * math.cos(angle), reach * math.sin(angle)))
        path.addPolygon(points)
        path.closeSubpath()
    return path


def draw_symbol(
    painter: QPainter, number: int, at: QPointF, size: float, color: QColor, rim: QColor
) -> None:
    """A line's symbol, filled, with a rim that keeps it clear of what lies under."""
    painter.save()
    painter.translate(at)
    painter.setPen(QPen(rim, 1.2))
    painter.setBrush(QBrush(color))
    painter.drawPath(symbol_path(number, size))
    painter.restore()


@lru_cache(maxsize=64)
def lure_path(kind: str, length: float) -> QPainterPath:
    """A lure's outline in px, nose at +x, centered; each kind has a shape of its own."""
    path = QPainterPath()
    half = length / 2
    if kind == "sinker":
        path.addEllipse(QPointF(0, 0), half * 0.6, half * 0.6)
        return path
    if kind == "nose-weighted jig":
        path.addEllipse(QPointF(half * 0.55, 0), half * 0.45, half * 0.4)
        path.moveTo(half * 0.3, 0)
        path.lineTo(-half, -half * 0.42)
        path.lineTo(-half * 0.7, 0)
        path.lineTo(-half, half * 0.42)
        path.closeSubpath()
        return path
    if kind == "spoon":
        path.moveTo(half, 0)
        path.quadTo(0, -half * 0.75, -half, half * 0.18)
        path.quadTo(0, half * 0.1, half, 0)
        return path
    path.moveTo(half, 0)
    path.cubicTo(half * 0.6, -half * 0.5, -half * 0.4, -half * 0.42, -half, 0)
    path.cubicTo(-half * 0.4, half * 0.42, half * 0.6, half * 0.5, half, 0)
    if kind == "floating lipped plug":
        path.moveTo(half * 0.82, half * 0.12)
        path.lineTo(half * 1.25, half * 0.75)
        path.lineTo(half * 0.55, half * 0.3)
        path.closeSubpath()
    return path


def draw_lure(
    painter: QPainter,
    kind: str,
    at: QPointF,
    toward: QPointF,
    length: float,
    color: QColor,
    rim: QColor,
) -> None:
    """A lure with its nose pointing along ``toward`` (px, y down)."""
    painter.save()
    painter.translate(at)
    angle = math.degrees(math.atan2(toward.y(), toward.x()))
    painter.rotate(angle)
    if abs(angle) > 90.0:
        painter.scale(1.0, -1.0)
    painter.setPen(QPen(rim, 1.2))
    painter.setBrush(QBrush(color))
    path = lure_path(kind, length)
    path.setFillRule(Qt.FillRule.WindingFill)
    painter.drawPath(path)
    painter.restore()


def draw_turn(painter: QPainter, number: int, at: QPointF, color: QColor, rim: QColor) -> None:
    """Where a line's lure will turn to lift: a floor, and the line's symbol on it.

    Dots that lead there have no dash: by its symbol a line is told without its color.
    """
    painter.setPen(QPen(color, 1.6))
    painter.drawLine(at + QPointF(-6, 5), at + QPointF(6, 5))
    draw_symbol(painter, number, at + QPointF(0, -1), 8.0, color, rim)


def fish_path(size: float) -> QPainterPath:
    """One fish from the side, its nose at +x."""
    path = QPainterPath()
    path.moveTo(size, 0)
    path.cubicTo(size * 0.3, -size * 0.6, -size * 0.5, -size * 0.35, -size * 0.75, -size * 0.14)
    path.lineTo(-size * 1.35, -size * 0.45)
    path.lineTo(-size * 1.35, size * 0.45)
    path.lineTo(-size * 0.75, size * 0.14)
    path.cubicTo(-size * 0.5, size * 0.35, size * 0.3, size * 0.6, size, 0)
    return path


def draw_hooked(
    painter: QPainter, at: QPointF, toward: QPointF, color: QColor, rim: QColor
) -> None:
    """A fish on a line, its mouth at a place and its nose along the pull ``toward``."""
    painter.save()
    painter.setPen(QPen(rim, 1.2))
    painter.setBrush(QBrush(color))
    painter.translate(at)
    painter.rotate(math.degrees(math.atan2(toward.y(), toward.x())))
    painter.translate(-13.0, 0.0)
    painter.drawPath(fish_path(13.0))
    painter.restore()


def draw_fish(painter: QPainter, at: QPointF, color: QColor, ground: QColor) -> None:
    """A mark as a small school seen from the side: our own sign, three bodies and tails."""
    painter.save()
    painter.setPen(QPen(ground, 1.0))
    painter.setBrush(QBrush(color))
    for dx, dy, size in ((-11.0, 2.0, 6.0), (1.0, -5.0, 7.0), (10.0, 4.0, 6.0)):
        painter.save()
        painter.translate(at.x() + dx, at.y() + dy)
        painter.drawPath(fish_path(size))
        painter.restore()
    painter.restore()


def boat_outline(length: float, beam_height: float) -> QPolygonF:
    """A boat's side in meters, transducer at the origin, bow ahead (+x), up (+y).

    A plain inshore hull of our own drawing: ``length`` m over all,
    ``beam_height`` m of side above the water.
    """
    aft, bow, h = -0.28 * length, 0.72 * length, beam_height
    return QPolygonF(
        [
            QPointF(aft, -0.35),
            QPointF(aft - 0.02 * length, 0.85 * h),
            QPointF(aft + 0.30 * length, 0.85 * h),
            QPointF(bow - 0.16 * length, 1.15 * h),
            QPointF(bow, 1.55 * h),
            QPointF(bow - 0.10 * length, 0.25 * h),
            QPointF(bow - 0.22 * length, -0.30),
        ]
    )


def shelter_outline(length: float, beam_height: float) -> QPolygonF:
    """The boat's steering shelter in meters, same origin as ``boat_outline``."""
    h = beam_height
    a, b = 0.10 * length, 0.34 * length
    return QPolygonF(
        [
            QPointF(a, 0.6 * h),
            QPointF(a + 0.02 * length, 2.2 * h),
            QPointF(a - 0.04 * length, 2.25 * h),
            QPointF(a - 0.04 * length, 2.42 * h),
            QPointF(b + 0.01 * length, 2.42 * h),
            QPointF(b + 0.01 * length, 2.25 * h),
            QPointF(b - 0.05 * length, 2.2 * h),
            QPointF(b, 0.6 * h),
        ]
    )
