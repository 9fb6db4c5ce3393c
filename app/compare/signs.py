"""Color, dash and symbol of up to eight candidates: the first six as lines have them everywhere.

The last two are in the text color and a gray of the look's own, so that color still
never has to tell two apart: each has a dash and a symbol of its own.
"""

from __future__ import annotations

from functools import cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QIcon, QPainter, QPainterPath, QPen, QPixmap, QPolygonF

from app.ui.glyphs import symbol_path
from app.ui.look import DASHES, SYMBOLS, Look

GRAYS = {"light": "#6b7178", "dark": "#98a2aa", "sun": "#5a5a5a"}
"""Color of the eighth, by the look's name."""

MORE_DASHES = ((1.5, 2.0), (4.0, 2.0, 1.5, 2.0, 4.0, 5.0))
MORE_SYMBOLS = ("cross", "bar")

COUNT = len(DASHES) + len(MORE_DASHES)


def color_of(number: int, look: Look) -> QColor:
    """Color of the number-th candidate."""
    extra = number - len(SYMBOLS)
    if extra < 0:
        return look.line_color(number)
    return QColor(look.text if extra == 0 else GRAYS.get(look.name, look.faint))


def dash_of(number: int) -> tuple[float, ...]:
    """Dash of the number-th candidate, in pen widths; none is a solid line."""
    return (*DASHES, *MORE_DASHES)[number % COUNT]


def pen_of(number: int, look: Look, width: float = 2.0) -> QPen:
    """Pen of the number-th candidate: its color and dash."""
    pen = QPen(color_of(number, look), width)
    dashes = dash_of(number)
    if dashes:
        pen.setDashPattern(list(dashes))
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    return pen


def sign_path(number: int, size: float) -> QPainterPath:
    """Symbol of the number-th candidate, centered, ``size`` px across."""
    extra = number - len(SYMBOLS)
    if extra < 0:
        return symbol_path(number, size)
    half, arm = size / 2, size / 6
    path = QPainterPath()
    if MORE_SYMBOLS[extra] == "bar":
        path.addRect(QRectF(-half, -1.3 * arm, size, 2.6 * arm))
        return path
    corners = [
        (-arm, -half), (arm, -half), (arm, -arm), (half, -arm), (half, arm), (arm, arm),
        (arm, half), (-arm, half), (-arm, arm), (-half, arm), (-half, -arm), (-arm, -arm),
    ]  # fmt: skip
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in corners]))
    path.closeSubpath()
    return path


def draw_sign(painter: QPainter, number: int, at: QPointF, size: float, look: Look) -> None:
    """A candidate's symbol, filled, with a rim that keeps it clear of what lies under."""
    painter.save()
    painter.translate(at)
    painter.setPen(QPen(QColor(look.panel), 1.2))
    painter.setBrush(QBrush(color_of(number, look)))
    painter.drawPath(sign_path(number, size))
    painter.restore()


@cache
def sign_icon(number: int, look: Look) -> QIcon:
    """A candidate's symbol and a stroke of its dash, as an icon 44 px wide."""
    pixmap = QPixmap(88, 28)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(pen_of(number, look, 3.5))
    painter.drawLine(QPointF(2, 14), QPointF(86, 14))
    draw_sign(painter, number, QPointF(44, 14), 20.0, look)
    painter.end()
    pixmap.setDevicePixelRatio(2.0)
    icon = QIcon(pixmap)
    # as it is in a chosen row too, not tinted
    icon.addPixmap(pixmap, QIcon.Mode.Selected)
    return icon
