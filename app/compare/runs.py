"""How deep each line runs: by speed, or by colors out."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QPainter, QPen

from app.common.units import COLOR
from app.compare.plot import ComparePlot, Curve
from app.ui.canvas import Axes

POINTS = 80
"""Points of a curve."""

LEAST_OUT = COLOR.to_si(0.5)


class RunPlot(ComparePlot):
    """Run depth in steady tow; a symbol where each candidate is now."""

    by_colors = False

    @property
    def title(self) -> str:  # type: ignore[override]
        across = "colors out" if self.by_colors else self._preferences.speed.name
        return f"Run depth in steady tow against {across}"

    def show_colors(self, on: bool) -> None:
        """Across: colors out, or speed."""
        if on != self.by_colors:
            self.by_colors = on
            self.take(self.rows, -self._preferences.length.to_si(self.view.viewRange()[1][0]))

    def find_curves(self) -> list[Curve]:
        low, high = self.span()
        out = []
        for row in self.rows:
            if row.tow is None:
                continue
            x = np.linspace(low, high, POINTS)
            if self.by_colors:
                outs = COLOR.to_si(x)
                x, depth = x, row.tow.by_out(self._comparison.speed, outs)
            else:
                depth = row.tow.by_speed(row.candidate.line_out, self._preferences.speed.to_si(x))
            stale = "tow" in row.stale
            out.append(Curve(row.number, row.candidate.name, x, depth, stale))
        return out

    def made_of(self) -> list[object]:
        here = self._comparison.lineup, self._comparison.speed, self.by_colors
        return [here, self.span(), *(id(row.tow) for row in self.rows)]

    def span(self) -> tuple[float, float]:
        if self.by_colors:
            return COLOR.from_si(LEAST_OUT), COLOR.from_si(self._comparison.most_out)
        speeds = self._comparison.speeds
        low, high = (self._preferences.speed.from_si(speeds[k]) for k in (0, -1))
        return low + 1e-9, high - 1e-9

    def across(self, x: float) -> str:
        if self.by_colors:
            return f"{x:.1f} colors at {self._preferences.speed.text(self._comparison.speed)}"
        return f"{x:.1f} {self._preferences.speed.symbol}"

    def to_come(self) -> bool:
        return any(not (row.trouble or row.candidate.alone) for row in self.rows)

    def nothing(self) -> str:
        return "No candidate is on a line"

    def behind(self, painter: QPainter, axes: Axes) -> None:
        if self.by_colors:
            return
        x = axes.x(self._preferences.speed.from_si(self._comparison.speed))
        painter.setPen(QPen(QColor(self.look.accent), 1.2))
        painter.drawLine(QPointF(x, axes.top), QPointF(x, axes.bottom))
        here = self._preferences.speed.text(self._comparison.speed)
        self.words(painter, here, x + 5, axes.bottom - 5, self.look.text)

    def signs(self, painter: QPainter, axes: Axes, curve: Curve) -> None:
        row = self.rows[curve.number]
        here = self._preferences.speed.from_si(self._comparison.speed)
        if self.by_colors:
            here = COLOR.from_si(row.candidate.line_out)
        depth = float(np.interp(here, curve.x, curve.depth))
        self.sign(painter, axes, curve.number, here, depth)
