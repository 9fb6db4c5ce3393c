"""What the sounder has shown: the bottom moves left under a fixed now, with the mark on it.

It moves with the ground the boat makes good, not with time: a boat that lies
still paints nothing new, and the mark stands as far astern as it is.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app.session.live_run import LiveRun
from app.ui.canvas import Axes, MagnitudeAxis, PaintedPlot
from app.ui.glyphs import draw_fish
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.sea_floor import paint_profile
from app.ui.steps import SMALL

Array = NDArray[np.float64]

ASTERN, AHEAD = 130.0, 12.0
"""How far back the strip shows, and the room kept at its right, m."""

STEP = 0.5
"""The ground is sounded this often, m made good."""

PEBBLE = 7.0
"""Signs on the bottom stand this far apart, m, so that a level one is seen to move."""


class DrillSounder(PaintedPlot):
    """Scrolls with the ground; ``now`` stands still."""

    about = "What the sounder shows: the bottom and marks under the boat as time goes by."

    def __init__(self, live_run: LiveRun, preferences: Preferences) -> None:
        self._live_run, self._preferences = live_run, preferences
        self._gone, self._depth = np.zeros(0), np.zeros(0)
        self._count = 0
        self._made = 0.0
        self._place = (0.0, 0.0)
        self._mark: tuple[float, float] | None = None
        super().__init__(
            preferences.look,
            {"left": MagnitudeAxis("left"), "bottom": MagnitudeAxis("bottom")},
        )
        self.setAccessibleName("Under the sounder")
        self.view.setMouseEnabled(x=False, y=False)
        live_run.frame.connect(self._moved)
        live_run.restarted.connect(self.begin)
        preferences.units_changed.connect(self.fit)
        self.begin()

    def begin(self) -> None:
        """The steady tow that led to the start."""
        picture = self._live_run.picture
        boat = picture.boat
        self._place, self._made, self._mark = (boat.x, boat.y), 0.0, None
        self._gone, self._depth = np.empty(6000), np.empty(6000)
        back: Array = np.arange(-ASTERN, STEP / 2.0, STEP)
        pace = max(math.hypot(*boat.velocity), 1e-6)
        east, north = boat.velocity[0] / pace, boat.velocity[1] / pace
        bottom = self._live_run.scenario.water.bottom
        self._count = len(back)
        self._gone[: len(back)] = back
        self._depth[: len(back)] = bottom.depth_at(boat.x + back * east, boat.y + back * north)
        self.fit()

    def now_shown(self) -> str:
        """The depth under the boat, and the mark."""
        if not self._count:
            return ""
        unit = self._preferences.length
        said = f"Bottom {unit.text(float(self._depth[self._count - 1]))} down."
        if self._mark is None or self.mark_astern is None:
            return said
        deep, astern = unit.text(self._mark[1], 0), unit.text(self.mark_astern, 0)
        return f"{said} Mark {deep} down, {astern} astern."

    def fit(self) -> None:
        """Show the whole water column."""
        unit = self._preferences.length
        deep = self._live_run.scenario.water.bottom.deepest
        self.view.setRange(
            xRange=(unit.from_si(-ASTERN), unit.from_si(AHEAD)),
            yRange=(unit.from_si(-deep * 1.2), unit.from_si(deep * 0.04)),
            padding=0.0,
            disableAutoRange=True,
        )
        self.redraw()

    @property
    def mark_astern(self) -> float | None:
        """How far back the mark stands on the strip, m; None before it came."""
        return None if self._mark is None else self._made - self._mark[0]

    def _moved(self) -> None:
        """Sound the ground gone over since the last frame."""
        picture = self._live_run.picture
        x, y = picture.boat.x, picture.boat.y
        step = math.hypot(x - self._place[0], y - self._place[1])
        self._made += step
        self._place = x, y
        if self._made - self._gone[self._count - 1] >= STEP:
            if self._count == len(self._gone):
                half = self._count // 2
                for row in (self._gone, self._depth):
                    row[:half] = row[-half:]
                self._count = half
            ground = self._live_run.scenario.water.bottom.depth_at(np.array([x]), np.array([y]))
            self._gone[self._count], self._depth[self._count] = self._made, float(ground[0])
            self._count += 1
        mark = picture.mark
        if mark is not None and self._mark is None:
            since = math.hypot(x - mark.x, y - mark.y)
            self._mark = self._made - since, mark.depth
        if step > 0.0:
            self.redraw()

    # ---- painting

    def draw(self, painter: QPainter, axes: Axes) -> None:
        if not self._count:
            return
        unit = self._preferences.length
        area = QRectF(axes.left, axes.top, axes.x(0.0) - axes.left, axes.bottom - axes.top)
        painter.fillRect(area, QColor(self.look.water_top))
        keep = slice(
            int(np.searchsorted(self._gone[: self._count], self._made - ASTERN)), self._count
        )
        gone = np.append(self._gone[keep], self._made)
        depth = np.append(self._depth[keep], self._depth[self._count - 1])
        ground = axes.line(unit.from_si(gone - self._made), -unit.from_si(depth))
        paint_profile(painter, axes, self.look, ground)
        self._pebbles(painter, axes, gone, depth)
        self._fish(painter, axes)
        self._now(painter, axes, float(depth[-1]))

    def _pebbles(self, painter: QPainter, axes: Axes, gone: Array, depth: Array) -> None:
        unit = self._preferences.length
        first = math.ceil(float(gone[0]) / PEBBLE) * PEBBLE
        painter.setPen(QPen(QColor(self.look.bottom_edge), 1.6))
        for at in np.arange(first, float(gone[-1]), PEBBLE):
            x = axes.x(unit.from_si(float(at) - self._made))
            y = axes.y(-unit.from_si(float(np.interp(at, gone, depth))))
            # uneven, and always the same at the same place
            low = 5.0 + 4.0 * abs(math.sin(12.9 * float(at)))
            painter.drawLine(QPointF(x, y + low), QPointF(x + 4.0, y + low))

    def _fish(self, painter: QPainter, axes: Axes) -> None:
        astern = self.mark_astern
        if self._mark is None or astern is None or astern > ASTERN:
            return
        unit = self._preferences.length
        at = QPointF(axes.x(unit.from_si(-astern)), axes.y(-unit.from_si(self._mark[1])))
        draw_fish(painter, at, QColor(self.look.mark), QColor(self.look.water_top))

    def _now(self, painter: QPainter, axes: Axes, depth: float) -> None:
        x = axes.x(0.0)
        painter.setPen(QPen(QColor(self.look.text), 1.2))
        painter.drawLine(QPointF(x, axes.top), QPointF(x, axes.bottom))
        face = font(SMALL, bold=True)
        metrics = QFontMetricsF(face)
        painter.setFont(face)
        words = self._preferences.length.text(depth, 0)
        at = QPointF(x - metrics.horizontalAdvance(words) - 6, axes.top + metrics.ascent() + 4)
        painter.drawText(at, words)
