"""The side view: boat, lines in their computed shape, lures, mark and bottom, to scale."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSizeF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QLinearGradient,
    QPainter,
    QPen,
    QPolygonF,
)

from app.live.label_places import label_places, leader
from app.live.readout import against_mark, lures_now
from app.session.live_run import LiveRun
from app.session.picture import Picture
from app.ui.canvas import Axes, polygon
from app.ui.glyphs import (
    boat_outline,
    draw_fish,
    draw_hooked,
    draw_lure,
    draw_symbol,
    draw_turn,
    shelter_outline,
)
from app.ui.hover import HoverPlot
from app.ui.look import font, px
from app.ui.preferences import Preferences
from app.ui.sea_floor import paint_profile
from app.ui.steps import SMALL

Array = NDArray[np.float64]

MOST_EXAGGERATION = 10.0
"""Depth is drawn larger than length where the view has room, up to this many times."""

BOAT_LENGTH = 8.0
BOAT_SIDE = 1.0
"""Size of the drawn boat, m."""

SMALLEST_LURE = 20.0
"""Lures are drawn at least this long, px, or nobody would see their attitude."""

TRAIL = 120.0
"""Length of the drawn past track of a lure, s."""


class SideView(HoverPlot):
    """Follows the boat; ``scale_changed`` says that ``exaggeration`` did."""

    about = "The boat, every line and lure, the mark and the bottom from the side."

    scale_changed = Signal()

    def __init__(self, live_run: LiveRun, preferences: Preferences) -> None:
        self._live_run, self._preferences = live_run, preferences
        self.exaggeration = 1.0
        self._fitted = True
        super().__init__(preferences.look, below_only=True, still=False)
        self.setAccessibleName("Side view")
        self.view.sigRangeChangedManually.connect(self._moved_by_hand)
        self.view.sigResized.connect(self._refit)
        self.view.setAspectLocked(True, 1.0)
        live_run.frame.connect(self.redraw)
        live_run.ahead_changed.connect(self.redraw)
        live_run.restarted.connect(self.fit)
        preferences.units_changed.connect(self.fit)
        self.fit()

    # ---- what is in view

    def fit(self) -> None:
        """Show boat, lines and bottom, and follow the boat again."""
        self._fitted = True
        scenario = self._live_run.scenario
        longest = max(rod.line_out + rod.astern for rod in scenario.rods)
        deep = scenario.water.bottom.deepest
        height = max(4.0, max(rod.height for rod in scenario.rods) + 1.0)
        unit = self._preferences.length
        left = unit.from_si(-longest * 1.06 - 3.0)
        right = unit.from_si(BOAT_LENGTH * 0.72 + 3.0)
        low, high = unit.from_si(-deep * 1.10 - 0.3), unit.from_si(height)
        size = self.view.size()
        width, tall = max(size.width(), 50.0), max(size.height(), 50.0)
        # pixels per unit across, then the largest exaggeration that still fits
        across = width / (right - left)
        room = tall / (across * (high - low))
        chosen = max(math.floor(min(room, MOST_EXAGGERATION) * 10.0) / 10.0, 1.0)
        self.view.setAspectLocked(True, 1.0 / chosen)
        if room < 1.0:
            across *= room
            left = right - width / across
        span = tall / (across * chosen)
        top = high
        self.view.setRange(
            xRange=(left, right), yRange=(top - span, top), padding=0.0, disableAutoRange=True
        )
        if chosen != self.exaggeration:
            self.exaggeration = chosen
            self.scale_changed.emit()
        self.redraw()

    @property
    def fitted(self) -> bool:
        """Whether the view shows everything, as opposed to where a hand moved it."""
        return self._fitted

    def _moved_by_hand(self) -> None:
        self._fitted = False

    def _refit(self, *_: object) -> None:
        if self._fitted:
            self.fit()

    # ---- painting

    def draw(self, painter: QPainter, axes: Axes) -> None:
        picture = getattr(self._live_run, "picture", None)
        if picture is None:
            return
        ground = self._ground_line(picture, axes)
        self._water(painter, axes)
        self._trails(painter, axes, picture)
        self._mark(painter, axes, picture)
        self._ahead(painter, axes, picture)
        self._bottom(painter, axes, ground)
        self._surface(painter, axes)
        self._boat(painter, axes)
        self._lines(painter, axes, picture)
        self._mark_words(painter, axes, picture)
        self._hover(painter, axes, picture)

    def now_shown(self) -> str:
        """Every lure, and how far the mark is."""
        picture = getattr(self._live_run, "picture", None)
        if picture is None:
            return ""
        said = lures_now(picture, self._preferences)
        if picture.mark is None:
            return said
        near = (
            f"{rod.name}: {against_mark(picture, number, self._preferences)}."
            for number, rod in enumerate(picture.rods)
        )
        return " ".join((said, *near))

    # ---- hover

    def _hover(self, painter: QPainter, axes: Axes, picture: Picture) -> None:
        place = self.pointed_at(axes)
        if place is None:
            self.hover_lines = []
            return
        self.tell(painter, axes, place[0], self._values_at(*place, picture), place[1:])

    def _values_at(self, along: float, up: float, picture: Picture) -> list[str]:
        """How far off, how deep and how high over the bottom a place is, in the unit on screen."""
        unit = self._preferences.length
        symbol = unit.symbol
        east, north = picture.ahead()
        meters = unit.to_si(along)
        x, y = picture.boat.x + meters * east, picture.boat.y + meters * north
        ground = unit.from_si(float(picture.bottom.depth_at(np.array([x]), np.array([y]))[0]))
        out = [f"{abs(along):.0f} {symbol} {'astern' if along < 0.0 else 'ahead'}"]
        if up > 0.0:
            return [*out, f"{up:.1f} {symbol} over the water"]
        if -up >= ground:
            return [*out, f"bottom {ground:.1f} {symbol} down"]
        return [*out, f"{-up:.1f} {symbol} down", f"{ground + up:.1f} {symbol} off bottom"]

    # ---- its parts

    def _unit(self, meters: Array) -> Array:
        return self._preferences.length.from_si(meters)

    def _water(self, painter: QPainter, axes: Axes) -> None:
        surface = max(axes.y(0.0), axes.top)
        area = QRectF(axes.left, surface, axes.right - axes.left, axes.bottom - surface)
        deep = self._preferences.length.from_si(self._live_run.scenario.water.bottom.deepest)
        gradient = QLinearGradient(0.0, axes.y(0.0), 0.0, axes.y(-deep))
        gradient.setColorAt(0.0, QColor(self.look.water_top))
        gradient.setColorAt(1.0, QColor(self.look.water_deep))
        painter.fillRect(area, gradient)

    def _surface(self, painter: QPainter, axes: Axes) -> None:
        painter.setPen(QPen(QColor(self.look.surface), 1.4))
        y = axes.y(0.0)
        painter.drawLine(QPointF(axes.left, y), QPointF(axes.right, y))

    def _ground_line(self, picture: Picture, axes: Axes) -> QPolygonF:
        """The bottom along the boat's heading, in pixels."""
        bottom = self._live_run.scenario.water.bottom
        if bottom.is_level:
            px = np.array([axes.left, axes.right])
        else:
            px = np.linspace(axes.left, axes.right, 160)
        along = self._preferences.length.to_si((px - axes.x0) / axes.kx)
        east, north = picture.ahead()
        depth = bottom.depth_at(picture.boat.x + along * east, picture.boat.y + along * north)
        return polygon(px, axes.ky * -self._unit(depth) + axes.y0)

    def _bottom(self, painter: QPainter, axes: Axes, ground: QPolygonF) -> None:
        paint_profile(painter, axes, self.look, ground)

    def _trails(self, painter: QPainter, axes: Axes, picture: Picture) -> None:
        track = self._live_run.track
        time = track.time
        first = int(np.searchsorted(time, picture.time - TRAIL))
        every = max(1, (len(time) - first) // 150)
        for number in range(len(picture.rods)):
            points = track.lure[first::every, number]
            if len(points) < 2:
                continue
            x = self._unit(picture.along(points[:, 0], points[:, 1]))
            painter.setPen(self.look.track_pen(number))
            painter.drawPolyline(axes.line(x, self._unit(points[:, 2])))

    def _ahead(self, painter: QPainter, axes: Axes, picture: Picture) -> None:
        ahead = self._live_run.ahead
        if ahead is None or len(ahead.lines) != len(picture.rods):
            return
        for number, line in enumerate(ahead.lines):
            place = line.dots[line.dots[:, 0] >= picture.time, 1:]
            if len(place) < 2:
                continue
            x = self._unit(picture.along(place[:, 0], place[:, 1]))
            y = self._unit(place[:, 2])
            axes.dots(painter, x, y, self.look.line_color(number))
            if line.turn is not None and line.turn[0] > picture.time + 0.3:
                k = int(np.argmin(y))
                at = QPointF(axes.x(float(x[k])), axes.y(float(y[k])))
                draw_turn(
                    painter, number, at, self.look.line_color(number), QColor(self.look.panel)
                )

    def _mark(self, painter: QPainter, axes: Axes, picture: Picture) -> None:
        x = axes.x(0.0)
        pen = QPen(QColor(self.look.boat_trim), 1.0)
        pen.setDashPattern([2.0, 4.0])
        painter.setPen(pen)
        painter.drawLine(QPointF(x, axes.y(0.0)), QPointF(x, axes.bottom))
        mark = picture.mark
        if mark is None:
            return
        along = float(picture.along(np.array([mark.x]), np.array([mark.y]))[0])
        unit = self._preferences.length
        x = axes.x(unit.from_si(along))
        y = axes.y(unit.from_si(-mark.depth))
        pen = QPen(QColor(self.look.mark), 1.2)
        pen.setDashPattern([4.0, 3.0])
        painter.setPen(pen)
        painter.drawLine(QPointF(x, axes.y(0.0)), QPointF(x, y - 14))
        draw_fish(painter, QPointF(x, y), QColor(self.look.mark), QColor(self.look.water_deep))

    def _mark_words(self, painter: QPainter, axes: Axes, picture: Picture) -> None:
        """How deep the mark is, over the lines that cross it."""
        mark, unit = picture.mark, self._preferences.length
        if mark is None:
            return
        along = float(picture.along(np.array([mark.x]), np.array([mark.y]))[0])
        at = QPointF(axes.x(unit.from_si(along)) + 6, axes.y(0.0) + 4)
        text, color = f"mark {unit.text(mark.depth, 0)}", QColor(self.look.mark)
        self._text(painter, at, text, color, below=True)

    def _boat(self, painter: QPainter, axes: Axes) -> None:
        unit = self._preferences.length
        painter.setPen(QPen(QColor(self.look.sky), 1.0))
        for outline, color in (
            (shelter_outline(BOAT_LENGTH, BOAT_SIDE), self.look.boat_trim),
            (boat_outline(BOAT_LENGTH, BOAT_SIDE), self.look.boat),
        ):
            shape = QPolygonF()
            for point in (outline.at(k) for k in range(outline.size())):
                shape.append(
                    QPointF(axes.x(unit.from_si(point.x())), axes.y(unit.from_si(point.y())))
                )
            painter.setBrush(QColor(color))
            painter.drawPolygon(shape)

    def _lines(self, painter: QPainter, axes: Axes, picture: Picture) -> None:
        rim = QColor(self.look.panel)
        labels: list[tuple[QPointF, int]] = []
        per_meter = abs(axes.kx) * self._preferences.length.from_si(1.0)
        for number, nodes in enumerate(picture.nodes):
            x = self._unit(picture.along(nodes[0], nodes[1]))
            y = self._unit(nodes[2])
            line = axes.line(x[:-1], y[:-1])
            tip = line.at(0)
            unit = self._preferences.length
            stern = QPointF(
                axes.x(unit.from_si(-0.2 * BOAT_LENGTH)), axes.y(unit.from_si(BOAT_SIDE * 0.85))
            )
            painter.setPen(QPen(QColor(self.look.boat_trim), 2.0))
            painter.drawLine(stern, tip)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(self.look.line_pen(number))
            painter.drawPolyline(line)
            nose = QPointF(axes.x(float(x[-2])), axes.y(float(y[-2])))
            tail = QPointF(axes.x(float(x[-1])), axes.y(float(y[-1])))
            toward = nose - tail
            lure = picture.rods[number].lure
            length = max(SMALLEST_LURE, lure.length * per_meter)
            size = math.hypot(toward.x(), toward.y()) or 1.0
            middle = nose - toward * (0.5 * length / size)
            color = self.look.line_color(number)
            draw_lure(painter, lure.kind, middle, toward, length, color, rim)
            if picture.fish[number]:
                draw_hooked(painter, tail, toward, color, rim)
            labels.append((middle, number))
        self._labels(painter, axes, picture, labels)

    def _labels(
        self, painter: QPainter, axes: Axes, picture: Picture, labels: list[tuple[QPointF, int]]
    ) -> None:
        """Names beside the lures, with a thin line to those that they cannot stand near."""
        name_font = font(SMALL, bold=True)
        metrics = QFontMetricsF(name_font)
        seen = [
            (at, number)
            for at, number in labels
            if axes.left < at.x() < axes.right and axes.top < at.y() < axes.bottom
        ]
        texts = [
            metrics.elidedText(picture.rods[number].name, Qt.TextElideMode.ElideMiddle, px(110.0))
            for _, number in seen
        ]
        sizes = [QSizeF(metrics.horizontalAdvance(text) + 16, metrics.height()) for text in texts]
        room = QRectF(
            QPointF(axes.left + 4, axes.top + 4), QPointF(axes.right - 4, axes.bottom - 4)
        )
        boxes = label_places([at for at, _ in seen], sizes, room)
        for (at, number), text, box in zip(seen, texts, boxes, strict=True):
            color = self.look.line_color(number)
            if (ends := leader(box, at)) is not None:
                painter.setPen(QPen(color, 1.0))
                painter.drawLine(*ends)
            draw_symbol(painter, number, QPointF(box.left() + 6, box.center().y()), 9.0, color,
                        QColor(self.look.panel))  # fmt: skip
            self._halo(painter, QPointF(box.left() + 15, box.bottom() - metrics.descent()), text,
                       color, name_font)  # fmt: skip

    def _halo(self, painter: QPainter, at: QPointF, text: str, color: QColor, face: QFont) -> None:
        painter.setFont(face)
        metrics = QFontMetricsF(face)
        back = QColor(self.look.water_top)
        back.setAlphaF(0.7)
        width = metrics.horizontalAdvance(text)
        box = QRectF(at.x() - 2, at.y() - metrics.ascent(), width + 4, metrics.height())
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(back)
        painter.drawRoundedRect(box, 3, 3)
        painter.setPen(color)
        painter.drawText(at, text)

    def _text(
        self, painter: QPainter, at: QPointF, text: str, color: QColor, *, below: bool
    ) -> None:
        face = font(SMALL)
        drop = QFontMetricsF(face).ascent() if below else 0.0
        self._halo(painter, at + QPointF(0, drop), text, color, face)
