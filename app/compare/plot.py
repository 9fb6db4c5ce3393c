"""What the plots of the Compare page share: one depth axis, the chosen one in front, values."""

from __future__ import annotations

from abc import abstractmethod
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QMouseEvent, QPainter, QPen

from app.common.units import shown
from app.compare.model import Comparison, Row
from app.compare.signs import draw_sign, pen_of
from app.ui.axis_names import CRAMPED
from app.ui.canvas import Axes, polygon
from app.ui.hover import HoverPlot
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.steps import BODY, SMALL

Array = NDArray[np.float64]

ROOM = 1.12
"""Depth shown beyond the deepest."""

STALE = 0.35
"""How strongly a curve is drawn whose new one is on its way."""

WIDE = 3.6
"""Width of the chosen one's curve, px."""

NEAR = 12.0
"""A click this near a curve chooses it, px."""


@dataclass(frozen=True, slots=True)
class Curve:
    """One candidate's curve: ``x`` (n,) in the plot's own unit, ``depth`` (n,) m."""

    number: int
    name: str
    x: Array
    depth: Array
    stale: bool = False


class ComparePlot(HoverPlot):
    """Depth downwards against something; subclasses give the curves and what stands on them.

    ``picked``: the curve of a candidate was clicked.
    """

    about = "A curve of depth for every candidate; the table below has the numbers."

    picked = Signal(int)

    title = ""
    """What is shown, for a picture of the plot that stands alone."""

    depth_words = ""
    """Before the depth asked about, beside its line."""

    depth_at_left = False
    """Whether the depth asked about is named at the left: curves end at the right."""

    names_bottom = False
    """Whether the bottom's line is named."""

    def __init__(self, comparison: Comparison, preferences: Preferences, name: str) -> None:
        self._comparison, self._preferences = comparison, preferences
        self.rows: list[Row] = []
        self.curves: list[Curve] = []
        self._made_of: tuple[object, ...] = ()
        super().__init__(preferences.look)
        self.setAccessibleName(name)

    # ---- what subclasses give

    @abstractmethod
    def find_curves(self) -> list[Curve]:
        """The curves of the rows."""

    @abstractmethod
    def span(self) -> tuple[float, float]:
        """First and last of what is across."""

    @abstractmethod
    def across(self, x: float) -> str:
        """A place across, in words, for the box of values."""

    @abstractmethod
    def made_of(self) -> list[object]:
        """What the picture shows: it is painted anew only when that is other than before."""

    def behind(self, painter: QPainter, axes: Axes) -> None:
        """What lies behind the curves."""

    def signs(self, painter: QPainter, axes: Axes, curve: Curve) -> None:
        """What stands on one curve."""

    # ---- show

    def now_shown(self) -> str:
        """Whose curves there are."""
        if not self.curves:
            return "Working…" if self.to_come() else self.nothing()
        return f"Curves of {', '.join(curve.name for curve in self.curves)}."

    def take(self, rows: list[Row], deepest: float) -> None:
        """Show the rows, down to ``deepest`` m."""
        self.rows = rows
        curves, unit = self.find_curves(), self._preferences.length
        levels = self._comparison.lineup.depth, self._bottom_depth()
        made_of = (deepest, levels, unit, self.made_of(), [(c.name, c.stale) for c in curves])
        if made_of == self._made_of:
            return
        self._made_of, self.curves = made_of, curves
        self.view.setRange(
            xRange=self.span(),
            yRange=(unit.from_si(-deepest), unit.from_si(0.03 * deepest)),
            padding=0.0,
            disableAutoRange=True,
        )
        self.redraw()

    def y(self, axes: Axes, depth: float) -> float:
        """A depth in m as px."""
        return axes.y(-self._preferences.length.from_si(depth))

    def draw(self, painter: QPainter, axes: Axes) -> None:
        painter.setClipRect(
            QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
        )
        self.behind(painter, axes)
        self._levels(painter, axes)
        chosen = self._comparison.chosen
        unit = self._preferences.length
        for curve in sorted(self.curves, key=lambda c: c.number == chosen):
            width = WIDE if curve.number == chosen else 2.0
            painter.setBrush(Qt.BrushStyle.NoBrush)
            pen = pen_of(curve.number, self.look, width)
            if curve.stale:
                color = pen.color()
                color.setAlphaF(STALE)
                pen.setColor(color)
            painter.setPen(pen)
            x, y = axes.kx * curve.x + axes.x0, axes.y0 - axes.ky * unit.from_si(curve.depth)
            for part in within(x, y, axes):
                painter.drawPolyline(polygon(*part))
        for curve in sorted(self.curves, key=lambda c: c.number == chosen):
            if not curve.stale:
                self.signs(painter, axes, curve)
        if axes.bottom - axes.top >= CRAMPED:
            self._level_words(painter, axes)
        if not self.curves:
            painter.setFont(font(BODY))
            painter.setPen(QColor(self.look.faint))
            words = "Working…" if self.to_come() else self.nothing()
            area = QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
            flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
            painter.drawText(area, flags, words)
        self._hover(painter, axes)

    def to_come(self) -> bool:
        """Whether some row is to have a curve here."""
        return any(not row.trouble for row in self.rows)

    def nothing(self) -> str:
        """What to say where no curve is to come."""
        return "Nothing to show"

    def sign(self, painter: QPainter, axes: Axes, number: int, x: float, depth: float) -> None:
        """A candidate's symbol at a place on its curve."""
        at = QPointF(axes.x(x), self.y(axes, depth))
        if not (axes.top <= at.y() <= axes.bottom and axes.left <= at.x() <= axes.right):
            return
        draw_sign(painter, number, at, 12.0 if number == self._comparison.chosen else 10.0,
                  self.look)  # fmt: skip

    def words(self, painter: QPainter, text: str, x: float, y: float, color: str) -> None:
        """A few words on the plot, from a place in px, with the ground's color behind them."""
        face = font(SMALL)
        metrics = QFontMetricsF(face)
        wide = metrics.horizontalAdvance(text)
        ground = QColor(self.look.panel)
        ground.setAlphaF(0.8)
        painter.fillRect(QRectF(x - 2, y - metrics.ascent(), wide + 4, metrics.height()), ground)
        painter.setFont(face)
        painter.setPen(QColor(color))
        painter.drawText(QPointF(x, y), text)

    def _levels(self, painter: QPainter, axes: Axes) -> None:
        """The surface, the depth asked about, and the scenario's bottom, which none touches."""
        for depth, color, width, dashes in (
            (0.0, self.look.surface, 1.2, None),
            (self._comparison.lineup.depth, self.look.mark, 1.0, [1.0, 3.0]),
            (self._bottom_depth(), self.look.bottom_edge, 1.4, [6.0, 4.0]),
        ):
            if depth is None:
                continue
            pen = QPen(QColor(color), width)
            if dashes is not None:
                pen.setDashPattern(dashes)
            painter.setPen(pen)
            y = self.y(axes, depth)
            painter.drawLine(QPointF(axes.left, y), QPointF(axes.right, y))

    def _bottom_depth(self) -> float | None:
        bottom = self._comparison.document.setup.water.bottom
        return bottom.deepest if bottom.is_level else None

    def _level_words(self, painter: QPainter, axes: Axes) -> None:
        unit = self._preferences.length
        metrics = QFontMetricsF(font(SMALL))
        y = self.y(axes, self._comparison.lineup.depth)
        text = f"{self.depth_words}{shown(self._comparison.lineup.depth, unit)}"
        wide = metrics.horizontalAdvance(text)
        x = axes.left + 5 if self.depth_at_left else axes.right - wide - 4
        self.words(painter, text, x, y - 4, self.look.faint)
        bottom = self._bottom_depth()
        if bottom is None or not self.names_bottom:
            return
        y = self.y(axes, bottom)
        if y < axes.bottom - 2:
            text = f"bottom {shown(bottom, unit)}, not felt here"
            below = y + metrics.ascent() + 2
            self.words(painter, text, axes.left + 5, below if below < axes.bottom else y - 4,
                       self.look.faint)  # fmt: skip

    # ---- mouse

    def mousePressEvent(self, event: QMouseEvent) -> None:
        number = self.nearest(event.position())
        if number is not None:
            self.picked.emit(number)
        super().mousePressEvent(event)

    def nearest(self, at: QPointF) -> int | None:
        """The candidate whose curve is near a place in px of this widget, if one is."""
        unit = self._preferences.length
        place = self.view.mapSceneToView(self.mapToScene(at.toPoint()))
        found, least = None, NEAR
        for curve in self.curves:
            if not curve.x[0] <= place.x() <= curve.x[-1]:
                continue
            depth = float(np.interp(place.x(), curve.x, curve.depth))
            here = self.view.mapViewToScene(QPointF(place.x(), -unit.from_si(depth)))
            away = abs(here.y() - self.mapToScene(at.toPoint()).y())
            if away < least:
                found, least = curve.number, away
        return found

    def _hover(self, painter: QPainter, axes: Axes) -> None:
        at = self.under_pointer(axes)
        if at is None:
            return
        unit = self._preferences.length
        lines, heights = [self.across(at)], []
        for curve in self.curves:
            if curve.x[0] <= at <= curve.x[-1]:
                depth = float(np.interp(at, curve.x, curve.depth))
                lines.append(f"{short(curve.name)}: {unit.text(depth)}")
                heights.append(-unit.from_si(depth))
        self.tell(painter, axes, at, lines, heights)


def within(x: Array, y: Array, axes: Axes) -> list[tuple[Array, Array]]:
    """The parts of a curve in px, ``x`` rising, that lie inside the axes.

    A drawing for a file knows no clipping, so curves themselves end at the edge.
    """
    if (
        axes.left <= x[0] and x[-1] <= axes.right
        and axes.top <= y.min() and y.max() <= axes.bottom
    ):  # fmt: skip
        return [(x, y)]
    left, right = max(axes.left, float(x[0])), min(axes.right, float(x[-1]))
    if left >= right:
        return []
    inner = (x > left) & (x < right)
    ends = np.array([left, right])
    first, last = np.interp(ends, x, y)
    x = np.concatenate([ends[:1], x[inner], ends[1:]])
    y = np.concatenate([[first], y[inner], [last]])
    for level in (axes.top, axes.bottom):
        away = y - level
        at = np.flatnonzero(away[:-1] * away[1:] < 0.0)
        share = away[at] / (away[at] - away[at + 1])
        x = np.insert(x, at + 1, x[at] + share * (x[at + 1] - x[at]))
        y = np.insert(y, at + 1, level)
    shown = (y >= axes.top - 1e-6) & (y <= axes.bottom + 1e-6)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], shown, [False]]).astype(np.int8)))
    runs = zip(edges[::2], edges[1::2], strict=True)
    return [(x[a:b], y[a:b]) for a, b in runs if b - a > 1]


def short(name: str, most: int = 24) -> str:
    """A name cut to fit a small box."""
    return name if len(name) <= most else name[: most - 1] + "…"


def shared_depth(rows: list[Row], comparison: Comparison) -> float:
    """The depth, m, that all plots go down to: all of every drop, and the depth asked about."""
    depths = [comparison.lineup.depth]
    depths += [float(row.drop.depth.max()) for row in rows if row.drop is not None]
    return ROOM * max(depths)
