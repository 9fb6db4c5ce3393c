"""Depth of every lure against time: what was, now, and what follows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen

from app.live.readout import ahead_words, lures_now
from app.session.live_run import LiveRun
from app.ui.canvas import Axes
from app.ui.glyphs import draw_symbol, draw_turn
from app.ui.hover import HoverPlot
from app.ui.look import font, px
from app.ui.preferences import Preferences
from app.ui.sea_floor import paint_level, paint_under_each, say_under_each
from app.ui.steps import SMALL
from physics.simulation.events import Event

Array = NDArray[np.float64]

BEFORE = 60.0
AFTER = 45.0
"""Seconds shown before and after now."""

DOTS_APART = 4.3
"""Points of a future are drawn this far apart, px, or dots would make a line."""

SEEN = 0.5
"""The strip is painted anew when it has moved by this many pixels."""

CRAMPED = 80.0
"""A strip lower than this sheds its words, px: they stand at its upper and lower edge."""

NEAR_EVENT = 6.0
"""Pixels within which the pointer is on an event."""


class DepthStrip(HoverPlot):
    """Scrolls with time: now stands still, the past moves left."""

    about = "Depth of every lure for the last minute, now, and as it is foreseen."

    def __init__(self, live_run: LiveRun, preferences: Preferences) -> None:
        self._live_run, self._preferences = live_run, preferences
        self._painted_at = -1.0
        self._due = False
        super().__init__(preferences.look)
        self.setAccessibleName("Depth of each lure")
        live_run.frame.connect(self._moved)
        live_run.ahead_changed.connect(self.redraw)
        live_run.events_changed.connect(self.redraw)
        live_run.restarted.connect(self.fit)
        preferences.units_changed.connect(self.fit)
        self.fit()

    def now_shown(self) -> str:
        """Every lure now, and what is foreseen of it."""
        live_run, preferences = self._live_run, self._preferences
        picture = getattr(live_run, "picture", None)
        if picture is None:
            return ""
        ahead = (
            (rod.name, ahead_words(live_run.ahead, number, picture.time, preferences))
            for number, rod in enumerate(picture.rods)
        )
        said = (f"{name}, {words}." for name, words in ahead if words)
        return " ".join((lures_now(picture, preferences), *said))

    def _moved(self) -> None:
        """Paint anew once the strip has moved by enough to see, every other frame at most."""
        seconds = abs(self._live_run.now - self._painted_at)
        seen = seconds * self.view.width() >= SEEN * (BEFORE + AFTER)
        self._due = seen and not self._due
        if self._due:
            self.redraw()

    def fit(self) -> None:
        """Show the whole water column and the fixed span of time."""
        deep = self._live_run.scenario.water.bottom.deepest
        unit = self._preferences.length
        self.view.setRange(
            xRange=(-BEFORE, AFTER),
            yRange=(unit.from_si(-deep * 1.14), unit.from_si(0.25)),
            padding=0.0,
            disableAutoRange=True,
        )
        self.redraw()

    # ---- painting

    def draw(self, painter: QPainter, axes: Axes) -> None:
        picture = getattr(self._live_run, "picture", None)
        if picture is None:
            return
        now = self._painted_at = picture.time
        self._gear(painter, axes, now)
        self._bottom(painter, axes, now)
        if self._roomy(axes):
            self._gear_labels(painter, axes, now)
        self._running_depths(painter, axes)
        for number in range(len(picture.rods)):
            self._past(painter, axes, now, number)
            self._future(painter, axes, now, number)
        self._now(painter, axes)
        self._events(painter, axes, now)
        for number in range(len(picture.rods)):
            at = QPointF(axes.x(0.0), axes.y(self._unit(float(picture.lure[number][2]))))
            draw_symbol(painter, number, at, 10.0, self.look.line_color(number),
                        QColor(self.look.panel))  # fmt: skip
        self._hover(painter, axes, now)

    def _roomy(self, axes: Axes) -> bool:
        """Whether words have room beside what is drawn."""
        return axes.bottom - axes.top >= px(CRAMPED)

    def _unit(self, meters: float) -> float:
        return self._preferences.length.from_si(meters)

    def _gear(self, painter: QPainter, axes: Axes, now: float) -> None:
        """Shade the time out of gear."""
        for out, back in self._live_run.spells():
            end = min(back, now)
            if end < now - BEFORE:
                continue
            left = max(axes.x(out - now), axes.left)
            right = axes.x(end - now)
            painter.fillRect(
                QRectF(left, axes.top, right - left, axes.bottom - axes.top),
                QColor(self.look.out_of_gear),
            )
            painter.setPen(QPen(QColor(self.look.accent), 1.2))
            for x in (axes.x(out - now), right):
                if x > axes.left:
                    painter.drawLine(QPointF(x, axes.top), QPointF(x, axes.bottom))

    def _gear_labels(self, painter: QPainter, axes: Axes, now: float) -> None:
        """Name the shaded time and its length at the top, where there is room."""
        face = font(SMALL)
        metrics = QFontMetricsF(face)
        painter.setFont(face)
        for out, back in self._live_run.spells():
            end = min(back, now)
            left, right = max(axes.x(out - now), axes.left), axes.x(end - now)
            text = f"out of gear {end - out:.1f} s"
            short = f"{end - out:.1f} s"
            room = right - left - 8
            shown = text if metrics.horizontalAdvance(text) < room else short
            if metrics.horizontalAdvance(shown) < room:
                painter.setPen(QColor(self.look.text))
                painter.drawText(QPointF(left + 5, axes.top + metrics.ascent() + 3), shown)

    def _bottom(self, painter: QPainter, axes: Axes, now: float) -> None:
        """The bottom under the lures: a line a lure where they differ."""
        track = self._live_run.track
        bottom = self._live_run.scenario.water.bottom
        unit = self._preferences.length
        if bottom.is_level:
            y = axes.y(-self._unit(bottom.deepest))
            paint_level(painter, axes, self.look, y)
            if not self._roomy(axes):
                return
            face = font(SMALL)
            painter.setFont(face)
            painter.setPen(QColor(self.look.text))
            text = f"bottom {unit.text(bottom.deepest, 0)}"
            width = QFontMetricsF(face).horizontalAdvance(text)
            painter.drawText(
                QPointF(axes.right - width - 6, y + QFontMetricsF(face).ascent()), text
            )
            return
        first = int(np.searchsorted(track.time, now - BEFORE))
        every = max(1, (len(track.time) - first) // 300)
        ahead = self._live_run.ahead
        grounds = []
        for number in range(track.ground.shape[1]):
            time = track.time[first::every] - now
            depth = track.ground[first::every, number]
            if ahead is not None and number < len(ahead.lines):
                line = ahead.lines[number]
                later = line.time > now
                place = line.place[later]
                time = np.append(time, line.time[later] - now)
                depth = np.append(depth, bottom.depth_at(place[:, 0], place[:, 1]))
            grounds.append(axes.line(time, -unit.from_si(depth)))
        paint_under_each(painter, self.look, grounds)
        if self._roomy(axes):
            say_under_each(painter, axes, self.look)

    def _running_depths(self, painter: QPainter, axes: Axes) -> None:
        """A short tick at the left edge for each line's running depth."""
        first = self._live_run.track.lure
        if not len(first):
            return
        for number in range(first.shape[1]):
            y = axes.y(self._unit(float(self._live_run.run_depth(number))) * -1.0)
            pen = QPen(self.look.line_color(number), 1.0)
            pen.setDashPattern([1.0, 5.0])
            painter.setPen(pen)
            painter.drawLine(QPointF(axes.left, y), QPointF(axes.right, y))

    def _past(self, painter: QPainter, axes: Axes, now: float, number: int) -> None:
        track = self._live_run.track
        first = int(np.searchsorted(track.time, now - BEFORE))
        every = max(1, (len(track.time) - first) // 200)
        time = np.append(track.time[first::every], now) - now
        z = np.append(track.lure[first::every, number, 2], self._live_run.picture.lure[number][2])
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(self.look.line_pen(number))
        painter.drawPolyline(axes.line(time, self._preferences.length.from_si(z)))

    def _future(self, painter: QPainter, axes: Axes, now: float, number: int) -> None:
        ahead = self._live_run.ahead
        if ahead is None or number >= len(ahead.lines):
            return
        line = ahead.lines[number]
        span = axes.kx * max(float(line.time[-1] - line.time[0]), 1e-3)
        every = max(1, round(DOTS_APART / span * (len(line.time) - 1)))
        first = int(np.searchsorted(line.time, now))
        # the same points as time goes by, or the dots would dance
        keep = slice(first + -first % every, None, every)
        z = self._preferences.length.from_si(line.place[keep, 2])
        axes.dots(painter, line.time[keep] - now, z, self.look.line_color(number))
        if line.turn is not None and line.turn[0] > now + 0.5:
            at = QPointF(axes.x(line.turn[0] - now), axes.y(-self._unit(line.turn[1])))
            draw_turn(painter, number, at, self.look.line_color(number), QColor(self.look.panel))

    def _now(self, painter: QPainter, axes: Axes) -> None:
        painter.setPen(QPen(QColor(self.look.text), 1.0))
        x = axes.x(0.0)
        painter.drawLine(QPointF(x, axes.top), QPointF(x, axes.bottom))
        ahead = self._live_run.ahead
        if ahead is None or not self._roomy(axes):
            return
        face = font(SMALL)
        painter.setFont(face)
        painter.setPen(QColor(self.look.faint))
        text = "dotted: if in gear now" if ahead.in_gear else "dotted: if nothing changes"
        painter.drawText(QPointF(x + 7, axes.top + QFontMetricsF(face).ascent() + 3), text)

    def _events(self, painter: QPainter, axes: Axes, now: float) -> None:
        face = font(SMALL, bold=True)
        painter.setFont(face)
        metrics = QFontMetricsF(face)
        few = len(self._live_run.scenario.rods) <= 3
        taken: list[QRectF] = []
        for event, at in self._placed_events(axes, now):
            number = self._number(event)
            color = QColor(self.look.alarm if "touches" in event.kind else self.look.text)
            if number is not None and "touches" not in event.kind:
                color = self.look.line_color(number)
            self._event_sign(painter, event.kind, at, color)
            label = self._figure(event)
            if few and label and self._roomy(axes):
                self._event_label(painter, axes, at, label, color, metrics, taken)

    def _event_label(
        self,
        painter: QPainter,
        axes: Axes,
        at: QPointF,
        label: str,
        color: QColor,
        metrics: QFontMetricsF,
        taken: list[QRectF],
    ) -> None:
        """Write beside an event's sign where no other label is: below, above, or further out."""
        width, tall = metrics.horizontalAdvance(label) + 4, metrics.height()
        x = min(max(at.x() - width / 2, axes.left + 2), axes.right - width - 2)
        for down in (9.0, -9.0 - tall, 9.0 + tall, -9.0 - 2 * tall, 9.0 + 2 * tall):
            box = QRectF(x, at.y() + down, width, tall)
            inside = box.top() > axes.top and box.bottom() < axes.bottom
            if inside and not any(box.intersects(other) for other in taken):
                break
        taken.append(box)
        back = QColor(self.look.panel)
        back.setAlphaF(0.72)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(back)
        painter.drawRoundedRect(box, 3, 3)
        painter.setPen(color)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, label)

    def _event_sign(self, painter: QPainter, kind: str, at: QPointF, color: QColor) -> None:
        """Our own signs: a floor for deepest, a stroke up for lifting, a cross for touching."""
        pen = QPen(color, 1.8)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        if kind == "deepest":
            painter.drawLine(at + QPointF(-6, 5), at + QPointF(6, 5))
        elif kind == "starts to lift":
            painter.drawLine(at + QPointF(0, -4), at + QPointF(0, -12))
            painter.drawLine(at + QPointF(-3, -9), at + QPointF(0, -12))
            painter.drawLine(at + QPointF(3, -9), at + QPointF(0, -12))
        elif kind == "passes the mark":
            painter.drawEllipse(at, 5.0, 5.0)
        elif "touches" in kind:
            painter.drawLine(at + QPointF(-4, -4), at + QPointF(4, 4))
            painter.drawLine(at + QPointF(-4, 4), at + QPointF(4, -4))
        elif kind == "back at running depth":
            painter.drawLine(at + QPointF(0, -5), at + QPointF(0, 5))
        elif kind == "over strength":
            painter.drawLine(at + QPointF(-6, 4), at + QPointF(-1, -4))
            painter.drawLine(at + QPointF(1, 4), at + QPointF(6, -4))
        elif kind == "lines close":
            painter.drawLine(at + QPointF(-3, -5), at + QPointF(-3, 5))
            painter.drawLine(at + QPointF(3, -5), at + QPointF(3, 5))

    def _placed_events(self, axes: Axes, now: float) -> list[tuple[Event, QPointF]]:
        out = []
        for event in self._live_run.events:
            if event.kind in ("out of gear", "in gear") or not -BEFORE < event.time - now <= 0.0:
                continue
            depth = event.values.get("depth_m", 0.0)
            out.append((event, QPointF(axes.x(event.time - now), axes.y(-self._unit(depth)))))
        return out

    def _number(self, event: Event) -> int | None:
        names = [rod.name for rod in self._live_run.scenario.rods]
        return names.index(event.rod) if event.rod in names else None

    def _figure(self, event: Event) -> str:
        """The short figure beside an event."""
        unit = self._preferences.length
        if event.kind == "deepest":
            return unit.text(event.values["depth_m"], 0)
        if event.kind == "passes the mark":
            return f"{unit.text(event.values['height_m'], 0)} off"
        if "touches" in event.kind:
            return "touch"
        if event.kind == "over strength":
            return "would part"
        return ""

    def _story(self, event: Event) -> str:
        """An event in words, for hover."""
        unit, values = self._preferences.length, event.values
        parts = [f"{event.rod}: {event.kind}" if event.rod else event.kind]
        if event.kind == "deepest":
            parts.append(unit.text(values["depth_m"]))
            parts.append(f"{unit.text(values['height_m'])} off bottom")
            if values.get("after_in_gear_s"):
                parts.append(f"{values['after_in_gear_s']:.1f} s after in gear")
        elif event.kind == "passes the mark":
            parts.append(f"{unit.text(values['height_m'])} off bottom")
            parts.append(f"{unit.text(values['miss_m'])} to the side")
        elif event.kind == "over strength":
            pull = self._preferences.pull
            parts.append(f"{event.section} would part")
            parts.append(
                f"pulled by up to {pull.text(values['tension_n'], 0)}, "
                f"stands {pull.text(values['strength_n'], 0)}"
            )
        elif "depth_m" in values:
            parts.append(unit.text(values["depth_m"]))
        if "for_s" in values:
            parts.append(f"for {values['for_s']:.1f} s")
        if "apart_m" in values:
            parts.append(f"{unit.text(values['apart_m'])} apart")
        return ", ".join(parts)

    # ---- hover

    def _hover(self, painter: QPainter, axes: Axes, now: float) -> None:
        offset = self.under_pointer(axes)
        if offset is None:
            return
        x = axes.x(offset)
        lines, heights = self._values_at(now + offset, offset)
        near = [
            self._story(event)
            for event, at in self._placed_events(axes, now)
            if abs(at.x() - x) < NEAR_EVENT
        ]
        # what happened is told with the values there, not alone
        self.tell(painter, axes, offset, lines + near if lines else [], heights)

    def _values_at(self, time: float, offset: float) -> tuple[list[str], list[float]]:
        """What every lure's depth was, or will be, at a time: in words, and where on the axis."""
        unit = self._preferences.length
        rods = self._live_run.scenario.rods
        track, ahead = self._live_run.track, self._live_run.ahead
        word = "ago" if offset <= 0 else "ahead"
        out, heights = [f"{abs(offset):.1f} s {word}"], []
        for number, rod in enumerate(rods):
            if offset <= 0 and len(track.time) and track.time[0] <= time:
                z = float(np.interp(time, track.time, track.lure[:, number, 2]))
            elif offset > 0 and ahead is not None and time <= ahead.lines[number].time[-1]:
                line = ahead.lines[number]
                z = float(np.interp(time, line.time, line.place[:, 2]))
            else:
                continue
            out.append(f"{rod.name}: {unit.text(-z)} down")
            heights.append(unit.from_si(z))
        return (out if heights else []), heights
