"""What the shades of the map of waits and holds stand for."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.timing.map_picture import shade_of
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.steps import SMALL

WIDEST = "188.8 s added up"
"""Room is kept for this: the map does not change its width with what is found."""


class MapKey(QWidget):
    """What the map's shades stand for, as a strip of them between its ends."""

    def __init__(self, preferences: Preferences) -> None:
        super().__init__()
        self._preferences, self._most, self._what = preferences, 0.0, "added up"
        self.setFixedHeight(16)
        policy = QSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        policy.setRetainSizeWhenHidden(True)
        self.setSizePolicy(policy)
        preferences.look_changed.connect(self.update)

    def show_most(self, seconds: float, *, average: bool = False) -> None:
        """The seconds of the darkest shade, and whether they are what is expected."""
        self._most, self._what = seconds, "a drop" if average else "added up"
        self.setVisible(seconds > 0.0)
        self.setToolTip("Strike windows of all lines added up, at each wait and hold")
        self.setAccessibleName(f"Shades from 0 to {self.words}")
        self.update()

    @property
    def words(self) -> str:
        """The darkest shade in words."""
        return f"{self._most:.1f} s {self._what}"

    def sizeHint(self) -> QSize:
        return QSize(self._wide(WIDEST), 16)

    def _wide(self, words: str) -> int:
        return 62 + round(QFontMetricsF(font(SMALL)).horizontalAdvance(words))

    def paintEvent(self, _event: QPaintEvent) -> None:
        look = self._preferences.look
        painter = QPainter(self)
        painter.setFont(font(SMALL))
        painter.setPen(QColor(look.faint))
        wide = self._wide(self.words)
        painter.translate(self.width() - wide, 0)
        painter.drawText(QRectF(0, 0, 10, 16), Qt.AlignmentFlag.AlignCenter, "0")
        strip = np.linspace(0.0, 1.0, 42)
        for x, share in enumerate(strip):
            painter.setPen(QColor(*shade_of(share, look).round().astype(int).tolist()))
            painter.drawLine(12 + x, 3, 12 + x, 13)
        painter.setPen(QColor(look.faint))
        flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(QRectF(59, 0, wide - 59, 16), flags, self.words)
        painter.end()
