"""Hits at each level of a factor: a dot for the rate, a bar for its 80 % interval."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import QApplication

from app.log.learn.findings import Finding
from app.log.learn.rates import Rates
from app.log.learn.words import Saying
from app.ui.canvas import Axes
from app.ui.hover import HoverPlot, draw_hover
from app.ui.look import px
from app.ui.preferences import Preferences

ROW = 24.0
"""Height of a level, px."""

FOOT = 44.0
"""Height of the axis and its name, px."""

NAMES = 150.0
"""Most room for the names of levels, px."""


class RatesPlot(HoverPlot):
    """Levels from top to bottom, rates across; a thin line is where the whole stands."""

    def __init__(self, preferences: Preferences) -> None:
        self._found: Finding | None = None
        self._hourly = False
        self._worded = Saying()
        super().__init__(preferences.look)

    def show_finding(self, found: Finding, saying: Saying, hourly: bool) -> None:
        """Show a factor's rates by line-hour or by line-drop."""
        self._found, self._worded, self._hourly = found, saying, hourly
        rates, title = self._rates(found), found.factor.title
        self.setAccessibleName(f"Hits by {title.lower()}")
        self.say()
        self._name_levels(found)
        bottom = self.getAxis("bottom")
        style = {"color": self.look.faint, "font-size": "8.5pt"}
        bottom.setLabel("hits a line-hour" if hourly else "hits in 100 line-drops", **style)
        bottom.setHeight(round(px(FOOT - 4.0)))
        self.setFixedHeight(round(px(ROW) * len(found.levels) + px(FOOT)))
        self.view.setRange(
            xRange=(0.0, 1.08 * float(rates.high.max()) * self._scale),
            yRange=(0.6 - len(found.levels), 0.6),
            padding=0.0,
            disableAutoRange=True,
        )
        self.redraw()

    def now_shown(self) -> str:
        """Every level in words."""
        levels = () if self._found is None else self._found.levels
        return "\n".join(self._said(k) for k in range(len(levels)))

    def _name_levels(self, found: Finding) -> None:
        metrics = QFontMetricsF(QApplication.font())
        room = px(NAMES)
        names = [
            metrics.elidedText(
                self._worded.level(found.factor, level), Qt.TextElideMode.ElideRight, room
            )
            for level in found.levels
        ]
        left = self.getAxis("left")
        left.setTicks([[(-float(k), name) for k, name in enumerate(names)]])
        # the same for all factors, so that plots above each other line up
        left.setWidth(round(room + px(12)))

    @property
    def _scale(self) -> float:
        return 1.0 if self._hourly else 100.0

    def _rates(self, found: Finding) -> Rates:
        return found.by_hour if self._hourly else found.by_drop

    def _said(self, k: int) -> str:
        """One level in words."""
        assert self._found is not None
        rates = self._rates(self._found)
        fished = rates.exposure[k]
        of = f"in {fished:.1f} line-hours" if self._hourly else f"of {fished:.0f} line-drops"
        among = "a line-hour" if self._hourly else "in 100"
        rate, low, high = (self._scale * x[k] for x in (rates.rate, rates.low, rates.high))
        name = self._worded.level(self._found.factor, self._found.levels[k])
        seen = f"{name}: {rates.hits[k]:.0f} {of}"
        return f"{seen}; about {rate:.1f} {among}, 80 % range {low:.1f} to {high:.1f}"

    def draw(self, painter: QPainter, axes: Axes) -> None:
        if self._found is None:
            return
        look, rates = self.look, self._rates(self._found)
        whole = self._scale * rates.hits.sum() / max(rates.exposure.sum(), 1e-9)
        painter.setPen(QPen(QColor(look.edge), 1.0, Qt.PenStyle.DashLine))
        painter.drawLine(QPointF(axes.x(whole), axes.top), QPointF(axes.x(whole), axes.bottom))
        for k in range(len(rates.rate)):
            y = axes.y(-float(k))
            color = QColor(look.accent if k in self._found.told else look.choice)
            painter.setPen(QPen(color, px(2.5)))
            low, high = (axes.x(self._scale * float(end[k])) for end in (rates.low, rates.high))
            painter.drawLine(QPointF(low, y), QPointF(high, y))
            for end in (low, high):
                painter.drawLine(QPointF(end, y - px(4)), QPointF(end, y + px(4)))
            painter.setBrush(color)
            middle, size = axes.x(self._scale * float(rates.rate[k])), px(4.5)
            if k in self._found.told:
                # told by its shape too
                painter.drawRect(QRectF(middle - size, y - size, 2 * size, 2 * size))
            else:
                painter.drawEllipse(QPointF(middle, y), size, size)
        self._tell(painter, axes)

    def _tell(self, painter: QPainter, axes: Axes) -> None:
        across = self.under_pointer(axes)
        assert self._found is not None
        self.hover_lines = []
        if across is None or self._pointer is None:
            return
        level = round(-(self._pointer.y() - axes.y0) / axes.ky)
        if 0 <= level < len(self._found.levels):
            self.hover_lines = self._said(level).split("; ")
            draw_hover(painter, axes, self.look, axes.x(across), self.hover_lines)
