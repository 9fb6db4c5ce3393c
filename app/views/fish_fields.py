"""What is done when a fish is on, as fields.

Depends on: fish_model, helm (number fields), panel, preferences, units, plain; physics.fights.
"""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QComboBox,
    QDoubleSpinBox,
    QGridLayout,
    QHBoxLayout,
    QWidget,
)

from app.fish_model import FishModel
from app.preferences import Preferences
from app.units import FOOT, KILOGRAM, KNOT, POUND, Unit
from app.views.helm import spin
from app.views.panel import quiet
from app.views.plain import as_tip
from physics.fights import Fight

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
        self.at = _small(spin(0.0, 3600.0, 5.0, 0, " s", "Seconds into the run the fish is on"))
        self.speed = _small(spin(1.0, 20.0, 0.1, 1, " kn", "Slows to"))
        self.weight = _small(spin(0.5, 1000.0, 1.0, 1, "", "Weight of the fish"))
        self.rate = _small(spin(0.1, 16.0, 0.1, 1, "", "Line comes in at"))
        self.left = _small(spin(2.0, 1200.0, 1.0, 0, "", "Line left out, above the leader"))
        self.fish_depth = _small(spin(0.0, 1000.0, 1.0, 0, "", "Depth the fish swims to"))
        self.fish_rate = _small(spin(0.1, 9.0, 0.1, 1, "", "How fast the fish swims up or down"))
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(3)
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
            line.setSpacing(6)
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
        for choice in (self.hooked, self.slows, self.end):
            choice.activated.connect(self._changed)
        for box in (self.at, self.speed, self.weight, self.rate, self.left, self.fish_depth,
                    self.fish_rate):  # fmt: skip
            box.valueChanged.connect(self._changed)
        model.changed.connect(self.show_fight)
        preferences.units_changed.connect(self.show_fight)
        self._asked = replace(model.fight, throttle=FIRST_SPEED, fish_depth=FIRST_DEPTH)
        self._fit_to_setup()
        self.show_fight()

    @property
    def _weight(self) -> Unit:
        return POUND if self._preferences.length is FOOT else KILOGRAM

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
        unit, rate = self._preferences.length, self._preferences.rate
        depth = self._asked.fish_depth if fight.fish_depth is None else fight.fish_depth
        for box, value, of in (
            (self.at, fight.at, None),
            (self.speed, fight.throttle or self._asked.throttle, KNOT),
            (self.weight, fight.fish, self._weight),
            (self.rate, fight.rate, rate),
            (self.left, fight.left, unit),
            (self.fish_depth, depth, unit),
            (self.fish_rate, fight.fish_rate, rate),
        ):  # fmt: skip
            with QSignalBlocker(box):
                box.setSuffix(" s" if of is None else f" {of.symbol}")
                box.setValue((value or 0.0) if of is None else of.from_si(value or 0.0))
        self.speed.setVisible(fight.throttle is not None)
        for widget in self._row_of_depth:
            widget.setEnabled(fight.fish_depth is not None)

    def _changed(self) -> None:
        unit, rate = self._preferences.length, self._preferences.rate
        speed = KNOT.to_si(self.speed.value())
        depth = unit.to_si(self.fish_depth.value())
        self._asked = replace(self._asked, throttle=speed, fish_depth=depth)
        self._model.choose(
            Fight(
                self.hooked.currentText(),
                self._weight.to_si(self.weight.value()),
                self.at.value(),
                speed if self.slows.currentText() == TO_SPEED else None,
                rate.to_si(self.rate.value()),
                unit.to_si(self.left.value()),
                depth if self.end.currentText() == SWIMS else None,
                rate.to_si(self.fish_rate.value()),
            )
        )


def _choice(name: str) -> QComboBox:
    box = QComboBox()
    box.setAccessibleName(name)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(8)
    return box


def _small(box: QDoubleSpinBox) -> QDoubleSpinBox:
    box.setFixedWidth(WIDE)
    box.setButtonSymbols(QAbstractSpinBox.ButtonSymbols.NoButtons)
    return box


def _items(choice: QComboBox, texts: list[str]) -> None:
    if [choice.itemText(k) for k in range(choice.count())] != texts:
        with QSignalBlocker(choice):
            choice.clear()
            choice.addItems(texts)
