"""What tables of the program have in common: plain ones, quiet choices, a line's symbol."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from functools import partial

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QAction, QColor, QIcon, QKeySequence, QPainter, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QTableWidget,
    QTableWidgetItem,
)

from app.common.csv_text import as_csv
from app.ui.glyphs import draw_symbol
from app.ui.look import Look


def quiet_choice(table: QTableWidget, look: Look) -> None:
    """A quiet ground for chosen rows: the symbols must stay plain on it."""
    table.setStyleSheet(
        f"QTableWidget {{ selection-background-color: {look.out_of_gear};"
        f" selection-color: {look.text}; }}"
    )


def manners(table: QTableWidget) -> None:
    """What every table does: Tab goes on to the next control; Ctrl+C and a right click copy."""
    table.setTabKeyNavigation(False)
    for words, keys, do in (
        ("Copy", QKeySequence.StandardKey.Copy, copy_chosen),
        ("Copy the whole table", None, copy_whole),
    ):
        action = QAction(words, table)
        action.triggered.connect(partial(_with, table, do))
        if keys is not None:
            action.setShortcut(keys)
            action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        table.addAction(action)
    table.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)


def _with(table: QTableWidget, do: Callable[[QTableWidget], None], _checked: bool = False) -> None:
    do(table)


def copy_whole(table: QTableWidget) -> None:
    """Headings and all rows to the clipboard."""
    _copy(table, range(table.rowCount()), range(table.columnCount()), headed=True)


def copy_chosen(table: QTableWidget) -> None:
    """The chosen cells to the clipboard; of a table in which nothing is chosen, all of it."""
    chosen = table.selectedIndexes()
    if not chosen:
        copy_whole(table)
        return
    rows, columns = ({index.row() for index in chosen}, {index.column() for index in chosen})
    _copy(table, sorted(rows), sorted(columns), headed=False)


def _copy(
    table: QTableWidget, rows: Iterable[int], columns: Iterable[int], *, headed: bool
) -> None:
    columns = [column for column in columns if not table.isColumnHidden(column)]
    beside = headed and not table.verticalHeader().isHidden()
    lines = [
        [*([_words(table.verticalHeaderItem(row))] if beside else []),
         *(_words(table.item(row, column)) for column in columns)]
        for row in rows if not table.isRowHidden(row)
    ]  # fmt: skip
    if headed:
        heads = [_words(table.horizontalHeaderItem(column)) for column in columns]
        lines.insert(0, [*([""] if beside else []), *heads])
    QApplication.clipboard().setText(as_csv(lines, "\t"))


def _words(item: QTableWidgetItem | None) -> str:
    return "" if item is None else " ".join(item.text().split())


def plain_table(table: QTableWidget, name: str) -> None:
    """A table to read, not to edit."""
    manners(table)
    table.setAccessibleName(name)
    table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    table.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
    table.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    table.setShowGrid(False)
    table.setProperty("bare", True)
    table.verticalHeader().setDefaultSectionSize(22)
    table.verticalHeader().setMinimumSectionSize(20)
    table.setFrameShape(QTableWidget.Shape.NoFrame)
    table.setWordWrap(False)
    # twins differ at the end
    table.setTextElideMode(Qt.TextElideMode.ElideMiddle)


def heads(table: QTableWidget, words: Sequence[str], left: Collection[int] = (0,)) -> None:
    """Headings over what they are of: figures stand to the right, the columns ``left`` do not."""
    table.setHorizontalHeaderLabels(list(words))
    for column in range(len(words)):
        side = Qt.AlignmentFlag.AlignLeft if column in left else Qt.AlignmentFlag.AlignRight
        item = table.horizontalHeaderItem(column)
        assert item is not None
        item.setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)


def cell(
    table: QTableWidget, row: int, column: int, words: str, *, left: bool = False
) -> QTableWidgetItem:
    """The cell's item with its words, made if it is not there yet: figures stand to the right."""
    item = table.item(row, column)
    if item is None:
        item = QTableWidgetItem()
        side = Qt.AlignmentFlag.AlignLeft if left else Qt.AlignmentFlag.AlignRight
        item.setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)
        table.setItem(row, column, item)
    if item.text() != words:
        item.setText(words)
    return item


def symbol_icon(number: int, look: Look) -> QIcon:
    """A line's symbol as an icon."""
    pixmap = QPixmap(28, 28)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    draw_symbol(painter, number, QPointF(14, 14), 19.0, look.line_color(number), QColor(look.panel))
    painter.end()
    return QIcon(pixmap)
