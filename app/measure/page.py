"""The Measure page, in three steps: measurements, results, and tackle of one's own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QFileDialog,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.common.bad_input import BadInput
from app.gear.measured_kinds import KINDS
from app.measure.column_chooser import ColumnChooser
from app.measure.csv_columns import read_table
from app.measure.file import ERROR_SIZES, lines_of
from app.measure.fit import FitTable, Residuals
from app.measure.model import Measuring
from app.measure.suspicions import suspicions
from app.measure.table import SheetTable
from app.measure.words import TITLE, advice, foretold, remarks
from app.session.document import Document
from app.ui.late_bar import LateBar
from app.ui.look import font
from app.ui.middle_box import MiddleBox
from app.ui.number_field import NumberField, Refusal
from app.ui.panel import Panel, quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.row_or_column import RowOrColumn
from app.ui.scroll import Upright
from app.ui.sharing_splitter import SharingSplitter
from app.ui.steps import GAP, LOUD, PAGE, READABLE, TIGHT
from app.ui.wheel_needs_focus import ChoiceBox
from physics.calibration.factors import NAMES
from physics.calibration.measured import UNKNOWN_CURRENT

OWN = "the scenario's"

TABLE_AND_WORDS = 1360
"""What is said of a fit stands beside its table from this width on, px."""

NAME_WIDTH = 150
"""Most of a rod's name that is shown beside its box, px."""


class MeasurePage(QWidget):
    """Measurements at the left, the fit at the right."""

    def __init__(
        self,
        measuring: Measuring,
        document: Document,
        preferences: Preferences,
        tell: Callable[[str], None],
        warn: Callable[[str, str], None],
    ) -> None:
        super().__init__()
        self._measuring, self._document = measuring, document
        self._preferences, self._tell, self._warn = preferences, tell, warn
        self.table = SheetTable(measuring, preferences)
        self.fit_table = FitTable(measuring, preferences)
        self.residuals = Residuals(measuring, preferences)
        left, right = QWidget(), QWidget()
        for host, panels in (
            (left, (self._sheet_panel(), self._gear_panel())),
            (right, (self._fit_panel(), self._save_panel())),
        ):
            column = QVBoxLayout(host)
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(GAP)
            for panel, stretch in panels:
                column.addWidget(panel, stretch)
        split = SharingSplitter((left, Upright(right)), usual=(500, 640), shares=(1, 2))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(*PAGE)
        layout.addWidget(split)
        self.home = self.table
        measuring.sheet_changed.connect(self.refresh)
        measuring.fit_changed.connect(self.refresh_fit)
        measuring.progress_changed.connect(self.refresh_fit)
        preferences.units_changed.connect(self.refresh)
        preferences.units_changed.connect(self.refresh_fit)
        self.choose_kind("dock")

    # ---- make

    def _sheet_panel(self) -> tuple[Panel, int]:
        panel = Panel("1   Measurements", "type them in; Enter goes to the next")
        kinds = QGridLayout()
        kinds.setSpacing(TIGHT)
        self.kinds: dict[str, QPushButton] = {}
        for place, kind in enumerate(KINDS):
            button = QPushButton()
            button.setCheckable(True)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.clicked.connect(partial(self._kind_clicked, kind))
            self.kinds[kind] = button
            kinds.addWidget(button, place // 2, place % 2)
        panel.body.addLayout(kinds)
        self.how = quiet()
        self.how.setWordWrap(True)
        panel.body.addWidget(self.how)
        panel.body.addWidget(self.table, 1)
        self.wrong = Label()
        self.wrong.setWordWrap(True)
        self.wrong.setProperty("alarm", True)
        self.wrong.hide()
        self.table.said.connect(self._say)
        panel.body.addWidget(self.wrong)
        foot = QHBoxLayout()
        self.remove = QPushButton("Delete line")
        self.remove.setToolTip("Delete the chosen lines (Delete)")
        self.remove.clicked.connect(self.table.remove_chosen)
        self.take_in = QPushButton("Import CSV…")
        self.take_in.clicked.connect(self._choose_file)
        foot.addWidget(self.remove)
        foot.addWidget(self.take_in)
        foot.addStretch(1)
        errors = QHBoxLayout()
        errors.addWidget(quiet("Error ±"))
        self.errors: dict[str, NumberField] = {}
        self._error_words: dict[str, Label] = {}
        every = {error.name: error.words for kind in KINDS.values() for error in kind.errors}
        for name, words in every.items():
            box = NumberField(
                ERROR_SIZES[name], partial(self._error, name), partial(self._set_error, name),
                self._preferences, f"{words}, error ±",
            )  # fmt: skip
            box.setFixedWidth(84)
            self.errors[name], self._error_words[name] = box, quiet(words.lower())
            for widget in (self._error_words[name], box):
                # hidden before it is laid out, or its room stays reserved
                widget.hide()
                errors.addWidget(widget)
        errors.addStretch(1)
        panel.body.addWidget(Refusal(*self.errors.values()))
        panel.body.addLayout(errors)
        panel.body.addLayout(foot)
        asked = QHBoxLayout()
        self.speeds = ChoiceBox()
        self.speeds.setAccessibleName("What the speeds were measured against")
        self.speeds.addItems(["through the water", "over the ground"])
        self.speeds.activated.connect(self._set_over_ground)
        self.current = quiet()
        self.current.setWordWrap(True)
        asked.addWidget(quiet("Speeds are"))
        asked.addWidget(self.speeds)
        asked.addWidget(self.current, 1)
        panel.body.addLayout(asked)
        return panel, 1

    def _gear_panel(self) -> tuple[Panel, int]:
        panel = Panel("Measured with")
        form = QFormLayout()
        self.rod, self.lure, self.boat = MiddleBox(), MiddleBox(), MiddleBox()
        for box, words in (
            (self.rod, "Line of the spread"), (self.lure, "Lure on it"), (self.boat, "Boat"),
        ):  # fmt: skip
            box.setAccessibleName(words)
            form.addRow(quiet(words), box)
        self.rod.activated.connect(lambda k: self._measuring.choose_gear(rod=k))
        self.lure.activated.connect(
            lambda k: self._measuring.choose_gear(lure=self.lure.itemText(k) if k else "")
        )
        self.boat.activated.connect(
            lambda k: self._measuring.choose_gear(boat=self.boat.itemText(k) if k else "")
        )
        panel.body.addLayout(form)
        return panel, 0

    def _fit_panel(self) -> tuple[Panel, int]:
        panel = Panel("2   Results")
        self.bar = LateBar("How much of the fit is done")
        keep = self.bar.sizePolicy()
        keep.setRetainSizeWhenHidden(True)
        self.bar.setSizePolicy(keep)
        panel.head.addWidget(self.bar)
        grid = QGridLayout()
        self.factors: dict[str, QCheckBox] = {}
        for number, name in enumerate(NAMES):
            box = QCheckBox(TITLE[name])
            box.toggled.connect(partial(self._measuring.want, name))
            self.factors[name] = box
            grid.addWidget(box, number // 2, number % 2)
        panel.body.addLayout(grid)
        self.fit = QPushButton("Fit")
        self.fit.setObjectName("primary")
        self.fit.setFont(font(LOUD, bold=True))
        self.fit.clicked.connect(self._fit_clicked)
        self.fit.setMaximumWidth(READABLE)
        panel.body.addWidget(self.fit)
        self.words = Label()
        self.words.setWordWrap(True)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        panel.body.addWidget(RowOrColumn(self.fit_table, self.words, TABLE_AND_WORDS))
        self.plot_title = quiet("How far each measurement lies from the fit, in errors")
        panel.body.addWidget(self.plot_title)
        self.residuals.setMinimumHeight(130)
        policy = QSizePolicy.Policy
        self.residuals.setSizePolicy(policy.Expanding, policy.Ignored)
        panel.body.addWidget(self.residuals, 1)
        self.empty = quiet()
        self.empty.setWordWrap(True)
        self.empty.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.empty.setText("Tick what to fit, then Fit: the values with their range, and how far "
                           "each measurement lies from them.")  # fmt: skip
        panel.body.addWidget(self.empty, 1)
        return panel, 1

    def _save_panel(self) -> tuple[Panel, int]:
        panel = Panel("3   Save to my tackle")
        self.on = quiet()
        self.on.setWordWrap(True)
        panel.body.addWidget(self.on)
        self._ticks = QGridLayout()
        self.rods: dict[int, QCheckBox] = {}
        self.boat_too = QCheckBox("The boat")
        self.boat_too.setChecked(True)
        self._asked: tuple[str, ...] = ()
        panel.body.addLayout(self._ticks)
        self.keep = QPushButton("Save to my tackle")
        self.keep.clicked.connect(self._keep)
        row = QHBoxLayout()
        row.addWidget(self.keep)
        row.addStretch(1)
        panel.body.addLayout(row)
        return panel, 0

    # ---- show

    def _say(self, words: str) -> None:
        self.wrong.setText(words)
        self.wrong.setVisible(bool(words))

    def choose_kind(self, kind: str) -> None:
        """Show one kind of measurement."""
        self.table.show_kind(kind)
        self.table.begin()
        self.refresh()
        self.refresh_fit()

    def _kind_clicked(self, kind: str, _checked: bool = True) -> None:
        self.choose_kind(kind)

    def refresh(self) -> None:
        """The kinds with their counts, the errors, the gear, what is fitted."""
        measuring, kind = self._measuring, self.table.kind
        lines = measuring.sheet.lines
        for own, button in self.kinds.items():
            count = sum(line.kind == own for line in lines)
            button.setText(f"{KINDS[own].title} ({count})" if count else KINDS[own].title)
            button.setChecked(own == kind)
        self.how.setText(KINDS[kind].how)
        shown = [error.name for error in KINDS[kind].errors]
        for name, box in self.errors.items():
            box.setVisible(name in shown)
            self._error_words[name].setVisible(name in shown)
            box.reset()
        self.speeds.setCurrentIndex(int(measuring.sheet.over_ground))
        self.current.setVisible(measuring.sheet.over_ground)
        self.current.setText(
            f"A current of unknown size is in them: speeds count as "
            f"{self._preferences.speed.text(UNKNOWN_CURRENT)} farther off. Measured both ways over "
            "the ground, their mean is through the water."
        )
        catalog = self._document.catalog
        for combo, items, now in (
            (self.rod, measuring.rods, measuring.rod),
            (self.lure, [f"{OWN} own", *catalog.lures], measuring.lure),
            (self.boat, [OWN, *catalog.boats], measuring.boat),
        ):
            if [combo.itemText(k) for k in range(combo.count())] != items:
                combo.clear()
                combo.addItems(items)
            combo.setCurrentIndex(now if isinstance(now, int) else items.index(now) if now else 0)
        wanted = measuring.factors
        for name, tick in self.factors.items():
            with QSignalBlocker(tick):
                tick.setChecked(name in wanted)

    def refresh_fit(self) -> None:
        """The fit's words and buttons."""
        measuring = self._measuring
        busy, found = measuring.busy, measuring.found
        self.bar.tell(busy, measuring.progress)
        self.fit.setText("Stop" if busy else "Fit")
        for widget in (self.fit_table, self.plot_title, self.residuals):
            widget.setVisible(found is not None)
        self.empty.setVisible(found is None)
        self._ask()
        if found is not None:
            units = self._preferences.length, self._preferences.speed
            said = [
                *suspicions(found.result),
                *remarks(found.result),
                *(foretold(f, *units) for f in found.foretold),
                *(advice(s, *units) for s in found.next[:2]),
            ]
            self.words.setText("\n".join(said))
        else:
            self.words.setText("" if busy else measuring.refused)

    def _ask(self) -> None:
        """Which rods are to get what was fitted; afterwards, which have it."""
        measuring = self._measuring
        found, saved = measuring.found, measuring.saved
        self.keep.setEnabled(found is not None and not saved)
        users = () if found is None or saved else measuring.users
        names = tuple(measuring.rods[number] for number in users)
        boat = not saved and measuring.boat_fitted
        if names != self._asked or set(users) != set(self.rods):
            self._asked = names
            for box in self.rods.values():
                self._ticks.removeWidget(box)
                box.hide()
                box.deleteLater()
            self.rods = {number: self._rod_box(measuring.rods[number]) for number in users}
            for place, box in enumerate(self.rods.values()):
                box.setChecked(True)
                self._ticks.addWidget(box, place // 3, place % 3)
            self._ticks.addWidget(self.boat_too, len(users) // 3, len(users) % 3)
        self.boat_too.setVisible(boat)
        self.on.setText(saved or self._question(found is not None, bool(names) or boat))

    def _rod_box(self, name: str) -> QCheckBox:
        middle = Qt.TextElideMode.ElideMiddle
        box = QCheckBox(self.fontMetrics().elidedText(name, middle, NAME_WIDTH).replace("&", "&&"))
        box.setAccessibleName(name)
        box.setToolTip(as_tip(name))
        return box

    def _question(self, found: bool, any_use_it: bool) -> str:
        if not found:
            return "Comes with a result."
        if any_use_it:
            return "Also put it on these now (the others keep what they have):"
        return "No rod of this spread has it: it goes to your tackle alone."

    # ---- do

    def _fit_clicked(self) -> None:
        if self._measuring.busy:
            self._measuring.stop()
        else:
            self._measuring.fit()

    def _error(self, name: str) -> float:
        return float(getattr(self._measuring.sheet.errors, name))

    def _set_error(self, name: str, size: float) -> None:
        sheet = self._measuring.sheet
        errors = replace(sheet.errors, **{name: size})
        self._measuring.set_sheet(
            replace(sheet, errors=errors), "error of measurement", f"error {name}"
        )

    def _set_over_ground(self, index: int) -> None:
        sheet = replace(self._measuring.sheet, over_ground=bool(index))
        self._measuring.set_sheet(sheet, "what speeds are against")

    def _choose_file(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, "Import measurements", "", "Tables (*.csv *.txt);;All files (*)"
        )
        if name:
            self.take_file(Path(name))

    def take_file(self, path: Path) -> None:
        """Ask what the columns of a CSV file are, and add its measurements."""
        try:
            table = read_table(path)
        except BadInput as error:
            self._warn("These measurements could not be read", str(error))
            return
        setup = self._document.setup
        rod = setup.rods[min(self._measuring.rod, len(setup.rods) - 1)]
        chooser = ColumnChooser(table, self.table.kind, rod, self._document.catalog, self)
        if chooser.exec() and chooser.read is not None:
            kind = chooser.chosen_kind()
            self._measuring.add(lines_of(chooser.read.rows), f"import {path.name}")
            self.choose_kind(kind)
            self._tell(f"{len(chooser.read.rows)} measurements imported from {path.name}")
        chooser.deleteLater()

    def _keep(self) -> None:
        rods = [number for number, box in self.rods.items() if box.isChecked()]
        boat = self.boat_too.isVisibleTo(self) and self.boat_too.isChecked()
        self._measuring.keep(date.today(), rods=rods, boat=boat)
        self._tell(self._measuring.saved)
