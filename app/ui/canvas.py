"""A plot whose picture is painted in one go, in pixels, over data axes.

One item that paints everything costs a fraction of dozens of plot items, and
keeps pen widths and symbols in pixels whatever the zoom.
"""

from __future__ import annotations

import sys
from abc import abstractmethod
from collections.abc import Callable

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt, QTimer
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QFocusEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
    QTransform,
)
from PySide6.QtWidgets import QApplication

from app.ui.look import Look, px
from app.ui.plot_menu import PlotMenu
from app.ui.preferences import Preferences
from app.ui.steps import SNUG

Array = NDArray[np.float64]

SAY_MS = 1000
"""What screen readers are told is at most this old, ms."""

FAR = 1e5
"""Half-size of the painted item in data units: beyond any view."""


class Axes:
    """Data to pixels for one paint; ``x`` and ``y`` take numbers or arrays."""

    def __init__(self, transform: QTransform, view: QRectF) -> None:
        self.kx, self.x0 = transform.m11(), transform.dx()
        self.ky, self.y0 = transform.m22(), transform.dy()
        area = transform.mapRect(view)
        self.left, self.right = area.left(), area.right()
        self.top, self.bottom = area.top(), area.bottom()

    def x(self, value: float) -> float:
        return self.kx * value + self.x0

    def y(self, value: float) -> float:
        return self.ky * value + self.y0

    def dots(self, painter: QPainter, x: Array, y: Array, color: QColor) -> None:
        """Draw data points as dots: one call, where a dotted pen costs ten times more."""
        if not len(x):
            return
        painter.setPen(QPen(color, 2.0))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.drawPoints(self.line(x, y))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, True)

    def line(self, x: Array, y: Array) -> QPolygonF:
        """A polyline of data points as pixels."""
        return polygon(self.kx * x + self.x0, self.ky * y + self.y0)


def polygon(x: Array, y: Array) -> QPolygonF:
    """A QPolygonF of pixel coordinates, which may be none."""
    if not len(x):
        # the library cannot fill a polygon without points
        return QPolygonF()
    out: QPolygonF = pg.functions.arrayToQPolygonF(x, y)
    return out


def spans(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """(first, beyond last) of every run of true flags."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


class Canvas(pg.GraphicsObject):
    """The item that paints: calls ``draw`` with a painter in view pixels."""

    def __init__(self, draw: Callable[[QPainter, Axes], None]) -> None:
        super().__init__()
        self._draw = draw
        self._bounds = QRectF(-FAR, -FAR, 2 * FAR, 2 * FAR)

    def boundingRect(self) -> QRectF:
        return self._bounds

    def dataBounds(self, *_: object) -> None:
        return None

    def paint(self, painter: QPainter, *_: object) -> None:
        axes = Axes(painter.worldTransform(), self.viewRect())
        painter.save()
        painter.setWorldTransform(QTransform())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        try:
            self._draw(painter, axes)
        except Exception:
            # an exception that leaves a paint handler can end the whole program
            sys.excepthook(*sys.exc_info())
        finally:
            painter.restore()


class MagnitudeAxis(pg.AxisItem):
    """An axis that shows sizes without sign, and nothing on the far side of zero if asked."""

    def __init__(self, orientation: str, *, negative_only: bool = False) -> None:
        super().__init__(orientation)
        self.negative_only = negative_only

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:
        out: list[str] = super().tickStrings([abs(v) for v in values], scale, spacing)
        if self.negative_only:
            return [s if v <= 1e-9 else "" for s, v in zip(out, values, strict=True)]
        return out


class PaintedPlot(pg.PlotWidget):
    """A plot with one painted picture; subclasses implement ``draw``.

    ``about`` says in words what it shows, and ``now_shown`` what it shows now, for screen
    readers. A right click that is no drag opens its menu.
    """

    about = ""

    axis_room = (34, 24)
    """Width of the left axis and height of the bottom one, px, with text of the usual size."""

    def __init__(self, look: Look, axis_items: dict[str, pg.AxisItem]) -> None:
        super().__init__(axisItems=axis_items, background=None, enableMenu=False)
        self.look = look
        self.setFrameShape(self.Shape.NoFrame)
        self.setMenuEnabled(False)
        self.hideButtons()
        self.setViewportUpdateMode(self.ViewportUpdateMode.FullViewportUpdate)
        # the plot fills its ground: nothing behind it needs painting first
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.canvas = Canvas(self._paint)
        self._saying = QTimer(self, singleShot=True, interval=SAY_MS)
        self._saying.timeout.connect(self.say)
        self.addItem(self.canvas, ignoreBounds=True)
        self.text_resized()
        self.view = self.getViewBox()
        self.view.disableAutoRange()
        self.view.setDefaultPadding(0.0)
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self._tab_came = False
        self.setAccessibleDescription(self.about)
        # what is dropped here is the window's
        self.setAcceptDrops(False)
        self.viewport().setAcceptDrops(False)
        self._pressed = QPointF()
        self.apply_look(look)

    def apply_look(self, look: Look) -> None:
        """Take another color scheme."""
        self.look = look
        self.setBackground(look.panel)
        for side in ("left", "bottom"):
            axis = self.getAxis(side)
            axis.setPen(QColor(look.edge))
            axis.setTextPen(QColor(look.faint))
            axis.setCacheMode(axis.CacheMode.DeviceCoordinateCache)
        self.redraw()

    def follow_look(self, preferences: Preferences) -> None:
        """Take every color scheme that is chosen."""
        self._look_from = preferences
        preferences.look_changed.connect(self._take_look)

    def _take_look(self) -> None:
        self.apply_look(self._look_from.look)

    def text_resized(self) -> None:
        """Make room for the numbers on the axes, as much whatever they are: plots above each
        other line up, and no label shifts the picture."""
        left, bottom = self.getAxis("left"), self.getAxis("bottom")
        for axis in (left, bottom):
            axis.setTickFont(QApplication.font())
        # the highest number is centered on the top of the picture
        self.getPlotItem().layout.setContentsMargins(0, round(px(SNUG)), SNUG, 0)
        wide, high = self.axis_room
        left.setWidth(round(px(wide)))
        bottom.setHeight(round(px(high)))

    def show_values(self, shown: bool) -> None:
        """Axes over which nothing is drawn yet have no numbers."""
        for side in ("left", "bottom"):
            self.getAxis(side).setStyle(showValues=shown)

    def as_picture(self, painter: QPainter, place: QRectF) -> None:
        """Paint axes and picture elsewhere."""
        axes = [self.getAxis(side) for side in ("left", "bottom")]
        try:
            for axis in axes:
                axis.setCacheMode(axis.CacheMode.NoCache)
            self.render(painter, place, self.viewport().rect())
        finally:
            for axis in axes:
                axis.setCacheMode(axis.CacheMode.DeviceCoordinateCache)

    # ---- the focus

    def paintEvent(self, event: QPaintEvent) -> None:
        """A frame about a plot that Tab came to, on screen only."""
        super().paintEvent(event)
        if self.hasFocus() and self._tab_came:
            painter = QPainter(self.viewport())
            painter.setPen(QPen(QColor(self.look.choice), 2.0))
            painter.drawRect(self.viewport().rect().adjusted(1, 1, -1, -1))
            painter.end()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        reasons = Qt.FocusReason
        self._tab_came = event.reason() in (reasons.TabFocusReason, reasons.BacktabFocusReason)
        self.redraw()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.redraw()

    # ---- for screen readers

    def now_shown(self) -> str:
        """What is on screen at this moment, in words and numbers."""
        return ""

    def say(self) -> None:
        """Tell screen readers what is on screen."""
        words = " ".join(part for part in (self.about, self.now_shown()) if part)
        if words != self.accessibleDescription():
            self.setAccessibleDescription(words)

    def _paint(self, painter: QPainter, axes: Axes) -> None:
        self.draw(painter, axes)
        if not self._saying.isActive():
            self._saying.start()

    # ---- the menu

    def value_at(self, at: QPoint) -> str:
        """What is at a place of the widget, px, in words and numbers: across and up, unless a
        plot has more to tell."""
        if not self.view.sceneBoundingRect().contains(self.mapToScene(at)):
            return ""
        place = self.view.mapSceneToView(self.mapToScene(at))
        return f"{abs(place.x()):.1f}, {abs(place.y()):.1f}"

    def menu(self, at: QPoint) -> PlotMenu:
        """The menu for a place of the widget, px."""
        return PlotMenu(self, at)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._pressed = event.position()
        super().mousePressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        super().mouseReleaseEvent(event)
        moved = (event.position() - self._pressed).manhattanLength()
        if (
            event.button() == Qt.MouseButton.RightButton
            and moved < QApplication.startDragDistance()
        ):
            self.menu(event.position().toPoint()).popup(event.globalPosition().toPoint())

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """The menu key; a right button may yet be a drag."""
        if event.reason() == QContextMenuEvent.Reason.Keyboard:
            self.menu(self.rect().center()).popup(self.mapToGlobal(self.rect().center()))

    def redraw(self) -> None:
        """Paint the picture anew with the next frame."""
        self.viewport().update()

    @abstractmethod
    def draw(self, painter: QPainter, axes: Axes) -> None:
        """Paint the picture; the painter is in pixels."""
