"""Tick the lures that are to be compared."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.compare.candidates import MOST
from app.compare.model import Comparison
from app.ui.panel import quiet


class LureChooser(QDialog):
    """All lures in a list; those ticked are fished as the chosen candidate is.

    A click anywhere in a row, or Space, ticks it.
    """

    def __init__(self, comparison: Comparison, parent: QWidget) -> None:
        super().__init__(parent)
        self._comparison = comparison
        self.setWindowTitle("Lures to compare")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        layout = QVBoxLayout(self)
        self.note = quiet()
        self.list = _List()
        self.list.setAccessibleName("Lures to compare")
        for name in comparison.document.catalog.lures:
            item = QListWidgetItem(name, self.list)
            # the click on the row ticks it: one on the box alone would tick it twice
            item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
            item.setCheckState(Qt.CheckState.Unchecked)
        self.list.itemClicked.connect(_turn)
        self.list.itemChanged.connect(self._count)
        self.buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel
        )
        self.compare = self.buttons.button(QDialogButtonBox.StandardButton.Ok)
        self.compare.setText("Compare these")
        self.buttons.accepted.connect(self._take)
        self.buttons.rejected.connect(self.reject)
        for widget in (self.note, self.list, self.buttons):
            layout.addWidget(widget)
        self.resize(360, 460)
        self._count()

    @property
    def ticked(self) -> list[str]:
        """The lures chosen so far, in the order of the list."""
        items = [self.list.item(row) for row in range(self.list.count())]
        return [item.text() for item in items if item.checkState() == Qt.CheckState.Checked]

    def _count(self) -> None:
        count = len(self.ticked)
        self.note.setText(f"{count} of at most {MOST}, each on the line of this candidate")
        self.compare.setEnabled(1 <= count <= MOST)

    def _take(self) -> None:
        self._comparison.of_lures(self.ticked)
        self.accept()


class _List(QListWidget):
    def keyPressEvent(self, event: QKeyEvent) -> None:
        item = self.currentItem()
        if event.key() == Qt.Key.Key_Space and item is not None:
            _turn(item)
        else:
            super().keyPressEvent(event)


def _turn(item: QListWidgetItem) -> None:
    """Tick, or take the tick off."""
    on = item.checkState() == Qt.CheckState.Checked
    item.setCheckState(Qt.CheckState.Unchecked if on else Qt.CheckState.Checked)
