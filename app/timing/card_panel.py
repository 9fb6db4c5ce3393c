"""The helm card on the page: print it, and say what is to stand on it."""

from __future__ import annotations

import re
from dataclasses import replace

from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLineEdit, QPushButton

from app.common.units import figure, shown
from app.scenario.card_wish import MOST_DEPTHS, SLOWER
from app.session.document import Document
from app.timing.card_menu import CardMenu
from app.timing.model import Planner
from app.ui.number_field import Field, NumberField
from app.ui.panel import Panel, quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.steps import SNUG
from physics.checks import InvalidValue


class CardPanel(Panel):
    """Print, and beside it what else can be done; depths of bottom and a second speed."""

    def __init__(self, planner: Planner, document: Document, preferences: Preferences) -> None:
        super().__init__("Helm card")
        self._planner, self._document, self._preferences = planner, document, preferences
        self._menu: CardMenu | None = None
        self.print = QPushButton("Print card")
        self.print.setToolTip("Print the card for the wheel at once, on the usual printer")
        self.print.setEnabled(False)
        self.more = QPushButton("Save or look")
        self.more.setToolTip("Look at the card first, save it, choose the paper")
        row = QHBoxLayout()
        row.setSpacing(SNUG)
        row.addWidget(self.print, 1)
        row.addWidget(self.more)
        self.body.addLayout(row)
        self.depths = QLineEdit()
        self.depths.setAccessibleName("Bottoms on the card")
        self.depths.editingFinished.connect(self._wish)
        label = quiet("Bottoms")
        label.setBuddy(self.depths)
        row = QHBoxLayout()
        row.addWidget(label)
        row.addWidget(self.depths, 1)
        self.body.addLayout(row)
        self.error = Label()
        self.error.setProperty("alarm", True)
        self.error.setWordWrap(True)
        self.error.hide()
        self.body.addWidget(self.error)
        self.slower = Field("Coming down to", NumberField(
            SLOWER, lambda: document.setup.card.slower or document.setup.speed,
            self._set_slower, preferences,
        ))  # fmt: skip
        self.slower.setToolTip("A second speed, beside the first in every place of the card")
        self.body.addWidget(self.slower)
        self.steady = QCheckBox("Steady holds")
        self.steady.setToolTip("No hold so long that its line touches more often than may be")
        self.steady.clicked.connect(self._set_steady)
        self.body.addWidget(self.steady)
        document.setup_changed.connect(self.refresh)
        preferences.units_changed.connect(self.refresh)
        self.refresh()

    def take(self, menu: CardMenu) -> None:
        """What can be done with the card."""
        if self._menu is None:
            self._menu = menu
            self.more.setMenu(menu)
            self.print.clicked.connect(menu.print_now)
            menu.now.enabledChanged.connect(self.print.setEnabled)
            self.print.setEnabled(menu.now.isEnabled())

    def refresh(self) -> None:
        """Show what is wished for; what was refused is forgotten."""
        unit = self._preferences.length
        depths = self._document.setup.card.depths
        self.depths.setText(", ".join(figure(depth, unit) for depth in depths))
        here = shown(self._planner.depth_at_mark(self._document.setup), unit)
        self.depths.setPlaceholderText(f"about {here}")
        tip = f"Up to {MOST_DEPTHS} depths, {unit.symbol}; empty: about {here}"
        self.depths.setToolTip(as_tip(tip))
        self._say("")
        self.slower.box.renew()
        self.steady.setChecked(self._document.setup.card.steady)

    def _say(self, words: str) -> None:
        self.error.setText(words)
        self.error.setVisible(bool(words))

    def _wish(self) -> None:
        """Take the depths as they are typed, in any order."""
        setup, unit = self._document.setup, self._preferences.length
        typed = self.depths.text()
        if typed == ", ".join(figure(depth, unit) for depth in setup.card.depths):
            self._say("")
            return
        try:
            numbers = {float(word) for word in re.split(r"[,;\s]+", typed) if word}
            depths = tuple(unit.to_si(number) for number in sorted(numbers))
            wish = replace(setup.card, depths=depths)
        except (ValueError, InvalidValue):
            self._say(f"“{typed[:30]}”: up to {MOST_DEPTHS} depths in {unit.name}, as 30, 34, 38.")
            return
        self._say("")
        self._document.change(replace(setup, card=wish), "bottoms on the card", "card depths")

    def _set_steady(self, on: bool) -> None:
        setup = self._document.setup
        wish = replace(setup.card, steady=on)
        self._document.change(replace(setup, card=wish), "steady holds on the card", "card steady")

    def _set_slower(self, speed: float) -> None:
        setup = self._document.setup
        own = self._preferences.scale(SLOWER)
        same = own.number(speed) == own.number(setup.speed)
        wish = replace(setup.card, slower=None if same else speed)
        self._document.change(replace(setup, card=wish), "second speed of the card", "card speed")
