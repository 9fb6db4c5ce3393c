"""What is asked: hold, wait, speed and unison, pinned or free, and what may change of each rod."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import QCheckBox, QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from app.put_out.model import QUANTITIES, Proposals
from app.scenario.setup import RodSetup
from app.ui.number_field import FIELD_WIDTH, NumberField, Refusal
from app.ui.panel import Panel, quiet
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.steps import HAIR, SNUG, TIGHT

WISHES = (
    ("hold", "Hold just", "Pin the hold, as who always counts to the same number does"),
    ("wait", "Wait just", "Pin the wait after the mark"),
    ("unison", "All lures lift within", "How nearly at once all lures are to come up through the "
     "mark; without it the longest window wins however far apart they are"),
)  # fmt: skip

TICKS = (
    ("line", "Line", "How much is out may change, to half a color"),
    ("lure", "Lure", "Any lure of your own shelf or of the catalog may hang on it"),
    ("leader", "Leader", "Any leader of your own shelf or of the catalog may be tied in"),
)

NAME_WIDTH = 230


class Asked(Panel):
    """The wishes for all lines."""

    def __init__(self, proposals: Proposals, preferences: Preferences) -> None:
        super().__init__("What is asked")
        self._proposals = proposals
        self.ticks: dict[str, QCheckBox] = {}
        self.fields: dict[str, NumberField] = {}
        grid = QGridLayout()
        grid.setVerticalSpacing(TIGHT)
        grid.setColumnStretch(0, 1)
        for row, (key, words, tip) in enumerate(WISHES):
            self.ticks[key] = tick = _tick(words, tip, partial(proposals.switch, key))
            grid.addWidget(tick, row, 0)
            self.fields[key] = box = self._field(key, preferences)
            grid.addWidget(box, row, 1)
        self.ticks["speed"] = _tick(
            "Speed may change", "Without this the speed stays as it is",
            partial(proposals.switch, "speed"),
        )  # fmt: skip
        grid.addWidget(self.ticks["speed"], len(WISHES), 0, 1, 2)
        for row, (key, words) in enumerate((("slowest", "from"), ("fastest", "to"))):
            label = quiet(words)
            label.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            grid.addWidget(label, len(WISHES) + 1 + row, 0)
            self.fields[key] = box = self._field(key, preferences)
            label.setBuddy(box)
            grid.addWidget(box, len(WISHES) + 1 + row, 1)
        self.body.addLayout(grid)
        self.body.addWidget(Refusal(*self.fields.values()))
        proposals.asked_changed.connect(self.show_all)
        self.show_all()

    def _field(self, key: str, preferences: Preferences) -> NumberField:
        proposals = self._proposals

        def get() -> float:
            if key in ("slowest", "fastest"):
                return proposals.speeds[key == "fastest"]
            return proposals.numbers[key]

        box = NumberField(QUANTITIES[key], get, partial(proposals.enter, key), preferences)
        box.setFixedWidth(FIELD_WIDTH)
        return box

    def show_all(self) -> None:
        """Show what is asked."""
        on = self._proposals.on
        several = len(self._proposals.document.setup.rods) > 1
        for key, tick in self.ticks.items():
            with QSignalBlocker(tick):
                tick.setChecked(on[key])
        self.ticks["unison"].setEnabled(several)
        for key, box in self.fields.items():
            box.setEnabled(on.get(key, on["speed"]) and (several or key != "unison"))
            box.refresh()


class RodsAsked(Panel):
    """Ticks and most colors of every rod, made anew when the rods are others."""

    def __init__(self, proposals: Proposals, preferences: Preferences) -> None:
        super().__init__("What may change")
        self._proposals, self._preferences = proposals, preferences
        self._names: tuple[str, ...] = ()
        self._inside = QWidget()
        self.rows: list[RodRow] = []
        self.body.addWidget(self._inside)
        proposals.asked_changed.connect(self.show_all)
        self.show_all()

    def show_all(self) -> None:
        """Show what may change of each rod."""
        names = tuple(rod.name for rod in self._proposals.document.setup.rods)
        if names != self._names:
            self._names = names
            old, self._inside = self._inside, QWidget()
            layout = QVBoxLayout(self._inside)
            layout.setContentsMargins(0, 0, 0, 0)
            layout.setSpacing(SNUG)
            self.rows = [
                RodRow(number, self._proposals, self._preferences) for number in range(len(names))
            ]
            for row in self.rows:
                layout.addWidget(row)
            self.body.replaceWidget(old, self._inside)
            old.hide()
            old.deleteLater()
        for row in self.rows:
            row.show_rod()


class RodRow(QWidget):
    """One rod: its name, what may change, and the most line out."""

    def __init__(self, number: int, proposals: Proposals, preferences: Preferences) -> None:
        super().__init__()
        self._number, self._proposals = number, proposals
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(HAIR)
        name = self._rod.name
        self.name = quiet()
        middle = Qt.TextElideMode.ElideMiddle
        self.name.setText(self.fontMetrics().elidedText(name, middle, NAME_WIDTH))
        self.name.setToolTip(as_tip(name))
        layout.addWidget(self.name)
        line = QHBoxLayout()
        line.setSpacing(SNUG)
        self.ticks: dict[str, QCheckBox] = {}
        for key, words, tip in TICKS:
            self.ticks[key] = box = _tick(words, tip, partial(self._switch, key))
            box.setAccessibleName(f"{words} of {name} may change")
            line.addWidget(box)
        line.addStretch(1)
        self.most = NumberField(
            QUANTITIES["most"], lambda: proposals.most_of(self._rod), self._take_most, preferences,
            f"Most colors out of {name}", help="Most colors out: by default what is on the reel",
        )  # fmt: skip
        self.most.setFixedWidth(FIELD_WIDTH)
        line.addWidget(self.most)
        layout.addLayout(line)
        layout.addWidget(Refusal(self.most))

    @property
    def _rod(self) -> RodSetup:
        rods = self._proposals.document.setup.rods
        return rods[min(self._number, len(rods) - 1)]

    def _switch(self, key: str, on: bool) -> None:
        name = self._rod.name
        changed = {key: on}
        self._proposals.wish_for(name, replace(self._proposals.wish(name), **changed))

    def _take_most(self, most: float) -> None:
        name = self._rod.name
        self._proposals.wish_for(name, replace(self._proposals.wish(name), most=most))

    def show_rod(self) -> None:
        """Show what may change."""
        rod, wish = self._rod, self._proposals.wish(self._rod.name)
        spooled = rod.sections is None and rod.line is not None
        for key, tick in self.ticks.items():
            with QSignalBlocker(tick):
                tick.setChecked(getattr(wish, key))
            tick.setEnabled(key == "lure" or (spooled if key == "line" else rod.sections is None))
        self.most.setEnabled(spooled and wish.line)
        self.most.refresh()


def _tick(words: str, tip: str, switch: Callable[[bool], None]) -> QCheckBox:
    box = QCheckBox(words)
    box.setToolTip(as_tip(tip))
    box.toggled.connect(switch)
    return box
