"""Every line now: depth, change against the straight tow, its lure's speed; and the nearest two."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen
from PySide6.QtWidgets import QHeaderView, QTableWidget, QTableWidgetItem

from app.ground.top_view import TopView
from app.session.live_run import LiveRun
from app.ui.canvas import Axes
from app.ui.fold import FoldPanel
from app.ui.look import font
from app.ui.panel import quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.steps import GAP, HAIR, SMALL
from app.ui.tables import cell, plain_table, symbol_icon
from physics.answers.line_gaps import Pair, lure_speeds, nearest_pair, turn_side

HEADS = (
    ("Line", "Line and its symbol"),
    ("Depth", "Depth of the lure now"),
    ("Change", "Deeper (+) or shallower (−) than in the straight tow at the start"),
    ("Lure", "Speed of the lure through the water where it is"),
)

CLOSE, CROSSING = "Close: may cross", "Close: cross as seen from above"

NO_CHANGE = 0.05
"""Depths nearer than this are the same, in the unit on screen."""

ROW = 20
HALO = 9.0
"""Width of the band under two lines to look at, px."""


MOVED = 0.5
"""A line with this much more or less out than at the start is another line, m."""


class LinesPanel(FoldPanel):
    """Reads the lines anew with ``refresh``. A page puts ``nearest`` and ``warning`` elsewhere."""

    def __init__(self, live_run: LiveRun, top: TopView, preferences: Preferences) -> None:
        super().__init__("Lines")
        self._live_run, self._top, self._preferences = live_run, top, preferences
        self.pair: Pair | None = None
        self.nearest = quiet()
        self.nearest.setWordWrap(True)
        # one line, whose room is kept
        self.warning = Label(CROSSING)
        self.warning.setProperty("alarm", True)
        # told and hidden before a page gives them their place: without a parent, windows
        for label in (self.nearest, self.warning):
            label.setParent(self)
        policy = self.warning.sizePolicy()
        policy.setRetainSizeWhenHidden(True)
        self.warning.setSizePolicy(policy)
        self.warning.hide()
        self.table = QTableWidget(0, len(HEADS))
        plain_table(self.table, "Every line now")
        self.table.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setDefaultSectionSize(ROW)
        self.table.verticalHeader().setMinimumSectionSize(ROW)
        head = self.table.horizontalHeader()
        head.setFont(font(SMALL))
        head.setMinimumSectionSize(20)
        head.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        for column, width in ((1, 46), (2, 54), (3, 38)):
            head.resizeSection(column, width)
        self.table.setFont(font(SMALL))
        self.turned = quiet()
        self.turned.setWordWrap(True)
        self.body.addWidget(self.table)
        self.body.addWidget(self.turned)
        top.overlays.append(self._paint)
        live_run.restarted.connect(self._rows)
        preferences.units_changed.connect(self._rows)
        preferences.look_changed.connect(self._rows)
        self._rows()

    def _rows(self) -> None:
        """A row a line."""
        look, unit = self._preferences.look, self._preferences.length
        rods = self._live_run.picture.rods
        for column, (words, tip) in enumerate(HEADS):
            units = {"Depth": unit, "Change": unit, "Lure": self._preferences.speed}.get(words)
            item = QTableWidgetItem(words if units is None else f"{words}\n{units.symbol}")
            item.setToolTip(as_tip(tip))
            side = Qt.AlignmentFlag.AlignRight if column else Qt.AlignmentFlag.AlignLeft
            item.setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)
            self.table.setHorizontalHeaderItem(column, item)
        self.table.setRowCount(len(rods))
        for row, rod in enumerate(rods):
            name = QTableWidgetItem(symbol_icon(row, look), rod.name)
            name.setToolTip(as_tip(rod.name))
            self.table.setItem(row, 0, name)
            for column in range(1, len(HEADS)):
                cell(self.table, row, column, "")
        head, rows = self.table.horizontalHeader().sizeHint().height(), self.table.verticalHeader()
        self.table.setFixedHeight(head + rows.defaultSectionSize() * len(rods) + 8)
        self.refresh()

    def refresh(self) -> None:
        """New figures for this moment."""
        picture, unit = self._live_run.picture, self._preferences.length
        self.pair = nearest_pair(picture.nodes)
        self._say_nearest()
        if not self.is_open:
            return
        speeds = lure_speeds(picture.lure, picture.lure_velocity, self._live_run.scenario.water)
        for row, place in enumerate(picture.lure):
            texts = (f"{unit.from_si(-float(place[2])):z.1f}", signed(self._change(row)),
                     f"{self._preferences.speed.from_si(float(speeds[row])):.1f}")  # fmt: skip
            for column, text in enumerate(texts, 1):
                item = self.table.item(row, column)
                if item is not None and item.text() != text:
                    item.setText(text)
        words = self._turn_words()
        if self.turned.text() != words:
            self.turned.setText(words)
        self.turned.setVisible(bool(words))

    def _change(self, number: int) -> float:
        """How much deeper a lure is than in the straight tow, in the unit on screen."""
        picture, unit = self._live_run.picture, self._preferences.length
        return unit.from_si(-float(picture.lure[number, 2]) - self._live_run.run_depth(number))

    def _say_nearest(self) -> None:
        pair, unit = self.pair, self._preferences.length
        text = ""
        if pair is not None:
            rods = self._live_run.picture.rods
            names = f"{rods[pair.first].name} and {rods[pair.second].name}"
            text = f"Nearest lines: {names}, {unit.text(pair.apart)} apart."
        if self.nearest.text() != text:
            self.nearest.setText(text)
        self.nearest.setVisible(bool(text))
        if pair is not None and pair.close:
            self.warning.setText(CROSSING if pair.crossing else CLOSE)
        self.warning.setVisible(pair is not None and pair.close)

    def _turn_words(self) -> str:
        """In a turn, how the outermost line of either side runs; '' going straight.

        A line that was handled or has a fish on tells of that, not of the turn.
        """
        picture, unit = self._live_run.picture, self._preferences.length
        curvature = self._live_run.wheel()
        said = []
        for side in ("inside", "outside"):
            rods = [
                (abs(rod.abeam), number)
                for number, rod in enumerate(picture.rods)
                if turn_side(rod.abeam, curvature) == side and not self._handled(number)
            ]
            if rods:
                change = self._change(max(rods)[1])
                said.append(f"{side} line {told_change(change, unit.symbol)}")
        return f"In this turn: {', '.join(said)}." if said else ""

    def _handled(self, number: int) -> bool:
        picture = self._live_run.picture
        at_start = float(self._live_run.run.lines_out(0.0)[number])
        moved = abs(float(picture.out[number]) - at_start) > MOVED
        return moved or bool(picture.fish[number])

    def _paint(self, painter: QPainter, axes: Axes) -> None:
        """A band under both lines and a ring where they are near: no matter what color."""
        pair = self.pair
        if pair is None or not pair.close:
            return
        picture, look = self._live_run.picture, self._top.look
        if pair.second >= len(picture.nodes):
            return
        band = QColor(look.alarm)
        band.setAlphaF(0.3)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(
            QPen(band, HALO, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap,
                 Qt.PenJoinStyle.RoundJoin)
        )  # fmt: skip
        for number in (pair.first, pair.second):
            nodes = picture.nodes[number]
            painter.drawPolyline(self._top.path(axes, nodes[0], nodes[1]))
        at = self._top.at(axes, *pair.place)
        painter.setPen(QPen(QColor(look.alarm), 2.0))
        painter.drawEllipse(at, 13.0, 13.0)
        face = font(SMALL, bold=True)
        painter.setFont(face)
        metrics = QFontMetricsF(face)
        wide, tall = metrics.horizontalAdvance("close") + 2 * GAP, metrics.height() + 2 * HAIR
        box = QRectF(at.x() + 16.0, at.y() - tall / 2, wide, tall)
        if box.right() > axes.right:
            box.moveRight(at.x() - 16.0)
        painter.setBrush(QColor(look.alarm))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.drawRoundedRect(box, 4.0, 4.0)
        painter.setPen(QColor(look.on_alarm))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, "close")


def signed(change: float) -> str:
    """A change with its sign, one digit; none is ``0``."""
    if abs(change) < NO_CHANGE:
        return "0"
    return f"{change:+.1f}".replace("-", "−")


def told_change(change: float, symbol: str) -> str:
    """Like ``2.3 ft deeper``, ``0.4 ft shallower`` or ``as deep as towed straight``."""
    if abs(change) < NO_CHANGE:
        return "as deep as towed straight"
    return f"{abs(change):.1f} {symbol} {'deeper' if change > 0.0 else 'shallower'}"
