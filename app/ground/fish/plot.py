"""How deep every line is while a fish is on one, over the ground, where it comes too near."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app.ground.fish.model import FishModel
from app.ui.canvas import Axes
from app.ui.glyphs import draw_symbol
from app.ui.hover import HoverPlot
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.sea_floor import paint_clearance, paint_level, paint_under_each
from app.ui.steps import SMALL
from physics.answers.fought import Fought

FAR_BELOW = 2.5
"""Ground deeper than so many times the deepest line is not shown."""


class FishPlot(HoverPlot):
    """The deepest point of every line against seconds since the fish is on."""

    about = "Depth of every line against seconds while a fish is fought on one of them."

    def __init__(self, model: FishModel, preferences: Preferences) -> None:
        self._model, self._preferences = model, preferences
        super().__init__(preferences.look)
        self.setAccessibleName("Deepest point of every line against seconds since the fish is on")
        self.setMinimumWidth(200)
        model.changed.connect(self.take)
        preferences.units_changed.connect(self.take)
        self.follow_look(preferences)
        self.take()

    def now_shown(self) -> str:
        """How near every line comes to the bottom."""
        found, unit = self._model.found, self._preferences.length
        lines = () if found is None else found.lines
        return " ".join(
            f"{line.rod}: touches bottom." if line.touches is not None
            else f"{line.rod}: {unit.text(line.least)} off bottom at the least."
            for line in lines
        )  # fmt: skip

    def take(self) -> None:
        """Show all of what was found: down to the ground unless that is far below the lines."""
        found = self._model.found
        if found is not None:
            unit = self._preferences.length
            lines = max(float(line.low.max()) for line in found.lines)
            ground = max(float(line.ground.max()) for line in found.lines)
            shoal = min(float(line.ground.min()) for line in found.lines)
            deep = 1.12 * ground
            if ground > FAR_BELOW * lines:
                deep = 1.3 * (max(lines, shoal) if shoal < FAR_BELOW * lines else lines)
            self.view.setRange(
                xRange=(0.0, found.end),
                yRange=(-unit.from_si(deep), unit.from_si(0.04 * deep)),
                padding=0.0,
                disableAutoRange=True,
            )
        self.redraw()

    def draw(self, painter: QPainter, axes: Axes) -> None:
        found = self._model.found
        if found is None:
            return
        self._ground(painter, axes, found)
        painter.setPen(QPen(QColor(self.look.surface), 1.2))
        painter.drawLine(QPointF(axes.left, axes.y(0.0)), QPointF(axes.right, axes.y(0.0)))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for number, line in enumerate(found.lines):
            pen = self.look.line_pen(number)
            if line.rod == found.fight.hooked:
                pen.setWidthF(3.6)
            painter.setPen(pen)
            painter.drawPolyline(axes.line(line.time, self._up(np.maximum(line.low, 0.0))))
        for number, line in enumerate(found.lines):
            at = axes.left + 10 + 12 * number
            low = float(np.interp((at - axes.x0) / axes.kx, line.time, line.low))
            color, rim = self.look.line_color(number), QColor(self.look.panel)
            draw_symbol(painter, number, QPointF(at, axes.y(-self._of(low))), 9.0, color, rim)
            if line.fouls is not None:
                self._touch(
                    painter, axes, line.fouls, float(np.interp(line.fouls, line.time, line.low))
                )
        self._words(painter, axes)
        self._hover(painter, axes, found)

    def _of(self, meters: float) -> float:
        return self._preferences.length.from_si(meters)

    def _up(self, depth: np.ndarray) -> np.ndarray:
        return -self._preferences.length.from_si(depth)

    def _ground(self, painter: QPainter, axes: Axes, found: Fought) -> None:
        if np.ptp([line.ground for line in found.lines]) < 1e-6:
            depth = float(found.lines[0].ground[0])
            y = axes.y(-self._of(depth))
            if y < axes.bottom:
                paint_level(painter, axes, self.look, y)
                keep = axes.y(-self._of(depth - found.fight.needed))
                paint_clearance(painter, axes, self.look, keep)
            return
        grounds = (axes.line(line.time, self._up(line.ground)) for line in found.lines)
        paint_under_each(painter, self.look, grounds)

    def _touch(self, painter: QPainter, axes: Axes, time: float, low: float) -> None:
        """A ring where a line comes too near."""
        painter.setPen(QPen(QColor(self.look.alarm), 2.2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(QPointF(axes.x(time), axes.y(-self._of(low))), 6.0, 6.0)

    def _words(self, painter: QPainter, axes: Axes) -> None:
        face = font(SMALL)
        painter.setFont(face)
        painter.setPen(QColor(self.look.faint))
        words = f"{self._preferences.length.symbol} deep, by seconds from fish on"
        metrics = QFontMetricsF(face)
        room = axes.right - axes.left - 8
        words = metrics.elidedText(words, Qt.TextElideMode.ElideRight, room)
        x = axes.right - metrics.horizontalAdvance(words) - 4
        at, back = QPointF(x, axes.bottom - 5), QColor(self.look.panel)
        back.setAlphaF(0.8)
        painter.fillRect(metrics.boundingRect(words).translated(at), back)
        painter.drawText(at, words)

    def _hover(self, painter: QPainter, axes: Axes, found: Fought) -> None:
        time = self.under_pointer(axes)
        if time is None:
            return
        unit = self._preferences.length
        said, heights = [f"{time:.0f} s after the fish is on"], []
        for line in found.lines:
            low = float(np.interp(time, line.time, line.low))
            off = float(np.interp(time, line.time, line.ground)) - low
            said.append(f"{line.rod}: {unit.text(max(low, 0.0))} down, {unit.text(off)} off")
            heights.append(-unit.from_si(low))
        self.tell(painter, axes, time, said, heights)
