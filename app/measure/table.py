"""The lines of one kind of measurement, to type into; an empty line at the end takes a new one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from app.common.bad_input import BadInput
from app.common.typed_number import number
from app.common.units import COLOR, SECOND, Unit
from app.gear.measured_kinds import KINDS
from app.measure.file import WORDS, Line
from app.measure.model import Measuring
from app.ui.look import font
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.steps import SMALL
from app.ui.tables import heads, manners

PLAIN_NUMBER = ";"
"""Numbers are typed with a decimal point or comma, never with thousands."""


class SheetTable(QTableWidget):
    """``said`` carries what is wrong with what was typed, or an empty text."""

    said = Signal(str)

    def __init__(self, measuring: Measuring, preferences: Preferences) -> None:
        super().__init__()
        self._measuring, self._preferences = measuring, preferences
        self.kind = next(iter(KINDS))
        self._at: list[int] = []
        self.setAccessibleName("Measurements")
        manners(self)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.horizontalHeader().setFont(font(SMALL))
        self.verticalHeader().setFont(font(SMALL))
        self.verticalHeader().setDefaultSectionSize(24)
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.AnyKeyPressed
            | QAbstractItemView.EditTrigger.DoubleClicked
            | QAbstractItemView.EditTrigger.EditKeyPressed
        )
        self.itemChanged.connect(self._typed)
        measuring.sheet_changed.connect(self.refresh)
        preferences.units_changed.connect(self.refresh)
        preferences.look_changed.connect(self.refresh)
        self.refresh()

    def unit(self, key: str) -> Unit:
        """The unit a column is in."""
        if key in ("start", "speed"):
            return self._preferences.speed
        return {"line_out": COLOR, "depth": self._preferences.length}.get(key, SECOND)

    def show_kind(self, kind: str) -> None:
        """Show another kind of measurement."""
        self.kind = kind
        self.said.emit("")
        self.refresh()

    def refresh(self) -> None:
        """Show the sheet's lines of this kind, and one to type into."""
        keys = KINDS[self.kind].numbers
        lines = self._measuring.sheet.lines
        self._at = [k for k, line in enumerate(lines) if line.kind == self.kind]
        was = self.blockSignals(True)
        self.setColumnCount(len(keys))
        self.setRowCount(len(self._at) + 1)
        heads(self, [self._head(key) for key in keys], left=())
        # lines are counted through all kinds, as messages count them
        self.setVerticalHeaderLabels([*(str(k + 1) for k in self._at), "new"])
        for row in range(self.rowCount()):
            line = lines[self._at[row]] if row < len(self._at) else Line(self.kind)
            for column, key in enumerate(keys):
                value = getattr(line, key)
                text = "" if value is None else f"{self.unit(key).from_si(value):.6g}"
                item = QTableWidgetItem(text)
                item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.setItem(row, column, item)
        self._mark_bad()
        self.blockSignals(was)

    def _head(self, key: str) -> str:
        """The quantity, and its unit where that is not the quantity itself."""
        words, unit = WORDS[key], self.unit(key)
        whole = words if words == unit.name else f"{words}, {unit.symbol}"
        return f"{whole[:1].upper()}{whole[1:]}"

    def _mark_bad(self) -> None:
        """Color what no fit can be made of, and say why."""
        try:
            self._measuring.rows()
        except BadInput as error:
            where, _, words = error.key.partition(", ")
            at = int(where.removeprefix("line ")) - 1 if where.startswith("line ") else -1
            if at in self._at and words in WORDS.values():
                key = next(k for k, said in WORDS.items() if said == words)
                keys = KINDS[self.kind].numbers
                if key in keys:
                    item = self.item(self._at.index(at), keys.index(key))
                    if item is not None:
                        item.setBackground(QColor(self._preferences.look.alarm))
                        item.setForeground(QColor(self._preferences.look.on_alarm))
                        item.setToolTip(as_tip(str(error)))

    def _typed(self, item: QTableWidgetItem) -> None:
        """Take what was typed, or put back what was there and say why."""
        key = KINDS[self.kind].numbers[item.column()]
        text = item.text().strip()
        value: float | None = None
        if text:
            try:
                value = self.unit(key).to_si(number(text, PLAIN_NUMBER))
            except ValueError as error:
                where = self.verticalHeaderItem(item.row())
                name = where.text() if where is not None else ""
                self.said.emit(f"Line {name}, {WORDS[key]}: “{text[:40]}” {error}.")
                self.refresh()
                return
        self.said.emit("")
        sheet, row = self._measuring.sheet, item.row()
        lines = list(sheet.lines)
        if row < len(self._at):
            at = self._at[row]
            changed: dict[str, Any] = {key: value}
            lines[at] = replace(lines[at], **changed)
        elif value is not None:
            # what stays the same from try to try need not be typed again
            changed = {**dict.fromkeys(KINDS[self.kind].read_off), key: value}
            last = lines[self._at[-1]] if self._at else Line(self.kind)
            lines.append(replace(last, **changed))
        self._measuring.set_sheet(replace(sheet, lines=tuple(lines)), "measurement")
        self._say_first()

    def _say_first(self) -> None:
        try:
            self._measuring.rows()
        except BadInput as error:
            if "is empty" not in str(error):
                self.said.emit(str(error))

    def remove_chosen(self) -> None:
        """Take the selected lines away."""
        rows = {index.row() for index in self.selectedIndexes()}
        gone = {self._at[row] for row in rows if row < len(self._at)}
        if gone:
            sheet = self._measuring.sheet
            lines = tuple(line for k, line in enumerate(sheet.lines) if k not in gone)
            self._measuring.set_sheet(replace(sheet, lines=lines), "remove measurements")

    def begin(self) -> None:
        """Put the hand where the next number goes, if it is nowhere yet."""
        if self.currentRow() < 0:
            self.setCurrentCell(self.rowCount() - 1, 0)

    def closeEditor(self, editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """Enter goes on to the next number there is to type: in this line, or of the next try."""
        row, column = self.currentRow(), self.currentColumn()
        super().closeEditor(editor, hint)
        if hint != QAbstractItemDelegate.EndEditHint.SubmitModelCache:
            return
        keys = KINDS[self.kind].numbers
        empty = [k for k in range(len(keys)) if not self._text(row, k)]
        if self._text(row, column) and not empty:
            row, empty = row + 1, [keys.index(KINDS[self.kind].read_off[0])]
        if empty and row < self.rowCount():
            self.setCurrentCell(row, empty[0])

    def _text(self, row: int, column: int) -> str:
        item = self.item(row, column)
        return "" if item is None else item.text()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and (
            self.state() != QAbstractItemView.State.EditingState
        ):
            self.remove_chosen()
            return
        super().keyPressEvent(event)
