"""Edit the spread, the water and the boat; every change re-settles the tow at once."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.common.quantities import Quantity
from app.rehearse.places import coinciding, free_abeam
from app.scenario import keys
from app.scenario.known_doubt import known_doubt
from app.scenario.setup import RodSetup, Setup
from app.scenario.water_flow import WaterFlow
from app.scenario.water_warmth import USUAL, WaterWarmth
from app.session.document import Document
from app.ui.middle_box import MiddleBox
from app.ui.number_field import NumberField, Refusal
from app.ui.panel import quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.scroll import Scroll
from app.ui.steps import GAP, ROOM, SNUG
from app.ui.wheel_needs_focus import ChoiceBox
from physics.simulation.scenario import MOST_RODS

COLUMNS = (
    "Name", "Line", "Colors\nout", "Colors\non reel", "Backing", "Leader", "Leader\nlength", "Lure",
    "Tip\nastern", "Tip\nabeam", "Tip\nheight", "",
)  # fmt: skip

NAMED = tuple(COLUMNS.index(title) for title in ("Name", "Line", "Backing", "Leader", "Lure"))
"""Columns of names, which take the room there is."""

FOR_NAMES, MOST_OF_SCREEN = 200, 0.98
"""Room for whole names, px, and how much of the screen's width the window may take for it."""

OWN = "as in the file"
"""Shown where a rod has tackle written out in its file instead of a catalog name."""


class SpreadEditor(QDialog):
    """A window beside the live drop; it stays open while you fish."""

    def __init__(self, document: Document, preferences: Preferences, parent: QWidget) -> None:
        super().__init__(parent)
        self._document, self._preferences = document, preferences
        self.setWindowTitle("Spread")
        self.setModal(False)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        self._grid_host = QWidget()
        self._grid = QGridLayout(self._grid_host)
        self._grid.setContentsMargins(0, 0, SNUG, 0)
        self._grid.setHorizontalSpacing(SNUG)
        layout.addWidget(Scroll(self._grid_host), 1)
        row = QHBoxLayout()
        self.add = QPushButton("Add a line")
        # Enter in a field finishes the number and presses nothing
        self.add.setAutoDefault(False)
        self.add.clicked.connect(self._add)
        row.addWidget(self.add, 0, Qt.AlignmentFlag.AlignTop)
        row.addStretch(1)
        row.addLayout(self._water_form())
        layout.addLayout(row)
        self.message = Label()
        self.message.setWordWrap(True)
        self.message.setProperty("quiet", True)
        layout.addWidget(self.message)
        self.rows: list[RodRow] = []
        stack, keys = document.undo_stack, QKeySequence.StandardKey
        QShortcut(keys.Undo, self, stack.undo)
        QShortcut(keys.Redo, self, stack.redo)
        document.setup_changed.connect(self.refresh)
        document.catalog_changed.connect(self._other_tackle)
        document.trouble.connect(self._tell)
        self.rebuild()
        room = self.screen().availableGeometry().size()
        wide = self._grid_host.sizeHint().width() + FOR_NAMES
        wanted = QSize(wide, 250 + 34 * max(3, len(self.rows)))
        self.resize(wanted.boundedTo(room * MOST_OF_SCREEN))

    def _water_form(self) -> QFormLayout:
        form = QFormLayout()
        form.setHorizontalSpacing(GAP)
        self.boat = ChoiceBox()
        self.boat.addItems(list(self._document.catalog.boats))
        self.boat.setAccessibleName("Boat")
        self.boat.textActivated.connect(self._boat)
        document = self._document
        current = WaterFlow("current", lambda: document.setup, self._set_current, document.bearings)
        preferences = self._preferences
        self.drift = NumberField(keys.DRIFT, current.speed, current.set_speed, preferences)
        self.set_bearing = NumberField(
            keys.SET, current.toward, current.set_toward, preferences, "Current sets toward"
        )
        both = QHBoxLayout()
        both.addWidget(self.drift)
        both.addSpacing(GAP)
        both.addWidget(quiet("toward"))
        both.addWidget(self.set_bearing)
        form.addRow(quiet("Boat"), self.boat)
        form.addRow(quiet("Current"), both)
        self._warmth = WaterWarmth(lambda: document.setup, self._set_water)
        self.temperature = NumberField(
            keys.TEMPERATURE, self._warmth.temperature, self._warmth.set_temperature, preferences
        )
        self.salinity = NumberField(
            keys.SALINITY, self._warmth.salinity, self._warmth.set_salinity, preferences
        )
        self.told_otherwise = quiet()
        self.by_warmth = QPushButton("Set by temperature")
        self.by_warmth.setAutoDefault(False)
        self.by_warmth.clicked.connect(lambda: self._warmth.make(*USUAL))
        water = QHBoxLayout()
        water.setSpacing(GAP)
        salt = quiet("salt")
        self._warm = (self.temperature, salt, self.salinity)
        for widget in (*self._warm, self.told_otherwise, self.by_warmth):
            water.addWidget(widget)
        water.addStretch(1)
        self.mark_time = NumberField(keys.MARK_TIME, self._mark_time, self._set_mark_time,
                                     preferences)  # fmt: skip
        form.addRow(quiet("Water"), water)
        form.addRow(quiet("Mark under the sounder at"), self.mark_time)
        form.addRow(
            Refusal(self.drift, self.set_bearing, self.temperature, self.salinity, self.mark_time)
        )
        return form

    # ---- show

    def rebuild(self) -> None:
        """Make the table anew: another number of rods, or other tackle."""
        while self._grid.count():
            item = self._grid.takeAt(0)
            if item is not None and (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for column, title in enumerate(COLUMNS):
            head = quiet(title)
            head.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)
            self._grid.addWidget(head, 0, column)
            self._grid.setColumnStretch(column, int(column in NAMED))
        self.rows = []
        count = len(self._document.setup.rods)
        for number in range(count):
            self.rows.append(RodRow(self, number, self._document, self._preferences))
            for column, widget in enumerate(self.rows[-1].widgets):
                self._grid.addWidget(widget, 2 * number + 1, column)
            self._grid.addWidget(self.rows[-1].refusal, 2 * number + 2, 0, 1, len(COLUMNS))
        self._grid.setRowStretch(2 * MOST_RODS + 1, 1)
        self.add.setEnabled(count < MOST_RODS)
        self.refresh()

    def _other_tackle(self) -> None:
        """Offer what there is now to choose from."""
        self.boat.clear()
        self.boat.addItems(list(self._document.catalog.boats))
        self.rebuild()

    def refresh(self) -> None:
        """Show the setup on screen."""
        setup = self._document.setup
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
        self.drift.reset()
        self.set_bearing.reset()
        known = self._warmth.known
        for widget in self._warm:
            widget.setVisible(known)
        for other in (self.told_otherwise, self.by_warmth):
            other.setVisible(not known)
        self.told_otherwise.setText(f"density {setup.water.density:.1f} kg/m³, as in the file")
        for field in (self.temperature, self.salinity, self.mark_time):
            field.reset()
        self.mark_time.setEnabled(setup.mark is not None)
        self.message.setText(
            coinciding(setup)
            or "Changes start the tow over; Ctrl+Z takes them back. "
            "Abeam: starboard is positive, port negative."
        )

    def _tell(self, text: str) -> None:
        self.message.setText(text)
        self.refresh_rows()

    def refresh_rows(self) -> None:
        """Put refused fields back to what they were."""
        setup = self._document.setup
        for row in self.rows:
            if row.number < len(setup.rods):
                row.refresh(setup.rods[row.number], alone=len(setup.rods) == 1)

    # ---- change

    def set_number(self, number: int, attribute: str, value: float, text: str) -> None:
        """Another number of one rod. Raises InvalidValue."""
        setup = self._document.setup
        rod = replace(setup.rods[number], **{attribute: value})  # type: ignore[arg-type]
        self._document.change(setup.with_rod(number, rod), text, f"{text} {number}")

    def edit_rod(self, number: int, rod: RodSetup, text: str) -> None:
        """Replace one rod, or say why not."""
        setup = self._document.setup
        self._edit(setup.with_rod(number, rod), text, f"{text} {number}")

    def _edit(self, setup: Setup, text: str, key: str = "") -> None:
        before, catalog = self._document.setup, self._document.catalog
        setup = replace(setup, doubt=known_doubt(setup, before, catalog))
        if not self._document.edit(setup, text, key):
            self.refresh_rows()

    def _add(self) -> None:
        setup = self._document.setup
        names = {rod.name for rod in setup.rods}
        name = next(f"line {k}" for k in range(1, 99) if f"line {k}" not in names)
        new = replace(setup.rods[-1], name=name, abeam=free_abeam(setup))
        self._edit(replace(setup, rods=(*setup.rods, new)), "add a line")
        if self._document.setup is not setup:
            # what its neighbor had is there already: how much is out is what differs most
            self.rows[-1].colors.setFocus()
            self.rows[-1].colors.selectAll()

    def remove(self, number: int) -> None:
        """Take one rod away."""
        setup = self._document.setup
        if len(setup.rods) > 1:
            name = setup.rods[number].name
            told = sum(order.rod == name for order in setup.line_orders)
            self._edit(setup.without_rod(number), "remove a line")
            if told and setup is not self._document.setup:
                orders = "1 order" if told == 1 else f"{told} orders"
                self.message.setText(
                    f"{orders} about {name} went with it; Ctrl+Z brings it all back."
                )

    def _boat(self, name: str) -> None:
        if name == OWN:
            self.refresh()
        else:
            self._edit(replace(self._document.setup, boat=name), "boat")

    def _set_current(self, setup: Setup) -> None:
        self._document.change(setup, "current", "current")

    def _set_water(self, setup: Setup) -> None:
        self._document.change(setup, "water", "water")

    def _mark_time(self) -> float:
        mark = self._document.setup.mark
        return 0.0 if mark is None else mark.time

    def _set_mark_time(self, time: float) -> None:
        setup = self._document.setup
        if setup.mark is not None:
            moved = replace(setup, mark=replace(setup.mark, time=time))
            self._document.change(moved, "mark", "mark time")


class RodRow:
    """The fields of one rod, in the table's order."""

    def __init__(
        self,
        editor: SpreadEditor,
        number: int,
        document: Document,
        preferences: Preferences,
    ) -> None:
        self.number = number
        self._editor, self._document, self._preferences = editor, document, preferences
        catalog = document.catalog
        where = f"line {number + 1}"
        self.name = QLineEdit()
        self.name.setMaxLength(60)
        self.name.setMinimumWidth(110)
        self.name.setAccessibleName(f"Name of {where}")
        self.line = _choices(catalog.of_role("leadcore"), f"Line of {where}")
        # a row that is on its way out has no rod in the setup any more
        self._shown = self._rod()
        self.refusal = Refusal()
        self.colors = self._number(keys.LINE_OUT)
        self.on_reel = self._number(keys.ON_REEL)
        self.backing = _choices(catalog.of_role("backing"), f"Backing of {where}")
        self.leader = _choices(catalog.of_role("leader"), f"Leader of {where}")
        self.leader_length = self._number(keys.LEADER_LENGTH)
        self.lure = _choices(list(catalog.lures), f"Lure of {where}")
        self.astern = self._number(keys.ASTERN)
        self.abeam = self._number(keys.ABEAM)
        self.height = self._number(keys.HEIGHT)
        self.drop = QPushButton("Remove")
        self.drop.setAccessibleName(f"Remove {where}")
        self.drop.setAutoDefault(False)
        self.widgets: tuple[QWidget, ...] = (
            self.name, self.line, self.colors, self.on_reel, self.backing, self.leader,
            self.leader_length, self.lure, self.astern, self.abeam, self.height, self.drop,
        )  # fmt: skip
        self.name.editingFinished.connect(self._named)
        self.line.textActivated.connect(partial(self._chosen, "line"))
        self.backing.textActivated.connect(partial(self._chosen, "backing"))
        self.leader.textActivated.connect(partial(self._chosen, "leader"))
        self.lure.textActivated.connect(partial(self._chosen, "lure"))
        self.drop.clicked.connect(lambda: editor.remove(self.number))

    def refresh(self, rod: RodSetup, *, alone: bool) -> None:
        """Show one rod."""
        self._shown = rod
        own = rod.sections is not None
        if not self.name.hasFocus() or not self.name.isModified():
            self.name.setText(rod.name)
        for box, text, fixed in (
            (self.line, rod.line or OWN, own),
            (self.backing, rod.backing, own),
            (self.leader, rod.leader, own),
            (self.lure, rod.lure if isinstance(rod.lure, str) else OWN, False),
        ):
            shown = OWN if fixed else text
            if box.findText(shown) < 0:
                box.addItem(shown)
            box.setCurrentText(shown)
            box.setEnabled(not fixed)
            box.setToolTip(as_tip(shown))
        for number in (
            self.colors, self.on_reel, self.leader_length, self.astern, self.abeam, self.height
        ):  # fmt: skip
            number.reset()
        self.name.setToolTip(as_tip(rod.name))
        self.colors.setEnabled(not own)
        self.on_reel.setEnabled(not own)
        self.leader_length.setEnabled(not own)
        self.drop.setEnabled(not alone)

    def _rod(self) -> RodSetup:
        return self._document.setup.rods[self.number]

    def _number(self, quantity: Quantity) -> NumberField:
        """A field for one attribute of the rod."""
        words, attribute = quantity.words, quantity.attribute
        box = NumberField(
            quantity,
            lambda: float(getattr(self._shown, attribute)),
            lambda value: self._editor.set_number(self.number, attribute, value, words),
            self._preferences,
            f"{quantity.title} of line {self.number + 1}",
            unit_beside=quantity in (keys.LINE_OUT, keys.ON_REEL),
        )
        # names need the room of the arrows; the keys step as well
        box.setButtonSymbols(NumberField.ButtonSymbols.NoButtons)
        self.refusal.listen(box)
        return box

    def _set(self, text: str, **changes: object) -> None:
        self._editor.edit_rod(self.number, replace(self._rod(), **changes), text)  # type: ignore[arg-type]

    def _named(self) -> None:
        self.name.setModified(False)
        if self.number < len(self._document.setup.rods):
            self._set("name", name=self.name.text().strip())

    def _chosen(self, attribute: str, name: str) -> None:
        if name == OWN:
            self._editor.refresh_rows()
        else:
            self._set(attribute, **{attribute: name})


def _choices(names: list[str], label: str) -> QComboBox:
    box = MiddleBox()
    box.addItems(names)
    box.setAccessibleName(label)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(11)
    return box
