"""Fields for what makes recorded depths true: the transducer and the tide."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from app.common.quantities import Quantity
from app.ground.tracks.tide_dialog import TideDialog
from app.scenario.soundings import TIDE, TIDE_NOW, TRANSDUCER, Soundings
from app.session.document import Document
from app.ui.number_field import NumberField, Refusal
from app.ui.panel import quiet
from app.ui.preferences import Preferences


class SoundingsRow(QWidget):
    """The setup's, and undoable; a tide table takes the place of one height."""

    def __init__(self, document: Document, preferences: Preferences) -> None:
        super().__init__()
        self._document, self._preferences = document, preferences
        self.transducer, self.tide, self.tide_now = (
            self._number(quantity) for quantity in (TRANSDUCER, TIDE, TIDE_NOW)
        )
        self.table = QPushButton()
        self.table.clicked.connect(self._edit_table)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        for words, box in (
            ("Transducer under the surface", self.transducer),
            ("Tide when recorded", self.tide),
        ):
            row.addWidget(quiet(words))
            row.addWidget(box)
        row.addWidget(self.table)
        row.addWidget(quiet("Rehearse at a tide of"))
        row.addWidget(self.tide_now)
        row.addWidget(Refusal(self.transducer, self.tide, self.tide_now))
        row.addStretch(1)
        document.setup_changed.connect(self.show_setup)
        self.show_setup()

    def _number(self, quantity: Quantity) -> NumberField:
        name = quantity.attribute
        return NumberField(
            quantity, lambda: float(getattr(self._document.setup.soundings, name)),
            partial(self._put, name), self._preferences,
        )  # fmt: skip

    def _put(self, name: str, value: float) -> None:
        changed: dict[str, Any] = {name: value}
        self._change(replace(self._document.setup.soundings, **changed), name)

    def _change(self, soundings: Soundings, name: str) -> None:
        setup = replace(self._document.setup, soundings=soundings)
        self._document.change(setup, "transducer and tide", f"soundings {name}")

    def show_setup(self) -> None:
        """Show the setup on screen."""
        for box in (self.transducer, self.tide, self.tide_now):
            box.reset()
        rows = len(self._document.setup.soundings.table)
        self.tide.setEnabled(not rows)
        self.table.setText(f"Tide table ({rows} rows)…" if rows else "Tide table…")

    def _edit_table(self) -> None:
        dialog = TideDialog(self._document.setup.soundings, self._preferences, self)
        if dialog.exec():
            self._change(dialog.soundings, "table")
