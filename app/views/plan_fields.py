"""What a plan is asked for: speed, bottom, mark, how near, how clear, and how sure the inputs are.

Depends on: helm (number fields), panel, planner, plan_words, rehearsal, preferences,
units, plain.

A number that makes no sense stays in its field with the reason under it, and
nothing is computed from it; the setup is changed only once all fields agree.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import QDoubleSpinBox, QGridLayout, QWidget

from app.plan_words import refusal_words
from app.planner import Planner
from app.preferences import Preferences
from app.rehearsal import Rehearsal
from app.setup import Setup
from app.units import KNOT, Unit
from app.views.helm import LEAST_SPEED, MOST_SPEED, spin
from app.views.panel import Panel, quiet
from app.views.plain import Label, as_tip
from physics.checks import Unusable
from physics.doubt import INPUTS, MOST
from physics.scenario import Mark
from physics.water import Bottom

LEAST_BAND = 0.05
"""Half the height of the thinnest mark, m."""

FIELD_OF = {
    "speed": "speed",
    "bottom": "bottom",
    "mark depth": "mark_top",
    "mark band": "mark_low",
    "radius": "radius",
    "clearance": "clearance",
}
"""Which field a refusal belongs to."""

DOUBT_WORDS = {
    "line_drag": "Drag of the line",
    "line_weight": "Weight of the line",
    "lure_weight": "Weight of the lures",
    "coast_down": "The boat's coast-down",
    "speed": "Speed",
    "bottom": "Depth of the bottom",
}


class Field(QWidget):
    """A number with its name, and room under it for what is wrong."""

    def __init__(self, name: str, box: QDoubleSpinBox) -> None:
        super().__init__()
        self.box = box
        self.error = Label()
        self.error.setWordWrap(True)
        self.error.setProperty("alarm", True)
        self.error.hide()
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(2)
        label = quiet(name)
        label.setBuddy(box)
        grid.addWidget(label, 0, 0)
        box.setFixedWidth(104)
        grid.addWidget(box, 0, 1, Qt.AlignmentFlag.AlignRight)
        grid.addWidget(self.error, 1, 0, 1, 2)
        grid.setColumnStretch(0, 1)

    def say(self, why: str, *, alarm: bool = True) -> None:
        """Say under the number what is wrong, or what becomes of it; nothing for no text."""
        self.error.setProperty("alarm", alarm)
        self.error.setProperty("quiet", not alarm)
        self.error.style().unpolish(self.error)
        self.error.style().polish(self.error)
        self.error.setText(why)
        self.error.setVisible(bool(why))
        self.box.setAccessibleDescription(why)


class PlanFields(Panel):
    """The fields. Accepted changes go to the setup, undoably."""

    def __init__(self, planner: Planner, rehearsal: Rehearsal, preferences: Preferences) -> None:
        super().__init__("What is asked")
        self._planner, self._rehearsal, self._preferences = planner, rehearsal, preferences
        self._pending: dict[str, float] = {}
        self.fields: dict[str, Field] = {}
        self._add("speed", "Speed", spin(LEAST_SPEED, MOST_SPEED, 0.5, 1, " kn", "Speed"))
        for key, words, name in (
            ("bottom", "Bottom at the mark", "Bottom depth"),
            ("mark_top", "Mark from", "Top of the mark"),
            ("mark_low", "to", "Bottom of the mark"),
            ("radius", "Lure counts within", "How near the mark's place counts"),
            ("clearance", "Keep off bottom", "How far every line is to stay off bottom"),
        ):
            self._add(key, words, spin(0.0, 1.0, 1.0, 1, "", name))
        self.body.addWidget(quiet("How unsure the inputs are, plus or minus"))
        self.doubts: dict[str, QDoubleSpinBox] = {}
        for name in INPUTS:
            box = spin(0.0, 100.0 * MOST, 1.0, 0, " %", f"{DOUBT_WORDS[name]}, unsure by")
            field = Field(DOUBT_WORDS[name], box)
            box.valueChanged.connect(partial(self._doubt_changed, name))
            self.doubts[name] = box
            self.body.addWidget(field)
        self.body.addStretch(1)
        rehearsal.setup_changed.connect(self.show_setup)
        preferences.units_changed.connect(self._units)
        planner.changed.connect(self._planned)
        self._units()

    def _add(self, key: str, words: str, box: QDoubleSpinBox) -> None:
        field = Field(words, box)
        box.valueChanged.connect(partial(self._typed, key))
        self.fields[key] = field
        self.body.addWidget(field)

    @property
    def _unit(self) -> Unit:
        return self._preferences.length

    # ---- show

    def _units(self) -> None:
        unit = self._unit
        feet = unit.symbol == "ft"
        ranges = {
            "bottom": (2.0, 600.0) if feet else (0.6, 180.0),
            "mark_top": (0.5, 600.0) if feet else (0.2, 180.0),
            "mark_low": (0.5, 600.0) if feet else (0.2, 180.0),
            "radius": (2.0, 600.0) if feet else (0.5, 200.0),
            "clearance": (0.0, 600.0) if feet else (0.0, 180.0),
        }
        for key, (low, high) in ranges.items():
            box = self.fields[key].box
            with QSignalBlocker(box):
                box.setRange(low, high)
                box.setSuffix(f" {unit.symbol}")
                box.setSingleStep(1.0 if feet else 0.5)
                box.setToolTip(as_tip(f"{box.accessibleName()}: {low:g} to {high:g} {unit.symbol}"))
        self.show_setup()

    def show_setup(self) -> None:
        """Show the setup on screen; what was refused is forgotten."""
        self._pending.clear()
        setup, unit = self._rehearsal.setup, self._unit
        mark = self._mark(setup)
        bottom = setup.water.bottom
        for key, value in (
            ("speed", KNOT.from_si(setup.speed)),
            ("bottom", unit.from_si(bottom.deepest)),
            ("mark_top", unit.from_si(mark.depth - mark.band)),
            ("mark_low", unit.from_si(mark.depth + mark.band)),
            ("radius", unit.from_si(setup.timing.radius)),
            ("clearance", unit.from_si(setup.timing.clearance)),
        ):
            field = self.fields[key]
            with QSignalBlocker(field.box):
                field.box.setValue(value)
            field.say("")
        self.fields["bottom"].box.setEnabled(bottom.is_level)
        if not bottom.is_level:
            self.fields["bottom"].box.setToolTip(
                "This scenario has a bottom profile; it is set in its file"
            )
        for name, box in self.doubts.items():
            with QSignalBlocker(box):
                box.setValue(100.0 * getattr(setup.doubt, name))
        self._planned()

    def _mark(self, setup: Setup) -> Mark:
        """The setup's mark, or the one a plan takes without."""
        return setup.mark or Mark(self._rehearsal.mark_depth(), time=10.0)

    def _planned(self) -> None:
        """Show a refusal of the setup as it is, at its field."""
        error = self._planner.refused
        if error is not None and not self._pending:
            key = FIELD_OF.get(error.field)
            if key is not None:
                self.fields[key].say(self._why(error))

    # ---- change

    def _typed(self, key: str, value: float) -> None:
        """Try the setup with everything typed since the last one that made sense."""
        self._pending[key] = value
        for field in self.fields.values():
            field.say("")
        setup = self._rehearsal.setup
        try:
            wanted = self._wanted(setup)
        except Unusable as error:
            self._refuse(error)
            return
        wrong = self._planner.check(wanted)
        if wrong is not None:
            self._refuse(wrong)
            return
        names = sorted(self._pending)
        if self._rehearsal.edit(wanted, "the plan's " + key.replace("_", " "), "plan " + names[0]):
            self.show_setup()

    def _wanted(self, setup: Setup) -> Setup:
        """The setup with the pending numbers. Raises Unusable."""
        unit, given = self._unit, self._pending
        mark = self._mark(setup)
        top, low = mark.depth - mark.band, mark.depth + mark.band
        if "mark_top" in given:
            top = unit.to_si(given["mark_top"])
        if "mark_low" in given:
            low = unit.to_si(given["mark_low"])
        if "mark_top" in given or "mark_low" in given:
            if low - top < 2.0 * LEAST_BAND:
                raise Unusable("mark band", low, f"deeper than the mark's top, {unit.text(top)}")
            mark = replace(mark, depth=0.5 * (top + low), band=0.5 * (low - top))
            setup = replace(setup, mark=mark)
        if "bottom" in given:
            depth = unit.to_si(given["bottom"])
            setup = replace(setup, water=replace(setup.water, bottom=Bottom.level(depth)))
        if "speed" in given:
            setup = replace(setup, speed=KNOT.to_si(given["speed"]))
        timing = setup.timing
        if "radius" in given:
            timing = replace(timing, radius=unit.to_si(given["radius"]))
        if "clearance" in given:
            timing = replace(timing, clearance=unit.to_si(given["clearance"]))
        return replace(setup, timing=timing)

    def _refuse(self, error: Unusable) -> None:
        key = FIELD_OF.get(error.field)
        if key is None:
            # nothing to do with these fields: the last one typed has to say it
            key = list(self._pending)[-1]
        for other in self._pending:
            self.fields[other].say("Not used yet.", alarm=False)
        self.fields[key].say(self._why(error))

    def _why(self, error: Unusable) -> str:
        """A refusal in the units on screen."""
        bottom = self._rehearsal.setup.water.bottom
        if "bottom" in self._pending:
            bottom = Bottom.level(self._unit.to_si(self._pending["bottom"]))
        return refusal_words(error, bottom, self._unit)

    def _doubt_changed(self, name: str, percent: float) -> None:
        setup = self._rehearsal.setup
        doubt = replace(setup.doubt, **{name: percent / 100.0})
        words = f"how unsure: {DOUBT_WORDS[name].lower()}"
        self._rehearsal.edit(replace(setup, doubt=doubt), words, f"doubt {name}")
