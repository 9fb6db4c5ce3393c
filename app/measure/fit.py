"""What a fit says: the fitted values with their intervals, the residuals, and words."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QHeaderView, QTableWidget, QTableWidgetItem

from app.common.units import (
    FOOT,
    GRAM,
    OUNCE,
    PLAIN,
    SECOND,
    SQUARE_CENTIMETER,
    Unit,
)
from app.gear.measured_kinds import KINDS
from app.measure.model import Measuring
from app.measure.words import TITLE, what
from app.ui.canvas import Axes
from app.ui.glyphs import draw_symbol
from app.ui.hover import HoverPlot
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.steps import BODY, SMALL
from app.ui.tables import heads, plain_table
from physics.answers.doubt import EIGHTY
from physics.calibration.calibrate import RowFit

HEADS = ("", "Before", "Fitted", "80 % range", "Uncertainty left")

KINDS_AT = {kind: number for number, kind in enumerate(KINDS)}
"""Symbol and color of each kind of measurement."""


def unit_of(name: str, preferences: Preferences) -> Unit:
    """The unit a fitted value is shown in."""
    feet = preferences.length is FOOT
    return {
        "lure_drag": SQUARE_CENTIMETER,
        "lure_weight": OUNCE if feet else GRAM,
        "coast_down": SECOND,
    }.get(name, PLAIN)


class FitTable(QTableWidget):
    """A row a fitted value."""

    def __init__(self, measuring: Measuring, preferences: Preferences) -> None:
        super().__init__(0, len(HEADS))
        self._measuring, self._preferences = measuring, preferences
        plain_table(self, "What was fitted")
        heads(self, HEADS)
        header = self.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setFont(font(SMALL))
        self.verticalHeader().hide()
        measuring.fit_changed.connect(self.refresh)
        preferences.units_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the fit there is."""
        found = self._measuring.found
        self.setRowCount(0 if found is None else len(found.result.fitted))
        rows = self.rowCount() * self.verticalHeader().defaultSectionSize()
        self.setFixedHeight(rows + self.horizontalHeader().sizeHint().height() + 4)
        if found is None:
            return
        for row, part in enumerate(found.result.fitted):
            unit = unit_of(part.name, self._preferences)
            before = part.value / part.factor
            low, high = sorted((part.value_low, part.value_high))
            rate = self._preferences.rate
            sinks = [
                f" ({rate.from_si(speed):.2f} {rate.symbol})" for speed in found.sinks[part.name]
            ] if part.name in found.sinks else ["", ""]  # fmt: skip
            cells = (
                TITLE[part.name],
                f"{unit.from_si(before):.3g} {unit.symbol}".strip() + sinks[0],
                f"{unit.from_si(part.value):.3g} {unit.symbol}".strip() + sinks[1],
                f"{unit.from_si(low):.3g} to {unit.from_si(high):.3g}",
                f"{100.0 * part.ratio:.0f} %",
            )
            for column, text in enumerate(cells):
                item = QTableWidgetItem(text.strip())
                if column:
                    item.setTextAlignment(
                        Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                    )
                if part.bound:
                    item.setForeground(QColor(self._preferences.look.alarm))
                self.setItem(row, column, item)


MOST_NUMBERED = 20
"""Up to so many measurements every one has its number under it."""


class Residuals(HoverPlot):
    """How far each measurement lies from the fit, in its own errors."""

    about = "How far every measurement is from what the fit says, in its own errors."

    def __init__(self, measuring: Measuring, preferences: Preferences) -> None:
        self._measuring, self._preferences = measuring, preferences
        super().__init__(preferences.look)
        self.setAccessibleName("How far each measurement lies from the fit")
        measuring.fit_changed.connect(self.fit)
        preferences.units_changed.connect(self.redraw)
        self.follow_look(preferences)
        self.fit()

    def now_shown(self) -> str:
        """The measurement that is furthest off."""
        rows = self._rows()
        if not rows:
            return "No fit yet."
        number, row = max(enumerate(rows, 1), key=lambda pair: abs(pair[1].normalized_residual))
        return (
            f"{len(rows)} measurements; the furthest off is line {number}, by "
            f"{abs(row.normalized_residual):.1f} times its error."
        )

    def _rows(self) -> tuple[RowFit, ...]:
        found = self._measuring.found
        return () if found is None else found.result.rows

    def fit(self) -> None:
        """Show all rows."""
        rows = self._rows()
        tall = max(3.5, 1.15 * max((abs(row.normalized_residual) for row in rows), default=0.0))
        # a measurement has a whole number
        self.getAxis("bottom").setTickSpacing(*((1, 1) if len(rows) <= MOST_NUMBERED else ()))
        self.view.setRange(
            xRange=(0.4, len(rows) + 0.6), yRange=(-tall, tall), padding=0.0, disableAutoRange=True
        )
        self.redraw()

    def draw(self, painter: QPainter, axes: Axes) -> None:
        rows = self._rows()
        if not rows:
            painter.setFont(font(BODY))
            painter.setPen(QColor(self.look.faint))
            area = QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
            painter.drawText(area, Qt.AlignmentFlag.AlignCenter, "No fit yet")
            return
        band = QColor(self.look.water_top)
        painter.fillRect(
            QRectF(axes.left, axes.y(EIGHTY), axes.right - axes.left,
                   axes.y(-EIGHTY) - axes.y(EIGHTY)), band,
        )  # fmt: skip
        painter.setPen(QPen(QColor(self.look.faint), 1.0))
        painter.drawLine(QPointF(axes.left, axes.y(0.0)), QPointF(axes.right, axes.y(0.0)))
        for number, row in enumerate(rows, 1):
            at = QPointF(axes.x(float(number)), axes.y(row.normalized_residual))
            color = self.look.line_color(KINDS_AT[row.row.kind])
            painter.setPen(QPen(color, 1.2))
            painter.drawLine(QPointF(at.x(), axes.y(0.0)), at)
            draw_symbol(painter, KINDS_AT[row.row.kind], at, 9.0, color, QColor(self.look.panel))
        self._hover(painter, axes)

    def _hover(self, painter: QPainter, axes: Axes) -> None:
        at = self.under_pointer(axes)
        if at is None:
            return
        rows = self._rows()
        number = int(np.clip(round(at), 1, len(rows)))
        self.tell(painter, axes, float(number), self.told(number, rows[number - 1]))

    def told(self, number: int, row: RowFit) -> list[str]:
        """A measurement and what the fit makes of it, in words."""
        length, speed = self._preferences.length, self._preferences.speed
        unit = {"s": SECOND, "m": length}.get(row.row.unit, speed)
        return [
            f"line {number}: {what(row.row, length, speed)}",
            f"measured {unit.text(row.measured)}, the fit says {unit.text(row.predicted)}",
            f"error ± {unit.text(row.error)}",
        ]
