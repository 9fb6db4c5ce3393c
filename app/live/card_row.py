"""A row of cards, one a line, kept to the spread and to its figures."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget

from app.live.line_card import LineCard
from app.live.readout import read_line
from app.session.live_run import LiveRun
from app.ui.look import GAP
from app.ui.preferences import Preferences


class CardRow(QWidget):
    """As many cards as the spread has lines, side by side.

    ``opened`` (number, card): a line is to be handled.
    """

    opened = Signal(int, QWidget)

    def __init__(self, live_run: LiveRun, preferences: Preferences) -> None:
        super().__init__()
        self._live_run, self._preferences = live_run, preferences
        self.cards: list[LineCard] = []
        self._row = QHBoxLayout()
        self._row.setSpacing(GAP)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(self._row, 1)
        # few lines leave room at the right rather than stretch their cards
        layout.addStretch(0)
        live_run.figures.connect(self.read)
        live_run.restarted.connect(self._make)
        preferences.units_changed.connect(self.read)
        self._make()

    def _make(self) -> None:
        """One card a line."""
        count = len(self._live_run.scenario.rods)
        while len(self.cards) > count:
            card = self.cards.pop()
            self._row.removeWidget(card)
            card.hide()
            card.deleteLater()
        while len(self.cards) < count:
            card = LineCard(len(self.cards), self._preferences)
            card.opened.connect(partial(self._open, card))
            self.cards.append(card)
            self._row.addWidget(card)
        self.read()

    def _open(self, card: LineCard) -> None:
        self.opened.emit(self.cards.index(card), card)

    def read(self) -> None:
        """The figures of every line."""
        live_run = self._live_run
        picture = live_run.picture
        if len(picture.rods) != len(self.cards):
            return
        pulls = live_run.run.tensions_at(picture.time)
        for number, card in enumerate(self.cards):
            card.show_reading(
                read_line(picture, number, float(pulls[number]), live_run.ahead, self._preferences)
            )
