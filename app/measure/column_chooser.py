"""Choose what the columns of a CSV file are, and see what is left out before it is taken in."""

from __future__ import annotations

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QGridLayout,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from app.common.bad_input import BadInput
from app.gear.catalog import Catalog
from app.gear.measured_kinds import KINDS
from app.measure.csv_columns import MEASURE, Table
from app.measure.csv_rows import Chosen, Read, guessed, kind_of, measurements
from app.scenario.setup import RodSetup
from app.ui.panel import quiet
from app.ui.plain import Label
from app.ui.scroll import Scroll
from app.ui.wheel_needs_focus import ChoiceBox

NOTHING = "not used"

MOST_SHOWN = 200
"""Lines left out that are listed."""


class ColumnChooser(QDialog):
    """``read`` is what the choice gives, or None while it gives nothing."""

    def __init__(
        self, table: Table, kind: str, rod: RodSetup, catalog: Catalog, parent: QWidget | None
    ) -> None:
        super().__init__(parent)
        self._table, self._rod, self._catalog = table, rod, catalog
        self.read: Read | None = None
        self.setWindowTitle(f"Import {table.name}")
        self.kind = ChoiceBox()
        self.kind.setAccessibleName("Kind of measurement")
        for key, one in KINDS.items():
            self.kind.addItem(one.title, key)
        self.kind.setCurrentIndex(self.kind.findData(kind_of(table) or kind))
        self.measures: list[ChoiceBox] = []
        self.units: list[ChoiceBox] = []
        grid_host = QWidget()
        self._grid = QGridLayout(grid_host)
        for column, title in enumerate(("Column", "Begins with", "Is", "In")):
            self._grid.addWidget(quiet(title), 0, column)
        known = {choice.heading: choice for choice in guessed(table)}
        for row, column_ in enumerate(table.columns, 1):
            self._grid.addWidget(Label(column_.heading), row, 0)
            self._grid.addWidget(quiet(", ".join(column_.examples)[:40]), row, 1)
            measure, unit = ChoiceBox(), ChoiceBox()
            measure.setAccessibleName(f"What {column_.heading} is")
            unit.setAccessibleName(f"Unit of {column_.heading}")
            self.measures.append(measure)
            self.units.append(unit)
            self._grid.addWidget(measure, row, 2)
            self._grid.addWidget(unit, row, 3)
        self._grid.setRowStretch(len(table.columns) + 1, 1)
        area = Scroll(grid_host)
        self.told = Label()
        self.told.setWordWrap(True)
        self.left_out = QPlainTextEdit()
        self.left_out.setReadOnly(True)
        self.left_out.setAccessibleName("Lines left out")
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addWidget(self.kind)
        layout.addWidget(area, 3)
        layout.addWidget(self.told)
        layout.addWidget(self.left_out, 2)
        layout.addWidget(self.buttons)
        self._offer(known)
        self.kind.activated.connect(lambda: self._offer(known))
        for measure in self.measures:
            measure.activated.connect(self._measure_chosen)
        for unit in self.units:
            unit.activated.connect(self.refresh)
        self.resize(640, 520)

    def chosen_kind(self) -> str:
        """The kind of measurement chosen."""
        return str(self.kind.currentData())

    def _offer(self, known: dict[str, Chosen]) -> None:
        """Offer what this kind can use, with what the headings suggest chosen."""
        kind = self.chosen_kind()
        keys = (*KINDS[kind].needed, *KINDS[kind].optional)
        for column, measure in zip(self._table.columns, self.measures, strict=True):
            measure.clear()
            measure.addItem(NOTHING, "")
            for key in keys:
                measure.addItem(MEASURE[key].label, key)
            choice = known.get(column.heading)
            at = measure.findData(choice.measure) if choice is not None else 0
            measure.setCurrentIndex(max(at, 0))
        for number in range(len(self.measures)):
            self._offer_units(number, known.get(self._table.columns[number].heading))
        self.refresh()

    def _offer_units(self, number: int, choice: Chosen | None = None) -> None:
        key, box = str(self.measures[number].currentData()), self.units[number]
        box.clear()
        box.setEnabled(bool(key))
        if not key:
            return
        for unit in MEASURE[key].units:
            box.addItem(unit.name or "plain number", unit)
        if choice is not None and choice.unit in MEASURE[key].units:
            box.setCurrentIndex(MEASURE[key].units.index(choice.unit))

    def _measure_chosen(self) -> None:
        for number, measure in enumerate(self.measures):
            if measure is self.sender():
                self._offer_units(number)
        self.refresh()

    def refresh(self) -> None:
        """Read the file as chosen, and say what is left out and why."""
        chosen = tuple(
            Chosen(column.heading, str(measure.currentData()), unit.currentData())
            for column, measure, unit in zip(
                self._table.columns, self.measures, self.units, strict=True
            )
            if measure.currentData()
        )
        self.read = None
        try:
            self.read = measurements(
                self._table, self.chosen_kind(), chosen, rod=self._rod, catalog=self._catalog
            )
        except BadInput as error:
            self.told.setText(str(error))
            self.left_out.setPlainText("")
        else:
            count, out = len(self.read.rows), self.read.rejected
            words = f"{count} measurements" if count != 1 else "1 measurement"
            self.told.setText(f"{words}; {len(out)} lines left out{':' if out else '.'}")
            self.left_out.setPlainText("\n".join(str(line) for line in out[:MOST_SHOWN]))
        ok = self.buttons.button(QDialogButtonBox.StandardButton.Ok)
        ok.setEnabled(self.read is not None and bool(self.read.rows))
