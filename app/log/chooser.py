"""Choose what the columns of somebody else's table are, and see what is left out before it is
taken in."""

from __future__ import annotations

from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QGridLayout,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from app.log import words
from app.log.entry import OUTCOMES
from app.log.files_job import Look, Tally
from app.log.foreign_columns import (
    DAY_FIRST,
    HERE,
    MONTH_FIRST,
    THING,
    THINGS,
    UTC_CLOCK,
    Told,
)
from app.log.in_out import InOut
from app.log.words import counted
from app.ui.panel import quiet
from app.ui.plain import Label
from app.ui.scroll import Scroll
from app.ui.wheel_needs_focus import ChoiceBox

NOTHING = "not used"

COUNTING = "Counting…"


class EntryChooser(QDialog):
    """``tally`` is what the choice gives, or None while that is not known or nothing."""

    def __init__(self, look: Look, in_out: InOut, parent: QWidget | None) -> None:
        super().__init__(parent)
        self._look, self._in_out = look, in_out
        self.tally: Tally | None = None
        self.setWindowTitle(f"Import {look.path.name}")
        told = look.told
        host = QWidget()
        grid = QGridLayout(host)
        for place, title in enumerate(("Column", "Begins with", "Is", "In")):
            grid.addWidget(quiet(title), 0, place)
        self.things: list[QComboBox] = []
        self.units: list[QComboBox] = []
        for row, column in enumerate(look.columns, 1):
            thing, unit = ChoiceBox(), ChoiceBox()
            thing.setAccessibleName(f"What {column.heading} is")
            unit.setAccessibleName(f"Unit of {column.heading}")
            thing.addItem(NOTHING, "")
            for each in THINGS:
                thing.addItem(each.label, each.key)
            thing.setCurrentIndex(thing.findData(column.thing))
            self.things.append(thing)
            self.units.append(unit)
            for place, widget in enumerate(
                (Label(column.heading), quiet(", ".join(column.examples)[:40]), thing, unit)
            ):
                grid.addWidget(widget, row, place)
            self._offer_units(row - 1)
            if column.unit is not None:
                unit.setCurrentIndex(unit.findText(column.unit.name))
            thing.activated.connect(lambda _, number=row - 1: self._thing_chosen(number))
            unit.activated.connect(self._other)
        grid.setRowStretch(len(look.columns) + 1, 1)
        self.dates = self._choice("How dates are written", (
            ("month first, 5/31/2026", MONTH_FIRST), ("day first, 31/5/2026", DAY_FIRST),
        ))  # fmt: skip
        self.dates.setCurrentIndex(self.dates.findData(told.dates))
        self.clock = self._choice("Whose clock it is, where the file does not say", (
            ("this computer's time zone", HERE), ("UTC", UTC_CLOCK),
        ))  # fmt: skip
        self.hit = self._choice("What a plain hit was on", tuple(
            (words.OUTCOME[value], value) for value in OUTCOMES[1:]
        ))  # fmt: skip
        form = QFormLayout()
        for box in (self.dates, self.clock, self.hit):
            form.addRow(quiet(box.accessibleName()), box)
        self.told, self.asked = Label(), Label()
        self.asked.setProperty("alarm", True)
        for label in (self.told, self.asked):
            label.setWordWrap(True)
        self.so = QCheckBox("That is so")
        self.so.toggled.connect(self._allow)
        self.left_out = QPlainTextEdit()
        self.left_out.setReadOnly(True)
        self.left_out.setAccessibleName("Lines left out")
        buttons = QDialogButtonBox.StandardButton
        self.buttons = QDialogButtonBox(buttons.Ok | buttons.Cancel)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(Scroll(host), 3)
        layout.addLayout(form)
        for widget in (self.told, self.asked, self.so):
            layout.addWidget(widget)
        layout.addWidget(self.left_out, 2)
        layout.addWidget(self.buttons)
        self.resize(680, 620)
        in_out.tallied.connect(self._got)
        self.finished.connect(in_out.tally_no_more)
        self.refresh()

    def _choice(self, name: str, options: tuple[tuple[str, str], ...]) -> QComboBox:
        box = ChoiceBox()
        box.setAccessibleName(name)
        for title, value in options:
            box.addItem(title, value)
        box.activated.connect(self._other)
        return box

    def _offer_units(self, number: int) -> None:
        key, box = str(self.things[number].currentData()), self.units[number]
        box.clear()
        offered = THING[key].units if key else ()
        box.setEnabled(bool(offered))
        for unit in offered:
            box.addItem(unit.name, unit)

    def _thing_chosen(self, number: int) -> None:
        self._offer_units(number)
        self._other()

    def _other(self) -> None:
        """Another choice: what was said to be so was said of the one before."""
        self.so.setChecked(False)
        self.refresh()

    @property
    def chosen(self) -> Told:
        """What the table is said to be."""
        return Told(
            tuple(str(box.currentData()) for box in self.things),
            tuple(box.currentData() for box in self.units),
            str(self.dates.currentData()),
            str(self.clock.currentData()),
            str(self.hit.currentData()),
        )

    def refresh(self) -> None:
        """Have it counted what the file gives as chosen."""
        self._in_out.tally(self._look, self.chosen)
        self._show(None, COUNTING)

    def _got(self, result: Tally | str) -> None:
        """Say what is left out and why, and ask what is doubtful."""
        if isinstance(result, str):
            self._show(None, result)
            return
        entries = counted(result.entries, "entry", "entries")
        lines = counted(result.left_out, "line")
        self._show(result, f"{entries}; {lines} left out{':' if result.left_out else '.'}")

    def _show(self, tally: Tally | None, told: str) -> None:
        self.tally = tally
        self.told.setText(told)
        self.left_out.setPlainText("" if tally is None else "\n".join(tally.why))
        asked = () if tally is None else tally.questions
        self.asked.setText("\n".join(asked))
        self.asked.setVisible(bool(asked))
        self.so.setVisible(bool(asked))
        self._allow()

    def _allow(self) -> None:
        tally = self.tally
        sure = tally is not None and (not tally.questions or self.so.isChecked())
        ok = self.buttons.button(QDialogButtonBox.StandardButton.Ok)
        ok.setEnabled(sure and tally is not None and bool(tally.entries))
