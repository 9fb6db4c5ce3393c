"""The bottom along its bearing, with points to drag, and where boat and lures are over it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPen, QPolygonF

from app.common.units import compass_degrees
from app.scenario.bottom_shapes import with_new_point, with_point, without_point
from app.session.live_run import LiveRun
from app.ui.axis_names import AxisNames
from app.ui.canvas import Axes, MagnitudeAxis, PaintedPlot
from app.ui.glyphs import draw_symbol
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.sea_floor import paint_profile
from app.ui.steps import SMALL
from physics.checks import InvalidValue
from physics.environment.water import Bottom, compass_vector

Array = NDArray[np.float64]

GRIP = 9.0
"""The pointer takes hold of a point within this, px."""

LEAST_DEPTH = 0.5
"""A point is not dragged shallower than this, m."""


class ProfilePlot(PaintedPlot):
    """Drag a point, double-click to add one, Delete takes the chosen one away.

    ``chosen`` carries the number of the point in hand, -1 for none.
    """

    about = "Depth of the bottom against distance along its bearing; its points can be dragged."

    axis_room = (38, 24)

    chosen = Signal(int)

    def __init__(self, live_run: LiveRun, preferences: Preferences) -> None:
        self._live_run, self._preferences = live_run, preferences
        self._document = live_run.document
        self._held: Bottom | None = None
        self.number = -1
        super().__init__(
            preferences.look, {"left": MagnitudeAxis("left"), "bottom": pg.AxisItem("bottom")}
        )
        for side in ("left", "bottom"):
            self.getAxis(side).enableAutoSIPrefix(False)
        self._axes = AxisNames(self, preferences)
        self.setAccessibleName("Bottom along its bearing")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.view.setMouseEnabled(x=False, y=False)
        self._document.setup_changed.connect(self.fit)
        live_run.figures.connect(self._follow)
        preferences.units_changed.connect(self.fit)
        self.follow_look(preferences)
        self.fit()

    @property
    def bottom(self) -> Bottom:
        """The setup's bottom, or the one being dragged."""
        return self._held or self._document.setup.water.bottom

    def now_shown(self) -> str:
        """How many points, and how deep."""
        unit, bottom = self._preferences.length, self.bottom
        if bottom.is_level:
            return f"Level, {unit.text(bottom.deepest)} deep."
        low, high = unit.text(bottom.shallowest), unit.text(bottom.deepest)
        return f"{len(bottom.points)} points, {low} to {high} deep."

    def fit(self) -> None:
        """Show all points with room about them."""
        unit, bottom = self._preferences.length, self._document.setup.water.bottom
        self.number = min(self.number, len(bottom.points) - 1)
        bearing = round(compass_degrees(bottom.bearing)) % 360
        self._axes.name(f"along {bearing:03d}°, {unit.symbol}", f"depth, {unit.symbol}")
        first, last = self._in_view()
        self.view.setRange(
            xRange=(unit.from_si(first), unit.from_si(last)),
            yRange=(unit.from_si(-1.25 * bottom.deepest), unit.from_si(0.06 * bottom.deepest)),
            padding=0.0,
            disableAutoRange=True,
        )
        self.redraw()

    def _in_view(self) -> tuple[float, float]:
        """From where to where along the bearing is shown, m: all points, as far as boat and
        lures let them."""
        points = self._document.setup.water.bottom.points
        room = max(60.0, 0.25 * (points[-1][0] - points[0][0]))
        first, last = points[0][0] - room, points[-1][0] + room
        margin = 0.1 * (last - first)
        places = self._places()
        if len(places):
            low, high = float(places.min()) - margin, float(places.max()) + margin
            shift = max(high - last, 0.0) or min(low - first, 0.0)
            first, last = min(first + shift, low), max(last + shift, high)
        return first, last

    def _places(self) -> Array:
        """How far along the bearing boat and lures are, m; nothing before there is a run."""
        picture = getattr(self._live_run, "picture", None)
        if picture is None:
            return np.empty(0)
        east, north = compass_vector(self.bottom.bearing)
        x = np.append(picture.lure[:, 0], picture.boat.x)
        y = np.append(picture.lure[:, 1], picture.boat.y)
        out: Array = x * east + y * north
        return out

    def _follow(self) -> None:
        """Keep boat and lures in view, but for while a point is in the hand."""
        if self.isVisible() and self._held is None:
            unit = self._preferences.length
            first, last = (unit.from_si(end) for end in self._in_view())
            self.view.setXRange(first, last, padding=0.0)
        self.redraw()

    # ---- painting

    def draw(self, painter: QPainter, axes: Axes) -> None:
        unit, bottom = self._preferences.length, self.bottom
        area = QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
        surface = axes.y(0.0)
        painter.fillRect(
            QRectF(area.left(), surface, area.width(), area.bottom() - surface),
            QColor(self.look.water_top),
        )
        along = np.array([a for a, _ in bottom.points])
        depth = np.array([d for _, d in bottom.points])
        x = np.concatenate([[along[0] - 1e5], along, [along[-1] + 1e5]])
        y = np.concatenate([[depth[0]], depth, [depth[-1]]])
        ground = axes.line(unit.from_si(x), -unit.from_si(y))
        paint_profile(painter, axes, self.look, ground)
        painter.setPen(QPen(QColor(self.look.surface), 1.2))
        painter.drawLine(QPointF(area.left(), surface), QPointF(area.right(), surface))
        self._live(painter, axes, bottom)
        for number in range(len(along)):
            self._point(painter, axes, number, float(along[number]), float(depth[number]))

    def _point(
        self, painter: QPainter, axes: Axes, number: int, along: float, depth: float
    ) -> None:
        unit = self._preferences.length
        at = QPointF(axes.x(unit.from_si(along)), axes.y(-unit.from_si(depth)))
        here = number == self.number
        painter.setPen(QPen(QColor(self.look.panel), 1.5))
        painter.setBrush(QColor(self.look.choice if here else self.look.text))
        size = 6.0 if here else 4.5
        painter.drawRect(QRectF(at.x() - size, at.y() - size, 2 * size, 2 * size))
        if here:
            words = f"{unit.text(depth)} at {unit.text(along, 0)}"
            face = font(SMALL)
            width = QFontMetricsF(face).horizontalAdvance(words) + 8
            left = min(max(at.x() - width / 2, axes.left + 2), axes.right - width - 2)
            box = QRectF(left, at.y() + 9, width, 17)
            painter.setFont(face)
            painter.fillRect(box, QColor(self.look.panel))
            painter.setPen(QColor(self.look.text))
            painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)

    def _live(self, painter: QPainter, axes: Axes, bottom: Bottom) -> None:
        """Where the boat and every lure are now."""
        picture = getattr(self._live_run, "picture", None)
        if picture is None:
            return
        unit = self._preferences.length
        east, north = compass_vector(bottom.bearing)
        boat = picture.boat.x * east + picture.boat.y * north
        at = QPointF(axes.x(unit.from_si(boat)), axes.y(0.0))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(self.look.boat))
        painter.drawPolygon(
            QPolygonF([at + QPointF(-8, -7), at + QPointF(8, -7), at + QPointF(0, 2)])
        )
        for number, lure in enumerate(picture.lure):
            place = float(lure[0] * east + lure[1] * north)
            spot = QPointF(axes.x(unit.from_si(place)), axes.y(unit.from_si(float(lure[2]))))
            color = self.look.line_color(number)
            draw_symbol(painter, number, spot, 10.0, color, QColor(self.look.panel))

    # ---- mouse and keys

    def _data(self, at: QPointF) -> tuple[float, float]:
        """(along, depth) m under a pointer."""
        point = self.view.mapSceneToView(self.mapToScene(at.toPoint()))
        unit = self._preferences.length
        return unit.to_si(point.x()), max(unit.to_si(-point.y()), LEAST_DEPTH)

    def near(self, at: QPointF) -> int:
        """Number of the point under a pointer, or -1."""
        unit = self._preferences.length
        for number, (along, depth) in enumerate(self.bottom.points):
            data = QPointF(unit.from_si(along), -unit.from_si(depth))
            spot = QPointF(self.mapFromScene(self.view.mapViewToScene(data)))
            if max(abs(spot.x() - at.x()), abs(spot.y() - at.y())) <= GRIP:
                return number
        return -1

    def choose(self, number: int) -> None:
        """Take a point in hand."""
        if number != self.number:
            self.number = number
            self.chosen.emit(number)
            self.redraw()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.setFocus()
            self.choose(self.near(event.position()))
            event.accept()
            return
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton and self.number >= 0:
            along, depth = self._data(event.position())
            bottom = self._document.setup.water.bottom
            if bottom.is_level:
                along = bottom.points[0][0]
            try:
                self._held = with_point(bottom, self.number, along, depth)
            except InvalidValue:
                return
            self.redraw()
            return
        over = self.near(event.position()) >= 0
        self.setCursor(Qt.CursorShape.SizeAllCursor if over else Qt.CursorShape.ArrowCursor)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._held is not None:
            held, self._held = self._held, None
            self._take(held, "move a point of the bottom")
            return
        super().mouseReleaseEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if self.near(event.position()) >= 0:
            return
        along, depth = self._data(event.position())
        bottom = self._document.setup.water.bottom
        if bottom.is_level:
            # the first new point makes a slope of a level bottom, along the boat's heading
            bottom = replace(bottom, bearing=self._document.setup.heading)
        try:
            new = with_new_point(bottom, along, depth)
        except InvalidValue:
            return
        if self._take(new, "add a point to the bottom"):
            self.choose([p[0] for p in new.points].index(along))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.remove_chosen()
            return
        super().keyPressEvent(event)

    def remove_chosen(self) -> None:
        """Take the point in hand away."""
        if self.number >= 0:
            bottom = self._document.setup.water.bottom
            self._take(without_point(bottom, self.number), "take away a point of the bottom")

    def _take(self, bottom: Bottom, text: str) -> bool:
        setup = self._document.setup
        taken = self._document.edit(replace(setup, water=replace(setup.water, bottom=bottom)), text)
        self.redraw()
        return taken
