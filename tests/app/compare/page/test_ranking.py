"""The Compare page's table ranked by mouse and keys."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from app.compare.columns import COLUMNS
from tests.app.compare.page.desk import Desk


def test_that_a_click_on_a_heading_ranks_and_another_turns_it_around(shown: Desk) -> None:
    header = shown.page.table.horizontalHeader()
    at = shown.column("alone")
    place = QPoint(header.sectionViewportPosition(at) + 12, 10)
    QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=place)
    down = [float(cell.replace("−", "-")) for cell in shown.cells("alone")]
    assert down == sorted(down, reverse=True)
    assert "↓" in shown.page.table.horizontalHeaderItem(at).text()
    QTest.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=place)
    up = [float(cell.replace("−", "-")) for cell in shown.cells("alone")]
    assert up == sorted(up)


@pytest.mark.parametrize("column", [c.key for c in COLUMNS])
def test_that_every_column_ranks_with_what_has_none_last(shown: Desk, column: str) -> None:
    shown.page.table.rank(shown.column(column))
    cells = [cell.replace("−", "-") for cell in shown.cells(column)]
    numbers = [cell.replace(".", "").lstrip("-").isdigit() or cell == "runs there"
               for cell in cells]  # fmt: skip
    assert numbers == sorted(numbers, reverse=True)
    values = [0.0 if c == "runs there" else float(c) for c, n in zip(cells, numbers, strict=True)
              if n]  # fmt: skip
    assert values == sorted(values, reverse=True)


def test_that_the_keyboard_ranks_and_chooses(shown: Desk) -> None:
    table = shown.page.table
    assert table.hasFocus()
    QTest.keyClick(table, Qt.Key.Key_Down)
    assert shown.comparison.chosen == 1
    QTest.keyClick(table, Qt.Key.Key_Space)
    assert shown.cells(0) == sorted(shown.names(), key=str.casefold)
    assert table.shown[table.currentRow()].number == 1
    QTest.keyClick(table, Qt.Key.Key_Right)
    QTest.keyClick(table, Qt.Key.Key_Return)
    rates = [float(cell.replace("−", "-")) for cell in shown.cells("alone")]
    assert rates == sorted(rates, reverse=True)
    assert shown.comparison.chosen == 1


def test_that_a_row_is_its_own_candidates_after_ranking(shown: Desk) -> None:
    shown.page.table.rank(shown.column("alone"))
    shown.page.table.setCurrentCell(0, 0)
    first = shown.page.table.shown[0].number
    assert shown.comparison.chosen == first
    assert shown.page.editor.name.text() == shown.names()[first]
