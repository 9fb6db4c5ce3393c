"""The candidates in a table, ranked by any column."""

from __future__ import annotations

from PySide6.QtCore import QItemSelectionModel, QSignalBlocker, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QTableWidget, QTableWidgetItem

from app.compare.columns import COLUMNS, Units, as_tabs, order, text
from app.compare.model import Comparison, Row
from app.compare.signs import sign_icon
from app.ui.columns import FittedTable
from app.ui.look import font
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.steps import BODY, LOUD, SMALL
from app.ui.tables import cell, manners, quiet_choice

NAMES = 140
"""Least width of the names, px."""

WIDEST = "−88.8"
"""What every other column has room for."""

NOT_ON_A_LINE = "alone: in the first plot only"


class CompareTable(FittedTable):
    """A row a candidate. A click on a heading ranks by it, another turns the order around.

    Space or Enter ranks by the column of the current cell; the current row is
    the chosen candidate.
    """

    def __init__(self, comparison: Comparison, preferences: Preferences) -> None:
        super().__init__(NAMES)
        self.setColumnCount(len(COLUMNS) + 1)
        self._comparison, self._preferences = comparison, preferences
        self._key: str | None = None
        self._descending = False
        self.shown: list[Row] = []
        self.setAccessibleName("Candidates compared")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        manners(self)
        self.setShowGrid(False)
        self.setProperty("bare", True)
        self.setFrameShape(QTableWidget.Shape.NoFrame)
        self.setWordWrap(False)
        self.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self.setIconSize(QSize(44, 14))
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(23)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        header = self.horizontalHeader()
        header.setSectionsClickable(True)
        header.setHighlightSections(False)
        header.sectionClicked.connect(self.rank)
        self.currentCellChanged.connect(self._current)
        preferences.look_changed.connect(self._dress)
        self._dress()

    def _dress(self) -> None:
        quiet_choice(self, self._preferences.look)
        self.refresh()

    @property
    def units(self) -> Units:
        """The units on screen."""
        return Units(self._preferences.length, self._preferences.rate, self._preferences.pull)

    def show_large(self, large: bool) -> None:
        """Larger rows and figures, where there is room for them."""
        self.verticalHeader().setDefaultSectionSize(34 if large else 23)
        self.setFont(font(LOUD if large else BODY))
        self.horizontalHeader().setFont(font(BODY if large else SMALL))
        self.share()

    def take(self, rows: list[Row]) -> None:
        """Show the rows in the order chosen."""
        lineup = self._comparison.lineup
        self.shown = order(rows, lineup, self.units, self._key, self._descending)
        self.refresh()

    def rank(self, column: int) -> None:
        """Order by a column; the other way around if it is ordered by it already."""
        key = "name" if column == 0 else COLUMNS[column - 1].key
        if key == self._key:
            self._descending = not self._descending
        else:
            self._key, self._descending = key, column != 0
        self.take(sorted(self.shown, key=lambda row: row.number))

    def as_text(self) -> str:
        """The table as it is ordered, with tabs between."""
        return as_tabs(self.shown, self._comparison.lineup, self.units)

    def refresh(self) -> None:
        """Write headings and cells."""
        with QSignalBlocker(self):
            self.setRowCount(len(self.shown))
            self.clearSpans()
            self._headings()
            for at, row in enumerate(self.shown):
                self._row(at, row)
            self.set_widest(["", *(WIDEST for _ in COLUMNS)])
            self.follow()

    def follow(self) -> None:
        """Mark the chosen candidate's row."""
        with QSignalBlocker(self):
            for at, row in enumerate(self.shown):
                if row.number == self._comparison.chosen and at != self.currentRow():
                    flags = QItemSelectionModel.SelectionFlag
                    self.setCurrentCell(at, max(self.currentColumn(), 0),
                                        flags.ClearAndSelect | flags.Rows)  # fmt: skip
        self.viewport().update()

    def _headings(self) -> None:
        lineup, units = self._comparison.lineup, self.units
        for column in range(len(COLUMNS) + 1):
            if column == 0:
                head, tip, key = "Candidate\n", "The candidate and its symbol", "name"
            else:
                what = COLUMNS[column - 1]
                key, tip = what.key, what.tip
                first, second = what.head.split("\n")
                symbol = what.unit(units).symbol
                if key == "reaches":
                    second = units.length.text(lineup.depth, 0)
                head = f"{first}\n{second}, {symbol}"
            if key == self._key:
                head += " ↓" if self._descending else " ↑"
            item = self.horizontalHeaderItem(column)
            if item is None:
                item = QTableWidgetItem()
                side = Qt.AlignmentFlag.AlignLeft if column == 0 else Qt.AlignmentFlag.AlignRight
                item.setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)
                self.setHorizontalHeaderItem(column, item)
            item.setText(head)
            item.setToolTip(as_tip(f"{tip}. Click to rank by it."))

    def _row(self, at: int, row: Row) -> None:
        lineup, look = self._comparison.lineup, self._preferences.look
        note = ""
        if row.trouble:
            note = row.trouble
        elif row.candidate.alone:
            note = f"{NOT_ON_A_LINE}."
        name = cell(self, at, 0, row.candidate.name, left=True)
        name.setIcon(sign_icon(row.number, look))
        tackle = row.candidate.words(self._preferences.length)
        name.setToolTip(as_tip("\n".join(t for t in (row.candidate.name, tackle, note) if t)))
        name.setForeground(QColor(look.alarm if row.trouble else look.text))
        for column, what in enumerate(COLUMNS, 1):
            item = cell(self, at, column, text(what, row, lineup, self.units))
            item.setForeground(QColor(look.text))
            item.setToolTip(as_tip(note))
        if row.trouble and not any((row.fall, row.drop, row.tow)):
            self.setSpan(at, 1, 1, len(COLUMNS))
            cell(self, at, 1, row.trouble).setForeground(QColor(look.alarm))
        elif row.candidate.alone:
            self.setSpan(at, 2, 1, len(COLUMNS) - 1)
            cell(self, at, 2, NOT_ON_A_LINE).setForeground(QColor(look.faint))

    def _current(self, row: int, _column: int, before: int, _old: int) -> None:
        if row != before and 0 <= row < len(self.shown):
            self._comparison.choose(self.shown[row].number)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.rank(max(self.currentColumn(), 0))
            return
        super().keyPressEvent(event)
