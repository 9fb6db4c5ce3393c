"""The table of entries: read from the file as it is scrolled to, sorted by any heading."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QItemSelection,
    QItemSelectionRange,
    QModelIndex,
    QPersistentModelIndex,
    Qt,
    Signal,
)
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QApplication, QHeaderView, QTableView

from app.common.csv_text import as_csv
from app.log.columns import COLUMNS, READ, Column
from app.log.entry import Entry
from app.log.model import Log
from app.ui.look import font
from app.ui.preferences import Preferences
from app.ui.steps import SMALL

Index = QModelIndex | QPersistentModelIndex

CHUNK = 100
"""Rows read at once."""

KEPT = 40
"""Chunks that are kept."""

WIDTHS = {
    "at": 118, "kind": 84, "wait": 80, "hold": 80, "speed": 112, "side": 92, "tide": 118,
    "stage": 84, "light": 104, "wind": 104, "came": 176, "note": 220,
}  # fmt: skip
"""Of columns at first, px."""

NONE = QModelIndex()


def _side(column: Column) -> Qt.AlignmentFlag:
    side = Qt.AlignmentFlag.AlignRight if column.number else Qt.AlignmentFlag.AlignLeft
    return side | Qt.AlignmentFlag.AlignVCenter


class EntriesModel(QAbstractTableModel):
    """Rows of what the log has found."""

    def __init__(self, log: Log, preferences: Preferences) -> None:
        super().__init__()
        self._log, self._preferences = log, preferences
        self._chunks: dict[int, list[tuple[Any, ...] | None]] = {}
        # what is shown, which is not what is found until this is told
        self.numbers = log.found.numbers

    def renew(self) -> None:
        """What was found is other, or is told otherwise."""
        self.beginResetModel()
        self._chunks.clear()
        self.numbers = self._log.found.numbers
        self.endResetModel()

    def rowCount(self, parent: Index = NONE) -> int:
        return 0 if parent.isValid() else len(self.numbers)

    def columnCount(self, parent: Index = NONE) -> int:
        return 0 if parent.isValid() else len(COLUMNS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        across = orientation == Qt.Orientation.Horizontal
        if role == Qt.ItemDataRole.TextAlignmentRole and across:
            return _side(COLUMNS[section])
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        if not across:
            return section + 1
        column = COLUMNS[section]
        unit = f", {self._preferences.speed.symbol}" if column.key == "speed" else ""
        return f"{column.title}{unit}"

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        column = COLUMNS[index.column()]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _side(column)
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self.text(index.row(), index.column())
        return None

    def text(self, row: int, column: int) -> str:
        """What stands in a cell."""
        return self.texts(row, [COLUMNS[column]])[0]

    def texts(self, row: int, columns: Sequence[Column] = COLUMNS) -> list[str]:
        """What stands in the cells of a row."""
        values = self._row(row)
        if values is None:
            return [""] * len(columns)
        own, speed = dict(zip(READ, values, strict=True)), self._preferences.speed
        return [column.text(own, speed) for column in columns]

    def _row(self, row: int) -> tuple[Any, ...] | None:
        chunk, at = divmod(row, CHUNK)
        if chunk not in self._chunks:
            numbers = self.numbers[chunk * CHUNK : (chunk + 1) * CHUNK]
            rows = self._log.store.rows(READ, numbers)
            while len(self._chunks) >= KEPT:
                del self._chunks[next(iter(self._chunks))]
            self._chunks[chunk] = [rows.get(number) for number in numbers]
        return self._chunks[chunk][at]

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        """Sort by a column."""
        falling = order == Qt.SortOrder.DescendingOrder
        wanted = replace(self._log.wanted, by=COLUMNS[column].key, falling=falling)
        self._log.want(wanted)


class EntriesTable(QTableView):
    """``chosen``: other entries are chosen; the last of them is the current one."""

    chosen = Signal()

    def __init__(self, log: Log, preferences: Preferences) -> None:
        super().__init__()
        self._log = log
        self.rows = EntriesModel(log, preferences)
        self.setModel(self.rows)
        self.setAccessibleName("Entries of the log")
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setAlternatingRowColors(False)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(24)
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        head = self.horizontalHeader()
        head.setFont(font(SMALL))
        head.setSortIndicator(0, Qt.SortOrder.DescendingOrder)
        head.setStretchLastSection(True)
        head.setHighlightSections(False)
        for place, column in enumerate(COLUMNS):
            self.setColumnWidth(place, WIDTHS[column.key])
        self.setSortingEnabled(True)
        copy = QAction("Copy", self)
        copy.setShortcut(QKeySequence.StandardKey.Copy)
        copy.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        copy.triggered.connect(lambda: self.copy())
        self.addAction(copy)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
        self.selectionModel().selectionChanged.connect(lambda *_: self.chosen.emit())
        log.changed.connect(self.renew)
        log.shown.connect(self.renew)
        preferences.units_changed.connect(self.rows.renew)

    def renew(self) -> None:
        """Show what is found now, with the same entries chosen where they are there."""
        numbers, current = self.numbers(), self.current_number()
        self.rows.renew()
        self.choose(numbers, current)

    def numbers(self) -> list[int]:
        """Numbers of the entries chosen, from the top."""
        found = self.rows.numbers
        return [found[row] for row in self._rows_chosen() if row < len(found)]

    def _rows_chosen(self) -> list[int]:
        """Rows that are chosen, from the top: asked for by stretches, for they may be many."""
        chosen = self.selectionModel().selection()
        stretches = [chosen.at(k) for k in range(chosen.size())]
        return sorted({row for s in stretches for row in range(s.top(), s.bottom() + 1)})

    def current_number(self) -> int | None:
        """Number of the entry that the hand is on."""
        row, found = self.currentIndex().row(), self.rows.numbers
        return found[row] if 0 <= row < len(found) else None

    def choose(self, numbers: list[int], current: int | None = None) -> None:
        """Choose entries by their numbers; those that are not found are left out."""
        there = {number: row for row, number in enumerate(self.rows.numbers)} if numbers else {}
        rows = sorted(there[number] for number in numbers if number in there)
        selection = self.selectionModel()
        was = selection.blockSignals(True)
        self.clearSelection()
        if current in there:
            self.setCurrentIndex(self.rows.index(there[current], 0))
        flag = selection.SelectionFlag
        selection.select(self._stretches(rows), flag.Select | flag.Rows)
        selection.blockSignals(was)
        self.viewport().update()
        self.chosen.emit()

    def _stretches(self, rows: Sequence[int]) -> QItemSelection:
        """Rows that rise, those that follow one another as one: each by itself takes as long as
        all before it."""
        out = QItemSelection()
        first = 0
        for after in range(1, len(rows) + 1):
            if after == len(rows) or rows[after] != rows[after - 1] + 1:
                out.append(QItemSelectionRange(
                    self.rows.index(rows[first], 0), self.rows.index(rows[after - 1], 0)
                ))  # fmt: skip
                first = after
        return out

    def entries(self) -> list[Entry]:
        """The entries chosen, from the top."""
        return self._log.entries(self.numbers())

    def copy(self) -> None:
        """The rows chosen to the clipboard, or all that are found, with headings."""
        rows = self._rows_chosen()
        heads = [
            str(self.rows.headerData(k, Qt.Orientation.Horizontal)) for k in range(len(COLUMNS))
        ]
        lines = [self.rows.texts(row) for row in rows or range(self.rows.rowCount())]
        QApplication.clipboard().setText(as_csv([heads, *lines], "\t"))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Delete:
            self._log.remove(self.numbers())
            return
        super().keyPressEvent(event)
