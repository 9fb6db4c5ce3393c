"""A row of cards, one a line, kept to the spread and to its figures."""

from __future__ import annotations

import math
from functools import partial

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QSize, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from app.live.line_card import LineCard
from app.live.readout import read_line
from app.session.live_run import LiveRun
from app.ui.preferences import Preferences
from app.ui.steps import GAP

Array = NDArray[np.float64]


class CardRow(QWidget):
    """As many cards as the spread has lines: side by side, in more rows where one has no room.

    ``opened`` (number, card): a line is to be handled.
    """

    opened = Signal(int, QWidget)

    def __init__(self, live_run: LiveRun, preferences: Preferences) -> None:
        super().__init__()
        self._live_run, self._preferences = live_run, preferences
        self.cards: list[LineCard] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(GAP)
        self._columns = 0
        self._due: list[LineCard] = []
        self._pulls: Array = np.zeros(0)
        live_run.figures.connect(self._read_soon)
        live_run.frame.connect(self._read_one)
        live_run.restarted.connect(self._make)
        preferences.units_changed.connect(self.read)
        self._make()

    def _make(self) -> None:
        """One card a line."""
        self._due = []
        count = len(self._live_run.scenario.rods)
        while len(self.cards) > count:
            card = self.cards.pop()
            self._grid.removeWidget(card)
            card.hide()
            card.deleteLater()
        while len(self.cards) < count:
            card = LineCard(len(self.cards), self._preferences)
            card.opened.connect(partial(self._open, card))
            self.cards.append(card)
        self._columns = 0
        self._arrange()
        self.read()

    def _arrange(self) -> None:
        """Rows of as many cards each as there is room for, as even as can be."""
        count = len(self.cards)
        each = self.cards[0].minimumSizeHint().width() + GAP
        rows = math.ceil(count / max((self.width() + GAP) // each, 1))
        columns = math.ceil(count / rows)
        if columns == self._columns:
            return
        self._columns = columns
        for number, card in enumerate(self.cards):
            self._grid.addWidget(card, number // columns, number % columns)
        for column in range(self._grid.columnCount()):
            self._grid.setColumnStretch(column, int(column < columns))

    def minimumSizeHint(self) -> QSize:
        """One card is wide enough."""
        whole = super().minimumSizeHint()
        return QSize(self.cards[0].minimumSizeHint().width(), whole.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._arrange()
        super().resizeEvent(event)

    def _open(self, card: LineCard) -> None:
        self.opened.emit(self.cards.index(card), card)

    def read(self) -> None:
        """The figures of every line."""
        self._read_soon()
        while self._due:
            self._read_one()

    def _read_soon(self) -> None:
        """A card a frame: six at once would make that frame a long one."""
        live_run = self._live_run
        if len(live_run.picture.rods) != len(self.cards):
            return
        self._pulls = live_run.run.tensions_at(live_run.picture.time)
        # one that still waits has waited longest
        self._due += [card for card in self.cards if card not in self._due]

    def _read_one(self) -> None:
        live_run = self._live_run
        if not self._due:
            return
        card = self._due.pop(0)
        number = self.cards.index(card)
        pull = float(self._pulls[number])
        card.show_reading(
            read_line(live_run.picture, number, pull, live_run.ahead, self._preferences)
        )
