"""What came of each line of an entry, in a small table: a letter fills a cell and goes on down."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidgetItem

from app.common.units import COLOR
from app.log import words
from app.log.as_typed import number_text, read_number
from app.log.entry import OUTCOMES, OUTS, Entry, LineEntry
from app.ui.choosing import CHOICE, Choices, Choosing
from app.ui.look import font, px
from app.ui.steps import SMALL
from app.ui.tables import heads, manners

HEADS = ("Line", "Lure", "Colors", "What came", "Fish", "Landed", "Fouled", "Weed", "Bottom")
NAMES = ("rod", "lure", "out", "outcome", "fish", "landed", "fouled", "weed", "touched")
ROD, LURE = NAMES.index("rod"), NAMES.index("lure")

OUTCOME_LETTERS = {
    "n": "nothing", "d": "drop", "l": "lift", "t": "troll", "u": "turn", "s": "slowing",
}  # fmt: skip
"""Letters for what came of a line; a point or Delete is nothing, too."""

YES = {"y": True, "n": False}

LANDED = (("", ""), ("landed", "yes"), ("lost", "no"))
FLAGS = (("no", ""), ("yes", "yes"))

WIDTHS = {"rod": 70, "lure": 76, "out": 46, "outcome": 94, "fish": 62, "landed": 54, "weed": 42,
          "fouled": 52, "touched": 54}  # fmt: skip


class LinesTable(Choices):
    """``said`` carries what is wrong with what was typed, or an empty text.

    ``get`` gives the entry, ``put`` takes its new lines and what was done in words.
    """

    said = Signal(str)

    def __init__(
        self,
        get: Callable[[], Entry | None],
        put: Callable[[tuple[LineEntry, ...], str], object],
    ) -> None:
        super().__init__()
        self._get, self._put = get, put
        self.setAccessibleName("Lines of this entry")
        manners(self)
        self.setItemDelegate(Choosing(self))
        self.setColumnCount(len(HEADS))
        heads(self, HEADS, left=[k for k, name in enumerate(NAMES) if name != "out"])
        self.horizontalHeader().setFont(font(SMALL))
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(24)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        for place, name in enumerate(NAMES):
            self.setColumnWidth(place, WIDTHS.get(name, 48))
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.AnyKeyPressed
            | QAbstractItemView.EditTrigger.DoubleClicked
            | QAbstractItemView.EditTrigger.EditKeyPressed
        )
        self.setToolTip(
            "What came: N nothing, D drop, L lift, T troll, U turn, S slowing. "
            "Elsewhere Y or N. A name in the last row adds a line; Ctrl+Delete takes one away."
        )
        self.itemChanged.connect(self._typed)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Names have what room the other columns leave."""
        self._fit_names()
        super().resizeEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        """In larger text names have another room, once the other columns have grown."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            QTimer.singleShot(0, self, self._fit_names)

    def _fit_names(self) -> None:
        """A rod's name first, as far as the lure keeps its least; the lure has the rest."""
        widths = [self.columnWidth(place) for place in range(len(NAMES))]
        room = self.viewport().width() - sum(widths) + widths[ROD] + widths[LURE]
        rod, lure = (round(px(WIDTHS[NAMES[place]])) for place in (ROD, LURE))
        rod = max(rod, min(self.sizeHintForColumn(ROD), room - lure))
        self.setColumnWidth(ROD, rod)
        self.setColumnWidth(LURE, max(lure, room - rod))

    def refresh(self) -> None:
        """Show the entry's lines, and a row to type another into."""
        entry = self._get()
        lines = () if entry is None else entry.lines
        at = self.currentRow(), self.currentColumn()
        was = self.blockSignals(True)
        self.setRowCount(len(lines) + 1 if entry is not None else 0)
        for row in range(self.rowCount()):
            line = lines[row] if row < len(lines) else None
            for column in range(len(NAMES)):
                text = "" if line is None else cell_text(line, NAMES[column])
                item = QTableWidgetItem(text)
                if NAMES[column] == "out":
                    side = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                    item.setTextAlignment(side)
                if line is None and NAMES[column] != "rod":
                    item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEditable)
                self.setItem(row, column, item)
        if at[0] >= 0:
            self.setCurrentCell(min(at[0], self.rowCount() - 1), at[1])
        self._fit_names()
        self.blockSignals(was)

    # ---- choosing in a list

    def options(self, row: int, column: int) -> Sequence[tuple[str, str]]:
        name, entry = NAMES[column], self._get()
        if entry is None or row >= len(entry.lines):
            return ()
        if name == "outcome":
            return [(words.OUTCOME[value], value) for value in OUTCOMES]
        if name == "landed":
            return LANDED
        return FLAGS if name in ("fouled", "weed", "touched") else ()

    def value_of(self, row: int, column: int) -> str:
        entry, name = self._get(), NAMES[column]
        if entry is None or row >= len(entry.lines):
            return ""
        value = getattr(entry.lines[row], name)
        if name == "outcome":
            return str(value)
        return "yes" if value else "no" if value is False and name == "landed" else ""

    def _typed(self, item: QTableWidgetItem) -> None:
        """Take what was typed or chosen, or put back what was there and say why."""
        entry, row, name = self._get(), item.row(), NAMES[item.column()]
        if entry is None:
            return
        choice, text = item.data(CHOICE), item.text().strip()

        def take() -> None:
            value: Any = text
            if choice is not None:
                value = _chosen(name, str(choice))
            elif name == "out":
                value = read_number(text, COLOR, OUTS)
            if row < len(entry.lines):
                self._set(row, name, value)
            elif text:
                self._put((*entry.lines, LineEntry(text)), "add a line")

        self._try(f"{HEADS[item.column()]}: “{text[:40]}”", take)

    def _try(self, what: str, take: Callable[[], object]) -> None:
        """Take something, or put back what was there and say why."""
        try:
            take()
        except ValueError as error:
            self.said.emit(f"{what}: {error}.")
            self.refresh()
        else:
            self.said.emit("")

    def _set(self, row: int, name: str, value: Any) -> None:
        entry = self._get()
        assert entry is not None
        line = entry.lines[row]
        changed: dict[str, Any] = {name: value}
        if name == "outcome" and value == "nothing":
            # nothing was hooked, so nothing came aboard and no fish was told
            changed |= {"landed": None, "fish": "", "after": None}
        new = replace(line, **changed)
        if new != line:
            lines = (*entry.lines[:row], new, *entry.lines[row + 1 :])
            self._put(lines, "what came of a line" if name == "outcome" else "line")
        else:
            self.refresh()

    # ---- keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        row, column = self.currentRow(), self.currentColumn()
        entry = self._get()
        if entry is None or row < 0 or self.state() == QAbstractItemView.State.EditingState:
            super().keyPressEvent(event)
            return
        key, control = event.key(), event.modifiers() & Qt.KeyboardModifier.ControlModifier
        there = row < len(entry.lines)
        if key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and there:
            if control:
                left = entry.lines[:row] + entry.lines[row + 1 :]
                self._try(HEADS[column], lambda: self._put(left, "take a line away"))
            else:
                empty = _EMPTY[NAMES[column]]
                self._try(HEADS[column], lambda: self._set(row, NAMES[column], empty))
            return
        letter = event.text().casefold()
        value = _LETTERS.get(NAMES[column], {}).get(letter)
        if value is not None and there and not control:
            self._try(HEADS[column], lambda: self._set(row, NAMES[column], value))
            if row + 1 < len(entry.lines):
                self.setCurrentCell(row + 1, column)
            else:
                self.focusNextChild()
            return
        if NAMES[column] in _LETTERS and letter.isalpha() and not control:
            return
        super().keyPressEvent(event)

    def begin(self) -> None:
        """The hand goes to what came of the first line."""
        if self.rowCount():
            self.setCurrentCell(0, NAMES.index("outcome"))


def cell_text(line: LineEntry, name: str) -> str:
    """What stands in a cell of a line."""
    value = getattr(line, name)
    if name == "out":
        return number_text(value, COLOR, 2)
    if name == "outcome":
        return words.OUTCOME[value]
    if name == "landed":
        return words.LANDED[value]
    if isinstance(value, bool):
        return "yes" if value else ""
    return str(value)


def _chosen(name: str, choice: str) -> Any:
    if name == "landed":
        return {"": None, "yes": True, "no": False}[choice]
    return choice if name == "outcome" else choice == "yes"


_LETTERS: dict[str, dict[str, Any]] = {
    "outcome": {**OUTCOME_LETTERS, ".": "nothing"},
    **dict.fromkeys(("landed", "fouled", "weed", "touched"), YES),
}

_EMPTY: dict[str, Any] = {
    "rod": "", "lure": "", "out": None, "outcome": "nothing", "fish": "", "landed": None,
    "fouled": False, "weed": False, "touched": False,
}  # fmt: skip
