"""What stands beside a plot's axes: the quantity and its unit."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject

from app.ui.canvas import PaintedPlot
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.steps import SMALL

ROOM = 16
"""A name needs this much more beside the ticks, px."""

LEAST = 170
"""In a plot lower than this ticks stand alone, px."""

CRAMPED = 120
"""A picture lower than this sheds what stands on it, px."""


class AxisNames(QObject):
    """Names both axes of a plot, or neither where there is no room."""

    def __init__(self, plot: PaintedPlot, preferences: Preferences) -> None:
        super().__init__(plot)
        self._plot, self._preferences = plot, preferences
        self._names = ("", "")
        plot.installEventFilter(self)
        preferences.look_changed.connect(self._show)

    def name(self, across: str, up: str) -> None:
        """What lies across and what goes up."""
        if (across, up) != self._names:
            self._names = across, up
            self._show()

    def eventFilter(self, _plot: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize:
            self._show()
        return False

    def _show(self) -> None:
        roomy = self._plot.height() >= LEAST
        size = f"{font(SMALL).pointSizeF():g}pt"
        style = {"color": self._preferences.look.faint, "font-size": size}
        bottom, left = self._plot.getAxis("bottom"), self._plot.getAxis("left")
        for axis, words in zip((bottom, left), self._names, strict=True):
            axis.setLabel(words, **style)
            axis.showLabel(roomy)
        more = ROOM if roomy else 0
        wide, high = type(self._plot).axis_room
        self._plot.axis_room = wide + more, high + more
        self._plot.text_resized()
