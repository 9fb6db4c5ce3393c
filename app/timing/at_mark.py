"""How high each lure is as it passes the mark's place, and whether it is rising there."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.planning.rods import RodPlan
from app.timing.model import Planner
from app.ui.glyphs import draw_symbol
from app.ui.look import font
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.steps import BODY, SMALL

FOOT_ROOM = 20.0
HEAD_ROOM = 30.0
"""Pixels kept under the bottom line and over the highest lure."""

ARROW = 26.0
"""Length of the arrow of a lure that rises by 1 m/s, px."""

LONGEST_ARROW = 34.0


class AtMark(QWidget):
    """A symbol a line over the bottom, the mark's depths shaded, an arrow for the rate."""

    def __init__(self, planner: Planner, preferences: Preferences) -> None:
        super().__init__()
        self._planner, self._preferences = planner, preferences
        self.setAccessibleName("Height of each lure at the mark")
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        planner.point_moved.connect(self._moved)
        planner.changed.connect(self._moved)
        preferences.units_changed.connect(self._moved)
        preferences.look_changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(170, 200)

    def _moved(self) -> None:
        self.setAccessibleDescription("; ".join(self.words()))
        self.setToolTip(as_tip("\n".join(self.words())))
        self.update()

    def words(self) -> list[str]:
        """The same in words."""
        unit, rate = self._preferences.length, self._preferences.rate
        out = []
        for rod in self._planner.rods:
            if rod.at_mark is None or rod.at_mark_rate is None:
                out.append(f"{rod.name} does not come by the mark")
            else:
                way = "rising" if rod.at_mark_rate >= 0.0 else "falling"
                out.append(
                    f"{rod.name} passes the mark {unit.text(rod.at_mark)} off bottom, "
                    f"{way} {rate.text(abs(rod.at_mark_rate))}"
                )
        return out

    def paintEvent(self, _event: QPaintEvent) -> None:
        look = self._preferences.look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        plan, rods = self._planner.plan, self._planner.rods
        if plan is not None and rods:
            mark, depth = plan.situation.aim.mark, plan.situation.depth
            heights = [rod.at_mark for rod in rods if rod.at_mark is not None]
            live = self._planner.live
            if live is not None:
                heights += [rod.at_mark for rod in live.rods if rod.at_mark is not None]
            top = 1.15 * max([depth - mark.depth + mark.band, *heights])
            floor = self.height() - FOOT_ROOM
            scale = (floor - HEAD_ROOM) / max(top, 0.1)
            self._water(painter, floor, scale, depth)
            taken = self.symbols(floor, scale, rods)
            for number, rod in enumerate(rods):
                x = self._place(number, len(rods))
                taken.append(self._lure(painter, x, floor, scale, rod, taken))
                if live is not None and number < len(live.rods):
                    self._done(painter, x, floor, scale, live.rods[number])
            painter.setFont(font(SMALL))
            painter.setPen(QColor(look.text))
            painter.drawText(QPointF(5, floor + 14), "bottom")
            painter.drawText(self.mark_label(floor, scale, taken), "mark")
        else:
            painter.setFont(font(BODY))
            painter.setPen(QColor(look.faint))
            painter.drawText(QRectF(self.rect()), Qt.AlignmentFlag.AlignCenter, "No plan yet")
        painter.end()

    def _place(self, number: int, count: int) -> float:
        room = self.width() - 16.0
        return 8.0 + room * (number + 0.5) / count

    def _water(self, painter: QPainter, floor: float, scale: float, depth: float) -> None:
        plan, look = self._planner.plan, self._preferences.look
        assert plan is not None
        mark = plan.situation.aim.mark
        painter.fillRect(QRectF(0, floor, self.width(), self.height() - floor), QColor(look.bottom))
        painter.setPen(QPen(QColor(look.bottom_edge), 2.0))
        painter.drawLine(QPointF(0, floor), QPointF(self.width(), floor))
        high, low = depth - mark.depth + mark.band, depth - mark.depth - mark.band
        shade = QColor(look.mark)
        shade.setAlphaF(0.10)
        painter.fillRect(
            QRectF(0, floor - scale * high, self.width(), scale * (high - max(low, 0.0))), shade
        )
        keep = floor - scale * plan.request.clearance
        pen = QPen(QColor(look.alarm), 1.0)
        pen.setDashPattern([5.0, 4.0])
        painter.setPen(pen)
        painter.drawLine(QPointF(0, keep), QPointF(self.width(), keep))

    def mark_label(self, floor: float, scale: float, taken: Sequence[QRectF]) -> QPointF:
        """Where the word for the shaded depths stands: at their edges, clear of what is taken."""
        plan = self._planner.plan
        assert plan is not None
        mark, depth = plan.situation.aim.mark, plan.situation.depth
        metrics = QFontMetricsF(font(SMALL))
        tall, wide = metrics.ascent(), metrics.horizontalAdvance("mark")
        edges = [
            floor - scale * max(depth - mark.depth + by, 0.0) for by in (mark.band, -mark.band)
        ]
        heights = [y + by for y in edges for by in (-4.0, tall + 2.0)]
        places = [QPointF(x, y) for x in (5.0, self.width() - wide - 5.0) for y in heights]

        def free(place: QPointF) -> bool:
            own = QRectF(place.x(), place.y() - tall, wide, tall)
            return own.bottom() < floor and not any(own.intersects(other) for other in taken)

        return next(filter(free, places), places[0])

    def symbols(self, floor: float, scale: float, rods: Sequence[RodPlan]) -> list[QRectF]:
        """The places that the symbols of lures that come by take."""
        places = [(self._place(number, len(rods)), rod) for number, rod in enumerate(rods)]
        return [
            QRectF(x - 8.0, floor - scale * rod.at_mark - 8.0, 16.0, 16.0)
            for x, rod in places
            if rod.at_mark is not None
        ]

    def _lure(
        self, painter: QPainter, x: float, floor: float, scale: float, rod: RodPlan,
        taken: Sequence[QRectF],
    ) -> QRectF:  # fmt: skip
        """Draw one lure, its number clear of what is taken; the place that this takes."""
        look = self._preferences.look
        color = look.line_color(rod.number)
        face = font(SMALL, bold=True)
        metrics = QFontMetricsF(face)
        painter.setFont(face)
        if rod.at_mark is None or rod.at_mark_rate is None:
            draw_symbol(painter, rod.number, QPointF(x, 12.0), 9.0, color, QColor(look.panel))
            painter.setPen(QColor(look.faint))
            painter.drawText(QPointF(x - 4, 30.0), "–")
            return QRectF(x - 9.0, 0.0, 18.0, 34.0)
        at = QPointF(x, floor - scale * rod.at_mark)
        length = max(-LONGEST_ARROW, min(ARROW * rod.at_mark_rate, LONGEST_ARROW))
        if abs(length) > 7.0:
            tip = at - QPointF(0, length)
            painter.setPen(QPen(color, 2.2))
            painter.drawLine(at, tip)
            down = 5.0 if length > 0 else -5.0
            painter.drawLine(tip, tip + QPointF(-4, down))
            painter.drawLine(tip, tip + QPointF(4, down))
        draw_symbol(painter, rod.number, at, 12.0, color, QColor(look.panel))
        words = f"{self._preferences.length.from_si(rod.at_mark):.1f}"
        width, tall = metrics.horizontalAdvance(words), metrics.ascent()
        below, above = at.y() + 9.0, at.y() - max(length, 0.0) - 9.0 - tall
        step = tall + 2.0
        tops = [top for by in range(4) for top in (below + by * step, above - by * step)]
        boxes = [QRectF(x - width / 2, top, width, tall) for top in tops]

        def free(box: QRectF) -> bool:
            return box.bottom() < floor - 2 and not any(box.intersects(other) for other in taken)

        box = next(filter(free, boxes), boxes[1])
        painter.setPen(QColor(look.text))
        painter.drawText(QPointF(box.left(), box.bottom()), words)
        return box

    def _done(self, painter: QPainter, x: float, floor: float, scale: float, rod: RodPlan) -> None:
        """The live drop's height, an open symbol beside the planned one."""
        if rod.at_mark is None:
            return
        look = self._preferences.look
        at = QPointF(x + 14, floor - scale * rod.at_mark)
        color = look.line_color(rod.number)
        draw_symbol(painter, rod.number, at, 10.0, QColor(look.panel), color)
