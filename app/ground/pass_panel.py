"""A pass over the ground in a table: how near every line comes, when it fouls, what clears it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.common.units import Unit
from app.ground.pass_model import PassModel
from app.ui.late_bar import LateBar
from app.ui.look import font
from app.ui.panel import quiet
from app.ui.preferences import Preferences
from app.ui.steps import SMALL
from app.ui.tables import heads, plain_table, symbol_icon
from physics.answers.passes import Closest

HEADS = ("Line", "Least off bottom", "There", "Too near", "What clears it, each on its own")


class PassPanel(QWidget):
    """Runs the scenario over its bottom, in gear all the way, when asked to."""

    def __init__(self, model: PassModel, preferences: Preferences) -> None:
        super().__init__()
        self._model, self._preferences = model, preferences
        self.run = QPushButton("Run the pass")
        self.run.setToolTip("In gear all the way, at the scenario's speed and heading")
        self.run.clicked.connect(self._clicked)
        self.bar = LateBar("How much of the pass is done")
        self.told = quiet()
        row = QHBoxLayout()
        row.addWidget(self.run)
        row.addWidget(self.bar)
        row.addWidget(self.told, 1)
        self.table = QTableWidget(0, len(HEADS))
        plain_table(self.table, "How near every line comes")
        heads(self.table, HEADS, left=(0, len(HEADS) - 1))
        header = self.table.horizontalHeader()
        header.setFont(font(SMALL))
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(len(HEADS) - 1, QHeaderView.ResizeMode.Stretch)
        self.table.verticalHeader().hide()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(row)
        layout.addWidget(self.table, 1)
        model.changed.connect(self.refresh)
        model.progress_changed.connect(self._progress)
        preferences.units_changed.connect(self.refresh)
        preferences.look_changed.connect(self.refresh)
        self.refresh()

    def _clicked(self) -> None:
        if self._model.busy:
            self._model.stop()
        else:
            self._model.run()

    def _progress(self) -> None:
        self.bar.tell(self._model.busy, self._model.progress)

    def refresh(self) -> None:
        """Show what there is."""
        model, look, unit = self._model, self._preferences.look, self._preferences.length
        busy, found = model.busy, model.found
        self.run.setText("Stop" if busy else "Run the pass")
        self._progress()
        clear = found is not None and found.ran.clears
        self.told.setText("Every line clears the ground." if clear else model.trouble)
        lines = () if found is None else found.ran.lines
        self.table.setRowCount(len(lines))
        for number, line in enumerate(lines):
            cures = found.cures.get(number, ()) if found is not None else ()
            what = "; or ".join(cure.text for cure in cures)
            if line.fouls is not None and not cures:
                what = "nothing that was tried"
            cells = (
                line.rod,
                "touches" if line.touches else unit.text(line.clearance),
                f"{unit.text(line.along, 0)} along, {line.time:.0f} s in",
                when(line, unit),
                what,
            )
            for column, text in enumerate(cells):
                item = QTableWidgetItem(text)
                if column and column < len(HEADS) - 1:
                    item.setTextAlignment(
                        Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                    )
                if not column:
                    item.setIcon(symbol_icon(number, look))
                fouls = line.fouls is not None
                item.setForeground(QColor(look.alarm if fouls else look.text))
                self.table.setItem(number, column, item)


def when(line: Closest, unit: Unit) -> str:
    """When a line first comes too near, from when the boat came to the first point."""
    if line.fouls is None or line.fouls_along is None:
        return "never"
    return f"after {line.fouls:.0f} s, {unit.text(line.fouls_along, 0)} along"
