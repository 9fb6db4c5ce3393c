"""Courses on the view from above: drawn with the mouse, planned, and still to run."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPen

from app.ground.top_view import TopView
from app.ui.canvas import Axes

Array = NDArray[np.float64]

FEWEST = 3
"""A way of fewer places is a slip of the mouse."""

PLANNED, STEERED = (6.0, 4.0), (2.0, 2.0)
"""Dashes, in pen widths, of a course that would be steered and of one that is."""


class CourseDrawing(QObject):
    """Paints ``planned`` and ``steered`` ((n, 2) m over ground) and takes a way drawn by hand.

    ``drawn`` carries the places (n, 2), m over ground; ``ended`` comes after it, or alone
    when drawing was given up.
    """

    drawn = Signal(object)
    ended = Signal()

    def __init__(self, top: TopView) -> None:
        super().__init__(top)
        self._top = top
        self.steered: Array | None = None
        self.drawing = False
        self._places: list[tuple[float, float]] = []
        self._followed = False
        top.overlays.append(self._paint)
        top.installEventFilter(self)
        top.viewport().installEventFilter(self)

    @property
    def planned(self) -> Array | None:
        """The track of the course that would be steered; kept in view."""
        return self._top.planned

    @planned.setter
    def planned(self, way: Array | None) -> None:
        self._top.planned = way

    def begin(self) -> None:
        """Take the mouse on the view as a pencil; the view stands still meanwhile."""
        self._places, self.drawing = [], True
        self._followed = self._top.follows
        self._top.hold_still()
        self._top.viewport().setCursor(Qt.CursorShape.CrossCursor)
        self._top.setFocus()

    def give_up(self) -> None:
        """End drawing without a way."""
        if self.drawing:
            self._end()
            self.ended.emit()

    def _end(self) -> None:
        self.drawing, self._places = False, []
        self._top.viewport().unsetCursor()
        if self._followed:
            self._top.fit()
        self._top.redraw()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not self.drawing:
            return False
        if isinstance(event, QKeyEvent):
            escape = event.key() == Qt.Key.Key_Escape
            if escape and event.type() == QEvent.Type.KeyPress:
                self.give_up()
            return escape
        if watched is not self._top.viewport() or not isinstance(event, QMouseEvent):
            return False
        pressed = bool(event.buttons() & Qt.MouseButton.LeftButton)
        if event.type() == QEvent.Type.MouseButtonRelease:
            self._finish()
        elif pressed:
            place = self._top.place(event.position())
            if not self._places or place != self._places[-1]:
                self._places.append(place)
            self._top.redraw()
        return True

    def _finish(self) -> None:
        places = np.array(self._places)
        if len(places) < FEWEST:
            # the pencil stays in hand
            self._places = []
            return
        self._end()
        self.drawn.emit(places)
        self.ended.emit()

    def _paint(self, painter: QPainter, axes: Axes) -> None:
        look = self._top.look
        painter.setBrush(Qt.BrushStyle.NoBrush)
        pencil = np.array(self._places) if self._places else None
        for way, color, dashes in (
            (self.planned, look.choice, PLANNED),
            (self.steered, look.text, STEERED),
            (pencil, look.text, ()),
        ):
            if way is None:
                continue
            pen = QPen(QColor(color), 1.8)
            if dashes:
                pen.setDashPattern(list(dashes))
            painter.setPen(pen)
            painter.drawPolyline(self._top.path(axes, way[:, 0], way[:, 1]))
