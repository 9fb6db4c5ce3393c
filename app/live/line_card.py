"""One line's figures on a card, painted: six of them change five times a second."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.live.readout import Reading
from app.ui.glyphs import draw_symbol
from app.ui.look import font, px, text_scale
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.steps import BIG, BODY, HEAD, SMALL
from app.ui.what_is import explain


def _font(points: float, *, bold: bool = False) -> QFont:
    """A font as it is at 100 %: the whole card is painted larger."""
    return font(points / text_scale(), bold=bold)


BESIDE_SYMBOL, BESIDE_DASH = 28.0, 62.0
"""Where a name begins that stands beside its line's symbol, and beside its dash, px."""


class LineCard(QWidget):
    """Shows a Reading; repaints only when it differs. ``opened``: its line is to be handled."""

    opened = Signal()

    def __init__(self, number: int, preferences: Preferences) -> None:
        super().__init__()
        explain(self, "line's card", tip=False)
        self._number, self._preferences = number, preferences
        self.reading: Reading | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        preferences.look_changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(round(px(230)), round(px(141)))

    def minimumSizeHint(self) -> QSize:
        return QSize(round(px(176)), round(px(141)))

    def show_reading(self, reading: Reading) -> None:
        """Take new figures."""
        if reading != self.reading:
            self.reading = reading
            self.setAccessibleName(f"Line {reading.name}")
            self.setAccessibleDescription(
                f"{reading.depth} {reading.depth_unit} down, {reading.off_bottom} off bottom, "
                f"{reading.rate} {reading.rate_word}, {reading.astern}, {reading.out}, "
                f"{reading.mark}, {reading.pull}, {reading.status_text}. {reading.ahead}"
            )
            told = (reading.name, reading.ahead, "Click for line in and out, fish on")
            self.setToolTip(as_tip("\n".join(part for part in told if part)))
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self.rect().contains(
            event.position().toPoint()
        ):
            self.opened.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit()
        else:
            super().keyPressEvent(event)

    def _wide(self) -> float:
        return self.width() / text_scale()

    def text_resized(self) -> None:
        """Take the room that larger text needs."""
        self.updateGeometry()

    def paintEvent(self, _event: QPaintEvent) -> None:
        look = self._preferences.look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(look.ground))
        painter.scale(text_scale(), text_scale())
        tall = self.height() / text_scale()
        area = QRectF(0, 0, self._wide(), tall).adjusted(0.5, 0.5, -0.5, -0.5)
        painter.setPen(QPen(QColor(look.edge), 1.0))
        painter.setBrush(QColor(look.panel))
        painter.drawRoundedRect(area, 8, 8)
        if self.hasFocus():
            painter.setPen(QPen(QColor(look.choice), 1.6))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(area.adjusted(1, 1, -1, -1), 7, 7)
        if self.reading is not None:
            self._heading(painter, self.reading)
            self._figures(painter, self.reading)
            self._small(painter, self.reading)
        painter.end()

    def _heading(self, painter: QPainter, reading: Reading) -> None:
        look = self._preferences.look
        color = look.line_color(self._number)
        draw_symbol(painter, self._number, QPointF(17, 17), 11.0, color, QColor(look.panel))
        small = _font(SMALL, bold=reading.status != "calm")
        metrics = QFontMetricsF(small)
        width = metrics.horizontalAdvance(reading.status_text) + 12
        box = QRectF(self._wide() - width - 8, 7, width, 20)
        painter.setFont(small)
        if reading.status == "touch":
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(look.alarm))
            painter.drawRoundedRect(box, 4, 4)
            painter.setPen(QColor(look.on_alarm))
        elif reading.status == "near":
            painter.setPen(QPen(QColor(look.alarm), 1.2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(box, 4, 4)
            painter.setPen(QColor(look.alarm))
        else:
            painter.setPen(QColor(look.faint))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, reading.status_text)
        place, text = self.named(reading.name, box.left())
        if place.left() > BESIDE_SYMBOL:
            painter.setPen(look.line_pen(self._number))
            painter.drawLine(QPointF(28, 17), QPointF(54, 17))
        painter.setFont(_font(BODY, bold=True))
        painter.setPen(color)
        painter.drawText(place, Qt.AlignmentFlag.AlignVCenter, text)

    def named(self, name: str, end: float) -> tuple[QRectF, str]:
        """Where a line's name stands, up to ``end`` px, and what of it: a long one takes the
        place of the line's dash."""
        metrics = QFontMetricsF(_font(BODY, bold=True))
        left = BESIDE_DASH
        if metrics.horizontalAdvance(name) > end - left - 6:
            left = BESIDE_SYMBOL
        room = end - left - 6
        shown = metrics.elidedText(name, Qt.TextElideMode.ElideMiddle, room)
        return QRectF(left, 6, room, 22), shown

    def _figures(self, painter: QPainter, reading: Reading) -> None:
        look = self._preferences.look
        columns = (
            (reading.depth, f"{reading.depth_unit} down", 0.28),
            (reading.off_bottom, "off bottom", 0.36),
            (reading.rate, reading.rate_word, 0.36),
        )
        room = min(self._wide() - 18.0, 360.0)
        narrow = room < 210.0
        big, small = _font(HEAD if narrow else BIG, bold=True), _font(SMALL)
        words = QFontMetricsF(small)
        x = 12.0
        for figure, word, share in columns:
            width = share * room
            painter.setFont(big)
            painter.setPen(QColor(look.text))
            painter.drawText(QPointF(x, 54), figure)
            painter.setFont(small)
            painter.setPen(QColor(look.faint))
            shown = words.elidedText(word, Qt.TextElideMode.ElideRight, width)
            painter.drawText(QPointF(x, 69), shown)
            x += width

    def _small(self, painter: QPainter, reading: Reading) -> None:
        look = self._preferences.look
        face = _font(SMALL)
        painter.setFont(face)
        metrics = QFontMetricsF(face)
        room = self._wide() - 22.0
        y = 88.0
        second = f"{reading.out}  ·  {reading.mark}"
        if metrics.horizontalAdvance(second) > room:
            second = reading.out if reading.handled else reading.mark
        for text in (f"{reading.astern}  ·  {reading.pull}", second):
            painter.setPen(QColor(look.text))
            shown = metrics.elidedText(text, Qt.TextElideMode.ElideRight, room)
            painter.drawText(QPointF(12, y), shown)
            y += metrics.height() + 1.0
        painter.setPen(QColor(look.faint))
        rest = QRectF(12, y - metrics.ascent(), room, 2 * metrics.height() + 2)
        painter.drawText(rest, Qt.TextFlag.TextWordWrap, reading.ahead)
