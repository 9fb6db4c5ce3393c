"""The menu of every plot: copy the value, copy the picture, save it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QPoint, QRectF
from PySide6.QtGui import QColor, QGuiApplication, QImage, QPainter
from PySide6.QtSvg import QSvgGenerator
from PySide6.QtWidgets import QMenu, QMessageBox

from app.common.bad_input import BadInput
from app.common.files import write_safely
from app.ui.plain import Message
from app.ui.save_dialog import ask_where

if TYPE_CHECKING:
    from app.ui.canvas import PaintedPlot

SHARP = 2.0
"""Pixels of a PNG for one of the screen's."""

KINDS = "Picture (*.png);;Drawing (*.svg)"


class PlotMenu(QMenu):
    """What can be done with ``plot``, opened ``at`` a place of it, px."""

    def __init__(self, plot: PaintedPlot, at: QPoint) -> None:
        super().__init__(plot)
        self._plot, self._value = plot, plot.value_at(at)
        self.copy_value = self.addAction("Copy the value here", self._copy_value)
        self.copy_value.setEnabled(bool(self._value))
        self.copy_picture = self.addAction("Copy the picture", self._copy_picture)
        self.save = self.addAction("Save the picture…", self._save)
        self.aboutToHide.connect(self.deleteLater)

    def _copy_value(self) -> None:
        QGuiApplication.clipboard().setText(self._value)

    def _copy_picture(self) -> None:
        QGuiApplication.clipboard().setImage(as_image(self._plot))

    def _save(self) -> None:
        plot = self._plot
        start = f"{plot.accessibleName().lower().replace(' ', '-').replace(',', '')}.png"
        path = ask_where(plot.window(), "Save the picture", start, KINDS)
        if path is None:
            return
        try:
            write(plot, path)
        except BadInput as error:
            box = Message(f"The picture could not be saved.\n\n{error}", plot.window())
            box.setIcon(QMessageBox.Icon.Warning)
            box.exec()


def write(plot: PaintedPlot, path: Path) -> None:
    """Write a plot as PNG or SVG, by the name's ending. Raises BadInput."""
    kind = path.suffix.lower()
    if kind == ".svg":
        write_safely(path, as_svg(plot))
    elif kind == ".png":
        data = QByteArray()
        buffer = QBuffer(data)
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        as_image(plot).save(buffer, "PNG")  # type: ignore[call-overload]
        buffer.close()
        write_safely(path, bytes(data.data()))
    else:
        raise BadInput(path.name, "", kind or None, "a name that ends in .png or .svg")


def as_image(plot: PaintedPlot) -> QImage:
    """The plot as it is, twice as fine as the screen."""
    image = QImage(plot.size() * SHARP, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(SHARP)
    painter = QPainter(image)
    _paint(plot, painter)
    painter.end()
    return image


def as_svg(plot: PaintedPlot) -> bytes:
    """The plot as a drawing that can be scaled."""
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    made = QSvgGenerator()
    made.setOutputDevice(buffer)
    made.setSize(plot.size())
    # its own would be another than the screen's, and the axes' text and ticks another size
    made.setResolution(plot.logicalDpiX())
    made.setViewBox(QRectF(plot.rect()))
    made.setTitle(plot.accessibleName())
    painter = QPainter(made)
    _paint(plot, painter)
    painter.end()
    buffer.close()
    return bytes(data.data())


def _paint(plot: PaintedPlot, painter: QPainter) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(QRectF(plot.rect()), QColor(plot.look.panel))
    plot.as_picture(painter, QRectF(plot.rect()))
