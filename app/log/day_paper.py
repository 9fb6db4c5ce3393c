"""A day's sheet on one page of paper: the time line above, the drops in rows below. No widgets."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from pathlib import Path

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPdfWriter, QPen, QPolygonF

from app.common.files import write_safely
from app.common.papers import Paper
from app.common.units import DEGREE
from app.common.words import CAUTION
from app.log.columns import time_text
from app.log.day_words import DaySheet, Row
from app.ui.on_paper import POINT, draw_text, pdf, text_width

LETTER = Paper("letter", 8.5 * 72.0, 11.0 * 72.0, 1)

MARGIN = 36.0 * POINT
TITLE, HEAD, TEXT, SMALL = 16.0, 10.0, 8.5, 7.5

LINE_HIGH = 150.0 * POINT
"""Height of the time line with tide and sun."""

ROW_HIGH = 22.0 * POINT
"""Most that a row takes."""

DOT = 4.0 * POINT
ROWS = "What was done, what came, and what was different from before"

LEAST_SHARE = 0.7
"""A stage of the tide is named where its name has this share of the room it takes."""

SHADE = QColor(228, 228, 228)
DARKER = QColor(190, 190, 190)
BLACK = Qt.GlobalColor.black


def write_pdf(sheet: DaySheet, path: Path, paper: Paper = LETTER) -> None:
    """The sheet as a PDF of one page. Raises BadInput. Needs a QGuiApplication."""

    def draw(painter: QPainter, _writer: QPdfWriter) -> None:
        draw_sheet(painter, sheet, paper)

    write_safely(path, pdf(f"Day sheet: {sheet.day}", paper, draw))


def draw_sheet(painter: QPainter, sheet: DaySheet, paper: Paper) -> None:
    """The whole page, in drawing units."""
    area = QRectF(0.0, 0.0, paper.width * POINT, paper.height * POINT)
    area = area.adjusted(MARGIN, MARGIN, -MARGIN, -MARGIN)
    painter.setPen(QPen(BLACK, 6.0))
    top = QRectF(area.left(), area.top(), area.width(), TITLE * 1.4 * POINT)
    draw_text(painter, top, f"Day sheet, {sheet.day}", TITLE, bold=True)
    draw_text(painter, top, sheet.told, HEAD, right=True)
    line = QRectF(area.left(), top.bottom() + 8.0 * POINT, area.width(), LINE_HIGH)
    _draw_line(painter, sheet, line)
    foot = QRectF(area.left(), area.bottom() - 12.0 * POINT, area.width(), 12.0 * POINT)
    draw_text(painter, foot, CAUTION, SMALL)
    rows = QRectF(area.left(), line.bottom() + 10.0 * POINT, area.width(), 0.0)
    rows.setBottom(foot.top() - 6.0 * POINT)
    _draw_rows(painter, sheet, rows)


class _Scale:
    """Where an instant is along the time line."""

    def __init__(self, sheet: DaySheet, box: QRectF) -> None:
        self._start, self._box = sheet.start, box
        self._long = (sheet.end - sheet.start).total_seconds()

    def x(self, at: datetime) -> float:
        share = (at - self._start).total_seconds() / self._long
        return self._box.left() + min(max(share, 0.0), 1.0) * self._box.width()


def _draw_line(painter: QPainter, sheet: DaySheet, box: QRectF) -> None:
    scale = _Scale(sheet, box)
    tide = QRectF(box.left(), box.top(), box.width(), 18.0 * POINT)
    drops = QRectF(box.left(), tide.bottom(), box.width(), 52.0 * POINT)
    sky = QRectF(box.left(), drops.bottom(), box.width(), 62.0 * POINT)
    hours = QRectF(box.left(), sky.bottom(), box.width(), box.bottom() - sky.bottom())
    for number, stretch in enumerate(sheet.tide):
        left, right = scale.x(stretch.start), scale.x(stretch.end)
        place = QRectF(left, tide.top(), max(right - left, 2.0 * POINT), tide.height())
        painter.fillRect(place, QBrush(DARKER if number % 2 else SHADE))
        if place.width() > LEAST_SHARE * text_width(stretch.word, SMALL, bold=False):
            draw_text(painter, place, stretch.word, SMALL, middle=True)
    hour = sheet.start
    step = max(1, math.ceil((sheet.end - sheet.start) / timedelta(hours=1) / 12))
    while hour <= sheet.end:
        x = scale.x(hour)
        painter.setPen(QPen(DARKER, 3.0))
        painter.drawLine(QPointF(x, tide.top()), QPointF(x, sky.bottom()))
        painter.setPen(QPen(BLACK, 6.0))
        place = QRectF(x - 20.0 * POINT, hours.top(), 40.0 * POINT, hours.height())
        draw_text(painter, place, f"{hour:%H:%M}", SMALL, middle=True)
        hour += timedelta(hours=step)
    _draw_drops(painter, sheet, drops, scale)
    _draw_sun(painter, sheet, sky, scale)
    painter.setPen(QPen(BLACK, 6.0))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for part in (tide, drops, sky):
        painter.drawRect(part)


def _draw_drops(painter: QPainter, sheet: DaySheet, box: QRectF, scale: _Scale) -> None:
    """A stroke for each drop; over it a dot for each hit, with a ring for a fish aboard."""
    low = box.bottom() - 4.0 * POINT
    for entry in sheet.entries:
        x = scale.x(entry.at)
        pen = QPen(BLACK, 8.0)
        if entry.rehearsal:
            pen.setStyle(Qt.PenStyle.DotLine)
        painter.setPen(pen)
        painter.drawLine(QPointF(x, low), QPointF(x, low - 14.0 * POINT))
        hits = [line for line in entry.lines if line.hit]
        painter.setPen(QPen(BLACK, 6.0))
        for place, line in enumerate(hits):
            at = QPointF(x, low - 18.0 * POINT - place * 2.4 * DOT)
            painter.setBrush(QBrush(BLACK))
            painter.drawEllipse(at, 0.6 * DOT, 0.6 * DOT)
            if line.landed:
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawEllipse(at, DOT, DOT)
    said = QRectF(box.left() + 4.0 * POINT, box.top() + 1.0 * POINT, box.width(), 9.0 * POINT)
    draw_text(painter, said, "stroke: a drop or pass; dot: a hit; ring: landed", SMALL)


def _draw_sun(painter: QPainter, sheet: DaySheet, box: QRectF, scale: _Scale) -> None:
    """The sun's height over the horizon, with its bearing by the hour."""
    said = QRectF(box.left() + 4.0 * POINT, box.top() + 1.0 * POINT, box.width(), 9.0 * POINT)
    if not sheet.sun:
        draw_text(painter, said, "sun: no place is told", SMALL)
        return
    top = max(max(height for _, height, _ in sheet.sun), DEGREE.to_si(10.0))
    high = box.height() - 20.0 * POINT

    def y(height: float) -> float:
        return box.bottom() - 2.0 * POINT - max(height, 0.0) / top * high

    points = [QPointF(scale.x(at), y(height)) for at, height, _ in sheet.sun]
    ends = [QPointF(points[-1].x(), box.bottom()), QPointF(points[0].x(), box.bottom())]
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QBrush(SHADE))
    painter.drawPolygon(QPolygonF([*points, *ends]))
    painter.setPen(QPen(BLACK, 8.0))
    painter.drawPolyline(QPolygonF(points))
    draw_text(painter, said, f"sun, up to {DEGREE.from_si(top):.0f}° high; its bearing", SMALL)
    for at, height, bearing in sheet.sun:
        place = QRectF(scale.x(at) - 16.0 * POINT, y(height) + 1.0 * POINT, 32.0 * POINT,
                       9.0 * POINT)  # fmt: skip
        fits = height > 0.0 and place.bottom() <= box.bottom()
        if at.minute == 0 and fits and sheet.start < at < sheet.end:
            draw_text(painter, place, f"{DEGREE.from_si(bearing):.0f}°", SMALL, middle=True)


def _draw_rows(painter: QPainter, sheet: DaySheet, box: QRectF) -> None:
    """A row a drop; its second line tells what was different from the one before."""
    painter.setPen(QPen(BLACK, 6.0))
    left = QRectF(box.left(), box.top(), box.width(), 12.0 * POINT)
    draw_text(painter, left, ROWS, HEAD, bold=True)
    if sheet.left_out:
        words = f"and {sheet.left_out} without a hit or beyond this page"
        beside = left.adjusted(text_width(ROWS, HEAD, bold=True) + 12.0 * POINT, 0.0, 0.0, 0.0)
        draw_text(painter, beside, words, TEXT, right=True)
    top = left.bottom() + 3.0 * POINT
    high = min(ROW_HIGH, (box.bottom() - top) / max(len(sheet.rows), 1))
    for number, row in enumerate(sheet.rows):
        place = QRectF(box.left(), top + number * high, box.width(), high)
        if number % 2:
            painter.fillRect(place, QBrush(SHADE))
        _draw_row(painter, row, place)


def _draw_row(painter: QPainter, row: Row, place: QRectF) -> None:
    half = 0.5 * place.height()
    points = min(TEXT, 0.85 * half / POINT)
    clock = QRectF(place.left() + 2.0 * POINT, place.top(), 34.0 * POINT, half)
    draw_text(painter, clock, time_text(row.entry.at.isoformat())[11:], points, bold=True)
    left = clock.right() + 2.0 * POINT
    wide = place.right() - left - 4.0 * POINT
    done = QRectF(left, place.top(), 0.58 * wide, half)
    draw_text(painter, done, row.done, points)
    came = QRectF(done.right() + 4.0 * POINT, place.top(), wide - done.width(), half)
    draw_text(painter, came, row.came, points, bold=bool(row.entry.hits))
    below = QRectF(left, place.top() + half, wide, half)
    draw_text(painter, below, row.different, 0.9 * points)
