"""Depth of every lure against time since the mark: what was done, and the best dotted beside it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app.drill.model import Drill
from app.drill.replay import Replay
from app.ui.canvas import Axes, MagnitudeAxis, PaintedPlot
from app.ui.glyphs import draw_symbol
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.sea_floor import paint_level, paint_under_each, say_under_each
from app.ui.steps import SMALL
from physics.simulation.events import LIFTING, out_of_gear_intervals

Array = NDArray[np.float64]

BEFORE = 2.0
"""Seconds kept before the mark."""


class DrillDepth(PaintedPlot):
    """Own tracks solid, broad where they count; the best dotted; the moment replayed."""

    about = "Depth of every lure against seconds, with the bottom and the band of the mark."

    def __init__(self, drill: Drill, replay: Replay, preferences: Preferences) -> None:
        self._drill, self._replay, self._preferences = drill, replay, preferences
        super().__init__(
            preferences.look, {"left": MagnitudeAxis("left"), "bottom": MagnitudeAxis("bottom")}
        )
        self.setAccessibleName("Depth of each lure against time, yours and the best")
        self.view.setMouseEnabled(x=False, y=False)
        drill.scored.connect(self.fit)
        replay.moved.connect(self.redraw)
        preferences.units_changed.connect(self.fit)

    def now_shown(self) -> str:
        """How every lure passed the mark and how near the bottom it came."""
        taken, round_, unit = self._drill.taken, self._drill.round, self._preferences.length
        if taken is None or round_ is None:
            return ""
        out = []
        for rod, did in zip(round_.setup.rods, taken.rods, strict=True):
            least = unit.text(did.least_height)
            passed = "never came by" if did.at_mark is None else f"{unit.text(did.at_mark)} off at"
            out.append(f"{rod.name}: {passed} the mark, {least} off bottom at the least.")
        return " ".join(out)

    def fit(self) -> None:
        """Show the whole round from the mark on."""
        taken = self._drill.taken
        if taken is None:
            return
        unit = self._preferences.length
        deep = max(float(taken.ground.max()), 1.0)
        self.view.setRange(
            xRange=(-BEFORE, float(taken.time[-1]) + 1.0),
            yRange=(unit.from_si(-deep * 1.12), unit.from_si(0.2)),
            padding=0.0,
            disableAutoRange=True,
        )
        self.redraw()

    # ---- painting

    def draw(self, painter: QPainter, axes: Axes) -> None:
        taken, round_ = self._drill.taken, self._drill.round
        if taken is None or round_ is None or self._drill.stage != "debrief":
            return
        self._gear(painter, axes)
        self._ground(painter, axes)
        self._mark(painter, axes)
        self._best(painter, axes)
        for number in range(len(taken.lure)):
            self._own(painter, axes, number)
        self._moment(painter, axes)

    def _y(self, axes: Axes, depth: float) -> float:
        return axes.y(-self._preferences.length.from_si(depth))

    def _gear(self, painter: QPainter, axes: Axes) -> None:
        """The time out of gear shaded; the best one as a bracket over it."""
        live_run, round_, best = self._drill.live_run, self._drill.round, self._drill.best
        taken = self._drill.taken
        assert live_run is not None
        assert round_ is not None
        assert taken is not None
        end = float(taken.time[-1])
        face = font(SMALL)
        metrics = QFontMetricsF(face)
        painter.setFont(face)
        high = metrics.height() + 5
        for out, back in out_of_gear_intervals(live_run.run.track().orders):
            begin, last = out - round_.mark.time, min(back - round_.mark.time, end)
            left, right = max(axes.x(begin), axes.left), axes.x(last)
            held = f"{last - begin:.0f} s"
            if right <= left:
                continue
            painter.fillRect(
                QRectF(left, axes.top, right - left, axes.bottom - axes.top),
                QColor(self.look.out_of_gear),
            )
            painter.setPen(QColor(self.look.text))
            for words in (f"you: {held} out of gear", f"you: {held}"):
                if metrics.horizontalAdvance(words) < right - left - 8:
                    at = QPointF(left + 5, axes.top + high + metrics.ascent() + 3)
                    painter.drawText(at, words)
                    break
        if best is None or best.plan.answer is None:
            return
        answer = best.plan.answer
        left, right = axes.x(answer.wait), axes.x(answer.wait + answer.hold)
        y = axes.top + high
        painter.setPen(QPen(QColor(self.look.accent), 2.0))
        painter.drawLine(QPointF(left, y), QPointF(right, y))
        for x in (left, right):
            painter.drawLine(QPointF(x, y), QPointF(x, y + 7))
        words = f"best: {answer.hold:.0f} s out of gear"
        painter.setPen(QColor(self.look.text))
        x = max(left, axes.left + 4)
        painter.drawText(QPointF(x, axes.top + metrics.ascent() + 1), words)

    def _ground(self, painter: QPainter, axes: Axes) -> None:
        taken, round_ = self._drill.taken, self._drill.round
        assert taken is not None
        assert round_ is not None
        unit = self._preferences.length
        if round_.setup.water.bottom.is_level:
            paint_level(painter, axes, self.look, self._y(axes, float(taken.ground[0, 0])))
            return
        grounds = (axes.line(taken.time, -unit.from_si(ground)) for ground in taken.ground)
        paint_under_each(painter, self.look, grounds)
        say_under_each(painter, axes, self.look)

    def _mark(self, painter: QPainter, axes: Axes) -> None:
        round_ = self._drill.round
        assert round_ is not None
        mark = round_.mark
        top, low = self._y(axes, mark.depth - mark.band), self._y(axes, mark.depth + mark.band)
        shade = QColor(self.look.mark)
        shade.setAlphaF(0.10)
        painter.fillRect(QRectF(axes.left, top, axes.right - axes.left, low - top), shade)
        painter.setFont(font(SMALL))
        painter.setPen(QColor(self.look.text))
        words = f"mark {self._preferences.length.text(mark.depth, 0)}"
        # away from the moment replayed, which begins at the end
        painter.drawText(QPointF(axes.left + 6, low - 5), words)

    def _best(self, painter: QPainter, axes: Axes) -> None:
        best, taken = self._drill.best, self._drill.taken
        assert taken is not None
        if best is None or best.plan.answer is None:
            return
        time, place = best.path()
        keep = (time <= taken.time[-1]) & np.isfinite(place[0, :, 2])
        unit = self._preferences.length
        for number in range(len(place)):
            z = unit.from_si(place[number, keep, 2])
            axes.dots(painter, time[keep][::2], z[::2], self.look.line_color(number))

    def _own(self, painter: QPainter, axes: Axes, number: int) -> None:
        taken, round_ = self._drill.taken, self._drill.round
        assert taken is not None
        assert round_ is not None
        lure = taken.lure[number]
        z = self._preferences.length.from_si(lure[:, 2])
        mark = round_.mark
        counts = (
            (np.hypot(lure[:, 0], lure[:, 1]) <= round_.setup.timing.radius)
            & (np.abs(-lure[:, 2] - mark.depth) <= mark.band)
            & (np.gradient(lure[:, 2], taken.time) > LIFTING)
        )
        painter.setBrush(Qt.BrushStyle.NoBrush)
        edges = np.flatnonzero(np.diff(np.concatenate([[0], counts.astype(np.int8), [0]])))
        for first, last in zip(edges[::2], edges[1::2], strict=True):
            pen = QPen(self.look.line_color(number), 7.0)
            pen.setCapStyle(Qt.PenCapStyle.RoundCap)
            painter.setPen(pen)
            painter.drawPolyline(axes.line(taken.time[first:last], z[first:last]))
        painter.setPen(self.look.line_pen(number))
        painter.drawPolyline(axes.line(taken.time, z))

    def _moment(self, painter: QPainter, axes: Axes) -> None:
        """The moment replayed, and where the lures were."""
        taken, round_ = self._drill.taken, self._drill.round
        assert taken is not None
        assert round_ is not None
        time = self._replay.time - round_.mark.time
        x = axes.x(time)
        painter.setPen(QPen(QColor(self.look.text), 1.0))
        painter.drawLine(QPointF(x, axes.top), QPointF(x, axes.bottom))
        if time < 0.0:
            return
        for number, lure in enumerate(taken.lure):
            depth = -float(np.interp(time, taken.time, lure[:, 2]))
            draw_symbol(painter, number, QPointF(x, self._y(axes, depth)), 10.0,
                        self.look.line_color(number), QColor(self.look.panel))  # fmt: skip
