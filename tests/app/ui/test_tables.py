"""Tables: long names of twins stay apart, and headings stand over their columns."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QTableWidget, QTableWidgetItem

from app.ui.tables import heads, plain_table


def test_that_long_names_of_twins_differ_though_there_is_no_room(dressed: QApplication) -> None:
    table = QTableWidget(2, 1)
    plain_table(table, "twins")
    table.setColumnWidth(0, 110)
    for row in range(2):
        table.setItem(row, 0, QTableWidgetItem(f"a very long name of a starboard rod, {row}"))
    whole = table.viewport().grab().toImage()
    first, second = (whole.copy(table.visualRect(table.model().index(row, 0))) for row in range(2))
    assert first.size() == second.size()
    assert first != second


def test_that_headings_stand_to_the_side_that_their_columns_do(dressed: QApplication) -> None:
    table = QTableWidget(0, 3)
    heads(table, ("Line", "Depth, ft", "What helps"), left=(0, 2))
    sides = [
        bool(item.textAlignment() & Qt.AlignmentFlag.AlignRight)
        for column in range(3)
        if (item := table.horizontalHeaderItem(column)) is not None
    ]
    assert sides == [False, True, False]
