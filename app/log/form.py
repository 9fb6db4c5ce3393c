"""The form: everything of one entry, quick by keys alone. What is typed is kept field by field."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QVBoxLayout,
    QWidget,
)

from app.common.units import DEGREE, MINUTE, SECOND, Unit
from app.log import as_typed, words
from app.log.differences import lift_in_words, said_in_words
from app.log.entry import (
    BEARINGS,
    HOLDS,
    LASTS,
    LATITUDES,
    LIGHTS,
    LONGITUDES,
    PARTS,
    SIDES,
    SPEEDS,
    STAGES,
    TIDES,
    WAITS,
    WINDS,
    Entry,
    LineEntry,
    check,
)
from app.log.light import light_of, sun_of
from app.log.lines_table import LinesTable
from app.log.model import Log
from app.log.typed import Letters, Note, Typed
from app.ui.panel import quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.steps import GAP, SNUG, TIGHT
from app.ui.what_is import explain
from app.ui.wheel_needs_focus import ChoiceBox
from physics.checks import InvalidValue, Limits


class Form(QWidget):
    """Shows ``entry``; hides its fields while there is none."""

    def __init__(self, log: Log, preferences: Preferences) -> None:
        super().__init__()
        self._log, self._preferences = log, preferences
        self.entry: Entry | None = None
        # a latitude without a longitude yet, or the other way round
        self._half: dict[int, str] = {}
        self._refusals: dict[str, str] = {}
        self.fields: dict[str, Typed | Letters] = {}
        self.names: dict[str, Label] = {}
        self.tips: dict[str, Callable[[], str]] = {}
        self.wrong = Label()
        self.wrong.setWordWrap(True)
        self.wrong.setProperty("alarm", True)
        self.wrong.hide()
        self.lines = LinesTable(lambda: self.entry, self._set_lines)
        self.lines.said.connect(lambda why: self._say("", why))
        self.note = Note(lambda: self._of("note") or "", lambda text: self._set("note", text))
        self.note.refused.connect(lambda why: self._say("Note", why and f"Note: {why}."))
        self.kind = ChoiceBox()
        self.kind.setAccessibleName("Rehearsal, or on the water")
        for rehearsal in (False, True):
            self.kind.addItem(words.KIND[rehearsal], rehearsal)
        self.kind.activated.connect(
            lambda _: self._choose("Kind", "rehearsal", self.kind.currentData())
        )
        self.sun, self.model = quiet(), quiet()
        explain(self.model, "by the model")
        for label in (self.sun, self.model):
            label.setWordWrap(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(SNUG)
        self._top(column)
        column.addWidget(self.lines, 1)
        column.addWidget(self.wrong)
        column.addWidget(self.model)
        self._below(column)
        self._order()
        self.lines.currentCellChanged.connect(lambda *_: self._tell_model())
        preferences.units_changed.connect(self.refresh)
        self.show_entry(None)

    # ---- make

    def _top(self, column: QVBoxLayout) -> None:
        self.grid = QGridLayout()
        self.grid.setHorizontalSpacing(GAP)
        self.grid.setVerticalSpacing(TIGHT)
        column.addLayout(self.grid)
        self._typed(0, 0, "Time", "clock", self._clock, self._set_clock,
                    "Time of day, as 0642 or 6:42 pm; an offset from UTC may follow")  # fmt: skip
        self._number(0, 1, "Hold, s", "hold", lambda: SECOND, HOLDS, 1)
        self._number(0, 2, "Wait, s", "wait", lambda: SECOND, WAITS, 1)
        self._letters(1, 0, "Side of the rip", "side", SIDES, words.SIDE)
        self._letters(1, 1, "Heading", "tide", TIDES, words.TIDE)
        self._letters(1, 2, "Light", "light", LIGHTS, words.LIGHT)

    def _below(self, column: QVBoxLayout) -> None:
        self.grid = QGridLayout()
        self.grid.setHorizontalSpacing(GAP)
        self.grid.setVerticalSpacing(TIGHT)
        column.addLayout(self.grid)
        self._letters(0, 0, "Tide", "stage", STAGES, words.STAGE)
        self._letters(0, 1, "How far along", "part", PARTS, words.PART)
        self._number(0, 2, "Speed", "speed", lambda: self._preferences.speed, SPEEDS, 2)
        self._number(1, 0, "Course, °", "heading", lambda: DEGREE, BEARINGS, 0)
        self._number(1, 1, "Wind", "wind_speed", lambda: self._preferences.speed, WINDS, 0)
        self._number(1, 2, "Wind from, °", "wind_from", lambda: DEGREE, BEARINGS, 0)
        self._typed(2, 0, "Day", "day", self._day, self._set_day, "The day, as 2026-05-01")
        self._typed(2, 1, "Latitude", "latitude", lambda: self._place(0),
                    lambda text: self._set_place(0, text), "As 30.35, or 30 21.0 N")  # fmt: skip
        self._typed(2, 2, "Longitude", "longitude", lambda: self._place(1),
                    lambda text: self._set_place(1, text), "As -40.52, or 40 31.2 W")  # fmt: skip
        self._number(3, 0, "Lines fished, min", "lasted", lambda: MINUTE, LASTS, 1)
        self._typed(3, 1, "Tags", "tags", lambda: as_typed.tags_text(self._of("tags") or ()),
                    lambda text: self._set("tags", as_typed.read_tags(text)),
                    "Tags, with commas between them")  # fmt: skip
        self._put(3, 2, "Kind", self.kind)
        column.addWidget(self.sun)
        row = QHBoxLayout()
        row.addWidget(quiet("Note"), 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.note, 1)
        column.addLayout(row)

    def _order(self) -> None:
        """Tab goes through what changes from drop to drop first."""
        first = ("clock", "hold", "wait", "side", "tide", "light")
        stops: list[QWidget] = [self.fields[name] for name in first]
        stops += [self.lines, *(f for name, f in self.fields.items() if name not in first)]
        stops += [self.kind, self.note]
        for one, other in pairwise(stops):
            self.setTabOrder(one, other)

    def _put(self, row: int, place: int, name: str, field: QWidget) -> None:
        label = self.names[name] = quiet(name)
        label.setBuddy(field)
        self.grid.addWidget(label, 2 * row, place)
        self.grid.addWidget(field, 2 * row + 1, place)
        self.grid.setColumnStretch(place, 1)

    def _typed(
        self,
        row: int,
        place: int,
        name: str,
        key: str,
        get: Callable[[], str],
        put: Callable[[str], object],
        tip: str,
    ) -> None:
        field = Typed(name, get, put, tip)
        field.refused.connect(lambda why, name=name: self._say(name, why and f"{name}: {why}."))
        self.fields[key] = field
        self._put(row, place, name, field)

    def _number(
        self,
        row: int,
        place: int,
        name: str,
        key: str,
        unit: Callable[[], Unit],
        limits: Limits,
        digits: int,
    ) -> None:
        def get() -> str:
            return as_typed.number_text(self._of(key), unit(), digits)

        def put(text: str) -> None:
            self._set(key, as_typed.read_number(text, unit(), limits))

        self.tips[key] = lambda: f"{name}: {as_typed.range_text(unit(), limits)}, or nothing"
        self._typed(row, place, name, key, get, put, self.tips[key]())

    def _letters(
        self, row: int, place: int, name: str, key: str, options: tuple[str, ...],
        table: dict[str, str],
    ) -> None:  # fmt: skip
        field = Letters(
            name, options, table, lambda: self._of(key) or "",
            lambda value: self._choose(name, key, value),
        )  # fmt: skip
        self.fields[key] = field
        self._put(row, place, name, field)

    # ---- show

    def may_leave(self) -> bool:
        """Keep what is half done of the entry; False, and told, where that will not do. An entry
        that is gone may always be left."""
        there = self.entry is not None and self._log.store.entry(self.entry.id) is not None
        return self.note.finish() or not there

    def show_entry(self, entry: Entry | None) -> None:
        """Show another entry, or what is new of the same."""
        other = (entry and entry.id) != (self.entry and self.entry.id)
        if other:
            self.note.document().setModified(False)
            self._half = {}
        self.entry = entry
        self.setEnabled(entry is not None)
        if other:
            for field in self.fields.values():
                if isinstance(field, Typed):
                    field.reset()
            self._refusals = {}
            self._say("", "")
        self.refresh()
        if other:
            self.lines.begin()

    def refresh(self) -> None:
        """Show what the entry says; what is half typed stays."""
        for name in ("Speed", "Wind"):
            self.names[name].setText(f"{name}, {self._preferences.speed.symbol}")
        for key, tip in self.tips.items():
            self.fields[key].setToolTip(as_tip(tip()))
        for field in self.fields.values():
            field.refresh()
        self.note.refresh()
        self.lines.refresh()
        if self.entry is not None:
            self.kind.setCurrentIndex(self.kind.findData(self.entry.rehearsal))
        self._tell_sun()
        self._tell_model()

    def _tell_sun(self) -> None:
        entry = self.entry
        seen = None if entry is None else sun_of(entry)
        if entry is None or seen is None:
            self.sun.setText("With a place, the sun's bearing and height stand here.")
            return
        bearing, height = (DEGREE.from_si(angle) for angle in seen)
        up = f"{height:.0f}° high" if height > 0.0 else "under the horizon"
        heads = light_of(entry)
        toward = (
            f": {words.LIGHT[heads]}" if heads else "; with a course it is told whether into it"
        )
        self.sun.setText(f"Sun {bearing:.0f}°, {up}{toward}.")

    def _tell_model(self) -> None:
        entry, row = self.entry, self.lines.currentRow()
        line = entry.lines[row] if entry is not None and 0 <= row < len(entry.lines) else None
        if line is None or line.said is None:
            self.model.setText("" if line is None else f"{line.rod}: the model was not asked.")
            return
        at = "at the hit" if line.hit and line.after is not None else "at its deepest"
        said, length = line.said, self._preferences.length
        speed = self._preferences.speed.text(said.speed, 1)
        self.model.setText(
            f"{line.rod}, {at}, by the model: {said_in_words(said, length)}, {speed} through the "
            f"water.{lift_in_words(said, length, self._preferences.speed)} Least off bottom "
            f"{length.text(said.least_off, 1)}. Worked out by Leadfall {said.version} with tackle "
            f"{said.tackle}."
        )

    def _say(self, name: str, why: str) -> None:
        """Why something was refused, until that is mended; the newest is told."""
        self._refusals.pop(name, None)
        if why:
            self._refusals[name] = why
        told = next(reversed(self._refusals.values()), "")
        self.wrong.setText(told)
        self.wrong.setVisible(bool(told))

    # ---- what is there, and what is typed

    def _of(self, name: str) -> Any:
        return None if self.entry is None else getattr(self.entry, name)

    def _set(self, name: str, value: Any, text: str = "") -> None:
        """Keep something. Raises ValueError with the reason where it will not do."""
        old = self.entry
        if old is None or getattr(old, name) == value:
            return
        changed: dict[str, Any] = {name: value}
        new = replace(old, **changed)
        try:
            check(new, self._log.latest(old))
        except InvalidValue as error:
            raise ValueError(f"allowed is {error.allowed}") from error
        self._say("", "")
        self._log.edit((old,), (new,), f"log: {text or name.replace('_', ' ')}")

    def _choose(self, label: str, name: str, value: Any) -> None:
        """Keep what is chosen, or say why not and show what is kept."""
        try:
            self._set(name, value)
        except ValueError as error:
            self.refresh()
            self._say("", f"{label}: {error}.")

    def _set_lines(self, lines: tuple[LineEntry, ...], text: str) -> None:
        self._set("lines", lines, text)

    def _clock(self) -> str:
        return "" if self.entry is None else as_typed.clock_text(self.entry.at)

    def _set_clock(self, text: str) -> None:
        assert self.entry is not None
        self._set("at", as_typed.read_clock(text, self.entry.at))

    def _day(self) -> str:
        return "" if self.entry is None else as_typed.day_text(self.entry.at)

    def _set_day(self, text: str) -> None:
        assert self.entry is not None
        self._set("at", as_typed.read_day(text, self.entry.at))

    def _place(self, which: int) -> str:
        place = self._of("place")
        return self._half.get(which, "") if place is None else as_typed.degrees_text(place[which])

    def _set_place(self, which: int, text: str) -> None:
        value = as_typed.read_degrees(text, (LATITUDES, LONGITUDES)[which])
        place = self._of("place")
        if value is None:
            self._half = {}
            self._set("place", None)
            return
        if place is None:
            self._half = {**self._half, which: as_typed.degrees_text(value)}
            if len(self._half) < 2:
                return
            both = [float(self._half[each]) for each in (0, 1)]
            self._half = {}
        else:
            both = list(place)
        both[which] = value
        self._set("place", tuple(both))
