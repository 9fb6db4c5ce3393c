"""Edit the spread, the water and the boat; every change re-settles the tow at once.

Depends on: helm.spin, units, preferences, rehearsal, setup, calibrated, plain; physics.doubt.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDoubleSpinBox,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app import units
from app.calibrated import doubt_with
from app.preferences import Preferences
from app.rehearsal import Rehearsal
from app.setup import RodSetup, Setup
from app.views.helm import spin
from app.views.panel import quiet
from app.views.plain import Label
from physics.doubt import Doubt
from physics.scenario import MOST_RODS

COLUMNS = (
    "Name", "Line", "Colors out", "Leader", "Leader length", "Lure",
    "Tip astern", "Tip abeam", "Tip height", "",
)  # fmt: skip

OWN = "as in the file"
"""Shown where a rod has tackle written out in its file instead of a catalog name."""


class SpreadEditor(QDialog):
    """A window beside the rehearsal; it stays open while you fish."""

    def __init__(self, rehearsal: Rehearsal, preferences: Preferences, parent: QWidget) -> None:
        super().__init__(parent)
        self._rehearsal, self._preferences = rehearsal, preferences
        self.setWindowTitle("Spread")
        self.setModal(False)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 12, 14, 12)
        self._grid_host = QWidget()
        self._grid = QGridLayout(self._grid_host)
        self._grid.setContentsMargins(0, 0, 6, 0)
        self._grid.setHorizontalSpacing(5)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(self._grid_host)
        scroll.viewport().setAutoFillBackground(False)
        layout.addWidget(scroll, 1)
        row = QHBoxLayout()
        self.add = QPushButton("Add a line")
        # Enter in a field finishes the number and presses nothing
        self.add.setAutoDefault(False)
        self.add.clicked.connect(self._add)
        row.addWidget(self.add)
        row.addStretch(1)
        row.addLayout(self._water_form())
        layout.addLayout(row)
        self.message = Label()
        self.message.setWordWrap(True)
        self.message.setProperty("quiet", True)
        layout.addWidget(self.message)
        self.rows: list[RodRow] = []
        stack, keys = rehearsal.undo_stack, QKeySequence.StandardKey
        QShortcut(keys.Undo, self, stack.undo)
        QShortcut(keys.Redo, self, stack.redo)
        rehearsal.setup_changed.connect(self.refresh)
        rehearsal.catalog_changed.connect(self._other_tackle)
        rehearsal.trouble.connect(self._tell)
        preferences.units_changed.connect(self.rebuild)
        self.rebuild()
        self.resize(1270, 190 + 34 * max(3, len(self.rows)))

    def _water_form(self) -> QFormLayout:
        form = QFormLayout()
        form.setHorizontalSpacing(10)
        self.boat = QComboBox()
        self.boat.addItems(list(self._rehearsal.catalog.boats))
        self.boat.setAccessibleName("Boat")
        self.boat.textActivated.connect(self._boat)
        self.drift = spin(0.0, 8.0, 0.1, 2, " kn", "Current")
        self.set_bearing = spin(0.0, 359.9, 10.0, 1, "°", "Current sets toward")
        self.set_bearing.setWrapping(True)
        self.drift.valueChanged.connect(lambda knots: self._current(knots=knots))
        self.set_bearing.valueChanged.connect(lambda degrees: self._current(degrees=degrees))
        both = QHBoxLayout()
        both.addWidget(self.drift)
        both.addSpacing(8)
        both.addWidget(quiet("toward"))
        both.addWidget(self.set_bearing)
        form.addRow(quiet("Boat"), self.boat)
        form.addRow(quiet("Current"), both)
        return form

    # ---- show

    def rebuild(self) -> None:
        """Make the table anew: another number of rods, or other units."""
        while self._grid.count():
            item = self._grid.takeAt(0)
            if item is not None and (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for column, title in enumerate(COLUMNS):
            self._grid.addWidget(quiet(title), 0, column)
        self.rows = []
        count = len(self._rehearsal.setup.rods)
        for number in range(count):
            self.rows.append(RodRow(self, number, self._rehearsal, self._preferences))
            for column, widget in enumerate(self.rows[-1].widgets):
                self._grid.addWidget(widget, number + 1, column)
        self._grid.setRowStretch(MOST_RODS + 1, 1)
        self.add.setEnabled(count < MOST_RODS)
        self.refresh()

    def _other_tackle(self) -> None:
        """Offer what there is now to choose from."""
        self.boat.clear()
        self.boat.addItems(list(self._rehearsal.catalog.boats))
        self.rebuild()

    def refresh(self) -> None:
        """Show the setup on screen."""
        setup = self._rehearsal.setup
        if len(setup.rods) != len(self.rows):
            self.rebuild()
            return
        for row in self.rows:
            row.refresh(setup.rods[row.number], alone=len(setup.rods) == 1)
        if isinstance(setup.boat, str):
            self.boat.setCurrentText(setup.boat)
        else:
            if self.boat.findText(OWN) < 0:
                self.boat.addItem(OWN)
            self.boat.setCurrentText(OWN)
        east, north = setup.water.current
        with QSignalBlocker(self.drift), QSignalBlocker(self.set_bearing):
            self.drift.setValue(units.KNOT.from_si(math.hypot(east, north)))
            if east or north:
                self.set_bearing.setValue(units.compass_degrees(math.atan2(east, north)))
        self.message.setText(
            "Changes re-settle the tow and start over; Ctrl+Z takes them back. "
            "Abeam: starboard is positive, port negative."
        )

    def _tell(self, text: str) -> None:
        self.message.setText(text)
        self.refresh_rows()

    def refresh_rows(self) -> None:
        """Put refused fields back to what they were."""
        setup = self._rehearsal.setup
        for row in self.rows:
            if row.number < len(setup.rods):
                row.refresh(setup.rods[row.number], alone=len(setup.rods) == 1)

    # ---- change

    def change(self, number: int, rod: RodSetup, text: str) -> None:
        """Replace one rod."""
        setup = self._rehearsal.setup
        self._edit(setup.with_rod(number, rod), text, f"{text} {number}")

    def _edit(self, setup: Setup, text: str, key: str = "") -> None:
        setup = replace(setup, doubt=self._known_doubt(setup))
        if not self._rehearsal.edit(setup, text, key):
            self.refresh_rows()

    def _known_doubt(self, setup: Setup) -> Doubt:
        """The setup's doubt, less where all its tackle of a kind is calibrated."""
        lines = [rod.line for rod in setup.rods if rod.line and rod.sections is None]
        lures = [rod.lure for rod in setup.rods if isinstance(rod.lure, str)]
        boat = setup.boat if isinstance(setup.boat, str) else None
        catalog = self._rehearsal.catalog
        return doubt_with(catalog, setup.doubt, lines=lines, lures=lures, boat=boat)

    def _add(self) -> None:
        setup = self._rehearsal.setup
        names = {rod.name for rod in setup.rods}
        name = next(f"line {k}" for k in range(1, 99) if f"line {k}" not in names)
        like = setup.rods[-1]
        new = replace(like, name=name, abeam=-like.abeam)
        self._edit(replace(setup, rods=(*setup.rods, new)), "add a line")

    def remove(self, number: int) -> None:
        """Take one rod away."""
        setup = self._rehearsal.setup
        if len(setup.rods) > 1:
            name = setup.rods[number].name
            told = sum(order.rod == name for order in setup.line_orders)
            self._edit(setup.without_rod(number), "remove a line")
            if told and setup is not self._rehearsal.setup:
                orders = "1 order" if told == 1 else f"{told} orders"
                self.message.setText(
                    f"{orders} about {name} went with it; Ctrl+Z brings it all back."
                )

    def _boat(self, name: str) -> None:
        if name == OWN:
            self.refresh()
        else:
            self._edit(replace(self._rehearsal.setup, boat=name), "boat")

    def _current(self, knots: float | None = None, degrees: float | None = None) -> None:
        """Change drift or set; the other stays as exact as it was."""
        setup = self._rehearsal.setup
        east, north = setup.water.current
        speed = math.hypot(east, north) if knots is None else units.KNOT.to_si(knots)
        bearing = math.atan2(east, north)
        if degrees is not None or not (east or north):
            bearing = units.DEGREE.to_si(self.set_bearing.value())
        flow = (speed * math.sin(bearing), speed * math.cos(bearing))
        self._edit(replace(setup, water=replace(setup.water, current=flow)), "current", "current")


class RodRow:
    """The fields of one rod, in the table's order."""

    def __init__(
        self,
        editor: SpreadEditor,
        number: int,
        rehearsal: Rehearsal,
        preferences: Preferences,
    ) -> None:
        self.number = number
        self._editor, self._rehearsal, self._unit = editor, rehearsal, preferences.length
        catalog, unit = rehearsal.catalog, preferences.length.symbol
        feet = unit == "ft"
        where = f"line {number + 1}"
        self.name = QLineEdit()
        self.name.setMaxLength(60)
        self.name.setMinimumWidth(120)
        self.name.setAccessibleName(f"Name of {where}")
        self.line = _choices(catalog.of_role("leadcore"), f"Line of {where}")
        self.colors = spin(0.5, 40.0, 0.5, 1, "", f"Colors out of {where}")
        self.leader = _choices(catalog.of_role("leader"), f"Leader of {where}")
        high = 100.0 if feet else 30.0
        self.leader_length = spin(1.0, high, 1.0, 1, f" {unit}", f"Leader length of {where}")
        self.lure = _choices(list(catalog.lures), f"Lure of {where}")
        reach = 60.0 if feet else 20.0
        self.astern = spin(-reach, reach, 1.0, 1, f" {unit}", f"Tip astern of {where}")
        self.abeam = spin(-reach, reach, 1.0, 1, f" {unit}", f"Tip abeam of {where}")
        tall = 40.0 if feet else 12.0
        self.height = spin(0.0, tall, 0.5, 1, f" {unit}", f"Tip height of {where}")
        self.drop = QPushButton("Remove")
        self.drop.setAccessibleName(f"Remove {where}")
        self.drop.setAutoDefault(False)
        self.widgets: tuple[QWidget, ...] = (
            self.name, self.line, self.colors, self.leader, self.leader_length, self.lure,
            self.astern, self.abeam, self.height, self.drop,
        )  # fmt: skip
        self.name.editingFinished.connect(self._named)
        self.line.textActivated.connect(partial(self._chosen, "line"))
        self.leader.textActivated.connect(partial(self._chosen, "leader"))
        self.lure.textActivated.connect(partial(self._chosen, "lure"))
        self.colors.valueChanged.connect(
            lambda v: self._set("colors out", line_out=units.COLOR.to_si(v))
        )
        for box, attribute, text in (
            (self.leader_length, "leader_length", "leader length"),
            (self.astern, "astern", "tip astern"),
            (self.abeam, "abeam", "tip abeam"),
            (self.height, "height", "tip height"),
        ):
            box.valueChanged.connect(partial(self._measured, attribute, text))
        self.drop.clicked.connect(lambda: editor.remove(self.number))

    def refresh(self, rod: RodSetup, *, alone: bool) -> None:
        """Show one rod."""
        own = rod.sections is not None
        if not self.name.hasFocus() or not self.name.isModified():
            self.name.setText(rod.name)
        for box, text, fixed in (
            (self.line, rod.line or OWN, own),
            (self.leader, rod.leader, own),
            (self.lure, rod.lure if isinstance(rod.lure, str) else OWN, False),
        ):
            shown = OWN if fixed else text
            if box.findText(shown) < 0:
                box.addItem(shown)
            box.setCurrentText(shown)
            box.setEnabled(not fixed)
        for spin_box, value in (
            (self.colors, units.COLOR.from_si(rod.line_out)),
            (self.leader_length, self._unit.from_si(rod.leader_length)),
            (self.astern, self._unit.from_si(rod.astern)),
            (self.abeam, self._unit.from_si(rod.abeam)),
            (self.height, self._unit.from_si(rod.height)),
        ):
            with QSignalBlocker(spin_box):
                spin_box.setValue(value)
        self.colors.setEnabled(not own)
        self.leader_length.setEnabled(not own)
        self.drop.setEnabled(not alone)

    def _rod(self) -> RodSetup:
        return self._rehearsal.setup.rods[self.number]

    def _set(self, text: str, **changes: object) -> None:
        self._editor.change(self.number, replace(self._rod(), **changes), text)  # type: ignore[arg-type]

    def _named(self) -> None:
        self.name.setModified(False)
        if self.number < len(self._rehearsal.setup.rods):
            self._set("name", name=self.name.text().strip())

    def _chosen(self, attribute: str, name: str) -> None:
        if name == OWN:
            self._editor.refresh_rows()
        else:
            self._set(attribute, **{attribute: name})

    def _measured(self, attribute: str, text: str, value: float) -> None:
        self._set(text, **{attribute: self._unit.to_si(value)})


def _choices(names: list[str], label: str) -> QComboBox:
    box = QComboBox()
    box.addItems(names)
    box.setAccessibleName(label)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(16)
    box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    return box


def number_fields(row: RodRow) -> list[QDoubleSpinBox]:
    """All number fields of a row."""
    return [widget for widget in row.widgets if isinstance(widget, QDoubleSpinBox)]
