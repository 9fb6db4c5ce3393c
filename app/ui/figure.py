"""One large figure with a word beside it, painted rather than laid out: it changes often."""

from __future__ import annotations

from math import ceil

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.steps import BODY, FIGURE, GREAT, HEAD, HUGE, LOUD
from app.ui.what_is import explain

ROOM = 6
"""Over the digits and under what hangs below their line, px."""

BESIDE = {FIGURE: BODY, GREAT: LOUD, HUGE: HEAD}
"""Size of the word beside figures of a size, points."""


class Figure(QWidget):
    """Shows ``text`` in large digits and ``word`` after it; repaints only on change.

    ``what`` is its word among WHAT_IS.
    """

    def __init__(self, preferences: Preferences, points: float, name: str, what: str) -> None:
        super().__init__()
        self._preferences, self._points = preferences, points
        self.text, self.word, self.dim = "", "", False
        self.setAccessibleName(name)
        explain(self, what)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        preferences.look_changed.connect(self.update)

    def sizeHint(self) -> QSize:
        metrics = QFontMetricsF(font(self._points, bold=True))
        return QSize(200, ceil(metrics.capHeight() + metrics.descent()) + ROOM)

    def text_resized(self) -> None:
        """Take the room that larger text needs."""
        self.updateGeometry()

    def show_figure(self, text: str, word: str, *, dim: bool = False) -> None:
        """Change what is shown."""
        if (text, word, dim) != (self.text, self.word, self.dim):
            self.text, self.word, self.dim = text, word, dim
            self.setAccessibleDescription(f"{text} {word}".strip())
            self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        look = self._preferences.look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(look.panel))
        big = font(self._points, bold=True)
        painter.setFont(big)
        painter.setPen(QColor(look.faint if self.dim else look.text))
        # a word instead of digits reaches below the line
        base = self.height() - 1.0 - QFontMetricsF(big).descent()
        painter.drawText(QPointF(0.0, base), self.text)
        x = QFontMetricsF(big).horizontalAdvance(self.text) + 8
        painter.setFont(font(BESIDE[self._points]))
        painter.setPen(QColor(look.faint))
        metrics = QFontMetricsF(painter.font())
        word = metrics.elidedText(self.word, Qt.TextElideMode.ElideMiddle, self.width() - x)
        painter.drawText(QPointF(x, base), word)
        painter.end()
