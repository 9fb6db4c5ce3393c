"""Cells of a table that offer a list to choose from; others are typed into."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence

from PySide6.QtCore import QAbstractItemModel, QModelIndex, QPersistentModelIndex, Qt, QTimer
from PySide6.QtWidgets import (
    QComboBox,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableWidget,
    QWidget,
)

Index = QModelIndex | QPersistentModelIndex

CHOICE = Qt.ItemDataRole.UserRole
"""What a choice made in a cell is kept under."""


class Choices(QTableWidget):
    """A table that says what may be chosen in a cell, and what stands there."""

    @abstractmethod
    def options(self, row: int, column: int) -> Sequence[tuple[str, str]]:
        """(words, value) to choose from in a cell; none where one types."""

    @abstractmethod
    def value_of(self, row: int, column: int) -> str:
        """Which of the options stands in a cell."""


class Choosing(QStyledItemDelegate):
    """A list to choose from in cells that have options; a field to type into elsewhere."""

    def __init__(self, table: Choices) -> None:
        super().__init__(table)
        self._table = table

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        options = self._table.options(index.row(), index.column())
        if not options:
            return super().createEditor(parent, option, index)
        box = QComboBox(parent)
        for words, value in options:
            box.addItem(words, value)
        box.setAccessibleName("Choose")
        box.activated.connect(lambda _: self._done(box))
        # the list opens once the box is in its place, if that is still wanted
        opening = QTimer(box)
        opening.setSingleShot(True)
        opening.timeout.connect(lambda: box.showPopup() if box.isVisible() else None)
        opening.start(0)
        return box

    def _done(self, box: QComboBox) -> None:
        self.commitData.emit(box)
        self.closeEditor.emit(box)

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        if isinstance(editor, QComboBox):
            value = self._table.value_of(index.row(), index.column())
            editor.setCurrentIndex(editor.findData(value))
        else:
            super().setEditorData(editor, index)

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        if isinstance(editor, QComboBox):
            model.setData(index, editor.currentData(), CHOICE)
        else:
            super().setModelData(editor, model, index)
