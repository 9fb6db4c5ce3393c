"""Depth of every lure against time since the mark, for one wait and hold, with its bands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app.common.units import shown
from app.timing.model import Planner
from app.ui.axis_names import CRAMPED, AxisNames
from app.ui.canvas import Axes, spans
from app.ui.glyphs import draw_symbol
from app.ui.hover import HoverPlot
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.sea_floor import (
    paint_clearance,
    paint_level,
    paint_under_each,
    say_under_each,
)
from app.ui.steps import SMALL
from physics.answers.holds import Responses
from physics.simulation.events import LIFTING

Array = NDArray[np.float64]

AFTER = 45.0
"""Seconds shown after in gear."""

BEFORE = 8.0
"""Seconds shown before the mark, or before out of gear where that comes first."""

BAND_SHADE = 0.22
"""How strongly a band is shaded."""


@dataclass(frozen=True, slots=True)
class _Trace:
    """One lure: ``time`` s since the mark, ``depth`` m, ``ground`` m under it, ``counts`` where
    it is in the strike window."""

    time: Array
    depth: Array
    ground: Array
    counts: NDArray[np.bool_]


class PlanDepth(HoverPlot):
    """The drop as it would go; with the live one dotted beside it once it was rehearsed."""

    about = "Depth of every lure against seconds after the mark in the drop looked at."

    def __init__(self, planner: Planner, preferences: Preferences) -> None:
        self._planner, self._preferences = planner, preferences
        self._traces: list[_Trace] = []
        self._live: list[_Trace] = []
        super().__init__(preferences.look)
        self._axes = AxisNames(self, preferences)
        self.setAccessibleName("Depth against time of the chosen wait and hold")
        planner.point_moved.connect(self.take)
        planner.changed.connect(self.take)
        planner.sure_changed.connect(self.redraw)
        preferences.units_changed.connect(self.take)
        self.take()

    def now_shown(self) -> str:
        """Wait and hold, and how deep and how near the bottom every lure gets."""
        unit, (wait, hold) = self._preferences.length, self._planner.point
        if not self._traces:
            return ""
        rods = (
            f"{rod.name}: deepest {unit.text(rod.deepest)}, "
            f"{unit.text(rod.least_height)} off bottom at the least."
            for rod in self._planner.rods
        )
        return " ".join((f"Wait {wait:g} s, hold {hold:g} s.", *rods))

    def take(self) -> None:
        """Work out the traces of the planner's point, and show all of them."""
        self._axes.name("s after the mark", f"depth, {self._preferences.length.symbol}")
        planner = self._planner
        plan, path = planner.plan, planner.path()
        self.show_values(plan is not None and path is not None)
        if plan is None or path is None:
            self._traces = []
            self.redraw()
            return
        wait, hold = planner.point
        self._traces = self._placed(path, wait)
        live = planner.live
        self._live = [] if live is None else self._placed(live.path, live.wait)
        deepest = max(float(np.nanmax(t.ground)) for t in self._traces)
        unit = self._preferences.length
        self.view.setRange(
            xRange=(-BEFORE, wait + hold + AFTER),
            yRange=(unit.from_si(-deepest * 1.1), unit.from_si(0.2)),
            padding=0.0,
            disableAutoRange=True,
        )
        self.redraw()

    def _placed(self, path: Responses, wait: float) -> list[_Trace]:
        plan = self._planner.plan
        assert plan is not None
        aim, bottom = plan.situation.aim, plan.situation.bottom
        out = []
        for number in range(path.lure.shape[1]):
            lure = path.lure[0, number]
            known = np.isfinite(lure[:, 2])
            time, lure = path.time[known], lure[known]
            # in steady tow before, level with where it began
            lead = np.arange(-(wait + BEFORE), 0.0, 1.0)
            early = np.column_stack(
                [lure[0, :2] + lead[:, None] * path.boat_velocity, np.full(len(lead), lure[0, 2])]
            )
            place = np.concatenate([early, lure])
            place[:, :2] += wait * path.boat_velocity
            rate = np.concatenate([np.zeros(len(lead)), np.gradient(lure[:, 2], time)])
            counts = (
                (np.hypot(place[:, 0], place[:, 1]) <= aim.radius)
                & (np.abs(-place[:, 2] - aim.mark.depth) <= aim.mark.band)
                & (rate > LIFTING)
            )
            out.append(
                _Trace(
                    np.concatenate([lead, time]) + wait,
                    -place[:, 2],
                    bottom.depth_at(place[:, 0], place[:, 1]),
                    counts,
                )
            )
        return out

    # ---- painting

    def _unit(self, meters: float) -> float:
        return self._preferences.length.from_si(meters)

    def draw(self, painter: QPainter, axes: Axes) -> None:
        plan = self._planner.plan
        if plan is None or not self._traces:
            return
        wait, hold = self._planner.point
        self._gear(painter, axes, wait, hold)
        self._ground(painter, axes)
        self._mark(painter, axes)
        self._bands(painter, axes, wait)
        for number, trace in enumerate(self._traces):
            self._trace(painter, axes, number, trace)
        for number, trace in enumerate(self._live):
            z = -self._preferences.length.from_si(trace.depth[::2])
            axes.dots(painter, trace.time[::2], z, self.look.line_color(number))
        for number, trace in enumerate(self._traces):
            self._signs(painter, axes, number, trace)
        if axes.bottom - axes.top >= CRAMPED:
            self._words(painter, axes)
        self._hover(painter, axes)

    def _gear(self, painter: QPainter, axes: Axes, wait: float, hold: float) -> None:
        left, right = axes.x(wait), axes.x(wait + hold)
        box = QRectF(left, axes.top, right - left, axes.bottom - axes.top)
        painter.fillRect(box, QColor(self.look.out_of_gear))
        painter.setPen(QPen(QColor(self.look.accent), 1.2))
        for x in (left, right):
            painter.drawLine(QPointF(x, axes.top), QPointF(x, axes.bottom))
        face = font(SMALL)
        metrics = QFontMetricsF(face)
        painter.setFont(face)
        painter.setPen(QColor(self.look.text))
        for words in (f"out of gear {hold:g} s", f"{hold:g} s"):
            if metrics.horizontalAdvance(words) < right - left - 8:
                painter.drawText(QPointF(left + 5, axes.top + metrics.ascent() + 3), words)
                break

    def _ground(self, painter: QPainter, axes: Axes) -> None:
        plan = self._planner.plan
        assert plan is not None
        unit = self._preferences.length
        if plan.situation.bottom.is_level:
            paint_level(painter, axes, self.look, axes.y(-self._unit(plan.situation.depth)))
            keep = axes.y(-self._unit(plan.situation.depth - plan.request.clearance))
            paint_clearance(painter, axes, self.look, keep)
            return
        grounds = (axes.line(trace.time, -unit.from_si(trace.ground)) for trace in self._traces)
        paint_under_each(painter, self.look, grounds)

    def _mark(self, painter: QPainter, axes: Axes) -> None:
        """The depths that count as the mark's, and the moment it is under the sounder."""
        plan = self._planner.plan
        assert plan is not None
        mark = plan.situation.aim.mark
        top = axes.y(-self._unit(mark.depth - mark.band))
        low = axes.y(-self._unit(min(mark.depth + mark.band, plan.situation.depth)))
        shade = QColor(self.look.mark)
        shade.setAlphaF(0.10)
        painter.fillRect(QRectF(axes.left, top, axes.right - axes.left, low - top), shade)
        pen = QPen(QColor(self.look.mark), 1.0)
        pen.setDashPattern([1.0, 3.0])
        painter.setPen(pen)
        x = axes.x(0.0)
        painter.drawLine(QPointF(x, axes.top), QPointF(x, axes.bottom))

    def _bands(self, painter: QPainter, axes: Axes, wait: float) -> None:
        """Where 8 drops of 10 would go."""
        sure = self._planner.sure.chances
        if sure is None:
            return
        unit = self._preferences.length
        painter.setPen(Qt.PenStyle.NoPen)
        for number in range(sure.bands.shape[1]):
            color = self.look.line_color(number)
            color.setAlphaF(BAND_SHADE)
            painter.setBrush(color)
            time = np.concatenate([sure.time, sure.time[::-1]]) + wait
            depth = np.concatenate([sure.bands[0, number], sure.bands[2, number][::-1]])
            painter.drawPolygon(axes.line(time, -unit.from_si(depth)))

    def _trace(self, painter: QPainter, axes: Axes, number: int, trace: _Trace) -> None:
        z = -self._preferences.length.from_si(trace.depth)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for first, last in spans(trace.counts):
            # a broad stroke under the line while it lifts through the mark
            pen = QPen(self.look.line_color(number), 7.0)
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
            painter.setPen(pen)
            painter.drawPolyline(axes.line(trace.time[first:last], z[first:last]))
        painter.setPen(self.look.line_pen(number))
        painter.drawPolyline(axes.line(trace.time, z))

    def _signs(self, painter: QPainter, axes: Axes, number: int, trace: _Trace) -> None:
        """The line's symbol where it runs, and a floor where it is deepest."""
        color = self.look.line_color(number)
        x = axes.left + 10 + 13 * number
        at = QPointF(x, axes.y(-self._unit(float(trace.depth[0]))))
        draw_symbol(painter, number, at, 10.0, color, QColor(self.look.panel))
        k = int(trace.depth.argmax())
        deep = QPointF(axes.x(float(trace.time[k])), axes.y(-self._unit(float(trace.depth[k]))))
        painter.setPen(QPen(color, 1.8))
        painter.drawLine(deep + QPointF(-6, 5), deep + QPointF(6, 5))

    def _words(self, painter: QPainter, axes: Axes) -> None:
        plan = self._planner.plan
        assert plan is not None
        unit = self._preferences.length
        face = font(SMALL)
        metrics = QFontMetricsF(face)
        painter.setFont(face)
        mark = plan.situation.aim.mark
        painter.setPen(QColor(self.look.text))
        words = self.mark_words()
        y = axes.y(-self._unit(mark.depth)) + 0.35 * metrics.ascent()
        painter.drawText(QPointF(axes.right - metrics.horizontalAdvance(words) - 6, y), words)
        if plan.situation.bottom.is_level:
            words = f"bottom {shown(plan.situation.depth, unit)}"
            y = axes.y(-self._unit(plan.situation.depth)) + metrics.ascent() + 1
            painter.drawText(QPointF(axes.right - metrics.horizontalAdvance(words) - 6, y), words)
        else:
            say_under_each(painter, axes, self.look)

    def mark_words(self) -> str:
        """From where to where the mark is; to the bottom at most."""
        plan = self._planner.plan
        assert plan is not None
        mark, unit = plan.situation.aim.mark, self._preferences.length
        top, low = mark.depth - mark.band, min(mark.depth + mark.band, plan.situation.depth)
        return f"mark {shown(top, unit).partition(' ')[0]} to {shown(low, unit)}"

    # ---- hover

    def _hover(self, painter: QPainter, axes: Axes) -> None:
        at = self.under_pointer(axes)
        if at is not None:
            self.tell(painter, axes, at, *self._values_at(at))

    def _values_at(self, time: float) -> tuple[list[str], list[float]]:
        """What is told of a time, and where the lures are on the axis."""
        unit = self._preferences.length
        wait, hold = self._planner.point
        heights: list[float] = []
        if time < wait:
            out = [
                f"{time:.1f} s after the mark" if time >= 0 else f"{-time:.1f} s before the mark"
            ]
        elif time < wait + hold:
            out = [f"{time - wait:.1f} s out of gear"]
        else:
            out = [f"{time - wait - hold:.1f} s in gear again"]
        for rod, trace in zip(self._planner.rods, self._traces, strict=True):
            depth = float(np.interp(time, trace.time, trace.depth))
            ground = float(np.interp(time, trace.time, trace.ground))
            out.append(f"{rod.name}: {unit.text(depth)} down, {unit.text(ground - depth)} off")
            heights.append(-unit.from_si(depth))
        return out, heights
