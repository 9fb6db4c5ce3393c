"""The thing in hand on its own: its fall with its attitude, or its coast-down, and the figures."""

from __future__ import annotations

import math

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from app.common.units import FOOT
from app.tackle.job import MARKS, SHARES, Trial
from app.tackle.tryout import Tryout
from app.ui.axis_names import AxisNames
from app.ui.canvas import Axes, MagnitudeAxis, PaintedPlot
from app.ui.figure import Figure
from app.ui.glyphs import draw_lure
from app.ui.look import font
from app.ui.panel import quiet
from app.ui.plain import Label
from app.ui.preferences import Preferences
from app.ui.steps import BODY, FIGURE, WIDE
from app.ui.what_is import explain
from physics.line.tackle import Lure
from physics.vessel.boat import Boat

HEADLINE = MARKS.index(20.0)
"""Which of the depths timed to is told in large figures."""

POSES = 6
"""How many times a falling lure is drawn along its curve."""


class TrialPlot(PaintedPlot):
    """Depth against seconds of a fall, or speed against seconds of a coast-down."""

    about = "How deep the tackle in hand sinks or runs by itself."

    def __init__(self, tryout: Tryout, preferences: Preferences) -> None:
        self._tryout, self._preferences = tryout, preferences
        self._up = MagnitudeAxis("left")
        super().__init__(
            preferences.look,
            {"left": self._up, "bottom": MagnitudeAxis("bottom")},
        )
        self.setAccessibleName("What it does by itself")
        self.view.setMouseEnabled(x=False, y=False)
        tryout.changed.connect(self.fit)
        preferences.units_changed.connect(self.fit)
        self.follow_look(preferences)
        self._axes = AxisNames(self, preferences)
        self.fit()

    def values(self, found: Trial) -> np.ndarray:
        """What is plotted, in units on screen, upward."""
        if found.kind == "boat":
            return self._preferences.speed.from_si(found.value)
        return -self._preferences.length.from_si(found.value)

    def now_shown(self) -> str:
        """Where the curve ends."""
        found = self._tryout.found
        if found is None:
            return ""
        unit = self._preferences.speed if found.kind == "boat" else self._preferences.length
        end, seconds = float(found.value[-1]), f"after {found.time[-1]:.0f} s."
        if found.kind == "boat":
            return f"{unit.text(end)} {seconds}"
        return f"{unit.text(abs(end))} {'down' if end > 0.0 else 'up'} {seconds}"

    def fit(self) -> None:
        """Show the whole curve."""
        found = self._tryout.found
        self.show_values(found is not None)
        if found is None:
            self._axes.name("", "")
        else:
            if found.kind == "boat":
                self._axes.name("s out of gear", f"speed, {self._preferences.speed.symbol}")
            else:
                up = f"depth, {self._preferences.length.symbol}"
                self._axes.name("s after it is let go", up)
            y = self.values(found)
            low, high = min(float(y.min()), 0.0), max(float(y.max()), 0.0)
            # what sinks is never above the water
            self._up.negative_only = high <= 0.0
            room = 0.12 * max(high - low, 0.1)
            self.view.setRange(
                xRange=(0.0, float(found.time[-1])),
                yRange=(low - room if low < 0.0 else 0.0, high + room if high > 0.0 else room),
                padding=0.0,
                disableAutoRange=True,
            )
        self.redraw()

    def draw(self, painter: QPainter, axes: Axes) -> None:
        found, thing = self._tryout.found, self._tryout.thing
        if found is None:
            painter.setFont(font(BODY))
            painter.setPen(QColor(self.look.faint))
            area = QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
            words = self._tryout.trouble or "Trying it…"
            painter.drawText(area, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap, words)
            return
        color = self.look.line_color(0)
        y = self.values(found)
        if found.kind != "boat":
            painter.setPen(QPen(QColor(self.look.surface), 1.4))
            painter.drawLine(QPointF(axes.left, axes.y(0.0)), QPointF(axes.right, axes.y(0.0)))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(color, 2.0))
        painter.drawPolyline(axes.line(found.time, y))
        if isinstance(thing, Lure):
            self._poses(painter, axes, found, y, thing.kind)

    def _poses(self, painter: QPainter, axes: Axes, found: Trial, y: np.ndarray, kind: str) -> None:
        """The lure along its fall, nose the way it points."""
        color, rim = self.look.line_color(0), QColor(self.look.panel)
        for share in np.linspace(0.0, 0.92, POSES):
            time = float(share * found.time[-1])
            pitch = float(np.interp(time, found.time, found.pitch))
            at = QPointF(axes.x(time) + 14, axes.y(float(np.interp(time, found.time, y))))
            toward = QPointF(math.cos(pitch), math.sin(pitch))
            draw_lure(painter, kind, at, toward, 26.0, color, rim)


class TrialView(QWidget):
    """The rate in large figures, the plot, and the times."""

    def __init__(self, tryout: Tryout, preferences: Preferences) -> None:
        super().__init__()
        self._tryout, self._preferences = tryout, preferences
        self.rate = Figure(preferences, FIGURE, "Rate", "sink rate")
        self.time = Figure(preferences, FIGURE, "Time", "time to sink")
        self.plot = TrialPlot(tryout, preferences)
        self.times = [(quiet(), Label()) for _ in MARKS]
        self.words = quiet()
        self.words.setWordWrap(True)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.rate)
        layout.addWidget(self.time)
        layout.addWidget(self.plot, 1)
        grid = QGridLayout()
        for row, (name, value) in enumerate(self.times):
            value.setAlignment(Qt.AlignmentFlag.AlignRight)
            value.setFont(font(BODY, bold=True))
            grid.addWidget(name, row, 0)
            grid.addWidget(value, row, 1)
        # a time stands near what it is of, however wide the plot
        grid.setColumnStretch(2, 1)
        grid.setHorizontalSpacing(WIDE)
        layout.addLayout(grid)
        layout.addWidget(self.words)
        tryout.changed.connect(self.refresh)
        preferences.units_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the trial of the thing in hand."""
        found, thing = self._tryout.found, self._tryout.thing
        rate = self._preferences.rate
        if found is None:
            for figure in (self.rate, self.time):
                figure.show_figure("…", "", dim=True)
            for name, value in self.times:
                name.setText("")
                value.setText("")
            return
        if found.kind == "boat" and isinstance(thing, Boat):
            half = found.seconds_to(0.5 * thing.trolling_speed)
            self.rate.show_figure("–" if half is None else f"{half:.1f}", "s to half speed")
            explain(self.rate, "time to half speed")
            explain(self.time, "way")
            said = [
                (
                    f"To {100 * s:.0f} % of trolling speed",
                    found.seconds_to(s * thing.trolling_speed),
                )
                for s in SHARES
            ]
            said.append((f"Distance run in {found.time[-1]:.0f} s", None))
        else:
            explain(self.rate, "sink rate")
            explain(self.time, "time to sink")
            word = "sinks" if found.rate > 0.0 else "rises"
            self.rate.show_figure(f"{abs(rate.from_si(found.rate)):.2f}", f"{rate.symbol} {word}")
            unit = self._preferences.length
            feet = unit is FOOT
            deep = [FOOT.to_si(m) if feet else m / 4.0 for m in MARKS]
            way, sign = ("Down", 1.0) if found.rate > 0.0 else ("Up", -1.0)
            said = [
                (f"{way} {unit.text(d, 0 if feet else 1)}", found.seconds_to(sign * d))
                for d in deep
            ]
        self._show_time(found, said)
        for (name, value), (words, seconds) in zip(self.times, said, strict=True):
            name.setText(words)
            value.setText("–" if seconds is None else f"{seconds:.1f} s")
        if found.kind == "boat":
            self.times[-1][1].setText(self._preferences.length.text(found.way, 0))
        self.words.setText(
            {
                "lure": "Let go level at the surface, in still water like the scenario's.",
                "line": "A level length of it, in still water like the scenario's.",
                "boat": "Out of gear from trolling speed, no wind, no current.",
            }[found.kind]
        )

    def _show_time(self, found: Trial, said: list[tuple[str, float | None]]) -> None:
        """Seconds to 20 ft, or how far a boat goes."""
        if found.kind == "boat":
            way = self._preferences.length.text(found.way, 0)
            self.time.show_figure(
                way.split()[0], f"{way.split()[1]} in {found.time[-1]:.0f} s out of gear"
            )
            return
        words, seconds = said[HEADLINE]
        deep = words.partition(" ")[2]
        up = "" if found.rate > 0.0 else " up"
        self.time.show_figure("–" if seconds is None else f"{seconds:.1f}", f"s to {deep}{up}")
