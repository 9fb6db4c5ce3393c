"""A trainee's scores, round after round, and what went wrong how often."""

from __future__ import annotations

from collections import Counter

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.drill.model import Drill
from app.drill.store import SCORED
from app.drill.words import ERRORS
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.steps import SMALL

SHOWN = 30
"""Rounds shown, the latest ones."""


class DrillProgress(QWidget):
    """Scores as dots from 0 to 100, a circle of none for a round broken off; errors as bars."""

    def __init__(self, drill: Drill, preferences: Preferences) -> None:
        super().__init__()
        self._drill, self._preferences = drill, preferences
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumHeight(150)
        drill.people_changed.connect(self.refresh)
        preferences.look_changed.connect(self.update)
        self.refresh()

    def sizeHint(self) -> QSize:
        return QSize(360, 260)

    def refresh(self) -> None:
        """Read the results anew."""
        self.results = self._drill.results()[-SHOWN:]
        counted = Counter(
            error for result in self.results for error in result.errors.split(", ") if error
        )
        self.errors = [(words, counted[kind]) for kind, words in ERRORS.items() if counted[kind]]
        scored = [r.points for r in self.results if r.points is not None]
        mean = f"mean {sum(scored) / len(scored):.0f} of 100" if scored else "none scored"
        told = ", ".join(f"{words} {times}" for words, times in self.errors)
        self.setAccessibleName("Progress")
        self.setAccessibleDescription(f"{len(self.results)} rounds, {mean}. {told}")
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        face = font(SMALL)
        metrics = QFontMetricsF(face)
        painter.setFont(face)
        rows = max(len(self.errors), 1)
        low = self.height() - (rows + 1) * (metrics.height() + 3) - 8
        self._scores(painter, QRectF(34, 8, self.width() - 46, max(low - 16, 40)), metrics)
        self._errors(painter, low + 8, metrics)
        painter.end()

    def _scores(self, painter: QPainter, area: QRectF, metrics: QFontMetricsF) -> None:
        look = self._preferences.look
        if not self.results:
            painter.setPen(QColor(look.faint))
            painter.drawText(area, Qt.AlignmentFlag.AlignCenter, "Scores appear here.")
            return
        for points in (0, 50, 100):
            y = area.bottom() - area.height() * points / 100.0
            painter.setPen(QPen(QColor(look.edge), 1.0))
            painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
            painter.setPen(QColor(look.faint))
            text = f"{points}"
            x = area.left() - metrics.horizontalAdvance(text) - 6
            painter.drawText(QPointF(x, y + 0.35 * metrics.ascent()), text)
        step = area.width() / max(len(self.results), 8)
        line = QPolygonF()
        for k, result in enumerate(self.results):
            x = area.left() + step * (k + 0.5)
            if result.state != SCORED or result.points is None:
                painter.setPen(QPen(QColor(look.faint), 1.4))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawEllipse(QPointF(x, area.bottom()), 4.0, 4.0)
                continue
            line.append(QPointF(x, area.bottom() - area.height() * result.points / 100.0))
        painter.setPen(QPen(QColor(look.choice), 1.4))
        painter.drawPolyline(line)
        painter.setBrush(QColor(look.choice))
        for k in range(line.size()):
            painter.drawEllipse(line.at(k), 3.5, 3.5)

    def _errors(self, painter: QPainter, top: float, metrics: QFontMetricsF) -> None:
        look = self._preferences.look
        painter.setPen(QColor(look.faint))
        y = top + metrics.ascent()
        scored = "; open circles were broken off" if self.results else ""
        painter.drawText(QPointF(6, y), f"Errors in the last {SHOWN} rounds{scored}")
        high = metrics.height() + 3
        if not self.errors:
            painter.drawText(QPointF(6, y + high), "none so far")
            return
        most = max(times for _, times in self.errors)
        left = max(metrics.horizontalAdvance(words) for words, _ in self.errors) + 18
        for row, (words, times) in enumerate(self.errors, start=1):
            painter.setPen(QColor(look.text))
            painter.drawText(QPointF(6, y + row * high), words)
            width = (self.width() - left - 44) * times / most
            bar = QRectF(left, y + row * high - metrics.ascent() + 1, width, metrics.ascent() - 1)
            painter.fillRect(bar, QColor(look.choice))
            painter.drawText(QPointF(left + width + 6, y + row * high), f"{times}")
