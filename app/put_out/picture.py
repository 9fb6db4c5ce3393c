"""Before and after: depth of every lure against time, on one axis."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app.common.units import shown
from app.planning.put_out_check import Looked
from app.put_out.model import Proposals
from app.ui.axis_names import CRAMPED, AxisNames
from app.ui.canvas import Axes, spans
from app.ui.glyphs import draw_symbol
from app.ui.hover import HoverPlot
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.steps import BODY, SMALL

Array = NDArray[np.float64]

AFTER = 30.0
"""Seconds shown after in gear."""

FAINT = 0.55
"""How strongly what is out now is drawn."""


class BeforeAfter(HoverPlot):
    """The suggestion looked at, and what is out now thin and dotted behind it."""

    about = "Depth of every lure against seconds after the mark, now and with the suggestion."

    def __init__(self, proposals: Proposals, preferences: Preferences) -> None:
        self._proposals, self._preferences = proposals, preferences
        super().__init__(preferences.look)
        self._axes = AxisNames(self, preferences)
        self.setAccessibleName("Before and after")
        proposals.changed.connect(self.take)
        preferences.units_changed.connect(self.take)
        self.take()

    @property
    def pair(self) -> tuple[Looked, Looked] | None:
        """What is out now, and the suggestion looked at; itself where there is none."""
        found, offered = self._proposals.found, self._proposals.offered
        if found is None:
            return None
        after = offered[self._proposals.shown].looked if offered else found.before
        return found.before, after

    def take(self) -> None:
        """Show all of both."""
        unit = self._preferences.length
        self._axes.name("s after the mark", f"depth, {unit.symbol}")
        pair = self.pair
        self.show_values(pair is not None)
        if pair is not None:
            end = max(one.wait + one.hold for one in pair) + AFTER
            deepest = max(*(one.bottom for one in pair), *(float(one.depth.max()) for one in pair))
            self.view.setRange(
                xRange=(-3.0, end), yRange=(unit.from_si(-1.1 * deepest), unit.from_si(0.2)),
                padding=0.0, disableAutoRange=True,
            )  # fmt: skip
        self.redraw()

    def draw(self, painter: QPainter, axes: Axes) -> None:
        pair = self.pair
        area = QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
        if pair is None:
            painter.setFont(font(BODY))
            painter.setPen(QColor(self.look.faint))
            painter.drawText(area, Qt.AlignmentFlag.AlignCenter, "Nothing to show yet")
            return
        before, after = pair
        self._sea(painter, axes, after)
        if before is not after:
            self._gear(painter, axes, before, shade=False)
            for number in range(len(before.depth)):
                color = self.look.line_color(number)
                color.setAlphaF(FAINT)
                pen = QPen(color, 1.4)
                pen.setDashPattern([2.0, 2.5])
                self._line(painter, axes, before, number, pen)
        for number in range(len(after.depth)):
            self._line(painter, axes, after, number, self.look.line_pen(number))
            at = QPointF(axes.left + 10 + 13 * number, self._y(axes, float(after.depth[number, 0])))
            color = self.look.line_color(number)
            draw_symbol(painter, number, at, 10.0, color, QColor(self.look.panel))
        if axes.bottom - axes.top >= CRAMPED:
            self._words(painter, axes, after)
        at_time = self.under_pointer(axes)
        if at_time is not None:
            self.tell(painter, axes, at_time, *self._values_at(at_time, before, after))

    def _y(self, axes: Axes, depth: float) -> float:
        return axes.y(-self._preferences.length.from_si(depth))

    def _line(self, painter: QPainter, axes: Axes, one: Looked, number: int, pen: QPen) -> None:
        """One lure, level in the tow before the drop."""
        painter.setBrush(Qt.BrushStyle.NoBrush)
        z = -self._preferences.length.from_si(one.depth[number])
        for first, last in spans(one.counts[number]):
            # a broad stroke under the line while it lifts through the mark
            broad = QPen(pen.color(), 7.0)
            broad.setCapStyle(Qt.PenCapStyle.RoundCap)
            painter.setPen(broad)
            painter.drawPolyline(axes.line(one.time[first:last] + one.wait, z[first:last]))
        painter.setPen(pen)
        time = np.concatenate([[-3.0], one.time + one.wait])
        depth = np.concatenate([one.depth[number, :1], one.depth[number]])
        painter.drawPolyline(axes.line(time, -self._preferences.length.from_si(depth)))

    def _gear(self, painter: QPainter, axes: Axes, one: Looked, *, shade: bool) -> None:
        left, right = axes.x(one.wait), axes.x(one.wait + one.hold)
        if shade:
            box = QRectF(left, axes.top, right - left, axes.bottom - axes.top)
            painter.fillRect(box, QColor(self.look.out_of_gear))
        pen = QPen(QColor(self.look.accent if shade else self.look.faint), 1.2)
        if not shade:
            pen.setDashPattern([3.0, 3.0])
        painter.setPen(pen)
        for x in (left, right):
            painter.drawLine(QPointF(x, axes.top), QPointF(x, axes.bottom))

    def _sea(self, painter: QPainter, axes: Axes, after: Looked) -> None:
        """Out of gear, the ground at the mark, and the depths that count as the mark's."""
        self._gear(painter, axes, after, shade=True)
        wide, y = axes.right - axes.left, self._y(axes, after.bottom)
        painter.fillRect(QRectF(axes.left, y, wide, axes.bottom - y), QColor(self.look.bottom))
        painter.setPen(QPen(QColor(self.look.bottom_edge), 2.0))
        painter.drawLine(QPointF(axes.left, y), QPointF(axes.right, y))
        top = self._y(axes, after.mark_depth - after.mark_band)
        low = self._y(axes, min(after.mark_depth + after.mark_band, after.bottom))
        tint = QColor(self.look.mark)
        tint.setAlphaF(0.12)
        painter.fillRect(QRectF(axes.left, top, wide, low - top), tint)

    def _words(self, painter: QPainter, axes: Axes, after: Looked) -> None:
        face = font(SMALL)
        metrics = QFontMetricsF(face)
        unit = self._preferences.length
        painter.setFont(face)
        painter.setPen(QColor(self.look.text))
        hold = f"out of gear {after.hold:g} s"
        left = axes.x(after.wait)
        if metrics.horizontalAdvance(hold) < axes.x(after.wait + after.hold) - left - 8:
            place = QRectF(left + 3, axes.top + 2, metrics.horizontalAdvance(hold) + 4,
                           metrics.height())  # fmt: skip
            # the gear of now may be worked behind it
            painter.fillRect(place, QColor(self.look.out_of_gear))
            painter.drawText(QPointF(left + 5, axes.top + metrics.ascent() + 3), hold)
        for words, y in (
            ("mark", self._y(axes, after.mark_depth) + 0.35 * metrics.ascent()),
            (f"bottom at the mark {shown(after.bottom, unit)}",
             self._y(axes, after.bottom) + metrics.ascent() + 1),
        ):  # fmt: skip
            painter.drawText(QPointF(axes.right - metrics.horizontalAdvance(words) - 6, y), words)

    def _values_at(
        self, time: float, before: Looked, after: Looked
    ) -> tuple[list[str], list[float]]:
        """What is told of a time, and where the lures of the suggestion are on the axis."""
        unit, heights = self._preferences.length, []
        out = [f"{time:.1f} s after the mark" if time >= 0 else f"{-time:.1f} s before the mark"]
        for number, rod in enumerate(after.setup.rods):
            then = _depth(after, number, time)
            text = f"{rod.name}: {unit.text(then)} down"
            if before is not after:
                text += f", now {unit.text(_depth(before, number, time))}"
            out.append(text)
            heights.append(-unit.from_si(then))
        return out, heights


def _depth(one: Looked, number: int, time: float) -> float:
    return float(np.interp(time - one.wait, one.time, one.depth[number]))
