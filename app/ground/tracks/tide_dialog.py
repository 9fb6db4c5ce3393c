"""A tide table, pasted or typed, and the clock it goes by."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from app.common.bad_input import BadInput
from app.ground.tracks.tide_table import parse_table, table_text
from app.scenario.soundings import CLOCK, Soundings
from app.ui.number_field import NumberField, Refusal
from app.ui.plain import Label
from app.ui.preferences import Preferences

HELP = (
    "Paste the day's tide table: date, time and height on each line, high and low waters or "
    "every hour. An empty table means one height for the whole track."
)


class TideDialog(QDialog):
    """``soundings`` is what was given, with the table and clock in the dialog."""

    def __init__(
        self, soundings: Soundings, preferences: Preferences, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Tide table")
        self.soundings, self._clock = soundings, soundings.clock
        self._unit = preferences.length
        about = Label(f"{HELP} Heights are in {self._unit.name} unless a unit stands behind them.")
        about.setWordWrap(True)
        self.rows = QPlainTextEdit()
        self.rows.setAccessibleName("Rows of the tide table")
        self.rows.setTabChangesFocus(True)
        self.rows.setPlaceholderText("2031-06-01 05:12  1.4\n2031-06-01 11:20  4.9")
        self.rows.setPlainText(table_text(soundings.table, self._unit))
        self.clock = NumberField(
            CLOCK, lambda: self._clock, self._set_clock, preferences, CLOCK.title,
            help="4 hours behind UTC is -4; the track's own times are UTC",
        )  # fmt: skip
        clock = QHBoxLayout()
        words = Label("The table's clock is ahead of UTC by")
        words.setBuddy(self.clock)
        clock.addWidget(words)
        clock.addWidget(self.clock)
        clock.addWidget(Refusal(self.clock))
        clock.addStretch(1)
        self.told = Label()
        self.told.setWordWrap(True)
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(about)
        layout.addWidget(self.rows, 1)
        layout.addLayout(clock)
        layout.addWidget(self.told)
        layout.addWidget(self.buttons)
        self.rows.textChanged.connect(self.refresh)
        self.resize(520, 420)
        self.refresh()

    def _set_clock(self, clock: float) -> None:
        self._clock = clock
        self.refresh()

    def refresh(self) -> None:
        """Read what is there, and say what it is or why it is none."""
        try:
            table = parse_table(self.rows.toPlainText(), self._unit)
        except BadInput as error:
            self.told.setText(str(error))
            self._ok.setEnabled(False)
            return
        self.soundings = replace(self.soundings, table=table, clock=self._clock)
        said = "No table."
        if table:
            first, last = (table[k][0].isoformat(" ", "minutes") for k in (0, -1))
            low, high = (self._unit.text(pick(h for _, h in table)) for pick in (min, max))
            said = f"{len(table)} rows from {first} to {last}, {low} to {high}."
        self.told.setText(said)
        self._ok.setEnabled(True)

    @property
    def _ok(self) -> QWidget:
        return self.buttons.button(QDialogButtonBox.StandardButton.Ok)
