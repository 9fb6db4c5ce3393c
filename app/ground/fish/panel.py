"""A fish is on: what is done at the left, where the other lines go at the right."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.ground.fish.fields import FishFields
from app.ground.fish.job import cells, crossings, headline, speed_words
from app.ground.fish.model import FishModel
from app.ground.fish.plot import FishPlot
from app.ui.late_bar import LateBar
from app.ui.look import font, weight
from app.ui.number_field import all_taken
from app.ui.panel import quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.scroll import Column
from app.ui.steps import GAP, HEAD, ROOM, SMALL, TIGHT
from app.ui.tables import heads, plain_table, symbol_icon

HEADS = ("Line", "Ran", "Settles", "Off", "Too near", "Nearest line")
IN_LENGTH = HEADS[1:4]
"""Columns in the unit of length."""

ROOMY = 1100
"""Wide enough for all columns, px."""

HELP = "Say what is done when a fish is on, and run it: she is where the scenario starts her."

SAFETY = (
    "Lines hang deeper as she slows: look astern before an engine turns again, and keep hands "
    "clear of a line under load."
)
"""Beside what every page says."""


class FishPanel(QWidget):
    """Runs what the fields say when asked to."""

    def __init__(self, model: FishModel, preferences: Preferences) -> None:
        super().__init__()
        self._model, self._preferences = model, preferences
        self.fields = FishFields(model, preferences)
        self.run = QPushButton("Run it")
        self.run.setToolTip("From a steady tow, with the rest of the scenario as it is")
        self.run.clicked.connect(self._clicked)
        self.put = QPushButton("Put into the orders")
        self.put.setToolTip(
            "Make these the scenario's orders, in place of those to gear and engines, about the "
            "lines, and of its hold (Ctrl+Z undoes)"
        )
        self.put.clicked.connect(self._put)
        self.bar = LateBar("How much is worked out")
        self.told = Label()
        self.told.setFont(font(HEAD, bold=True))
        self.more = quiet()
        for label in (self.told, self.more):
            label.setWordWrap(True)
        self.table = QTableWidget(0, len(HEADS))
        plain_table(self.table, "Where every line goes")
        header = self.table.horizontalHeader()
        header.setFont(font(SMALL))
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(len(HEADS) - 1, QHeaderView.ResizeMode.Stretch)
        header.setMinimumSectionSize(40)
        header.setMaximumSectionSize(128)
        self.table.verticalHeader().hide()
        self.plot = FishPlot(model, preferences)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(ROOM)
        layout.addWidget(self._left())
        layout.addWidget(self._right(), 1)
        model.changed.connect(self.refresh)
        model.progress_changed.connect(self._progress)
        preferences.units_changed.connect(self.refresh)
        preferences.look_changed.connect(self.refresh)
        self.refresh()

    def _left(self) -> QWidget:
        column = QWidget()
        layout = QVBoxLayout(column)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(TIGHT)
        layout.addWidget(self.fields)
        row = QHBoxLayout()
        row.addWidget(self.run)
        row.addWidget(self.put, 1)
        layout.addLayout(row)
        caution = quiet(SAFETY)
        caution.setWordWrap(True)
        caution.setFont(font(SMALL))
        layout.addWidget(caution)
        layout.addStretch(1)
        return Column(column, 272)

    def _right(self) -> QWidget:
        column = QWidget()
        right = QVBoxLayout(column)
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(TIGHT)
        right.addWidget(self.told)
        row = QHBoxLayout()
        row.addWidget(self.more, 1)
        row.addWidget(self.bar)
        right.addLayout(row)
        self.both = QWidget()
        both = QHBoxLayout(self.both)
        both.setContentsMargins(0, 0, 0, 0)
        both.setSpacing(GAP)
        both.addWidget(self.table, 5)
        both.addWidget(self.plot, 3)
        right.addWidget(self.both, 1)
        # without an answer the words stay at the top
        right.addStretch(0)
        return column

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        # where there is no room its words are the tip of every line's name
        self.table.setColumnHidden(len(HEADS) - 1, self.width() < ROOMY)

    def _clicked(self) -> None:
        if self._model.busy:
            self._model.stop()
        elif all_taken(*self.fields.numbers):
            self._model.run()

    def _put(self) -> None:
        if all_taken(*self.fields.numbers):
            self._model.put_into_orders()

    def _progress(self) -> None:
        self.bar.tell(self._model.busy, self._model.progress)

    def refresh(self) -> None:
        """Show what there is."""
        model, unit = self._model, self._preferences.length
        found, busy = model.found, model.busy
        self.run.setText("Stop" if busy else "Run it")
        self._progress()
        said = []
        if found is not None:
            self.told.setText(headline(found, unit, self._preferences.speed))
            if model.speed is not None:
                said.append(
                    speed_words(model.speed, model.document.setup.speed, self._preferences.speed)
                )
            elif busy:
                said.append("Looking for the speed that keeps all others clear…")
            said.append(crossings(found))
        else:
            self.told.setText("Working…" if busy else "")
            said.append("" if busy else model.trouble or HELP)
        if found is not None and model.trouble:
            said.append(model.trouble)
        self.told.setVisible(bool(self.told.text()))
        self.more.setText(" ".join(text for text in said if text))
        self.both.setVisible(found is not None)
        self._fill()

    def _fill(self) -> None:
        found, look, unit = self._model.found, self._preferences.look, self._preferences.length
        lines = () if found is None else found.lines
        words = [f"{head}, {unit.symbol}" if head in IN_LENGTH else head for head in HEADS]
        heads(self.table, words, left=(0, len(HEADS) - 1))
        self.table.setRowCount(len(lines))
        for number, line in enumerate(lines):
            assert found is not None
            hooked = line.rod == found.fight.hooked
            texts = (line.rod, *cells(line, found, unit))
            for column, text in enumerate(texts):
                item = QTableWidgetItem(text)
                item.setToolTip(as_tip(text if column else f"{line.rod}: nearest line {texts[-1]}"))
                if 0 < column < len(HEADS) - 1:
                    item.setTextAlignment(
                        Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                    )
                if not column:
                    item.setIcon(symbol_icon(number, look))
                if hooked and not column:
                    item.setFont(weight(bold=True))
                alarm = line.fouls is not None or (column == 5 and line.crosses is not None)
                item.setForeground(QColor(look.alarm if alarm else look.text))
                self.table.setItem(number, column, item)
