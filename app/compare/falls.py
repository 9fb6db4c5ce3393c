"""Lures alone, let go at the surface in still water: depth against time, and their attitude."""

from __future__ import annotations

import math

import numpy as np
from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QPainter

from app.compare.plot import ComparePlot, Curve
from app.compare.signs import color_of
from app.ui.canvas import Axes
from app.ui.glyphs import draw_lure

LURE = 22.0
"""Length of a lure drawn on its curve, px."""

APART = 62.0
"""Lures are drawn this far apart along a curve, px."""

LEAST_SECONDS, MOST_SECONDS = 4.0, 15.0


class FallPlot(ComparePlot):
    """Free fall; a lure that floats stays at the surface."""

    depth_at_left = True
    title = "Free fall from the surface in still water: depth against seconds"

    def find_curves(self) -> list[Curve]:
        return [
            Curve(row.number, row.candidate.name, row.fall.time, np.maximum(row.fall.depth, 0.0))
            for row in self.rows
            if row.fall is not None
        ]

    def made_of(self) -> list[object]:
        return [id(row.fall) for row in self.rows]

    def span(self) -> tuple[float, float]:
        # until all that sink have left the plot, but for very slow ones
        deepest = -self._preferences.length.to_si(self.view.viewRange()[1][0])
        last = LEAST_SECONDS
        for row in self.rows:
            if row.fall is not None and row.fall.rate > 0.0:
                out = np.flatnonzero(row.fall.depth >= deepest)
                last = max(last, float(row.fall.time[out[0]]) if len(out) else MOST_SECONDS)
        return 0.0, min(last, MOST_SECONDS)

    def across(self, x: float) -> str:
        return f"{x:.1f} s after it is let go"

    def behind(self, painter: QPainter, axes: Axes) -> None:
        if any(row.fall is not None and row.fall.rate < 0.0 for row in self.rows):
            y = self.y(axes, 0.0) + 22.0
            self.words(painter, "float", axes.right - 34.0, y, self.look.faint)

    def signs(self, painter: QPainter, axes: Axes, curve: Curve) -> None:
        row = self.rows[curve.number]
        assert row.fall is not None
        kind = self._comparison.document.catalog.lures[row.candidate.lure].kind
        color, rim = color_of(curve.number, self.look), QColor(self.look.panel)
        # each begins a little later, so that lures of like curves do not lie on each other
        offset = 16.0 + 9.0 * curve.number
        x = axes.kx * curve.x + axes.x0
        y = axes.ky * -self._preferences.length.from_si(curve.depth) + axes.y0
        along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
        inside = along[(x <= axes.right - 8) & (y <= axes.bottom - 8)]
        if not len(inside):
            return
        at = np.arange(offset, float(inside[-1]), APART)
        pitches = np.interp(np.interp(at, along, curve.x), row.fall.time, row.fall.pitch)
        places = zip(np.interp(at, along, x), np.interp(at, along, y), pitches, strict=True)
        for px, py, pitch in places:
            toward = QPointF(math.cos(pitch), math.sin(pitch))
            draw_lure(painter, kind, QPointF(px, py), toward, LURE, color, rim)
        end = len(inside) - 1
        self.sign(painter, axes, curve.number, float(curve.x[end]), float(curve.depth[end]))
