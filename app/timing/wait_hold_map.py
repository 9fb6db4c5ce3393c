"""The map of waits and holds: how long the lures lift through the mark, and what fouls."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFontMetricsF,
    QImage,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPen,
    QPolygonF,
)

from app.planning.steady import touch_limit
from app.planning.words import spanned
from app.timing.map_picture import picture
from app.timing.model import STEP, Planner
from app.ui.axis_names import CRAMPED, AxisNames
from app.ui.canvas import Axes, MagnitudeAxis, PaintedPlot
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.steps import BODY, SMALL
from physics.answers.steady import SteadyAnswer
from physics.answers.timing import TimingMap

Array = NDArray[np.float64]

LEAST_SHOWN = 30.0
"""Waits and holds up to this are always shown, s."""

ROOM = 1.25
"""How much further than the last window the map goes."""

GRIP = 9.0
"""Radius of the chosen point's ring, px."""

AT_ANSWER = 0.25
"""A pointer within this of an answer both ways is on it, s."""


class WaitHoldMap(PaintedPlot):
    """Waits to the right, holds up; the chosen point can be dragged, or moved with the arrows.

    ``chosen`` carries (wait s, hold s, whether the hand has let go).
    """

    about = (
        "Seconds of strike window by wait, across, and hold, up; arrows move the point looked at."
    )

    chosen = Signal(float, float, bool)

    def __init__(self, planner: Planner, preferences: Preferences) -> None:
        self._planner, self._preferences = planner, preferences
        self._image: QImage | None = None
        self._made_for: tuple[object, ...] = ()
        self._table: TimingMap | None = None
        self._shown = (1, 1)
        self._pointer: QPointF | None = None
        self._wants_average = False
        self.hover_text = ""
        super().__init__(
            preferences.look,
            {"left": MagnitudeAxis("left"), "bottom": MagnitudeAxis("bottom")},
        )
        self.setAccessibleName("Map of waits and holds")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.view.setMouseEnabled(x=False, y=False)
        planner.changed.connect(self._new_plan)
        planner.point_moved.connect(self._moved)
        planner.steady_changed.connect(self.redraw)
        preferences.units_changed.connect(self.redraw)
        AxisNames(self, preferences).name("wait, s after the mark", "hold, s out of gear")
        self._new_plan()

    def now_shown(self) -> str:
        """The point looked at, and what it gives."""
        return "" if self._planner.plan is None else f"{self._told(*self._planner.point)}."

    def _new_plan(self) -> None:
        plan = self._planner.plan
        self.show_values(plan is not None)
        if plan is not None:
            self._table = plan.map
            self._shown = worth_showing(plan.map, self._planner.point)
            waits, holds = plan.map.waits, plan.map.holds
            self.view.setRange(
                xRange=(waits[0], 1.02 * waits[self._shown[0] - 1]),
                yRange=(holds[0], 1.03 * holds[self._shown[1] - 1]),
                padding=0.0,
                disableAutoRange=True,
            )
        self.redraw()

    def _moved(self) -> None:
        """Follow a point that was set outside of what is shown."""
        plan = self._planner.plan
        if plan is not None and plan.map is self._table:
            wait, hold = self._planner.point
            wide, tall = self._shown
            if wait > plan.map.waits[wide - 1] or hold > plan.map.holds[tall - 1]:
                self._new_plan()
        self.redraw()

    def show_average(self, on: bool) -> None:
        """Show what is expected with inputs as unsure as they are, or what exact numbers give."""
        self._wants_average = on
        self.redraw()

    @property
    def average(self) -> bool:
        """Whether what is expected is shown."""
        return self._wants_average and self._planner.steady.found is not None

    @property
    def most(self) -> float:
        """The longest window shown, s."""
        plan = self._planner.plan
        return 0.0 if plan is None else float(self._windows(plan.map).max())

    def _windows(self, table: TimingMap) -> Array:
        """What is shaded (W, K), s: nothing where so long holds were not tried."""
        found = self._planner.steady.found
        if found is None or not self.average:
            return table.total
        out = np.zeros_like(table.total)
        out[:, : len(found.expected.holds)] = found.expected.window
        return out

    # ---- painting

    def draw(self, painter: QPainter, axes: Axes) -> None:
        plan = self._planner.plan
        if plan is None or plan.map is not self._table:
            painter.setFont(font(BODY))
            painter.setPen(QColor(self.look.faint))
            area = QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
            painter.drawText(area, Qt.AlignmentFlag.AlignCenter, "No plan yet")
            return
        table = plan.map
        wide, tall = self._shown
        waits, holds = table.waits[:wide], table.holds[:tall]
        place = QRectF(
            QPointF(axes.x(waits[0]), axes.y(holds[-1])),
            QPointF(axes.x(waits[-1]), axes.y(holds[0])),
        )
        size = max(2, round(place.width())), max(2, round(place.height()))
        shaded = self._planner.steady.found if self.average else None
        wanted = (
            size, id(table), self._shown, plan.request.clearance, self.look.name,
            shaded and id(shaded.expected),
        )  # fmt: skip
        if self._image is None or wanted != self._made_for:
            allowance = table.clearance[:wide, :tall].min(axis=2) - plan.request.clearance
            window = self._windows(table)[:wide, :tall]
            self._image = picture(waits, holds, window, allowance, size, self.look)
            self._made_for = wanted
        painter.drawImage(place.topLeft(), self._image)
        roomy = axes.bottom - axes.top >= CRAMPED
        self._limit(painter, axes, place, roomy)
        if roomy:
            self._fouled(painter, axes, place)
        if float(table.total.max()) <= 0.0:
            at = place.center().x(), place.bottom() - 30.0
            self._tag(painter, "no lure lifts through the mark on any of these", *at, place,
                      QColor(self.look.text))  # fmt: skip
        if plan.answer is not None and roomy:
            self._answer(painter, axes, plan.answer.wait, plan.answer.hold)
        self._steady(painter, axes, place)
        self._point(painter, axes, *self._planner.point)
        self._live(painter, axes)
        self._hover(painter, axes)

    def _fouled(self, painter: QPainter, axes: Axes, place: QRectF) -> None:
        """Say once what the hatch stands for, where there is most of it."""
        plan = self._planner.plan
        assert plan is not None
        wide, tall = self._shown
        barred = ~plan.map.allowed(plan.request.clearance)[:wide, :tall]
        if barred.mean() < 0.04:
            return
        words = f"a line within {self._preferences.length.text(plan.request.clearance)} of bottom"
        w, k = np.nonzero(barred)
        x = axes.x(float(plan.map.waits[w].mean()))
        y = axes.y(float(plan.map.holds[k].mean()))
        self._tag(painter, words, x, y, place, QColor(self.look.alarm))

    def _limit(self, painter: QPainter, axes: Axes, place: QRectF, roomy: bool) -> None:
        """Where touching becomes more likely than is allowed: a line over the waits."""
        found = self._planner.steady.found
        if found is None or found.drops == 1:
            return
        limit = touch_limit(found.expected, found.allowed)
        points = [
            QPointF(axes.x(wait), axes.y(hold))
            for wait, hold in zip(found.expected.waits, limit, strict=True)
            if np.isfinite(hold) and hold < found.expected.holds[-1]
        ]
        points = [at for at in points if place.adjusted(-1, -1, 1, 1).contains(at)]
        if len(points) < 2:
            return
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for width, color in ((4.5, self.look.panel), (2.0, self.look.alarm)):
            pen = QPen(QColor(color), width)
            if width < 4.0:
                pen.setDashPattern([4.0, 2.0])
            painter.setPen(pen)
            painter.drawPolyline(QPolygonF(points))
        if roomy:
            # away from the point and its word
            left = axes.x(self._planner.point[0]) > place.left() + 0.4 * place.width()
            x, y = (place.left(), points[0].y()) if left else (place.right(), points[-1].y())
            words = f"{100 * found.allowed:.0f} of 100 touch"
            self._tag(painter, words, x, y + 11, place, QColor(self.look.alarm))

    def _steady(self, painter: QPainter, axes: Axes, place: QRectF) -> None:
        """The steady answer: a square, with its word where the point is elsewhere."""
        found = self._planner.steady.ready
        if found is None or found.answer is None or found.same:
            return
        at = QPointF(axes.x(found.answer.wait), axes.y(found.answer.hold))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for width, color in ((4.5, self.look.panel), (2.0, self.look.text)):
            painter.setPen(QPen(QColor(color), width))
            painter.drawRect(QRectF(at.x() - 5, at.y() - 5, 10, 10))
        here = self._planner.point
        if abs(axes.x(here[0]) - at.x()) + abs(axes.y(here[1]) - at.y()) > 14.0:
            self._tag(painter, "steady", at.x() + 32, at.y() + 4, place, QColor(self.look.text))

    def _tag(
        self, painter: QPainter, words: str, x: float, y: float, place: QRectF, color: QColor
    ) -> None:
        """Words on the map, centered about (x, y) px but kept inside."""
        face = font(SMALL)
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        room = QRectF(0.0, 0.0, place.width() - 14, place.height())
        needs = QFontMetricsF(face).boundingRect(room, flags, words)
        width, tall = needs.width() + 10, needs.height() + 2
        box = QRectF(x - width / 2, y - tall / 2, width, tall)
        box.moveLeft(min(max(box.left(), place.left() + 2), place.right() - width - 2))
        box.moveTop(min(max(box.top(), place.top() + 2), place.bottom() - tall - 2))
        painter.setPen(Qt.PenStyle.NoPen)
        back = QColor(self.look.panel)
        back.setAlphaF(0.85)
        painter.setBrush(back)
        painter.drawRoundedRect(box, 3, 3)
        painter.setFont(face)
        painter.setPen(color)
        painter.drawText(box, flags, words)

    def _answer(self, painter: QPainter, axes: Axes, wait: float, hold: float) -> None:
        """The answer: a cross in a halo, with its word where the point is elsewhere."""
        at = QPointF(axes.x(wait), axes.y(hold))
        for width, color in ((4.5, self.look.panel), (2.0, self.look.text)):
            painter.setPen(QPen(QColor(color), width))
            painter.drawLine(at + QPointF(-5, 0), at + QPointF(5, 0))
            painter.drawLine(at + QPointF(0, -5), at + QPointF(0, 5))
        here = self._planner.point
        place = QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
        if abs(axes.x(here[0]) - at.x()) + abs(axes.y(here[1]) - at.y()) > 60.0:
            self._tag(painter, "answer", at.x(), at.y() + 17, place, QColor(self.look.text))

    def _point(self, painter: QPainter, axes: Axes, wait: float, hold: float) -> None:
        """The chosen point: a ring, and fine lines to both axes."""
        at = QPointF(axes.x(wait), axes.y(hold))
        pen = QPen(QColor(self.look.text), 1.0)
        pen.setDashPattern([3.0, 3.0])
        painter.setPen(pen)
        painter.drawLine(QPointF(at.x(), at.y() + GRIP), QPointF(at.x(), axes.bottom))
        painter.drawLine(QPointF(at.x() - GRIP, at.y()), QPointF(axes.left, at.y()))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for width, color in ((5.5, self.look.panel), (2.5, self.look.text)):
            painter.setPen(QPen(QColor(color), width))
            painter.drawEllipse(at, GRIP, GRIP)
        place = QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
        words = f"wait {wait:g} s, hold {hold:g} s"
        above = at.y() - axes.top > 34
        self._tag(painter, words, at.x(), at.y() + (-21 if above else 21), place,
                  QColor(self.look.text))  # fmt: skip

    def _live(self, painter: QPainter, axes: Axes) -> None:
        """What was done on the live page."""
        live = self._planner.live
        if live is None:
            return
        at = QPointF(axes.x(live.wait), axes.y(live.hold))
        for width, color in ((4.5, self.look.panel), (2.0, self.look.accent)):
            painter.setPen(QPen(QColor(color), width))
            painter.drawLine(at + QPointF(-5, 5), at + QPointF(0, -5))
            painter.drawLine(at + QPointF(0, -5), at + QPointF(5, 5))
        place = QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
        self._tag(painter, "you", at.x() + 20, at.y() + 2, place, QColor(self.look.text))

    def _hover(self, painter: QPainter, axes: Axes) -> None:
        if self._pointer is None or not self.hover_text:
            return
        place = QRectF(axes.left, axes.top, axes.right - axes.left, axes.bottom - axes.top)
        self._tag(painter, self.hover_text, place.center().x(), place.top() + 12, place,
                  QColor(self.look.text))  # fmt: skip

    # ---- mouse and keys

    def _seconds(self, at: QPointF) -> tuple[float, float]:
        """(wait, hold) under a pointer."""
        scene = self.mapToScene(at.toPoint())
        data = self.view.mapSceneToView(scene)
        return data.x(), data.y()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self._planner.plan is not None:
            self.setFocus()
            self.chosen.emit(*self._seconds(event.position()), False)
            event.accept()
            return
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._pointer = event.position()
        if event.buttons() & Qt.MouseButton.LeftButton:
            self.hover_text = ""
            self.chosen.emit(*self._seconds(event.position()), False)
            return
        self.hover_text = self._told(*self._seconds(event.position()))
        self.redraw()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self._planner.plan is not None:
            self.chosen.emit(*self._seconds(event.position()), True)
            return
        super().mouseReleaseEvent(event)

    def leaveEvent(self, event: object) -> None:
        self._pointer = None
        self.redraw()
        super().leaveEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        step = 5.0 if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else STEP
        moves = {
            Qt.Key.Key_Left: (-step, 0.0),
            Qt.Key.Key_Right: (step, 0.0),
            Qt.Key.Key_Up: (0.0, step),
            Qt.Key.Key_Down: (0.0, -step),
        }
        by = moves.get(Qt.Key(event.key()))
        if by is None or self._planner.plan is None:
            super().keyPressEvent(event)
            return
        wait, hold = self._planner.point
        self.chosen.emit(wait + by[0], hold + by[1], True)

    def _told(self, wait: float, hold: float) -> str:
        """What the map says under the pointer."""
        plan = self._planner.plan
        if plan is None:
            return ""
        table, unit = plan.map, self._preferences.length
        if not (
            table.waits[0] <= wait <= table.waits[-1] and table.holds[0] <= hold <= table.holds[-1]
        ):
            return ""
        for one in self._answers():
            # an answer may lie between the table's places
            if max(abs(one.wait - wait), abs(one.hold - hold)) <= AT_ANSWER:
                lowest = min(rod.least_height for rod in plan.at(one.wait, one.hold))
                return (
                    f"wait {one.wait:g} s, hold {one.hold:g} s: {_on_average(one)}, "
                    f"lowest {unit.text(max(lowest, 0.0))} off"
                )
        w = int(np.abs(table.waits - wait).argmin())
        k = int(np.abs(table.holds - hold).argmin())
        least = max(float(table.clearance[w, k].min()), 0.0)
        return (
            f"wait {table.waits[w]:g} s, hold {table.holds[k]:g} s: "
            f"{self._seconds_at(w, k)}, lowest {unit.text(least)} off"
        )

    def _answers(self) -> list[SteadyAnswer]:
        """The answers that averages are told of, where those are shown."""
        found = self._planner.steady.found
        if found is None or not self.average:
            return []
        return [one for one in (found.answer, found.exact) if one is not None]

    def _seconds_at(self, w: int, k: int) -> str:
        """Each line's strike window at a place of the table."""
        assert self._planner.plan is not None
        found = self._planner.steady.found
        if found is not None and self.average:
            if k >= len(found.expected.holds):
                return "nearly every drop touches"
            table = found.expected
            return _on_average(found.at(float(table.waits[w]), float(table.holds[k])))
        each = self._planner.plan.map.lifting[w, k]
        return f"{spanned(each)} s through the mark{' each line' if len(each) > 1 else ''}"


def _on_average(here: SteadyAnswer) -> str:
    return f"{here.window:.1f} s a drop, touches in {100 * here.touch:.0f} of 100"


def worth_showing(table: TimingMap, point: tuple[float, float]) -> tuple[int, int]:
    """How many waits and holds to show: where there is any window, and some room about it."""
    out = []
    for axis, at, here in ((1, table.waits, point[0]), (0, table.holds, point[1])):
        any_ = np.flatnonzero(table.total.max(axis=axis) > 0.0)
        last = float(at[any_[-1]]) if len(any_) else float(at[-1])
        wanted = max(LEAST_SHOWN, ROOM * last, here)
        out.append(max(2, min(int(np.searchsorted(at, wanted)) + 1, len(at))))
    return out[0], out[1]
