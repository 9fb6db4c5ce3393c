"""What tables of the program have in common: plain ones, quiet choices, a line's symbol."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QAbstractItemView, QTableWidget

from app.ui.glyphs import draw_symbol
from app.ui.look import Look


def quiet_choice(table: QTableWidget, look: Look) -> None:
    """A quiet ground for chosen rows: the symbols must stay plain on it."""
    table.setStyleSheet(
        f"QTableWidget {{ selection-background-color: {look.out_of_gear};"
        f" selection-color: {look.text}; }}"
    )


def plain_table(table: QTableWidget, name: str) -> None:
    """A table to read, not to edit."""
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


def symbol_icon(number: int, look: Look) -> QIcon:
    """A line's symbol as an icon."""
    pixmap = QPixmap(28, 28)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    draw_symbol(painter, number, QPointF(14, 14), 19.0, look.line_color(number), QColor(look.panel))
    painter.end()
    return QIcon(pixmap)
