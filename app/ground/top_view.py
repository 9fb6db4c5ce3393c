"""The water from above, north up: contours, track, lines, lures, mark, current and wind."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF

from app.common.units import compass_degrees
from app.ground.compass_axis import NAMES, ROOM, CompassAxis
from app.ground.contours import contours, label_place, spacing
from app.session.live_run import LiveRun
from app.session.look_ahead import DOT_SPACING
from app.session.picture import Picture
from app.ui.axis_names import AxisNames
from app.ui.canvas import Axes, PaintedPlot
from app.ui.glyphs import draw_fish, draw_hooked, draw_symbol
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.steps import SMALL
from physics.environment.water import Bottom, compass_vector

Array = NDArray[np.float64]

BOAT_LENGTH, BOAT_BEAM = 8.0, 2.6
"""Size of the drawn boat, m."""

SMALLEST_BOAT = 22.0
"""It is drawn at least this long, px."""

DOT_GAP = 6.0
"""Dots of a look-ahead stand at least this far apart, px."""

TRAIL = 240.0
"""Length of the drawn past track, s."""

SHADES = 24
"""Strips the ground is shaded in."""

Contour = tuple[str, QPointF, QPointF]
"""A contour drawn: its label and its ends, px."""


class TopView(PaintedPlot):
    """Follows the boat until it is moved by hand; ``fit`` follows again."""

    about = "The boat, every line and lure, the mark and the bottom's depths from above, north up."

    axis_room = ROOM

    def __init__(self, live_run: LiveRun, preferences: Preferences) -> None:
        self._live_run, self._preferences = live_run, preferences
        self._follow = True
        self.overlays: list[Callable[[QPainter, Axes], None]] = []
        """Painted over the ground and the tracks, under lines and boat."""
        self.planned: Array | None = None
        """Places (n, 2) over ground, m, to have in view with boat and lures."""
        super().__init__(preferences.look, {side: CompassAxis(side) for side in ("left", "bottom")})
        self._names = AxisNames(self, preferences)
        self.setAccessibleName("From above, north up")
        self.view.setAspectLocked(True, 1.0)
        self.view.sigRangeChangedManually.connect(self._moved_by_hand)
        live_run.frame.connect(self._moved)
        live_run.restarted.connect(self.fit)
        live_run.document.setup_changed.connect(self.redraw)
        preferences.units_changed.connect(self.fit)
        self.follow_look(preferences)
        self.fit()

    def name_axes(self) -> None:
        """Say what the axes count."""
        symbol = self._preferences.length.symbol
        self._names.name(*(f"{words}, {symbol}" for words in NAMES))

    def now_shown(self) -> str:
        """Where the boat points, and where from her every lure is."""
        picture = getattr(self._live_run, "picture", None)
        if picture is None:
            return ""
        boat, unit = picture.boat, self._preferences.length
        east, north = picture.ahead()
        out = [f"Heading {round(compass_degrees(boat.heading)) % 360:03d}°."]
        for rod, (x, y, _) in zip(picture.rods, picture.lure - [boat.x, boat.y, 0.0], strict=True):
            astern, right = -(x * east + y * north), x * north - y * east
            side = "starboard" if right > 0.0 else "port"
            out.append(
                f"{rod.name}: {unit.text(astern, 0)} astern, {unit.text(abs(right), 0)} to {side}."
            )
        return " ".join(out)

    # ---- what is in view

    def fit(self) -> None:
        """Show boat and lines, and follow the boat again."""
        self._follow = True
        self._center()

    def hold_still(self) -> None:
        """Follow the boat no longer."""
        self._follow = False

    @property
    def follows(self) -> bool:
        """Whether the view moves with the boat."""
        return self._follow

    def _moved_by_hand(self) -> None:
        self._follow = False

    def _moved(self) -> None:
        if not self.isVisible():
            return
        if self._follow:
            self._center()
        self.redraw()

    def _center(self) -> None:
        """Boat, lures and what is planned in the middle."""
        picture = getattr(self._live_run, "picture", None)
        if picture is None:
            return
        unit = self._preferences.length
        longest = max(rod.line_out + rod.astern for rod in picture.rods)
        places = np.vstack([picture.lure[:, :2], [[picture.boat.x, picture.boat.y]]])
        if self.planned is not None:
            places = np.vstack([places, self.planned])
        x, y = 0.5 * (places.min(axis=0) + places.max(axis=0))
        half = max(0.75 * longest + 10.0, 0.55 * float(np.ptp(places, axis=0).max()))
        self.view.setRange(
            xRange=(unit.from_si(x - half), unit.from_si(x + half)),
            yRange=(unit.from_si(y - half), unit.from_si(y + half)),
            padding=0.0,
            disableAutoRange=True,
        )

    # ---- painting

    def draw(self, painter: QPainter, axes: Axes) -> None:
        picture = getattr(self._live_run, "picture", None)
        if picture is None:
            return
        area = QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
        drawn = self._ground(painter, axes, area)
        taken = [*self._spoken_for(axes, picture), *self._arrows(painter, area)]
        taken.append(self._legend(painter, area))
        self._contour_labels(painter, area, drawn, taken)
        self._tracks(painter, axes, picture)
        self._ahead(painter, axes)
        for overlay in self.overlays:
            overlay(painter, axes)
        self._mark(painter, axes, picture)
        self._lines(painter, axes, picture)
        self._boat(painter, axes, picture)

    def place(self, pixel: QPointF) -> tuple[float, float]:
        """A pixel of the viewport as a place over ground, m."""
        unit = self._preferences.length
        at = self.view.mapSceneToView(self.mapToScene(pixel.toPoint()))
        return unit.to_si(at.x()), unit.to_si(at.y())

    def at(self, axes: Axes, x: float, y: float) -> QPointF:
        """A place over ground, m, as a pixel."""
        unit = self._preferences.length
        return QPointF(axes.x(unit.from_si(x)), axes.y(unit.from_si(y)))

    def path(self, axes: Axes, x: Array, y: Array) -> QPolygonF:
        """Places over ground, m, as pixels."""
        unit = self._preferences.length
        return axes.line(unit.from_si(x), unit.from_si(y))

    def _ground(self, painter: QPainter, axes: Axes, area: QRectF) -> list[Contour]:
        bottom = self._live_run.scenario.water.bottom
        painter.fillRect(area, QColor(self.look.water_deep))
        if bottom.is_level:
            return []
        self._shade(painter, axes, bottom)
        return self._contours(painter, axes, bottom)

    def _strip(self, axes: Axes, bottom: Bottom, first: float, last: float) -> QPolygonF:
        """A strip of ground across the bearing, between two distances along it, m."""
        east, north = compass_vector(bottom.bearing)
        far = 5000.0
        corners = [(first, -far), (first, far), (last, far), (last, -far)]
        return QPolygonF(
            [self.at(axes, a * east + c * north, a * north - c * east) for a, c in corners]
        )

    def _shade(self, painter: QPainter, axes: Axes, bottom: Bottom) -> None:
        """Lighter where it is shallower."""
        along = np.array([a for a, _ in bottom.points])
        depth = np.array([d for _, d in bottom.points])
        edges = np.linspace(along[0], along[-1], SHADES + 1)
        edges[0], edges[-1] = edges[0] - 5000.0, edges[-1] + 5000.0
        low, high = bottom.shallowest, bottom.deepest
        painter.setPen(Qt.PenStyle.NoPen)
        for first, last in pairwise(edges.tolist()):
            middle = min(max(0.5 * (first + last), along[0]), along[-1])
            share = 1.0 - (float(np.interp(middle, along, depth)) - low) / max(high - low, 0.01)
            painter.setBrush(self._shade_color(share))
            painter.drawPolygon(self._strip(axes, bottom, first, last))

    def _contours(self, painter: QPainter, axes: Axes, bottom: Bottom) -> list[Contour]:
        """Every contour drawn, with its ends for a label."""
        unit = self._preferences.length
        painter.setPen(QPen(QColor(self.look.bottom_edge), 1.0))
        east, north = compass_vector(bottom.bearing)
        out = []
        for level, along in contours(bottom, unit):
            ends = [
                self.at(axes, along * east + side * north, along * north - side * east)
                for side in (-5000.0, 5000.0)
            ]
            painter.drawLine(*ends)
            out.append((f"{level:g}", ends[0], ends[1]))
        return out

    def _contour_labels(
        self, painter: QPainter, area: QRectF, drawn: list[Contour], taken: list[QRectF]
    ) -> None:
        """A depth on every contour where it finds room."""
        face = font(SMALL)
        metrics = QFontMetricsF(face)
        painter.setFont(face)
        for words, first, last in drawn:
            size = metrics.horizontalAdvance(words) + 6.0, metrics.height()
            box = label_place(first, last, area, size, taken)
            if box is not None:
                taken.append(box)
                painter.fillRect(box, QColor(self.look.panel))
                painter.setPen(QColor(self.look.text))
                painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)

    def _legend(self, painter: QPainter, area: QRectF) -> QRectF:
        """What shades and contours mean, in the lower left corner; returns where."""
        unit, bottom = self._preferences.length, self._live_run.scenario.water.bottom
        face = font(SMALL)
        metrics = QFontMetricsF(face)
        painter.setFont(face)
        if bottom.is_level:
            lines = [f"level bottom, {unit.text(bottom.deepest, 0)}"]
        else:
            every = f"{spacing(bottom, unit):g} {unit.symbol}"
            lines = [f"a contour every {every}", ""]
        low, high = unit.text(bottom.shallowest, 0), unit.text(bottom.deepest, 0)
        inside = max(metrics.horizontalAdvance(lines[0]),
                     metrics.horizontalAdvance(low + high) + 60.0 * (len(lines) > 1))  # fmt: skip
        tall = metrics.height() * len(lines) + 6.0
        box = QRectF(area.left() + 8, area.bottom() - tall - 8, inside + 14, tall)
        painter.fillRect(box, QColor(self.look.panel))
        painter.setPen(QColor(self.look.text))
        y = box.top() + 3 + metrics.ascent()
        painter.drawText(QPointF(box.left() + 7, y), lines[0])
        if len(lines) > 1:
            y += metrics.height()
            left = box.left() + 7
            painter.drawText(QPointF(left, y), low)
            right = box.right() - 7 - metrics.horizontalAdvance(high)
            painter.drawText(QPointF(right, y), high)
            left += metrics.horizontalAdvance(low) + 5
            ramp = QRectF(left, y - 9, right - 5 - left, 10)
            for step in range(SHADES):
                share = 1.0 - (step + 0.5) / SHADES
                wide = ramp.width() / SHADES
                painter.fillRect(
                    QRectF(ramp.left() + step * wide, ramp.top(), wide + 0.5, ramp.height()),
                    self._shade_color(share),
                )
        return box

    def _shade_color(self, share: float) -> QColor:
        """Of ground so far up between the deepest and the shallowest, 0 to 1."""
        deep, shoal, sand = (
            QColor(c) for c in (self.look.water_deep, self.look.water_top, self.look.bottom)
        )
        return blend(blend(deep, shoal, share), sand, 0.45 * share)

    def _spoken_for(self, axes: Axes, picture: Picture) -> list[QRectF]:
        """Where boat and lures are: no label covers them."""
        places = [(picture.boat.x, picture.boat.y), *picture.lure[:, :2].tolist()]
        spots = [self.at(axes, x, y) for x, y in places]
        return [QRectF(at.x() - 12, at.y() - 12, 24, 24) for at in spots]

    def _tracks(self, painter: QPainter, axes: Axes, picture: Picture) -> None:
        track = self._live_run.track
        first = int(np.searchsorted(track.time, picture.time - TRAIL))
        every = max(1, (len(track.time) - first) // 240)
        rows = slice(first, None, every)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        pen = QPen(QColor(self.look.boat_trim), 1.2)
        pen.setDashPattern([4.0, 3.0])
        painter.setPen(pen)
        painter.drawPolyline(self.path(axes, track.boat[rows, 0], track.boat[rows, 1]))
        for number in range(track.lure.shape[1]):
            painter.setPen(self.look.track_pen(number))
            lure = track.lure[rows, number]
            painter.drawPolyline(self.path(axes, lure[:, 0], lure[:, 1]))

    def _ahead(self, painter: QPainter, axes: Axes) -> None:
        ahead = self._live_run.ahead
        if ahead is None:
            return
        unit = self._preferences.length
        every = max(1, math.ceil(DOT_GAP / abs(axes.kx * unit.from_si(DOT_SPACING))))
        for number, line in enumerate(ahead.lines):
            # thinned before the past ones go, so that those left stay where they are
            dots = line.dots[::every]
            dots = dots[dots[:, 0] > self._live_run.now]
            axes.dots(painter, unit.from_si(dots[:, 1]), unit.from_si(dots[:, 2]),
                      self.look.line_color(number))  # fmt: skip

    def _mark(self, painter: QPainter, axes: Axes, picture: Picture) -> None:
        mark = picture.mark
        if mark is None:
            return
        at = self.at(axes, mark.x, mark.y)
        radius = self._live_run.document.setup.timing.radius
        size = abs(self.at(axes, mark.x + radius, mark.y).x() - at.x())
        pen = QPen(QColor(self.look.mark), 1.0)
        pen.setDashPattern([3.0, 3.0])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(at, size, size)
        draw_fish(painter, at, QColor(self.look.mark), QColor(self.look.panel))

    def _lines(self, painter: QPainter, axes: Axes, picture: Picture) -> None:
        for number, nodes in enumerate(picture.nodes):
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(self.look.line_pen(number, 1.6))
            painter.drawPolyline(self.path(axes, nodes[0], nodes[1]))
        for number, lure in enumerate(picture.lure):
            at = self.at(axes, float(lure[0]), float(lure[1]))
            color = self.look.line_color(number)
            if picture.fish[number]:
                nodes = picture.nodes[number]
                toward = self.at(axes, float(nodes[0, -4]), float(nodes[1, -4])) - at
                draw_hooked(painter, at, toward, color, QColor(self.look.panel))
            draw_symbol(painter, number, at, 11.0, color, QColor(self.look.panel))

    def _boat(self, painter: QPainter, axes: Axes, picture: Picture) -> None:
        """Her outline from above, the sounder's transducer at the place she is."""
        boat = picture.boat
        at = self.at(axes, boat.x, boat.y)
        tip = self.at(axes, boat.x + BOAT_LENGTH, boat.y)
        scale = max(abs(tip.x() - at.x()), SMALLEST_BOAT) / BOAT_LENGTH
        long, wide = BOAT_LENGTH * scale, BOAT_BEAM * scale
        hull = QPolygonF(
            [
                QPointF(-0.28 * long, -0.45 * wide),
                QPointF(0.30 * long, -0.5 * wide),
                QPointF(0.58 * long, -0.3 * wide),
                QPointF(0.72 * long, 0.0),
                QPointF(0.58 * long, 0.3 * wide),
                QPointF(0.30 * long, 0.5 * wide),
                QPointF(-0.28 * long, 0.45 * wide),
            ]
        )
        painter.save()
        painter.translate(at)
        painter.rotate(math.degrees(boat.heading) - 90.0)
        painter.setPen(QPen(QColor(self.look.panel), 1.2))
        painter.setBrush(QColor(self.look.boat))
        painter.drawPolygon(hull)
        painter.restore()

    def _arrows(self, painter: QPainter, area: QRectF) -> list[QRectF]:
        """Current and wind in the corner, with their figures; returns where. North is up."""
        taken = []
        water = self._live_run.document.setup.water
        x = area.right() - 26.0
        y = area.top() + 26.0
        for words, (east, north), comes_from in (
            ("current", water.current, False),
            ("wind", water.wind, True),
        ):
            speed = math.hypot(east, north)
            if speed < 0.01:
                continue
            toward = math.atan2(east, north)
            told = compass_degrees(toward + (math.pi if comes_from else 0.0))
            way = "from" if comes_from else "sets"
            said = f"{words} {way} {told:03.0f}°, {self._preferences.speed.text(speed)}"
            taken.append(self._arrow(painter, QPointF(x, y), toward, said))
            y += 40.0
        return taken

    def _arrow(self, painter: QPainter, at: QPointF, toward: float, words: str) -> QRectF:
        long = 15.0
        way = QPointF(math.sin(toward), -math.cos(toward))
        tail, tip = at - way * long, at + way * long
        painter.setPen(QPen(QColor(self.look.text), 2.2))
        painter.drawLine(tail, tip)
        for turn in (2.6, -2.6):
            side = QPointF(math.sin(toward + turn), -math.cos(toward + turn))
            painter.drawLine(tip, tip + side * 8.0)
        face = font(SMALL)
        painter.setFont(face)
        width = QFontMetricsF(face).horizontalAdvance(words)
        box = QRectF(at.x() - 26.0 - width, at.y() - 9.0, width + 6.0, 18.0)
        painter.fillRect(box, QColor(self.look.panel))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)
        return box.united(QRectF(at.x() - 20.0, at.y() - 20.0, 40.0, 40.0))


def blend(a: QColor, b: QColor, share: float) -> QColor:
    """A color between two."""
    one = 1.0 - share
    return QColor(
        round(one * a.red() + share * b.red()),
        round(one * a.green() + share * b.green()),
        round(one * a.blue() + share * b.blue()),
    )
