"""Timed orders as a table to edit in place: a row an order, what is being obeyed pointed out."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence

from PySide6.QtCore import QEvent, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QColor, QIcon, QKeyEvent, QPixmap, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
)

from app.common.units import KILOGRAM, METER, POUND
from app.ground.orders.now import in_force
from app.ground.orders.rows import (
    Refused,
    choices,
    has_rate,
    has_value,
    replaced,
    rows,
    task_words,
    with_action,
    with_rate,
    with_rod,
    with_time,
    with_value,
)
from app.scenario.order_words import (
    WHAT,
    AnyOrder,
    OrderUnits,
    rate_words,
    seconds,
    value_words,
    who,
)
from app.scenario.setup import Setup
from app.session.live_run import LiveRun
from app.ui.choosing import CHOICE, Choices, Choosing
from app.ui.look import font, weight
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.steps import SMALL
from app.ui.tables import manners, quiet_choice, symbol_icon
from physics.line.line_orders import LineOrder

HEADS = ("Now", "At, s", "Who", "What", "To", "How fast")
NOW, AT, WHO, TASK, TO, FAST = range(len(HEADS))

WIDTHS = {NOW: 66, AT: 70, TASK: 130}
"""Widths of columns whose content is never longer, px at the usual size of type."""

SHARES = {WHO: 0.3, TO: 0.34}
"""Most of the table's width that names and values may take."""

LEAST = 110
"""The least they get, px."""

NOW_WORDS = "\u25b6 now"
"""Beside an order that is being obeyed."""

Change = Callable[[Setup, str], bool]


def units_of(preferences: Preferences) -> OrderUnits:
    """The units orders are told in."""
    weight = KILOGRAM if preferences.length is METER else POUND
    return OrderUnits(preferences.length, preferences.rate, weight, preferences.speed)


class OrderTable(Choices):
    """``said`` carries why what was typed is refused, or an empty text.

    ``change`` (setup, undo text) takes a changed setup up; False if it makes no sense.
    """

    said = Signal(str)

    def __init__(self, live_run: LiveRun, preferences: Preferences, change: Change) -> None:
        super().__init__(0, len(HEADS))
        self._live_run, self._preferences, self._change = live_run, preferences, change
        self._document = live_run.document
        self.shown: tuple[AnyOrder, ...] = ()
        self._last = -1
        self.setAccessibleName("Timed orders")
        self.setHorizontalHeaderLabels(list(HEADS))
        right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        head = self.horizontalHeaderItem(AT)
        if head is not None:
            head.setTextAlignment(right)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        manners(self)
        self.setShowGrid(False)
        self.setProperty("bare", True)
        self.setFrameShape(QTableWidget.Shape.NoFrame)
        self.setWordWrap(False)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(24)
        header = self.horizontalHeader()
        header.setFont(font(SMALL))
        header.setHighlightSections(False)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        header.setSectionResizeMode(FAST, QHeaderView.ResizeMode.Stretch)
        for column, width in WIDTHS.items():
            self.setColumnWidth(column, width)
        self.setItemDelegate(Choosing(self))
        self.itemChanged.connect(self._typed)
        preferences.units_changed.connect(self.refresh)
        preferences.look_changed.connect(self._dress)
        self._dress()

    def _dress(self) -> None:
        quiet_choice(self, self._preferences.look)
        self.refresh()

    # ---- show

    def refresh(self) -> None:
        """Show the orders of the setup on screen; what was chosen stays chosen."""
        chosen = [self.shown[row] for row in self.chosen() if row < len(self.shown)]
        current, column = self.currentRow(), self.currentColumn()
        at = self.shown[current] if 0 <= current < len(self.shown) else None
        self.shown = rows(self._document.setup)
        units, symbols = units_of(self._preferences), self._symbols()
        with QSignalBlocker(self):
            self.setRowCount(len(self.shown))
            for row, order in enumerate(self.shown):
                self._show(row, order, units, symbols)
        self.point_out()
        self._fit()
        self.choose(chosen, at, column)

    def _symbols(self) -> dict[str, QIcon]:
        look, rods = self._preferences.look, self._document.setup.rods
        icons = {rod.name: symbol_icon(number, look) for number, rod in enumerate(rods)}
        for icon in icons.values():
            # a chosen row tints no symbol
            icon.addPixmap(icon.pixmap(28, 28), QIcon.Mode.Selected)
        return icons

    def _show(
        self, row: int, order: AnyOrder, units: OrderUnits, symbols: dict[str, QIcon]
    ) -> None:
        blank = QPixmap(28, 28)
        blank.fill(Qt.GlobalColor.transparent)
        texts = (
            "", seconds(order.time), who(order), task_words(self._document.setup, order),
            value_words(order, units), rate_words(order, units),
        )  # fmt: skip
        may = (
            False, True, isinstance(order, LineOrder), bool(choices(order)), has_value(order),
            has_rate(order),
        )  # fmt: skip
        faint = QColor(self._preferences.look.faint)
        for column, text in enumerate(texts):
            item = QTableWidgetItem(text)
            flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
            item.setFlags(flags | Qt.ItemFlag.ItemIsEditable if may[column] else flags)
            if column == AT:
                item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            elif column == WHO:
                item.setIcon(symbols.get(text, QIcon(blank)))
                item.setToolTip(as_tip(text))
            elif column == TO and order.action == "course":
                item.setForeground(faint)
                item.setToolTip(as_tip(f"{text}: legs are drawn, not typed; the time may be typed"))
            self.setItem(row, column, item)

    def point_out(self) -> None:
        """Say of every order whether it is done, is being obeyed, or is to come."""
        live_run = self._live_run
        now = live_run.now
        obeyed = [] if live_run.settling else in_force(live_run.run, now)
        last = -1
        with QSignalBlocker(self):
            for row, order in enumerate(self.shown):
                text = ""
                if not live_run.settling:
                    text = f"in {math.ceil(order.time - now)} s" if order.time > now else "done"
                    if order.time <= now:
                        last = row
                        text = NOW_WORDS if order in obeyed else text
                first = self.item(row, NOW)
                if first is not None and first.text() != text:
                    bold = text == NOW_WORDS
                    was = first.text() == NOW_WORDS
                    first.setText(text)
                    if bold != was:
                        self._embolden(row, bold)
        if last != self._last:
            self._last = last
            if last >= 0 and not self.hasFocus() and not self.chosen():
                self.scrollTo(self.model().index(last, NOW), self.ScrollHint.PositionAtCenter)

    def _embolden(self, row: int, bold: bool) -> None:
        style = weight(bold=bold)
        for column in range(len(HEADS)):
            item = self.item(row, column)
            if item is not None:
                item.setFont(style)

    def _fit(self) -> None:
        """As much room for names and values as they need, within reason."""
        for column, share in SHARES.items():
            self.resizeColumnToContents(column)
            most = max(round(share * self.viewport().width()), LEAST)
            # names being obeyed are bold, and wider
            need = round(1.12 * self.columnWidth(column)) + 6
            self.setColumnWidth(column, min(max(need, LEAST), most))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    # ---- choose

    def chosen(self) -> list[int]:
        """Rows chosen, from above."""
        return sorted({index.row() for index in self.selectedIndexes()})

    def choose(
        self, orders: Collection[AnyOrder], at: AnyOrder | None = None, column: int = AT
    ) -> None:
        """Choose these orders; ``at`` becomes the current one. Those that are gone are left out."""
        found = [row for row, order in enumerate(self.shown) if _among(order, orders)]
        current = next((row for row, order in enumerate(self.shown) if order is at), None)
        self.clearSelection()
        model, selection = self.model(), self.selectionModel()
        flags = selection.SelectionFlag.Select | selection.SelectionFlag.Rows
        if current is None and found:
            current = found[0]
        if current is not None:
            place = model.index(current, max(column, 0))
            selection.setCurrentIndex(place, selection.SelectionFlag.NoUpdate)
        for row in found:
            selection.select(model.index(row, 0), flags)
        if current is not None and found:
            self.scrollTo(model.index(current, max(column, 0)))

    # ---- type

    def options(self, row: int, column: int) -> Sequence[tuple[str, str]]:
        """(words, value) to choose from in a cell; none where one types."""
        order = self.shown[row]
        if column == WHO and isinstance(order, LineOrder):
            return [(rod.name, rod.name) for rod in self._document.setup.rods]
        return [(WHAT[each], each) for each in choices(order)] if column == TASK else ()

    def value_of(self, row: int, column: int) -> str:
        """Which of the options stands in a cell."""
        order = self.shown[row]
        return who(order) if column == WHO else order.action

    def _typed(self, item: QTableWidgetItem) -> None:
        """Take what was typed, or put back what was there and say why."""
        row, column = item.row(), item.column()
        if row >= len(self.shown):
            return
        order, text = self.shown[row], item.text().strip()
        setup = self._document.setup
        self.said.emit("")
        try:
            new = self._changed(order, column, text, item.data(CHOICE))
            changed = replaced(setup, row, new)
        except Refused as error:
            self._refuse(row, column, str(error))
            return
        if changed == setup:
            self.refresh()
        elif self._change(changed, f"order {HEADS[column].partition(',')[0].lower()}"):
            self.choose([new], new, column)
        else:
            self.refresh()

    def _changed(self, order: AnyOrder, column: int, text: str, choice: object) -> AnyOrder:
        if column == AT:
            return with_time(order, text)
        units = units_of(self._preferences)
        if column == TO:
            return with_value(order, text, units)
        if column == FAST and isinstance(order, LineOrder):
            return with_rate(order, text, units)
        if column == WHO and isinstance(order, LineOrder) and isinstance(choice, str):
            return with_rod(order, choice)
        if column == TASK and isinstance(choice, str):
            mark_depth = self._document.mark_depth()
            return with_action(self._document.setup, order, choice, mark_depth)
        return order

    def _refuse(self, row: int, column: int, why: str) -> None:
        self.refresh()
        look, item = self._preferences.look, self.item(row, column)
        if item is not None:
            with QSignalBlocker(self):
                item.setBackground(QColor(look.alarm))
                item.setForeground(QColor(look.on_alarm))
                item.setToolTip(as_tip(why))
        self.said.emit(f"Order {row + 1}, {HEADS[column].partition(',')[0].lower()}: {why}")

    def event(self, event: QEvent) -> bool:
        """While a cell has the keys, digits and arrows are its own, not the helm's."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            plain = event.modifiers() in (
                Qt.KeyboardModifier.NoModifier,
                Qt.KeyboardModifier.KeypadModifier,
            )
            key = Qt.Key(event.key())
            arrows = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right)
            if plain and self.shown and (key in arrows or event.text().isdigit()):
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and (
            self.state() != QAbstractItemView.State.EditingState
        ):
            index = self.currentIndex()
            if index.isValid() and index.flags() & Qt.ItemFlag.ItemIsEditable:
                self.edit(index)
            return
        super().keyPressEvent(event)


def _among(order: AnyOrder, orders: Collection[AnyOrder]) -> bool:
    return any(order is each for each in orders)
