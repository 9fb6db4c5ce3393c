"""Drawing on paper, for what is printed or saved: black on white, in tenths of a point.

So a PDF at 720 dots an inch needs no scaling and any other device one factor.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QRectF, QSizeF, Qt
from PySide6.QtGui import (
    QFont,
    QFontMetricsF,
    QGuiApplication,
    QPagedPaintDevice,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
)

from app.common.papers import Paper

POINT = 10.0
"""Drawing units to a point."""

DOTS = 720
"""Drawing units to an inch."""


def pdf(title: str, paper: Paper, draw: Callable[[QPainter, QPdfWriter], None]) -> bytes:
    """The bytes of a PDF that ``draw`` draws, the first page begun. Needs a QGuiApplication."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(DOTS)
    writer.setTitle(title)
    writer.setCreator("Leadfall")
    set_paper(writer, paper)
    painter = QPainter(writer)
    draw(painter, writer)
    painter.end()
    return bytes(buffer.data().data())


def set_paper(device: QPagedPaintDevice, paper: Paper) -> None:
    """Lay a printer's or a PDF's page out for a paper, without margins of its own."""
    size = QSizeF(min(paper.width, paper.height), max(paper.width, paper.height))
    lying = paper.width > paper.height
    orientation = QPageLayout.Orientation.Landscape if lying else QPageLayout.Orientation.Portrait
    page = QPageSize(size, QPageSize.Unit.Point, paper.name)
    device.setPageLayout(QPageLayout(page, orientation, QMarginsF()))


def _font(points: float, bold: bool) -> QFont:
    out = QFont(QGuiApplication.font())
    out.setPixelSize(max(round(points * POINT), 1))
    out.setBold(bold)
    # no colored fringes in a picture that may be printed
    out.setStyleStrategy(QFont.StyleStrategy.NoSubpixelAntialias)
    return out


def text_width(text: str, points: float, bold: bool) -> float:
    """How wide a text is, in drawing units."""
    return QFontMetricsF(_font(points, bold)).horizontalAdvance(text)


def draw_text(
    painter: QPainter,
    place: QRectF,
    text: str,
    points: float,
    *,
    bold: bool = False,
    right: bool = False,
    middle: bool = False,
) -> None:
    """One line of text in the middle of a place's height, shrunk to its width if need be."""
    wide = text_width(text, points, bold)
    painter.setFont(_font(points * min(1.0, place.width() / max(wide, 1.0)), bold))
    side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
    side = Qt.AlignmentFlag.AlignHCenter if middle else side
    painter.drawText(place, side | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextDontClip, text)
