"""The same drop four ways in a table: a row a line, a column a heading."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.common.units import Unit
from app.ground.ways_job import HOLD, WAIT, WayRod
from app.ground.ways_model import FourWays
from app.ui.late_bar import Late
from app.ui.look import font
from app.ui.number_field import NumberField, Refusal
from app.ui.panel import quiet
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.steps import SMALL
from app.ui.tables import plain_table, symbol_icon

NAMES = 160
"""Most width of the lines' names, px: what they are told of needs the rest."""


class WaysTable(QWidget):
    """Wait and hold above, what they give with every heading below."""

    def __init__(self, ways: FourWays, preferences: Preferences) -> None:
        super().__init__()
        self._ways, self._preferences = ways, preferences
        self.wait = NumberField(
            WAIT, lambda: ways.wait, lambda wait: ways.choose(wait, ways.hold), preferences
        )
        self.hold = NumberField(
            HOLD, lambda: ways.hold, lambda hold: ways.choose(ways.wait, hold), preferences
        )
        row = QHBoxLayout()
        for words, box in (("Wait", self.wait), ("Hold", self.hold)):
            box.setFixedWidth(96)
            row.addWidget(quiet(words))
            row.addWidget(box)
        row.addWidget(Refusal(self.wait, self.hold))
        self.told = quiet("")
        self._late = Late(self)
        self._late.turned.connect(self._tell)
        row.addWidget(self.told, 1)
        self.table = QTableWidget(0, 0)
        plain_table(self.table, "The same drop four ways")
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.table.horizontalHeader().setFont(font(SMALL))
        names = self.table.verticalHeader()
        names.setDefaultSectionSize(38)
        names.setMaximumWidth(NAMES)
        names.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(row)
        layout.addWidget(self.table, 1)
        ways.changed.connect(self.refresh)
        preferences.units_changed.connect(self.refresh)
        preferences.look_changed.connect(self.refresh)
        self.refresh()

    def _tell(self) -> None:
        self.told.setText(self._ways.trouble or ("working…" if self._late.shown else ""))

    def refresh(self) -> None:
        """Show the ways there are."""
        ways, look = self._ways, self._preferences.look
        self._late.tell(ways.busy)
        self._tell()
        found = ways.found
        self.table.setColumnCount(len(found))
        self.table.setRowCount(len(found[0].rods) if found else 0)
        for column, way in enumerate(found):
            head = f"{way.words}\n{self._preferences.speed.text(way.over_ground)} over ground"
            self.table.setHorizontalHeaderItem(column, QTableWidgetItem(head))
            for number, rod in enumerate(way.rods):
                if not column:
                    name = QTableWidgetItem(symbol_icon(number, look), rod.name)
                    name.setToolTip(as_tip(rod.name))
                    self.table.setVerticalHeaderItem(number, name)
                item = QTableWidgetItem(told(rod, self._preferences.length))
                item.setTextAlignment(Qt.AlignmentFlag.AlignCenter)
                item.setForeground(QColor(look.alarm if rod.touches else look.text))
                self.table.setItem(number, column, item)


def told(rod: WayRod, unit: Unit) -> str:
    """How deep a lure gets, how near the bottom, and where against the mark."""
    past = round(unit.from_si(abs(rod.past)))
    aside = round(unit.from_si(abs(rod.aside)))
    where = f"{past} {unit.symbol} {'past' if rod.past > 0.0 else 'short'}"
    if aside:
        where += f", {aside} to {'starboard' if rod.aside > 0.0 else 'port'}"
    off = "touches" if rod.touches else f"{unit.from_si(rod.off_bottom):.0f} off"
    return f"{unit.text(rod.deepest)} deep, {off}\n{where}"
