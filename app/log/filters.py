"""What is looked at: a day, words to look for, and what is left out."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, QTimer
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QHBoxLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from app.log import words
from app.log.entry import LIGHTS, SIDES, STAGES, TIDES
from app.log.find import Wanted
from app.log.model import Log
from app.ui.panel import quiet
from app.ui.steps import SNUG
from app.ui.wheel_needs_focus import ChoiceBox

PAUSE_MS = 150
"""Looked for when the hand rests for so long, ms."""

ALL_DAYS = "all days"

CHOICES = (
    ("side", "Any side", SIDES, words.SIDE),
    ("tide", "Any heading", TIDES, words.TIDE),
    ("stage", "Any tide", STAGES, words.STAGE),
    ("light", "Any light", LIGHTS, words.LIGHT),
)


class Filters(QWidget):
    """Controls in two rows that change what the log looks at."""

    def __init__(self, log: Log) -> None:
        super().__init__()
        self._log = log
        self.day = ChoiceBox()
        self.day.setAccessibleName("Day")
        self.day.setMinimumContentsLength(22)
        self.day.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.text = QLineEdit()
        self.text.setPlaceholderText("Search: lure, rod, fish, tag, note…")
        self.text.setAccessibleName("Search the log")
        self.text.setClearButtonEnabled(True)
        self.hits = QCheckBox("With a hit")
        self.kind = ChoiceBox()
        self.kind.setAccessibleName("Kind of entry")
        for title, rehearsal in (("All kinds", None), (words.KIND[False], False),
                                 (words.KIND[True], True)):  # fmt: skip
            self.kind.addItem(title, rehearsal)
        self.choices: dict[str, ChoiceBox] = {}
        for name, title, options, table in CHOICES:
            box = ChoiceBox()
            box.setAccessibleName(title)
            box.addItem(title, "")
            for option in options:
                box.addItem(table[option], option)
            box.activated.connect(self._want)
            self.choices[name] = box
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(SNUG)
        first, second = QHBoxLayout(), QHBoxLayout()
        for row in (first, second):
            row.setSpacing(SNUG)
            column.addLayout(row)
        first.addWidget(quiet("Day"))
        first.addWidget(self.day)
        first.addWidget(self.text, 1)
        second.addWidget(self.hits)
        for box in (self.kind, *self.choices.values()):
            # as narrow as it must: in the list itself all words are seen
            box.setMinimumContentsLength(4)
            box.setSizeAdjustPolicy(
                QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
            )
            second.addWidget(box, len(box.itemText(0)))
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self._want)
        self.text.textChanged.connect(lambda _: self._pause.start())
        self.hits.toggled.connect(self._want)
        self.kind.activated.connect(self._want)
        self.day.activated.connect(self._want)
        log.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Offer the days there are."""
        days = self._log.days()
        with QSignalBlocker(self.day):
            self.day.clear()
            self.day.addItem(ALL_DAYS, "")
            for day in days:
                entries = words.counted(day.entries, "entry", "entries")
                self.day.addItem(f"{day.day}: {entries}, {words.counted(day.hits, 'hit')}", day.day)
            wanted = self._log.wanted.day
            if self.day.findData(wanted) < 0:
                # its last entry is gone, and is looked at no less until a person chooses
                self.day.addItem(f"{wanted}: no entries", wanted)
            self.day.setCurrentIndex(self.day.findData(wanted))

    def show_day(self, day: str) -> None:
        """Look at one day, with nothing left out."""
        with QSignalBlocker(self.text), QSignalBlocker(self.hits):
            self.text.clear()
            self.hits.setChecked(False)
        for box in (self.kind, *self.choices.values()):
            box.setCurrentIndex(0)
        self.refresh()
        self.day.setCurrentIndex(max(self.day.findData(day), 0))
        self._want()

    def _want(self) -> None:
        self._pause.stop()
        chosen = ((name, str(box.currentData())) for name, box in self.choices.items())
        self._log.want(
            replace(
                self._log.wanted,
                day=str(self.day.currentData()),
                text=self.text.text(),
                hits=self.hits.isChecked(),
                rehearsal=self.kind.currentData(),
                choices=tuple((name, word) for name, word in chosen if word),
            )
        )

    @property
    def stops(self) -> tuple[QWidget, ...]:
        """The controls as Tab comes to them."""
        return self.day, self.text, self.hits, self.kind, *self.choices.values()

    @property
    def pending(self) -> Wanted:
        """What is looked at once the hand rests."""
        self._want()
        return self._log.wanted
