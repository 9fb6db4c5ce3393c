"""Two entries side by side, in a table of what differed."""

from __future__ import annotations

from PySide6.QtWidgets import QHeaderView, QTableWidget, QTableWidgetItem, QVBoxLayout, QWidget

from app.log.as_typed import clock_text, day_text
from app.log.differences import differences
from app.log.entry import Entry
from app.ui.panel import quiet
from app.ui.plain import as_tip
from app.ui.preferences import Preferences
from app.ui.tables import heads, plain_table


class Beside(QWidget):
    """What differed between two entries."""

    def __init__(self, preferences: Preferences) -> None:
        super().__init__()
        self._preferences = preferences
        self._pair: tuple[Entry, Entry] | None = None
        self.told = quiet()
        self.told.setWordWrap(True)
        self.table = QTableWidget(0, 3)
        plain_table(self.table, "What differed between two entries")
        self.table.verticalHeader().hide()
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.told)
        column.addWidget(self.table, 1)
        preferences.units_changed.connect(self._tell)

    def show_pair(self, first: Entry, second: Entry) -> None:
        """Tell what differed between these two."""
        self._pair = first, second
        self._tell()

    def _tell(self) -> None:
        if self._pair is None:
            return
        first, second = self._pair
        found = differences(first, second, self._preferences.speed, self._preferences.length)
        self.told.setText(
            "Nothing differed." if not found else "What differed; everything else was the same."
        )
        days = [f"{day_text(entry.at)} {clock_text(entry.at)[:5]}" for entry in self._pair]
        heads(self.table, ["", *days], left=(0, 1, 2))
        self.table.setRowCount(len(found))
        for row, each in enumerate(found):
            for place, text in enumerate((each.what, each.first, each.second)):
                item = QTableWidgetItem(text)
                item.setToolTip(as_tip(text))
                self.table.setItem(row, place, item)
