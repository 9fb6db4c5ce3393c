"""The inputs of a comparison, and the tackle of the chosen candidate.

What makes no sense stays in its field with the reason under it, and nothing is
computed from it.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PySide6.QtWidgets import (
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QWidget,
)

from app.common.units import COLOR
from app.compare.candidates import MOST, Candidate
from app.compare.file import DEPTH, HOLD
from app.compare.lures import LureChooser
from app.compare.model import Comparison
from app.compare.signs import sign_icon
from app.scenario import keys
from app.scenario.known_doubt import known_doubt
from app.ui.middle_box import MiddleBox
from app.ui.number_field import Field, NumberField
from app.ui.panel import Panel, quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.steps import SNUG
from physics.checks import InvalidValue

OWN_BOAT = "as in the file"
"""Shown for a boat that is written out in the scenario's file."""

PLAIN = "plain: "
"""Before the name of a backing that is all the line there is."""

ON_A_LINE, ALONE = "on a line", "alone, no line"


class CompareInputs(Panel):
    """Hold, chosen depth, speed and boat: the same for every candidate."""

    def __init__(self, comparison: Comparison, preferences: Preferences) -> None:
        super().__init__("The same for all")
        self._comparison, self._preferences = comparison, preferences
        document = comparison.document
        self.hold = Field("Hold", NumberField(
            HOLD, lambda: comparison.lineup.hold, partial(self._set, "hold"), preferences
        ))  # fmt: skip
        self.deep = Field("Chosen depth", NumberField(
            DEPTH, lambda: comparison.lineup.depth, partial(self._set, "depth"), preferences
        ))  # fmt: skip
        self.speed = Field("Speed", NumberField(
            keys.HELM_SPEED, lambda: document.setup.speed, self._set_speed, preferences
        ))  # fmt: skip
        for field in (self.hold, self.deep, self.speed):
            self.body.addWidget(field)
        self.boat = _choice("Boat")
        self.body.addLayout(_labeled("Boat", self.boat))
        self.about = quiet()
        self.about.setWordWrap(True)
        self.body.addWidget(self.about)
        self.boat.textActivated.connect(self._boat)
        document.catalog_changed.connect(self._offer)
        self._offer()

    def _offer(self) -> None:
        """Offer the boats there are now."""
        now = self.boat.currentText()
        self.boat.clear()
        self.boat.addItems(list(self._comparison.document.catalog.boats))
        self.boat.setCurrentText(now)

    def show_all(self) -> None:
        """Show what is in force; what was refused is forgotten."""
        setup = self._comparison.document.setup
        for field in (self.hold, self.deep, self.speed):
            field.box.reset()
        shown = setup.boat if isinstance(setup.boat, str) else OWN_BOAT
        if self.boat.findText(shown) < 0:
            self.boat.addItem(shown)
        self.boat.setCurrentText(shown)
        self.about.setText("No current, no wind, no bottom. Speed and boat are the scenario's.")

    def _set(self, attribute: str, value: float) -> None:
        lineup = replace(self._comparison.lineup, **{attribute: value})  # type: ignore[arg-type]
        self._comparison.edit(lineup, attribute, f"compare {attribute}")

    def _set_speed(self, speed: float) -> None:
        document = self._comparison.document
        document.change(replace(document.setup, speed=speed), "speed", "compare speed")

    def _boat(self, name: str) -> None:
        document = self._comparison.document
        setup = replace(document.setup, boat=name)
        if name != OWN_BOAT:
            setup = replace(setup, doubt=known_doubt(setup, document.setup, document.catalog))
        if name == OWN_BOAT or not document.edit(setup, "boat"):
            self.show_all()


class CandidateEditor(Panel):
    """The chosen candidate's tackle, and what to do with it."""

    def __init__(self, comparison: Comparison, preferences: Preferences) -> None:
        super().__init__("This candidate")
        self._comparison, self._preferences = comparison, preferences
        self.sign = Label()
        self.head.insertWidget(1, self.sign)
        self.name = QLineEdit()
        self.name.setMaxLength(60)
        self.name.setAccessibleName("Name of the candidate")
        self.name.setPlaceholderText("named for what it is")
        self.body.addWidget(self.name)
        self.error = Label()
        self.error.setProperty("alarm", True)
        self.error.setWordWrap(True)
        self.error.hide()
        self.body.addWidget(self.error)
        self.way = _choice("Alone or on a line")
        self.way.addItems([ON_A_LINE, ALONE])
        self.lure = _choice("Lure")
        self.line = _choice("Line")
        self.leader = _choice("Leader")
        comparison.document.catalog_changed.connect(self._offer)
        self._offer()
        for words, box in (
            ("Lure", self.lure), ("Fished", self.way), ("Line", self.line),
        ):  # fmt: skip
            self.body.addLayout(_labeled(words, box))
        self.colors = Field("Colors out", NumberField(
            keys.LINE_OUT, lambda: comparison.candidate.line_out,
            lambda out: comparison.change("colors out", line_out=out), preferences,
            unit_beside=True,
        ))  # fmt: skip
        self.body.addWidget(self.colors)
        self.body.addLayout(_labeled("Leader", self.leader))
        self.length = Field("Leader length", NumberField(
            keys.LEADER_LENGTH, lambda: comparison.candidate.leader_length,
            lambda length: comparison.change("leader length", leader_length=length), preferences,
        ))  # fmt: skip
        self.body.addWidget(self.length)
        self.tip_up = Field("Rod tip up", NumberField(
            keys.HEIGHT, lambda: comparison.candidate.height,
            lambda height: comparison.change("tip height", height=height), preferences,
        ))  # fmt: skip
        self.body.addWidget(self.tip_up)
        self.note = quiet()
        self.note.setWordWrap(True)
        self.body.addWidget(self.note)
        self._buttons()
        self.name.editingFinished.connect(self._named)
        self.way.textActivated.connect(lambda text: self._set("alone", alone=text == ALONE))
        self.lure.textActivated.connect(lambda text: self._set("lure", lure=text))
        self.line.textActivated.connect(self._line)
        self.leader.textActivated.connect(lambda text: self._set("leader", leader=text))

    def _buttons(self) -> None:
        row = QHBoxLayout()
        row.setSpacing(SNUG)
        self.add, self.drop = QPushButton("Add"), QPushButton("Remove")
        self.lures, self.usual = QPushButton("Lures…"), QPushButton("Usual set")
        self.add.setToolTip("Add a copy of this candidate beside it (Insert)")
        self.lures.setToolTip("Compare some lures, each fished as this candidate is")
        self.drop.setToolTip("Take this candidate away (Delete)")
        self.usual.setToolTip("This scenario's own lines, and a float on plain line and leadcore")
        for button in (self.add, self.drop):
            row.addWidget(button, 1)
        self.body.addLayout(row)
        below = QHBoxLayout()
        below.setSpacing(SNUG)
        for button in (self.lures, self.usual):
            below.addWidget(button, 1)
        self.body.addLayout(below)
        self.lures.clicked.connect(self.choose_lures)
        self.add.clicked.connect(self.add_one)
        self.drop.clicked.connect(self.remove_one)
        self.usual.clicked.connect(lambda: self._comparison.back_to_usual())

    def add_one(self) -> None:
        """Add a copy of the chosen candidate."""
        try:
            self._comparison.add()
        except InvalidValue as error:
            self._say(f"Allowed is {error.allowed}.")

    def remove_one(self) -> None:
        """Take the chosen one away."""
        try:
            self._comparison.remove()
        except InvalidValue as error:
            self._say(f"Allowed is {error.allowed}.")

    def choose_lures(self) -> None:
        """Tick the lures to compare."""
        chooser = LureChooser(self._comparison, self)
        chooser.open()

    def show_all(self) -> None:
        """Show the chosen candidate; what was refused is forgotten."""
        comparison = self._comparison
        candidate = comparison.candidate
        self.sign.setPixmap(sign_icon(comparison.chosen, self._preferences.look).pixmap(44, 14))
        if not (self.name.hasFocus() and self.name.isModified()):
            self.name.setText(candidate.name)
            self.name.setCursorPosition(0)
        self.name.setToolTip(as_tip(candidate.name))
        self.way.setCurrentText(ALONE if candidate.alone else ON_A_LINE)
        line = PLAIN + candidate.backing if candidate.line is None else candidate.line
        for box, shown in ((self.lure, candidate.lure), (self.line, line),
                           (self.leader, candidate.leader)):  # fmt: skip
            if box.findText(shown) < 0:
                box.addItem(shown)
            box.setCurrentText(shown)
            box.setToolTip(as_tip(shown))
        self.colors.box.reset()
        self.length.box.reset()
        self.tip_up.box.reset()
        for widget in (self.line, self.colors, self.leader, self.length, self.tip_up):
            widget.setEnabled(not candidate.alone)
        missing = candidate.missing(comparison.document.catalog)
        self._say(f"{missing[0].upper()}{missing[1:]}." if missing else "")
        self.note.setText(_note(candidate))
        self.note.setVisible(bool(self.note.text()))
        count = len(comparison.lineup.candidates)
        self.add.setEnabled(count < MOST)
        self.drop.setEnabled(count > 1)

    def _offer(self) -> None:
        """Offer the tackle there is now."""
        catalog = self._comparison.document.catalog
        plain = [PLAIN + name for name in catalog.of_role("backing")]
        for box, names in (
            (self.lure, list(catalog.lures)),
            (self.line, [*catalog.of_role("leadcore"), *plain]),
            (self.leader, catalog.of_role("leader")),
        ):
            now = box.currentText()
            box.clear()
            box.addItems(names)
            if now:
                if box.findText(now) < 0:
                    box.addItem(now)
                box.setCurrentText(now)

    def _say(self, why: str) -> None:
        self.error.setText(why)
        self.error.setVisible(bool(why))

    def _set(self, text: str, **changes: object) -> None:
        try:
            self._comparison.change(text, **changes)
        except InvalidValue as error:
            self._say(f"{text.capitalize()}: allowed is {error.allowed}.")

    def _line(self, text: str) -> None:
        if text.startswith(PLAIN):
            self._set("line", line=None, backing=text.removeprefix(PLAIN))
        else:
            self._set("line", line=text)

    def _named(self) -> None:
        name = self.name.text().strip()
        self.name.setModified(False)
        if name == self._comparison.candidate.name:
            return
        self._set("name", name=name)
        # one that is cleared says what it is again
        self.name.setText(self._comparison.candidate.name)


def _note(candidate: Candidate) -> str:
    if candidate.alone:
        return "Alone it is in the first plot only."
    if candidate.line is not None and candidate.rod_setup().needs_backing:
        core = f"{COLOR.from_si(candidate.on_reel):.1f}".removesuffix(".0")
        return f"{core} colors are on the reel; beyond, {candidate.backing}."
    return ""


def _choice(name: str) -> QComboBox:
    box = MiddleBox()
    box.setAccessibleName(name)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(12)
    return box


def _labeled(words: str, box: QWidget) -> QGridLayout:
    grid = QGridLayout()
    label = quiet(words)
    label.setBuddy(box)
    label.setFixedWidth(52)
    grid.addWidget(label, 0, 0)
    grid.addWidget(box, 0, 1)
    grid.setColumnStretch(1, 1)
    return grid
