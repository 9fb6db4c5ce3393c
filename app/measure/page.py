"""The Measure page: what was timed and sounded, the gear it was done with, and what it says."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFileDialog,
    QFormLayout,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.common.bad_input import BadInput
from app.common.units import KNOT
from app.gear.measured_kinds import KINDS
from app.measure.column_chooser import ColumnChooser
from app.measure.csv_columns import read_table
from app.measure.file import ERROR_SIZES, lines_of
from app.measure.fit import FitTable, Residuals
from app.measure.model import Measuring
from app.measure.suspicions import suspicions
from app.measure.table import SheetTable
from app.measure.words import FACTOR, advice, foretold, remarks
from app.session.document import Document
from app.ui.late_bar import LateBar
from app.ui.look import GAP, font
from app.ui.number_field import NumberField, Refusal
from app.ui.panel import Panel, quiet
from app.ui.plain import Label
from app.ui.preferences import Preferences
from physics.calibration.factors import NAMES
from physics.calibration.measured import UNKNOWN_CURRENT

OWN = "the scenario's"

OVER_GROUND = (
    f"A current of unknown size is in them: speeds count as {KNOT.text(UNKNOWN_CURRENT)} "
    "farther off. Measured both ways over the ground, their mean is through the water."
)


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
            (right, (self._fit_panel(), self._residual_panel())),
        ):
            column = QVBoxLayout(host)
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(GAP)
            for panel, stretch in panels:
                column.addWidget(panel, stretch)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setHandleWidth(GAP)
        split.setChildrenCollapsible(False)
        split.addWidget(left)
        split.addWidget(right)
        split.setSizes([620, 640])
        layout = QVBoxLayout(self)
        layout.setContentsMargins(GAP, 4, GAP, GAP)
        layout.addWidget(split)
        self.home = self.table
        measuring.sheet_changed.connect(self.refresh)
        measuring.fit_changed.connect(self.refresh_fit)
        measuring.progress_changed.connect(self.refresh_fit)
        preferences.units_changed.connect(self.refresh)
        self.choose_kind("dock")

    # ---- make

    def _sheet_panel(self) -> tuple[Panel, int]:
        panel = Panel("What was measured")
        row = QHBoxLayout()
        row.setSpacing(4)
        self.kinds: dict[str, QPushButton] = {}
        for kind in KINDS:
            button = QPushButton()
            button.setCheckable(True)
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
            button.clicked.connect(partial(self._kind_clicked, kind))
            self.kinds[kind] = button
            row.addWidget(button)
        panel.body.addLayout(row)
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
        self.remove = QPushButton("Remove chosen")
        self.remove.setToolTip("Take the chosen lines away (Delete)")
        self.remove.clicked.connect(self.table.remove_chosen)
        self.take_in = QPushButton("Take in CSV…")
        self.take_in.clicked.connect(self._choose_file)
        foot.addWidget(self.remove)
        foot.addWidget(self.take_in)
        foot.addStretch(1)
        foot.addWidget(quiet("Give or take"))
        self.errors: dict[str, NumberField] = {}
        self._error_words: dict[str, Label] = {}
        every = {error.name: error.words for kind in KINDS.values() for error in kind.errors}
        for name, words in every.items():
            box = NumberField(
                ERROR_SIZES[name], partial(self._error, name), partial(self._set_error, name),
                self._preferences, f"{words}, give or take",
            )  # fmt: skip
            box.setFixedWidth(84)
            self.errors[name], self._error_words[name] = box, quiet(words.lower())
            for widget in (self._error_words[name], box):
                # hidden before it is laid out, or its room stays reserved
                widget.hide()
                foot.addWidget(widget)
        panel.body.addWidget(Refusal(*self.errors.values()))
        panel.body.addLayout(foot)
        asked = QHBoxLayout()
        self.speeds = QComboBox()
        self.speeds.setAccessibleName("What the speeds were measured against")
        self.speeds.addItems(["through the water", "over the ground"])
        self.speeds.activated.connect(self._set_over_ground)
        self.current = quiet(OVER_GROUND)
        self.current.setWordWrap(True)
        asked.addWidget(quiet("Speeds are"))
        asked.addWidget(self.speeds)
        asked.addWidget(self.current, 1)
        panel.body.addLayout(asked)
        return panel, 1

    def _gear_panel(self) -> tuple[Panel, int]:
        panel = Panel("Measured with")
        form = QFormLayout()
        self.rod, self.lure, self.boat = QComboBox(), QComboBox(), QComboBox()
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
        panel = Panel("What it says")
        self.bar = LateBar("How much of the fit is done")
        keep = self.bar.sizePolicy()
        keep.setRetainSizeWhenHidden(True)
        self.bar.setSizePolicy(keep)
        panel.head.addWidget(self.bar)
        grid = QGridLayout()
        self.factors: dict[str, QCheckBox] = {}
        for number, name in enumerate(NAMES):
            box = QCheckBox(FACTOR[name])
            box.toggled.connect(partial(self._measuring.want, name))
            self.factors[name] = box
            grid.addWidget(box, number // 3, number % 3)
        panel.body.addLayout(grid)
        row = QHBoxLayout()
        self.fit = QPushButton("Fit")
        self.fit.setObjectName("primary")
        self.fit.setFont(font(11, bold=True))
        self.fit.clicked.connect(self._fit_clicked)
        row.addWidget(self.fit, 1)
        panel.body.addLayout(row)
        panel.body.addWidget(self.fit_table, 1)
        self.words = Label()
        self.words.setWordWrap(True)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        panel.body.addWidget(self.words)
        last = QHBoxLayout()
        self.use = QCheckBox("and use it in the scenario on screen")
        self.use.setChecked(True)
        self.keep = QPushButton("Keep as tackle of my own")
        self.keep.clicked.connect(self._keep)
        last.addWidget(self.keep)
        last.addWidget(self.use)
        last.addStretch(1)
        panel.body.addLayout(last)
        return panel, 3

    def _residual_panel(self) -> tuple[Panel, int]:
        panel = Panel("Each measurement against the fit", "in its own errors; shaded: 8 in 10")
        panel.body.addWidget(self.residuals, 1)
        return panel, 2

    # ---- show

    def _say(self, words: str) -> None:
        self.wrong.setText(words)
        self.wrong.setVisible(bool(words))

    def choose_kind(self, kind: str) -> None:
        """Show one kind of measurement."""
        self.table.show_kind(kind)
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
        self.keep.setEnabled(found is not None)
        self.use.setEnabled(found is not None)
        if found is not None:
            said = [
                *suspicions(found.result),
                *remarks(found.result),
                *(foretold(f) for f in found.foretold),
                *(advice(s) for s in found.next[:2]),
            ]
            self.words.setText("\n".join(said))
        else:
            self.words.setText("" if busy else measuring.refused)

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
        self._measuring.set_sheet(replace(sheet, errors=errors), "give or take", f"error {name}")

    def _set_over_ground(self, index: int) -> None:
        sheet = replace(self._measuring.sheet, over_ground=bool(index))
        self._measuring.set_sheet(sheet, "what speeds are against")

    def _choose_file(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, "Take in measurements", "", "Tables (*.csv *.txt);;All files (*)"
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
            self._measuring.add(lines_of(chooser.read.rows), f"take in {path.name}")
            self.choose_kind(kind)
            self._tell(f"{len(chooser.read.rows)} measurements taken in from {path.name}")
        chooser.deleteLater()

    def _keep(self) -> None:
        names = self._measuring.keep(date.today(), use=self.use.isChecked())
        if names:
            self._tell(f"Kept as your own: {', '.join(names)}")
        else:
            self._tell("Nothing was kept: the line of this spread is written out in its file.")
