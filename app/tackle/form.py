"""The fields of one thing: name, numbers with their units, and where each comes from.

A number that makes no sense stays in its field with the reason under it, and
is not kept.
"""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QGridLayout,
    QLineEdit,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.common.scales import Scale
from app.common.units import FOOT
from app.gear.tackle_fields import Field, OfThing, Spelled, Thing, fields_of, first_unit, with_value
from app.tackle.model import Entry, Shelf
from app.ui.look import font
from app.ui.number_field import NumberField, Refusal
from app.ui.panel import quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.scroll import Upright
from app.ui.steps import GAP, SMALL, TIGHT
from app.ui.wheel_needs_focus import ChoiceBox
from physics.checks import InvalidValue
from physics.line.tackle import LURE_KINDS, Lure
from physics.vessel.boat import Boat

CHANGED = "your own"
"""Said to be the source of a number the user typed."""


class TackleForm(QWidget):
    """Shows one entry; own ones can be changed. ``tried`` carries a thing as it is typed."""

    tried = Signal(object)

    def __init__(self, shelf: Shelf, preferences: Preferences) -> None:
        super().__init__()
        self._shelf, self.preferences = shelf, preferences
        self._entry: Entry | None = None
        self._spelled: dict[str, int] = {}
        self.rows: dict[str, Row] = {}
        self.name = QLineEdit()
        self.name.setMaxLength(60)
        self.name.setAccessibleName("Name")
        self.name.editingFinished.connect(self._named)
        self.kind = ChoiceBox()
        self.kind.addItems(list(LURE_KINDS))
        self.kind.setAccessibleName("Kind of lure")
        self.kind.textActivated.connect(self._kind_chosen)
        self.engines = ChoiceBox()
        self.engines.addItems(["one engine", "two engines"])
        self.engines.setAccessibleName("Engines")
        self.engines.activated.connect(self._engines_chosen)
        self.seldom = QCheckBox("Advanced")
        self.seldom.toggled.connect(self._show_seldom)
        self.error = Label()
        self.error.setWordWrap(True)
        self.error.setProperty("alarm", True)
        self.error.hide()
        preferences.units_changed.connect(self._units)
        host = QWidget()
        self._grid = QGridLayout(host)
        self._grid.setContentsMargins(0, 0, GAP, 0)
        self._grid.setHorizontalSpacing(GAP)
        self._grid.setVerticalSpacing(TIGHT)
        self._grid.setColumnStretch(4, 1)
        area = Upright(host)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.name)
        layout.addWidget(self.error)
        layout.addWidget(area, 1)
        layout.addWidget(self.seldom)

    # ---- show

    def show_entry(self, entry: Entry | None) -> None:
        """Take another thing, or the same as it now is."""
        same = (
            self._entry is not None
            and entry is not None
            and type(self._entry.thing) is type(entry.thing)
        )
        self._entry = entry
        self._refuse("")
        if entry is None:
            self.setEnabled(False)
            return
        self.setEnabled(True)
        if not same:
            self._build(entry.thing)
        thing = entry.thing
        with QSignalBlocker(self.name):
            self.name.setText(thing.name)
        self.name.setReadOnly(not entry.own)
        if isinstance(thing, Lure):
            self.kind.setCurrentText(thing.kind)
            self.kind.setEnabled(entry.own)
        if isinstance(thing, Boat):
            self.engines.setCurrentIndex(thing.engines - 1)
            self.engines.setEnabled(entry.own)
        for row in self.rows.values():
            row.show_thing(thing, entry)

    def _build(self, thing: Thing) -> None:
        """Make the rows for another sort of thing."""
        while self._grid.count():
            item = self._grid.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.hide()
                if widget not in (self.kind, self.engines):
                    widget.deleteLater()
        self.rows.clear()
        for old in range(self._grid.rowCount()):
            self._grid.setRowStretch(old, 0)
        at = 0
        for box, words, shown in (
            (self.kind, "Shape", isinstance(thing, Lure)),
            (self.engines, "Engines", isinstance(thing, Boat)),
        ):
            if shown:
                self._grid.addWidget(quiet(words), at, 0)
                self._grid.addWidget(box, at, 1, 1, 2)
                box.show()
                at += 1
        for field in fields_of(thing):
            row = Row(self, field, thing)
            self.rows[field.attribute] = row
            for column, widget in enumerate((row.label, row.box, row.unit, row.why)):
                self._grid.addWidget(widget, at, column)
            self._grid.addWidget(row.error, at + 1, 0, 1, 5)
            self._grid.addWidget(row.source, at + 2, 0, 1, 5)
            at += 3
        self._grid.setRowStretch(at, 1)
        self._show_seldom(self.seldom.isChecked())

    def _show_seldom(self, on: bool) -> None:
        for row in self.rows.values():
            row.set_shown(on or row.field.often)

    # ---- change

    @property
    def entry(self) -> Entry | None:
        """What is shown."""
        return self._entry

    def spelled(self, field: Field) -> Spelled:
        """The unit a field is shown in."""
        return field.units[self.spelled_number(field)]

    def spelled_number(self, field: Field) -> int:
        """Which of its units that is: the one chosen, or the first of the system in use."""
        usual = first_unit(
            field, feet=self.preferences.length is FOOT, speed=self.preferences.speed
        )
        return min(self._spelled.get(field.attribute, usual), len(field.units) - 1)

    def _units(self) -> None:
        """Another system of units."""
        for row in self.rows.values():
            if isinstance(row.unit, QComboBox):
                row.unit.setCurrentIndex(self.spelled_number(row.field))
            row.box.reset()

    def spell(self, field: Field, number: int) -> None:
        """Show a field in another of its units."""
        self._spelled[field.attribute] = number
        if self._entry is not None:
            self.rows[field.attribute].show_thing(self._entry.thing, self._entry)

    def put(self, field: Field, value: float) -> None:
        """A number was finished, SI: keep it. Raises InvalidValue."""
        entry = self._entry
        if entry is not None and entry.own:
            thing = with_value(entry.thing, field, value)
            self._keep(thing, {**entry.source, field.attribute: CHANGED}, field.label.lower())

    def _keep(self, thing: Thing, source: dict[str, str], text: str) -> None:
        entry = self._entry
        if entry is None:
            return
        self._refuse("")
        if not self._shelf.put(entry.name, thing, source, text):
            self.show_entry(self._shelf.entry(entry.name))
        self.tried.emit(thing)

    def _named(self) -> None:
        entry, name = self._entry, self.name.text().strip()
        if entry is None or not entry.own or name == entry.name:
            return
        try:
            thing = replace(entry.thing, name=name)
            if not isinstance(thing, Lure | Boat):
                thing.section(1.0)
        except InvalidValue as error:
            self._refuse(f"A name has to be {error.allowed}.")
            return
        self._keep(thing, dict(entry.source), "name")

    def _kind_chosen(self, kind: str) -> None:
        entry = self._entry
        if entry is not None and entry.own and isinstance(entry.thing, Lure):
            self._keep(replace(entry.thing, kind=kind), dict(entry.source), "shape")

    def _engines_chosen(self, index: int) -> None:
        entry = self._entry
        if entry is not None and entry.own and isinstance(entry.thing, Boat):
            source = {**entry.source, "engines": CHANGED}
            self._keep(replace(entry.thing, engines=index + 1), source, "engines")

    def _refuse(self, why: str) -> None:
        self.error.setText(why)
        self.error.setVisible(bool(why))


class ThingNumber(NumberField):
    """A number of the thing last shown; its unit stands beside it, and may be another."""

    def __init__(self, form: TackleForm, field: Field, thing: Thing) -> None:
        self._form, self._field, self.thing = form, field, thing
        super().__init__(
            field.quantity,
            lambda: float(getattr(self.thing, field.attribute)),
            lambda value: form.put(field, value),
            form.preferences,
            field.label,
            unit_beside=True,
        )

    def scale(self) -> Scale:
        return Scale(OfThing(self._form.spelled(self._field), self.thing), None, 1.0)

    def why(self, error: InvalidValue) -> str:
        """In the unit shown, unless it is about more than this number."""
        about = error.field.rpartition(": ")[2]
        mine = about == self._field.attribute and "osmium" not in error.allowed
        return f"Allowed is {self.range_text()}." if mine else super().why(error)


class Row:
    """One field: label, number, unit, where it comes from, and what is wrong with it."""

    def __init__(self, form: TackleForm, field: Field, thing: Thing) -> None:
        self._form, self.field = form, field
        self.label = quiet(field.label)
        self.label.setToolTip(as_tip(field.meaning))
        self.box = ThingNumber(form, field, thing)
        self.box.setFixedWidth(112)
        self.box.setButtonSymbols(ThingNumber.ButtonSymbols.NoButtons)
        self.unit: QWidget
        symbols = [spelled.symbol for spelled in field.units]
        if len(symbols) > 1:
            box = ChoiceBox()
            box.addItems(symbols)
            box.setAccessibleName(f"Unit of {field.label}")
            box.setCurrentIndex(form.spelled_number(field))
            box.activated.connect(lambda number: form.spell(field, number))
            self.unit = box
        else:
            self.unit = quiet(symbols[0])
        self.source = quiet()
        self.source.setWordWrap(True)
        self.source.setFont(font(SMALL))
        self.source.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        self.source.hide()
        self.why = QToolButton()
        self.why.setText("i")
        self.why.setCheckable(True)
        self.why.setObjectName("why")
        self.why.setAccessibleName(f"Where {field.label} comes from")
        self.why.toggled.connect(self.source.setVisible)
        self.error = Refusal(self.box)

    def set_shown(self, on: bool) -> None:
        for widget in (self.label, self.box, self.unit, self.why):
            widget.setVisible(on)
        self.source.setVisible(on and self.why.isChecked())
        if not on:
            self.error.hide()

    def show_thing(self, thing: Thing, entry: Entry) -> None:
        """Show a thing's value, and whether it can be changed."""
        self.box.thing = thing
        self.box.setReadOnly(not entry.own)
        self.box.reset()
        self.box.setToolTip(as_tip(f"{self.field.meaning}\nAllowed: {self.box.range_text()}"))
        words = entry.source.get(self.field.attribute, entry.source.get("default", ""))
        self.source.setText(words)
        self.why.setToolTip(as_tip(words))
