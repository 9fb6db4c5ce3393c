"""Two tables of a plan: what each line does, and what to hold by bottom depth and colors out."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from PySide6.QtGui import QColor, QIcon, QResizeEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.common.units import Unit, shown
from app.planning.card_words import line_out
from app.planning.rods import RodPlan
from app.timing.model import Planner
from app.ui.look import font
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.steps import BODY, HEAD, SMALL, TIGHT
from app.ui.tables import cell, plain_table, symbol_icon

LINE_HEADS = (
    ("Line", "Line and its symbol"),
    ("Max safe\nhold, s", "Shortest hold that brings the line down to the distance to keep"),
    ("80 %\nrange, s", "The same, in 8 drops of 10, with the inputs as unsure as they are"),
    ("Runs\nat", "Depth of the lure before the drop"),
    ("Deep-\nest", "How deep the lure gets"),
    ("Sinks\non, s", "Seconds it goes on sinking once the boat is back in gear"),
    ("Least\noff", "How near lure or line comes to the bottom"),
    ("At\nmark", "Height off bottom as it passes the mark's place"),
    ("Rising\nthere", "How fast it rises as it passes the mark's place"),
    (
        "Win-\ndow, s",
        "Strike window of this line alone: seconds within the mark's depth, near its place, "
        "and lifting",
    ),
    ("Closest\nto mark", "Nearest it comes to the mark, in all directions"),
)


REHEARSED = "rehearsed"

SAFE, BAND = 1, 2
"""Columns of the longest hold that keeps clear, and of its band."""

LEAST = 6
"""Column of how near the bottom a line comes."""


class LinesTable(QTableWidget):
    """A row a line, and under it one of what it did on the live page, once it was rehearsed."""

    def __init__(self, planner: Planner, preferences: Preferences) -> None:
        super().__init__(0, len(LINE_HEADS))
        self._planner, self._preferences = planner, preferences
        plain_table(self, "What each line does")
        for column, (head, tip) in enumerate(LINE_HEADS):
            item = QTableWidgetItem(head)
            item.setToolTip(as_tip(tip))
            self.setHorizontalHeaderItem(column, item)
        header = self.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        for column in (0, SAFE, BAND, len(LINE_HEADS) - 1):
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        header.setMaximumSectionSize(170)
        header.setMinimumSectionSize(40)
        header.setFont(font(SMALL))
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

    def _fill(self, row: int, cells: Sequence[str], rod: RodPlan) -> None:
        look = self._preferences.look
        for column, text in enumerate(cells, 1):
            item = cell(self, row, column, text)
            alarm = rod.touches and column == LEAST
            item.setForeground(QColor(look.alarm if alarm else look.text))

    def _hold_band(self, number: int) -> str:
        bands, plan = self._planner.hold_bands, self._planner.plan
        if bands is None or plan is None:
            return "…" if self._planner.busy else "–"
        low, high = float(bands[0, number]), float(bands[2, number])
        if not math.isfinite(low):
            return f"over {plan.request.holds[-1]:g}"
        return f"{low:.0f} or more" if not math.isfinite(high) else f"{low:.0f}–{high:.0f}"


def _figures(rod: RodPlan, unit: Unit, rate: Unit) -> list[str]:
    return [
        f"{unit.from_si(rod.run_depth):.1f}",
        f"{unit.from_si(rod.deepest):.1f}",
        "–" if rod.sank_on is None else f"{rod.sank_on:.1f}",
        f"{unit.from_si(rod.least_height):.1f}",
        "–" if rod.at_mark is None else f"{unit.from_si(rod.at_mark):.1f}",
        "–" if rod.at_mark_rate is None else f"{rate.from_si(rod.at_mark_rate):+.1f}",
        f"{rod.lifting:.1f}",
        f"{unit.from_si(rod.miss):.0f}",
    ]


class HoldTable(QWidget):
    """Seconds to hold: a row a depth of bottom, a column a length of line."""

    def __init__(self, planner: Planner, preferences: Preferences) -> None:
        super().__init__()
        self._planner, self._preferences = planner, preferences
        self._points = BODY
        self.tackle = QComboBox()
        self.tackle.setAccessibleName("Tackle the holds are for")
        self.tackle.currentIndexChanged.connect(self.refresh)
        self.table = QTableWidget(0, 0)
        plain_table(self.table, "Hold by bottom depth and colors out")
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.table.horizontalHeader().setMinimumSectionSize(40)
        self.table.horizontalHeader().setFont(font(SMALL))
        self.table.verticalHeader().setFont(font(SMALL))
        self.table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(TIGHT)
        layout.addWidget(self.tackle)
        layout.addWidget(self.table, 1)
        planner.card_changed.connect(self._choices)
        preferences.look_changed.connect(self.refresh)
        self._choices()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Rows share the height there is, and figures grow with them."""
        super().resizeEvent(event)
        room = self.table.height() - self.table.horizontalHeader().height()
        each = room // max(self.table.rowCount(), 1)
        points = min(max(BODY, 0.36 * each), HEAD)
        if points != self._points:
            self._points = points
            self.refresh()

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
        here = int(np.abs(depths - card.found.depth).argmin())
        for column, length in enumerate(lengths):
            words = line_out(tackle.rod, float(length))
            self.table.setHorizontalHeaderItem(column, QTableWidgetItem(words))
        for row, depth in enumerate(depths):
            words = shown(float(depth), unit)
            self.table.setVerticalHeaderItem(row, QTableWidgetItem(words))
            for column in range(len(lengths)):
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
    return "runs there" if value <= 0.0 else f"{value:.1f}"
