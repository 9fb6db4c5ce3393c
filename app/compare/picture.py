"""A plot as a picture that can stand alone: its title, the plot, and who is who."""

from __future__ import annotations

import math
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter, QPen
from PySide6.QtSvg import QSvgGenerator

from app.common.bad_input import BadInput
from app.common.files import write_safely
from app.compare.plot import ComparePlot
from app.compare.signs import draw_sign, pen_of
from app.ui.look import font
from app.ui.steps import BODY, SMALL

EDGE = 14.0
"""Room about a picture, px."""

SHARP = 2.0
"""Pixels of a PNG for one of the screen's."""

WRAPPED = Qt.TextFlag.TextWordWrap.value
"""How title and what is under it are set."""

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
    size = _size(plot, about)
    image = QImage(size * SHARP, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(SHARP)
    painter = QPainter(image)
    _paint(painter, plot, about, size)
    painter.end()
    return image


def as_svg(plot: ComparePlot, about: str) -> bytes:
    """The picture as a drawing that can be scaled."""
    size = _size(plot, about)
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    made = QSvgGenerator()
    made.setOutputDevice(buffer)
    made.setSize(size)
    # its own would be another than the screen's, and the axes' text and ticks another size
    made.setResolution(plot.logicalDpiX())
    made.setViewBox(QRectF(0, 0, size.width(), size.height()))
    made.setTitle(plot.title)
    painter = QPainter(made)
    _paint(painter, plot, about, size)
    painter.end()
    buffer.close()
    return bytes(data.data())


def _columns(plot: ComparePlot) -> int:
    return max(1, round(float(plot.width()) / 300.0))


def _line() -> float:
    return QFontMetricsF(font(SMALL)).height() + 4


def _head(plot: ComparePlot, about: str) -> tuple[float, float]:
    """Heights of the title and of what is under it, wrapped to the plot's width, px."""
    room = QRectF(0, 0, plot.width(), 1000)
    return (
        QFontMetricsF(font(BODY, bold=True)).boundingRect(room, WRAPPED, plot.title).height(),
        QFontMetricsF(font(SMALL)).boundingRect(room, WRAPPED, about).height(),
    )


def _size(plot: ComparePlot, about: str) -> QSize:
    rows = math.ceil(max(len(plot.curves), 1) / _columns(plot))
    tall = plot.height() + sum(_head(plot, about)) + 4 * EDGE + rows * _line()
    return QSize(round(plot.width() + 2 * EDGE), math.ceil(tall))


def _paint(painter: QPainter, plot: ComparePlot, about: str, size: QSize) -> None:
    look = plot.look
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(QRectF(0, 0, size.width(), size.height()), QColor(look.panel))
    wide, line = size.width() - 2 * EDGE, _line()
    title, under = _head(plot, about)
    painter.setFont(font(BODY, bold=True))
    painter.setPen(QColor(look.text))
    painter.drawText(QRectF(EDGE, EDGE, wide, title), WRAPPED, plot.title)
    painter.setFont(font(SMALL))
    painter.setPen(QColor(look.faint))
    painter.drawText(QRectF(EDGE, EDGE + title + 2, wide, under), WRAPPED, about)
    place = QRectF(EDGE, 2 * EDGE + title + under, plot.width(), plot.height())
    plot.as_picture(painter, place)
    columns = _columns(plot)
    column = wide / columns
    for k, curve in enumerate(plot.curves):
        x = EDGE + column * (k % columns)
        y = place.bottom() + line * (1.0 + k // columns)
        painter.setPen(pen_of(curve.number, look))
        painter.drawLine(QPointF(x, y - 4), QPointF(x + 40, y - 4))
        draw_sign(painter, curve.number, QPointF(x + 20, y - 4), 10.0, look)
        painter.setFont(font(SMALL))
        painter.setPen(QPen(QColor(look.text)))
        name = QFontMetricsF(font(SMALL)).elidedText(
            curve.name, Qt.TextElideMode.ElideMiddle, column - 52
        )
        painter.drawText(QPointF(x + 46, y), name)
