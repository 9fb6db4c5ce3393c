"""A plot as a picture that can stand alone: its title, the plot, and who is who.

Depends on: compare_plot, compare_signs, files, look, bad_input.
"""

from __future__ import annotations

import math
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QPointF, QRectF, QSize
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter, QPen
from PySide6.QtSvg import QSvgGenerator

from app.bad_input import BadInput
from app.files import write_safely
from app.look import font
from app.views.compare_plot import ComparePlot
from app.views.compare_signs import draw_sign, pen_of

EDGE = 14.0
"""Room about a picture, px."""

SHARP = 2.0
"""Pixels of a PNG for one of the screen's."""

KINDS = "Picture (*.png);;Drawing (*.svg)"


def write_picture(plot: ComparePlot, path: Path, about: str) -> None:
    """Write a plot as PNG or SVG, by the name's ending, with ``about`` under its title.

    Raises BadInput.
    """
    kind = path.suffix.lower()
    if kind == ".svg":
        write_safely(path, as_svg(plot, about))
    elif kind == ".png":
        data = QByteArray()
        buffer = QBuffer(data)
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        as_image(plot, about).save(buffer, "PNG")  # type: ignore[call-overload]
        buffer.close()
        write_safely(path, bytes(data.data()))
    else:
        raise BadInput(path.name, "", kind or None, "a name that ends in .png or .svg")


def as_image(plot: ComparePlot, about: str) -> QImage:
    """The picture, twice as fine as the screen."""
    size = _size(plot)
    image = QImage(size * SHARP, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(SHARP)
    painter = QPainter(image)
    _paint(painter, plot, about, size)
    painter.end()
    return image


def as_svg(plot: ComparePlot, about: str) -> bytes:
    """The picture as a drawing that can be scaled."""
    size = _size(plot)
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    made = QSvgGenerator()
    made.setOutputDevice(buffer)
    made.setSize(size)
    made.setViewBox(QRectF(0, 0, size.width(), size.height()))
    made.setTitle(plot.title)
    painter = QPainter(made)
    _paint(painter, plot, about, size)
    painter.end()
    buffer.close()
    return bytes(data.data())


def _columns(plot: ComparePlot) -> int:
    return 2 if plot.width() < 620 else 4


def _size(plot: ComparePlot) -> QSize:
    rows = math.ceil(max(len(plot.curves), 1) / _columns(plot))
    line = QFontMetricsF(font(9)).height() + 4
    tall = plot.height() + 2 * EDGE + 3.4 * line + rows * line
    return QSize(round(plot.width() + 2 * EDGE), round(tall))


def _paint(painter: QPainter, plot: ComparePlot, about: str, size: QSize) -> None:
    look = plot.look
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(QRectF(0, 0, size.width(), size.height()), QColor(look.panel))
    line = QFontMetricsF(font(9)).height() + 4
    painter.setFont(font(10.5, bold=True))
    painter.setPen(QColor(look.text))
    wide = size.width() - 2 * EDGE
    painter.drawText(QPointF(EDGE, EDGE + line), _cut(plot.title, 10.5, wide, bold=True))
    painter.setFont(font(8.5))
    painter.setPen(QColor(look.faint))
    painter.drawText(QPointF(EDGE, EDGE + 2 * line), _cut(about, 8.5, wide))
    place = QRectF(EDGE, EDGE + 2.4 * line, plot.width(), plot.height())
    plot.as_picture(painter, place)
    columns = _columns(plot)
    column = wide / columns
    for k, curve in enumerate(plot.curves):
        x = EDGE + column * (k % columns)
        y = place.bottom() + line * (1.0 + k // columns)
        painter.setPen(pen_of(curve.number, look))
        painter.drawLine(QPointF(x, y - 4), QPointF(x + 40, y - 4))
        draw_sign(painter, curve.number, QPointF(x + 20, y - 4), 10.0, look)
        painter.setFont(font(9))
        painter.setPen(QPen(QColor(look.text)))
        painter.drawText(QPointF(x + 46, y), _cut(curve.name, 9, column - 52))


def _cut(text: str, points: float, wide: float, *, bold: bool = False) -> str:
    """A text cut to a width, px."""
    metrics = QFontMetricsF(font(points, bold=bold))
    if metrics.horizontalAdvance(text) <= wide:
        return text
    while text and metrics.horizontalAdvance(text + "…") > wide:
        text = text[:-1]
    return text.rstrip() + "…"
