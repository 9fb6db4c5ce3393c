"""The same drop on each line: depth against seconds since out of gear."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app.compare.plot import ComparePlot, Curve
from app.compare.signs import color_of
from app.ui.canvas import Axes
from app.ui.look import font
from app.ui.steps import SMALL

EACH = 4
"""Every so manieth sample is drawn: a corner every 0.4 s."""

SHOWN_AFTER = 40.0
"""Seconds shown after in gear."""


class DropPlot(ComparePlot):
    """Depth of every lure on a line through the hold and the lift."""

    depth_words = "chosen depth "
    names_bottom = True
    title = "The same drop on the line: depth against seconds since out of gear"

    def find_curves(self) -> list[Curve]:
        return [
            Curve(
                row.number,
                row.candidate.name,
                row.drop.time[::EACH],
                row.drop.depth[::EACH],
                "drop" in row.stale,
            )
            for row in self.rows
            if row.drop is not None
        ]

    def made_of(self) -> list[object]:
        return [self._comparison.lineup, *(id(row.drop) for row in self.rows)]

    def span(self) -> tuple[float, float]:
        return 0.0, self._comparison.lineup.hold + SHOWN_AFTER

    def across(self, x: float) -> str:
        hold = self._comparison.lineup.hold
        return f"{x:.1f} s out of gear" if x <= hold else f"{x - hold:.1f} s in gear again"

    def to_come(self) -> bool:
        return any(not (row.trouble or row.candidate.alone) for row in self.rows)

    def nothing(self) -> str:
        return "No candidate is on a line"

    def behind(self, painter: QPainter, axes: Axes) -> None:
        hold = self._comparison.lineup.hold
        left, right = axes.x(0.0), axes.x(hold)
        painter.fillRect(
            QRectF(left, axes.top, right - left, axes.bottom - axes.top),
            QColor(self.look.out_of_gear),
        )
        painter.setPen(QPen(QColor(self.look.accent), 1.4))
        painter.drawLine(QPointF(right, axes.top), QPointF(right, axes.bottom))
        face = font(SMALL)
        metrics = QFontMetricsF(face)
        painter.setFont(face)
        painter.setPen(QColor(self.look.text))
        base = self.y(axes, 0.0) + metrics.ascent() + 4
        for words in (f"out of gear {hold:g} s", f"{hold:g} s"):
            if metrics.horizontalAdvance(words) < right - left - 8:
                painter.drawText(QPointF(left + 5, base), words)
                break
        painter.drawText(QPointF(right + 5, base), "back in gear")

    def signs(self, painter: QPainter, axes: Axes, curve: Curve) -> None:
        drop = self.rows[curve.number].drop
        assert drop is not None
        # spread along the first seconds, so that like depths do not hide each other
        x = (axes.left + 9 + 12 * curve.number - axes.x0) / axes.kx
        depth = float(curve.depth[min(int(x / (curve.x[1] - curve.x[0])), len(curve.x) - 1)])
        self.sign(painter, axes, curve.number, x, depth)
        if drop.dropped:
            time, deepest = drop.deepest
            at = QPointF(axes.x(time), self.y(axes, deepest))
            painter.setPen(QPen(color_of(curve.number, self.look), 1.8))
            painter.drawLine(at + QPointF(-6, 5), at + QPointF(6, 5))
