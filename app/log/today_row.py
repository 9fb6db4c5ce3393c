"""What is said once of the day: on the water or not, the tide, and the side of the rip."""

from __future__ import annotations

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QWidget

from app.log import words
from app.log.entry import PARTS, SIDES, STAGES
from app.log.today import Today
from app.log.typed import Letters
from app.ui.panel import quiet
from app.ui.plain import as_tip
from app.ui.steps import TIGHT

BY_GROUND = {**words.SIDE, "": "by the ground"}

TIDE_TIP = (
    "The tide's stage cannot be known from here: what you say goes with every drop you record "
    "until you say otherwise, or until midnight. How she heads against the tide is worked out "
    "from her course and the current."
)
SIDE_TIP = (
    "By the ground: deep, shallow or on top as the ground lies under all lures at the moment of "
    "out of gear; over level ground, or with lures on two sides, nothing is said. What you say "
    "here goes with every drop until midnight."
)


class TodayRow(QWidget):
    """Controls in one row; ``stops`` as Tab comes to them."""

    def __init__(self, today: Today) -> None:
        super().__init__()
        self._today = today
        self.water = QCheckBox("We are on the water")
        self.water.setToolTip(
            "Until midnight, what you record on the Rehearse and Ground pages is kept as done on "
            "the water. Otherwise it is a rehearsal, from which nothing is learned about fish."
        )
        self.water.toggled.connect(self._say_water)
        self.tide = quiet()
        self.stage = self._letters("Tide now", "stage", STAGES, words.STAGE, TIDE_TIP)
        self.part = self._letters("How far along the tide is", "part", PARTS, words.PART, TIDE_TIP)
        self.side = self._letters("Side of the rip", "side", SIDES, BY_GROUND, SIDE_TIP)
        self.tide.setBuddy(self.stage)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(TIGHT)
        row.addWidget(self.water)
        row.addStretch(1)
        for widget in (self.tide, self.stage, self.part, quiet("Side"), self.side):
            row.addWidget(widget)
        self.stops = (self.water, self.stage, self.part, self.side)
        today.changed.connect(self.refresh)
        self.refresh()

    def _letters(
        self, name: str, key: str, options: tuple[str, ...], table: dict[str, str], tip: str
    ) -> Letters:
        box = Letters(
            name, options, table, lambda: str(getattr(self._today.told, key)),
            lambda value: self._today.say(**{key: value}),
        )  # fmt: skip
        box.setToolTip(as_tip(f"{tip}\n{box.toolTip()}"))
        return box

    def _say_water(self, on: bool) -> None:
        self._today.say(on_water=on)

    def refresh(self) -> None:
        """Show what holds now."""
        told = self._today.told
        with QSignalBlocker(self.water):
            self.water.setChecked(told.on_water)
        self.tide.setText(f"Tide since {told.since:%H:%M}" if told.since else "Tide now")
        for box in (self.stage, self.part, self.side):
            box.refresh()
        self.part.setEnabled(bool(told.stage))
