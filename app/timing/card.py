"""The helm card drawn, once for paper, picture and preview. No widgets.

Everything is laid out in tenths of a point, so that a PDF at 720 dots an inch
needs no scaling and any other device one factor. Black on white only.
"""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QPagedPaintDevice, QPainter, QPdfWriter, QPen

from app.common.files import write_safely
from app.common.papers import PAPERS, Paper
from app.common.words import CAUTION
from app.planning.card_words import Card, Grid, grids
from app.ui.on_paper import DOTS, POINT, draw_text, pdf, text_width

MARGIN = 20.0 * POINT
GAP = 14.0 * POINT
FIGURE = 15.0
"""Size of the figures, points: read at arm's length."""

HEAD = 11.0
TITLE = 16.0
SMALL = 8.5
SHADE = QColor(228, 228, 228)
"""Every other row; light enough for any printer and a photocopy."""

PICTURE_DOTS = 200


def write_pdf(card: Card, path: Path, paper: Paper = PAPERS["A5"]) -> None:
    """The card as a PDF, a page a kind of tackle. Raises BadInput. Needs a QGuiApplication."""

    def draw(painter: QPainter, writer: QPdfWriter) -> None:
        draw_pages(painter, writer, card, paper, 1.0)

    write_safely(path, pdf(f"Helm card: {card.title}", paper, draw))


def write_png(card: Card, path: Path, paper: Paper = PAPERS["A5"]) -> None:
    """All pages under one another as a picture. Raises BadInput. Needs a QGuiApplication."""
    scale = PICTURE_DOTS / DOTS
    sheets = _sheets(card, paper)
    width = round(paper.width * POINT * scale)
    height = round(paper.height * POINT * scale)
    image = QImage(width, height * len(sheets), QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(scale, scale)
    for number, sheet in enumerate(sheets):
        painter.save()
        painter.translate(0.0, number * height / scale)
        draw_sheet(painter, card, sheet, paper)
        painter.restore()
    painter.end()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "PNG")  # type: ignore[call-overload]
    write_safely(path, bytes(buffer.data().data()))


def draw_pages(
    painter: QPainter, device: QPagedPaintDevice, card: Card, paper: Paper, scale: float
) -> None:
    """Every sheet onto a paged device; ``scale`` is its dots to a drawing unit."""
    painter.scale(scale, scale)
    for number, sheet in enumerate(_sheets(card, paper)):
        if number:
            device.newPage()
        draw_sheet(painter, card, sheet, paper)


def _sheets(card: Card, paper: Paper) -> list[list[int]]:
    """Numbers of the tackles on each sheet; places left over repeat them from the first."""
    count = len(card.numbers.tackles)
    sheets = -(-count // paper.cards)
    return [
        [(sheet * paper.cards + place) % count for place in range(paper.cards)]
        for sheet in range(sheets)
    ]


def draw_sheet(painter: QPainter, card: Card, tackles: list[int], paper: Paper) -> None:
    """One sheet of cards, with a line to cut along between them."""
    width, height = paper.width * POINT, paper.height * POINT / paper.cards
    for place, number in enumerate(tackles):
        painter.save()
        painter.translate(0.0, place * height)
        if place:
            painter.setPen(QPen(Qt.GlobalColor.black, 4.0, Qt.PenStyle.DashLine))
            painter.drawLine(0, 0, round(width), 0)
        draw_card(painter, card, number, QRectF(0.0, 0.0, width, height))
        painter.restore()


def draw_card(painter: QPainter, card: Card, number: int, area: QRectF) -> None:
    """One kind of tackle's card in an area, in drawing units."""
    area = area.adjusted(MARGIN, MARGIN, -MARGIN, -MARGIN)
    painter.setPen(QPen(Qt.GlobalColor.black, 8.0))
    rods = ", ".join(card.numbers.tackles[number].rods)
    top = area.top()
    day = card.made.isoformat()
    day_width = text_width(day, HEAD, bold=False) + GAP
    head = QRectF(area.left(), top, area.width() - day_width, TITLE * 1.35 * POINT)
    draw_text(painter, head, f"{card.title}: {rods}", TITLE, bold=True)
    draw_text(painter, QRectF(area.left(), top, area.width(), head.height()), day, HEAD, right=True)
    top = head.bottom()
    line = SMALL * 1.35 * POINT
    for said in card.inputs(number):
        row = QRectF(area.left(), top, area.width(), line)
        draw_text(painter, row, said, SMALL)
        top = row.bottom()
    foot = QRectF(area.left(), area.bottom() - line, area.width(), line)
    draw_text(painter, foot, CAUTION, SMALL)
    foot.translate(0.0, -line)
    draw_text(painter, foot, card.legend(number), SMALL)
    top += 5.0 * POINT
    width = (area.width() - GAP) / 2.0
    height = (foot.top() - 4.0 * POINT - top - 6.0 * POINT) / 2.0
    for place, grid in enumerate(grids(card, number)):
        left = area.left() + (place % 2) * (width + GAP)
        box = QRectF(left, top + (place // 2) * (height + 6.0 * POINT), width, height)
        _draw_grid(painter, grid, box, first=place == 0)


def _draw_grid(painter: QPainter, grid: Grid, box: QRectF, first: bool) -> None:
    """A table: its title, the colors out above, the bottom or speed at the left."""
    row = box.height() / (len(grid.rows) + 2)
    side = 0.25 * box.width()
    cell = (box.width() - side) / max(len(grid.columns), 1)
    over = "colors out"
    title = QRectF(box.left(), box.top(), box.width(), row)
    draw_text(painter, title, over, SMALL, right=True)
    title.setWidth(box.width() - text_width(over, SMALL, bold=False) - 6.0 * POINT)
    draw_text(painter, title, grid.title, HEAD, bold=True)
    top = box.top() + row
    painter.fillRect(QRectF(box.left(), top, box.width(), row), QBrush(Qt.GlobalColor.black))
    painter.setPen(Qt.GlobalColor.white)
    corner = QRectF(box.left() + 4 * POINT, top, side, row)
    draw_text(painter, corner, grid.corner, HEAD)
    for j, head in enumerate(grid.columns):
        place = QRectF(box.left() + side + j * cell, top, cell - 5 * POINT, row)
        draw_text(painter, place, head, FIGURE, bold=True, right=True)
    painter.setPen(QPen(Qt.GlobalColor.black, 8.0))
    for i, (head, values) in enumerate(zip(grid.rows, grid.cells, strict=True)):
        y = top + (i + 1) * row
        if i % 2:
            painter.fillRect(QRectF(box.left(), y, box.width(), row), QBrush(SHADE))
        place = QRectF(box.left(), y, side - 8 * POINT, row)
        if i == grid.own:
            painter.fillRect(QRectF(box.left(), y, side, row), QBrush(Qt.GlobalColor.black))
            painter.setPen(Qt.GlobalColor.white)
        draw_text(painter, place, head, FIGURE, bold=True, right=True)
        painter.setPen(QPen(Qt.GlobalColor.black, 8.0))
        for j, value in enumerate(values):
            place = QRectF(box.left() + side + j * cell, y, cell - 5 * POINT, row)
            draw_text(painter, place, value, FIGURE, bold=first, right=True)
    line = round(box.left() + side - 2 * POINT)
    painter.drawLine(line, round(top + row), line, round(box.bottom()))
    painter.setPen(QPen(Qt.GlobalColor.black, 20.0 if first else 8.0))
    painter.drawRect(QRectF(box.left(), top, box.width(), box.bottom() - top))
    painter.setPen(QPen(Qt.GlobalColor.black, 8.0))
