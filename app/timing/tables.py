"""Two tables of a plan: what each line does, and what to hold by bottom depth and colors out."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from PySide6.QtGui import QColor, QFont, QIcon, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QHeaderView,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.common.units import Unit, shown
from app.planning.card_table import COLORS
from app.planning.card_words import line_out
from app.planning.rods import RodPlan
from app.timing.model import Planner
from app.ui.columns import FittedTable
from app.ui.look import font, px
from app.ui.middle_box import MiddleBox
from app.ui.panel import quiet
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.steps import BODY, HEAD, LOUD, SMALL, TIGHT
from app.ui.tables import cell, heads, plain_table, symbol_icon

LINE_HEADS = (
    ("Line", "", "Line and its symbol"),
    ("Max safe\nhold, s", "over 60",
     "Shortest hold that brings the line down to the distance to keep"),
    ("80 %\nrange, s", "over 60",
     "The same, in 8 drops of 10, with the inputs as unsure as they are"),
    ("Runs\nat", "188.8", "Depth of the lure before the drop"),
    ("Deepest", "188.8", "How deep the lure gets"),
    ("Sinks\non, s", "88.8", "Seconds it goes on sinking once the boat is back in gear"),
    ("Least\noff", "188.8", "How near lure or line comes to the bottom"),
    ("At\nmark", "188.8", "Height off bottom as it passes the mark's place"),
    ("Rising\nthere", "+8.8", "How fast it rises as it passes the mark's place"),
    ("Window,\ns", "88.8",
     "Strike window of this line alone: seconds within the mark's depth, near its place, "
     "and lifting"),
    ("Closest\nto mark", "1888", "Nearest it comes to the mark, in all directions"),
)  # fmt: skip
"""Heading of each column, the widest that stands in it, and what it is."""

NAMES = 112
"""Least width of the lines' names, px."""

ROW, LARGE_ROW, LARGE_WIDTH = 22, 30, 900
"""Height of a row, px; and where there is as much room for each, and as much across."""

REHEARSED = "rehearsed"

LEAST = 6
"""Column of how near the bottom a line comes."""


class LinesTable(FittedTable):
    """A row a line, and under it one of what it did on the live page, once it was rehearsed."""

    def __init__(self, planner: Planner, preferences: Preferences) -> None:
        super().__init__(NAMES)
        self._planner, self._preferences = planner, preferences
        self._large = False
        plain_table(self, "What each line does")
        self.setColumnCount(len(LINE_HEADS))
        heads(self, [head for head, *_ in LINE_HEADS])
        for column, (_, _, tip) in enumerate(LINE_HEADS):
            item = self.horizontalHeaderItem(column)
            assert item is not None
            item.setToolTip(as_tip(tip))
        self.set_widest([widest for _, widest, _ in LINE_HEADS])
        self.verticalHeader().hide()
        planner.changed.connect(self.refresh)
        planner.point_moved.connect(self.refresh)
        planner.sure_changed.connect(self.refresh)
        preferences.units_changed.connect(self.refresh)
        preferences.look_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the planner's point."""
        planner, unit = self._planner, self._preferences.length
        plan, rods = planner.plan, planner.rods
        if plan is None or not rods:
            self.setRowCount(0)
            return
        live = planner.live.rods if planner.live is not None else ()
        each = 2 if live else 1
        self.setRowCount(each * len(rods))
        rate = self._preferences.rate
        for number, rod in enumerate(rods):
            row = each * number
            name = cell(self, row, 0, rod.name, left=True)
            name.setIcon(symbol_icon(number, self._preferences.look))
            name.setToolTip(as_tip(rod.name))
            longest = f"over {plan.request.holds[-1]:g}"
            reach = _seconds(plan.reach[number], longest)
            cells = [reach, self._hold_band(number), *_figures(rod, unit, rate)]
            self._fill(row, cells, rod)
            name.setForeground(QColor(self._preferences.look.text))
            if number < len(live):
                done = cell(self, row + 1, 0, REHEARSED, left=True)
                done.setIcon(QIcon())
                done.setForeground(QColor(self._preferences.look.faint))
                self._fill(row + 1, ["", "", *_figures(live[number], unit, rate)], live[number])
        self.grow()

    def grow(self) -> None:
        """Larger rows and figures where there is room for them."""
        each = self.viewport().height() // max(self.rowCount(), 1)
        large = each >= px(LARGE_ROW) and self.width() >= px(LARGE_WIDTH)
        if large == self._large:
            return
        self._large = large
        self.verticalHeader().setDefaultSectionSize(round(px(LARGE_ROW if large else ROW)))
        self.setFont(font(LOUD) if large else QFont())
        self.horizontalHeader().setFont(font(BODY if large else SMALL))
        self.share()

    def usual_faces(self) -> tuple[QFont, QFont]:
        """Larger figures come where there is room anyway: they ask for none."""
        return font(SMALL), QApplication.font()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.grow()

    def _fill(self, row: int, cells: Sequence[str], rod: RodPlan) -> None:
        look = self._preferences.look
        for column, text in enumerate(cells, 1):
            item = cell(self, row, column, text)
            alarm = rod.touches and column == LEAST
            item.setForeground(QColor(look.alarm if alarm else look.text))

    def _hold_band(self, number: int) -> str:
        bands, plan = self._planner.sure.hold_bands, self._planner.plan
        if bands is None or plan is None:
            return "…" if self._planner.busy else "–"
        low, high = float(bands[0, number]), float(bands[2, number])
        if not math.isfinite(low):
            return f"over {plan.request.holds[-1]:g}"
        return f"over {low:.0f}" if not math.isfinite(high) else f"{low:.0f}–{high:.0f}"


def _figures(rod: RodPlan, unit: Unit, rate: Unit) -> list[str]:
    return [
        f"{unit.from_si(rod.run_depth):z.1f}",
        f"{unit.from_si(rod.deepest):z.1f}",
        "–" if rod.sank_on is None else f"{rod.sank_on:.1f}",
        f"{unit.from_si(rod.least_height):.1f}",
        "–" if rod.at_mark is None else f"{unit.from_si(rod.at_mark):.1f}",
        "–" if rod.at_mark_rate is None else f"{rate.from_si(rod.at_mark_rate):+z.1f}",
        f"{rod.lifting:.1f}",
        f"{unit.from_si(rod.miss):.0f}",
    ]


class HoldTable(QWidget):
    """Seconds to hold: a row a depth of bottom, a column a length of line."""

    def __init__(self, planner: Planner, preferences: Preferences) -> None:
        super().__init__()
        self._planner, self._preferences = planner, preferences
        self._points = BODY
        self.tackle = MiddleBox()
        self.tackle.setAccessibleName("Tackle the holds are for")
        self.tackle.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.tackle.currentIndexChanged.connect(self.refresh)
        self.table = FittedTable(bold=True)
        self.table.setFont(font(BODY))
        plain_table(self.table, "Hold by bottom depth and colors out")
        self.table.set_widest(["88.8"] * COLORS)
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(TIGHT)
        self.working = quiet("working…")
        self.working.hide()
        layout.addWidget(self.tackle)
        layout.addWidget(self.working)
        layout.addWidget(self.table, 1)
        planner.card_changed.connect(self._choices)
        preferences.look_changed.connect(self.refresh)
        self._choices()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Rows and columns share the room there is, and figures grow with them."""
        super().resizeEvent(event)
        self._grow()

    def text_resized(self) -> None:
        """Figures have a size of their own."""
        self._fill()

    def _grow(self) -> None:
        table = self.table
        high = table.height() - table.horizontalHeader().height()
        each = high // max(table.rowCount(), 1)
        times = table.room_for_figures() / max(table.widest_figure(), 1)
        points = min(max(BODY, min(0.36 * each, BODY * times)), HEAD)
        if points != self._points:
            self._points = points
            self._fill()

    def _choices(self) -> None:
        card = self._planner.card
        names = [] if card is None else [", ".join(t.rods) for t in card.tackles]
        if names != [self.tackle.itemText(k) for k in range(self.tackle.count())]:
            self.tackle.blockSignals(True)
            self.tackle.clear()
            self.tackle.addItems(names)
            self.tackle.blockSignals(False)
        self.tackle.setVisible(len(names) > 1)
        self.refresh()

    def refresh(self) -> None:
        """Show the chosen tackle's holds."""
        card, at = self._planner.card, max(self.tackle.currentIndex(), 0)
        if card is None or at >= len(card.tackles):
            self.table.setRowCount(0)
            self.table.setColumnCount(0)
            return
        tackle, unit = card.tackles[at], card.unit
        depths, lengths = tackle.depths, tackle.line_out
        self.table.setRowCount(len(depths))
        self.table.setColumnCount(len(lengths))
        words = [line_out(tackle.rod, float(length)) for length in lengths]
        heads(self.table, words, left=())
        widest = " / ".join("88.8" for _ in tackle.times)
        self.table.set_widest([widest] * len(lengths))
        for row, depth in enumerate(depths):
            self.table.setVerticalHeaderItem(row, QTableWidgetItem(shown(float(depth), unit)))
        self._grow()
        self._fill()

    def _fill(self) -> None:
        card, at = self._planner.card, max(self.tackle.currentIndex(), 0)
        if card is None or at >= len(card.tackles):
            return
        tackle = card.tackles[at]
        here = int(np.abs(tackle.depths - card.found.depth).argmin())
        for row in range(len(tackle.depths)):
            for column in range(len(tackle.line_out)):
                each = [_hold(float(times.hold[row, column])) for times in tackle.times]
                item = cell(self.table, row, column, " / ".join(each))
                item.setFont(font(self._points, bold=row == here))
                item.setToolTip(as_tip("0: it runs that near already" if "0" in each else ""))


def _hold(seconds: float) -> str:
    if not math.isfinite(seconds):
        return "–"
    return "0" if seconds <= 0.0 else f"{seconds:.1f}"


def _seconds(value: float | None, without: str) -> str:
    if value is None:
        return without
    return "none" if value <= 0.0 else f"{value:.1f}"
