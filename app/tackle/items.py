"""The list of all tackle and boats, group by group, with the user's own marked."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLineEdit, QTreeWidget, QTreeWidgetItem, QVBoxLayout, QWidget

from app.tackle.model import Entry, Shelf
from app.ui.look import weight
from app.ui.plain import as_tip

TITLES = {
    "leadcore": "Leadcore",
    "backing": "Backing",
    "leader": "Leaders",
    "lure": "Lures",
    "boat": "Boats",
}

NAME = Qt.ItemDataRole.UserRole
"""Where a row keeps the name of its thing."""


class TackleList(QWidget):
    """``chosen`` carries the name of the thing in hand; an empty one for none."""

    chosen = Signal(str)

    def __init__(self, shelf: Shelf) -> None:
        super().__init__()
        self._shelf = shelf
        self.sought = QLineEdit()
        self.sought.setPlaceholderText("Find by name")
        self.sought.setClearButtonEnabled(True)
        self.sought.setAccessibleName("Find tackle by name")
        self.sought.textChanged.connect(self._sift)
        self.tree = QTreeWidget()
        self.tree.setHeaderHidden(True)
        self.tree.setAccessibleName("Tackle and boats")
        self.tree.setRootIsDecorated(False)
        self.tree.setIndentation(12)
        self.tree.setUniformRowHeights(True)
        self.tree.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self.tree.currentItemChanged.connect(self._now)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.sought)
        layout.addWidget(self.tree, 1)
        self._made_of: list[tuple[str, str, bool, bool]] = []
        shelf.changed.connect(self.refresh)
        self.refresh()

    @property
    def name(self) -> str:
        """Name of the thing in hand, or an empty text."""
        item = self.tree.currentItem()
        return str(item.data(0, NAME) or "") if item is not None else ""

    def refresh(self) -> None:
        """Show what there is; the thing in hand stays in hand if it is still there."""
        entries = self._shelf.entries()
        made_of = [(e.group, e.name, e.own, e.used) for e in entries]
        if made_of == self._made_of:
            return
        self._made_of = made_of
        keep, was = self.name, self.tree.blockSignals(True)
        self.tree.clear()
        for group, title in TITLES.items():
            head = QTreeWidgetItem([title])
            head.setFont(0, weight(bold=True))
            head.setFlags(Qt.ItemFlag.ItemIsEnabled)
            self.tree.addTopLevelItem(head)
            for entry in entries:
                if entry.group == group:
                    head.addChild(self._row(entry))
            head.setExpanded(True)
        self.tree.blockSignals(was)
        self._sift(self.sought.text())
        if not self.choose(keep):
            self.choose(entries[0].name)

    def _row(self, entry: Entry) -> QTreeWidgetItem:
        marks = [word for word, on in (("yours", entry.own), ("in use", entry.used)) if on]
        text = f"{entry.name}   ({', '.join(marks)})" if marks else entry.name
        row = QTreeWidgetItem([text])
        row.setData(0, NAME, entry.name)
        row.setToolTip(0, as_tip(text))
        if entry.own:
            row.setFont(0, weight(bold=True))
        return row

    def choose(self, name: str) -> bool:
        """Take a thing in hand by name; False if there is none of it."""
        for row in self._rows():
            if name and row.data(0, NAME) == name:
                self.tree.setCurrentItem(row)
                self.tree.scrollToItem(row)
                return True
        return False

    def _rows(self) -> list[QTreeWidgetItem]:
        heads = [self.tree.topLevelItem(k) for k in range(self.tree.topLevelItemCount())]
        rows = [head.child(k) for head in heads if head for k in range(head.childCount())]
        return [row for row in rows if row is not None]

    def _now(self) -> None:
        self.chosen.emit(self.name)

    def _sift(self, text: str) -> None:
        """Show only what has every word of the text in its name."""
        words = text.lower().split()
        for row in self._rows():
            name = str(row.data(0, NAME)).lower()
            row.setHidden(not all(word in name for word in words))
