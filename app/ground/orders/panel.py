"""Timed orders, and what may be done with the list: add, take away, move, keep, run."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QMenu,
    QPushButton,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.ground.orders.now import also_told, kept, not_listed
from app.ground.orders.rows import (
    HELM_ACTIONS,
    SHIFT,
    Refused,
    doubled,
    new_order,
    new_time,
    removed,
    rows,
    shifted,
    with_rows,
)
from app.ground.orders.table import OrderTable
from app.scenario.order_words import HELM, WHAT, AnyOrder
from app.scenario.setup import Setup
from app.session.live_run import LiveRun
from app.ui.number_field import NumberField, Refusal, all_taken
from app.ui.panel import quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.steps import GAP, SNUG, TIGHT
from physics.line.line_orders import LINE_ACTIONS

EMPTY = (
    "Nothing is ordered yet.\n"
    "Add an order to the helm or about a line; or give the orders by hand while it runs, "
    "then press Save what I just did: they are then obeyed on their own, at the same times, "
    "whenever you run from the start."
)


class OrderPanel(QWidget):
    """All changes go to the setup, undoably; each starts the run over."""

    def __init__(self, live_run: LiveRun, preferences: Preferences) -> None:
        super().__init__()
        self._live_run, self._preferences = live_run, preferences
        self._document = live_run.document
        self._changing = False
        self._heard = ""
        self.table = OrderTable(live_run, preferences, self.change)
        self.said = Label()
        self.said.setProperty("alarm", True)
        self.said.setWordWrap(True)
        self.note = quiet()
        self.note.setWordWrap(True)
        self.empty = quiet(EMPTY)
        self.empty.setWordWrap(True)
        self.empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.table)
        self.stack.addWidget(self.empty)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(TIGHT)
        layout.addLayout(self._tools())
        layout.addWidget(self.said)
        layout.addWidget(self.stack, 1)
        layout.addLayout(self._foot())
        for keys in ("Delete", "Backspace"):
            QShortcut(
                QKeySequence(keys), self.table, self.remove,
                context=Qt.ShortcutContext.WidgetShortcut,
            )  # fmt: skip
        self.table.said.connect(self.tell)
        self.table.itemSelectionChanged.connect(self._enable)
        self._document.setup_changed.connect(self.refresh)
        self._document.catalog_changed.connect(self.refresh)
        live_run.figures.connect(self._moved)
        live_run.restarted.connect(self._moved)
        live_run.helm_changed.connect(self._moved)
        self._document.trouble.connect(self._hear)
        self.tell("")
        self.refresh()

    def _tools(self) -> QHBoxLayout:
        self.add = QPushButton("Add")
        menu = QMenu(self.add)
        menu.aboutToShow.connect(self._offer)
        self.add.setMenu(menu)
        self.add.setToolTip("An order to the helm, or about a line")
        self.drop = self._button("Remove", self.remove, "Take the chosen orders away (Delete)")
        self.double = self._button("Duplicate", self.duplicate, "The chosen orders once more")
        self._by = SHIFT.default or 0.0
        self.by = NumberField(
            SHIFT, lambda: self._by, partial(setattr, self, "_by"), self._preferences
        )
        self.by.setFixedWidth(92)
        self.move_all = self._button("Shift all by", self.shift, "Later; with a minus, earlier")
        self.keep = self._button("Save what I just did", self.keep_given, "")
        self.again = self._button("Run from the start", self._live_run.start_over, "(R)")
        row = QHBoxLayout()
        row.setSpacing(SNUG)
        for widget in (self.add, self.drop, self.double):
            row.addWidget(widget)
        row.addSpacing(GAP)
        row.addWidget(self.move_all)
        row.addWidget(self.by)
        row.addWidget(Refusal(self.by))
        row.addStretch(1)
        row.addWidget(self.keep)
        row.addWidget(self.again)
        return row

    def _foot(self) -> QHBoxLayout:
        self.write_hold = self._button(
            "Put the hold in the list", self.list_hold, "As two orders for the gear"
        )
        row = QHBoxLayout()
        row.addWidget(self.note, 1)
        row.addWidget(self.write_hold, 0, Qt.AlignmentFlag.AlignBottom)
        return row

    def _button(self, text: str, do: object, tip: str) -> QPushButton:
        button = QPushButton(text)
        button.setToolTip(as_tip(tip))
        # Space is the gear lever's while the drop goes on
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        button.clicked.connect(lambda: do())  # type: ignore[operator]
        return button

    # ---- show

    def refresh(self) -> None:
        """Show the setup on screen."""
        self.tell("")
        self.table.refresh()
        self.stack.setCurrentIndex(0 if self.table.shown else 1)
        self._enable()
        self._moved()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._moved()

    def _moved(self) -> None:
        """Time went on, or something was given by hand."""
        if not self.isVisible():
            return
        live_run = self._live_run
        setup = self._document.setup
        self.table.point_out()
        hold = live_run.hold_seconds if live_run.auto_hold else None
        wait = live_run.wait_seconds if live_run.auto_wait else None
        told = also_told(setup, hold, wait)
        fresh = 0 if live_run.settling else not_listed(setup, live_run.run, live_run.now)
        if fresh:
            orders = "1 order given" if fresh == 1 else f"{fresh} orders given"
            told.insert(0, f"{orders} by hand since the start: not in the list yet.")
        text = "  ".join(told)
        if self.note.text() != text:
            self.note.setText(text)
            self.note.setVisible(bool(text))
        self.write_hold.setVisible(setup.dropped() is not setup)
        self.keep.setEnabled(fresh > 0)
        tip = "What was told by hand since the start, with its times, into the list"
        self.keep.setToolTip(as_tip(tip if fresh else f"{tip}; nothing was yet"))

    def _enable(self) -> None:
        some, chosen = bool(self.table.shown), bool(self.table.chosen())
        self.drop.setEnabled(chosen)
        self.double.setEnabled(chosen)
        self.move_all.setEnabled(some)
        self.by.setEnabled(some)

    def tell(self, text: str) -> None:
        """Say why something is refused; an empty text takes that back."""
        self.said.setText(text)
        self.said.setVisible(bool(text))

    # ---- change

    def change(self, setup: Setup, text: str) -> bool:
        """Take up a changed setup; False, with the reason told, if it makes no sense."""
        self._changing, self._heard = True, ""
        done = self._document.edit(setup, text)
        self._changing = False
        self.tell("" if done else self._heard)
        return done

    def _hear(self, text: str) -> None:
        if self._changing:
            self._heard = text

    def _offer(self) -> None:
        """Fill the menu: the helm's orders, then those about each line."""
        menu = self.add.menu()
        menu.clear()
        setup = self._document.setup
        helm = menu.addMenu("To the helm")
        helm.setEnabled(setup.motion is None)
        for action in HELM_ACTIONS:
            self._offer_one(helm, HELM, action)
        for rod in setup.rods:
            # an ampersand in a name is no shortcut
            line = menu.addMenu(rod.name.replace("&", "&&"))
            for about in LINE_ACTIONS:
                self._offer_one(line, rod.name, about)

    def _offer_one(self, menu: QMenu, who: str, action: str) -> None:
        item = QAction(WHAT[action], menu)
        item.triggered.connect(partial(self.add_order, who, action))
        menu.addAction(item)

    def add_order(self, who: str, action: str, _checked: bool = False) -> None:
        """A new order: at the time of the chosen one, or some time after the last."""
        setup, chosen = self._document.setup, self.table.chosen()
        time = self.table.shown[chosen[-1]].time if chosen else new_time(setup)
        order = new_order(setup, who, action, time, self._document.mark_depth())
        self._take([*rows(setup), order], [order], "add an order")

    def _take(self, orders: list[AnyOrder], chosen: list[AnyOrder], text: str) -> None:
        try:
            setup = with_rows(self._document.setup, orders)
        except Refused as error:
            self.tell(str(error))
            return
        if self.change(setup, text):
            self.table.choose(chosen)
            self.table.setFocus()

    def remove(self) -> None:
        """Take the chosen orders away."""
        chosen = self.table.chosen()
        if chosen:
            setup = removed(self._document.setup, chosen)
            if self.change(setup, "remove orders") and self.table.shown:
                after = min(chosen[0], len(self.table.shown) - 1)
                self.table.choose([self.table.shown[after]])

    def duplicate(self) -> None:
        """The chosen orders once more, at the same times."""
        chosen = self.table.chosen()
        old = self.table.shown
        try:
            setup = doubled(self._document.setup, chosen)
        except Refused as error:
            self.tell(str(error))
            return
        if self.change(setup, "duplicate orders"):
            mine = {id(order) for order in old}
            self.table.choose([order for order in self.table.shown if id(order) not in mine])

    def shift(self) -> None:
        """Move all orders by the seconds in the field."""
        if not all_taken(self.by):
            return
        try:
            setup = shifted(self._document.setup, self._by)
        except Refused as error:
            self.tell(f"Shift all: {error}")
            return
        self.change(setup, "shift orders")

    def keep_given(self) -> None:
        """Put what was ordered by hand since the start in the list."""
        live_run = self._live_run
        if not live_run.settling:
            self.change(kept(self._document.setup, live_run.run, live_run.now), "keep orders")

    def list_hold(self) -> None:
        """Put the scenario's hold in the list, as orders for the gear."""
        self.change(self._document.setup.dropped(), "list the hold")
