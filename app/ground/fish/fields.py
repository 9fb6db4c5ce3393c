"""What is done when a fish is on, as fields."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QWidget,
)

from app.common.units import FOOT, KNOT
from app.ground.fish.job import FIGHT
from app.ground.fish.model import FishModel
from app.ui.middle_box import MiddleBox
from app.ui.number_field import NumberField, Refusal
from app.ui.panel import quiet
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.steps import GAP, SNUG, TIGHT

ONE_ENGINE, TO_SPEED = "to one engine", "to a speed"
PULLED, SWIMS = "goes as it is pulled", "swims to a depth"

FIRST_SPEED = KNOT.to_si(4.0)
FIRST_DEPTH = FOOT.to_si(3.0)
"""Offered when a speed, or a depth of the fish, is first wanted; SI."""

WIDE = 74


class FishFields(QWidget):
    """Shows the model's fight and changes it."""

    def __init__(self, model: FishModel, preferences: Preferences) -> None:
        super().__init__()
        self._model, self._preferences = model, preferences
        self.hooked = _choice("Line the fish is on")
        self.slows = _choice("How she slows")
        self.end = _choice("What the fish's end does")
        self.end.addItems([PULLED, SWIMS])
        self._asked = replace(model.fight, throttle=FIRST_SPEED, fish_depth=FIRST_DEPTH)
        self._fit_to_setup()
        self.at = self._number("at")
        self.speed = self._number("throttle")
        self.weight = self._number("fish")
        self.rate = self._number("rate")
        self.left = self._number("left")
        self.fish_depth = self._number("fish_depth")
        self.fish_rate = self._number("fish_rate")
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(GAP)
        grid.setVerticalSpacing(TIGHT)
        grid.setColumnStretch(1, 1)
        rows: tuple[tuple[str, QWidget, tuple[str, QWidget] | None], ...] = (
            ("Fish on", self.hooked, None),
            ("of", self.weight, ("after", self.at)),
            ("She slows", self.slows, ("", self.speed)),
            ("Line in at", self.rate, ("to", self.left)),
            ("Its end", self.end, None),
            ("to", self.fish_depth, ("at", self.fish_rate)),
        )
        self._row_of_depth: list[QWidget] = []
        for row, (name, first, more) in enumerate(rows):
            label = quiet(name)
            label.setBuddy(first)
            grid.addWidget(label, row, 0)
            line = QHBoxLayout()
            line.setSpacing(SNUG)
            stretches = isinstance(first, QComboBox)
            line.addWidget(first, 1 if stretches else 0)
            widgets: list[QWidget] = [label, first]
            if more is not None:
                second = quiet(more[0])
                second.setBuddy(more[1])
                if not stretches:
                    line.addStretch(1)
                if more[0]:
                    line.addWidget(second)
                line.addWidget(more[1])
                widgets += [second, more[1]]
            if row == len(rows) - 1:
                self._row_of_depth = widgets
            grid.addLayout(line, row, 1)
        grid.addWidget(Refusal(*self.numbers), len(rows), 0, 1, 2)
        for choice in (self.hooked, self.slows, self.end):
            choice.activated.connect(self._changed)
        model.changed.connect(self.show_fight)
        self.show_fight()

    @property
    def numbers(self) -> tuple[NumberField, ...]:
        """All fields for a number."""
        return (
            self.at, self.speed, self.weight, self.rate, self.left, self.fish_depth,
            self.fish_rate,
        )  # fmt: skip

    def _number(self, attribute: str) -> NumberField:
        """A field for one number of the fight, or what would be asked if it had one."""

        def get() -> float:
            value = getattr(self._model.fight, attribute)
            return float(getattr(self._asked, attribute) if value is None else value)

        def put(value: float) -> None:
            self._asked = replace(self._asked, **{attribute: value})  # type: ignore[arg-type]
            self._model.choose(replace(self._model.fight, **{attribute: value}))  # type: ignore[arg-type]

        box = NumberField(FIGHT[attribute], get, put, self._preferences)
        box.setFixedWidth(WIDE)
        box.setButtonSymbols(QAbstractSpinBox.ButtonSymbols.NoButtons)
        return box

    def _fit_to_setup(self) -> None:
        """Have no rod that is gone, no engine that is not there."""
        model, fight = self._model, self._model.fight
        if fight.hooked not in model.names:
            fight = replace(fight, hooked=model.names[0])
        if model.engines < 2 and fight.throttle is None:
            fight = replace(fight, throttle=self._asked.throttle)
        model.choose(fight)

    def show_fight(self) -> None:
        """Show what is to be rehearsed."""
        self._fit_to_setup()
        model, fight = self._model, self._model.fight
        one = model.engines < 2
        _items(self.hooked, model.names)
        _items(self.slows, [TO_SPEED] if one else [ONE_ENGINE, TO_SPEED])
        for choice, text in (
            (self.hooked, fight.hooked),
            (self.slows, ONE_ENGINE if fight.throttle is None else TO_SPEED),
            (self.end, PULLED if fight.fish_depth is None else SWIMS),
        ):
            with QSignalBlocker(choice):
                choice.setCurrentText(text)
        self.hooked.setToolTip(as_tip(fight.hooked))
        self.slows.setToolTip(
            as_tip("This boat has one engine: give a speed" if one else "On one engine, or on both")
        )
        for box in self.numbers:
            box.reset()
        self.speed.setVisible(fight.throttle is not None)
        for widget in self._row_of_depth:
            widget.setEnabled(fight.fish_depth is not None)

    def _changed(self) -> None:
        """Another line, way to slow or way of the fish."""
        slows, swims = self.slows.currentText() == TO_SPEED, self.end.currentText() == SWIMS
        self._model.choose(
            replace(
                self._model.fight,
                hooked=self.hooked.currentText(),
                throttle=self._asked.throttle if slows else None,
                fish_depth=self._asked.fish_depth if swims else None,
            )
        )


def _choice(name: str) -> QComboBox:
    box = MiddleBox()
    box.setAccessibleName(name)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(8)
    return box


def _items(choice: QComboBox, texts: list[str]) -> None:
    if [choice.itemText(k) for k in range(choice.count())] != texts:
        with QSignalBlocker(choice):
            choice.clear()
            choice.addItems(texts)
