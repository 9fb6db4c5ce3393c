"""Measurements on the Measure page: typed, refused, undone, and in the unit on screen."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QApplication,
    QLineEdit,
    QScrollArea,
    QSplitter,
)

from app.common.units import COLOR, FOOT, KNOT
from app.gear.measured_kinds import KINDS
from app.measure import file as sheets
from app.measure.file import Line, Sheet
from app.measure.model import Measuring
from app.measure.page import MeasurePage
from tests.app.by_hand import Live
from tests.app.measure.entering import DOCK, cell, type_cell


def test_that_a_new_line_is_typed_at_the_end_and_repeats_what_stays(
    page: MeasurePage, measuring: Measuring
) -> None:
    page.choose_kind("tow")
    type_cell(page, 0, 0, "6.5")
    assert measuring.sheet.lines == (Line("tow", speed=KNOT.to_si(6.5)),)
    type_cell(page, 0, 1, "9")
    type_cell(page, 0, 2, "11,5")
    type_cell(page, 1, 2, "12")
    first, second = measuring.sheet.lines
    assert first.depth == pytest.approx(FOOT.to_si(11.5))
    assert second.speed == first.speed
    assert second.line_out == pytest.approx(COLOR.to_si(9.0))
    assert second.depth == pytest.approx(FOOT.to_si(12.0))
    assert page.kinds["tow"].text() == "Depths under way (2)"
    assert page.table.rowCount() == 3


def test_that_what_is_no_number_is_told_and_put_back(
    page: MeasurePage, measuring: Measuring
) -> None:
    measuring.set_sheet(Sheet(DOCK), "measured")
    before = measuring.sheet
    type_cell(page, 1, 1, "eight")
    assert "Line 2, seconds: “eight” is not a number" in page.wrong.text()
    assert page.wrong.isVisible()
    assert measuring.sheet == before
    assert cell(page, 1, 1) == "8.3"
    type_cell(page, 1, 1, "8.4")
    assert not page.wrong.isVisible()


def test_that_a_number_out_of_range_is_told_with_what_is_allowed(
    page: MeasurePage, measuring: Measuring
) -> None:
    measuring.set_sheet(Sheet(DOCK), "measured")
    type_cell(page, 0, 0, "-3")
    assert "line 1, depth" in page.wrong.text()
    item = page.table.item(0, 0)
    assert item is not None
    assert item.background().color().name() == page._preferences.look.alarm
    measuring.fit()
    assert "line 1, depth" in measuring.refused
    assert not measuring.busy


def test_that_lines_are_removed_with_delete_and_brought_back_with_undo(
    page: MeasurePage, measuring: Measuring, live: Live
) -> None:
    measuring.set_sheet(Sheet(DOCK), "measured")
    page.table.selectRow(1)
    QTest.keyClick(page.table, Qt.Key.Key_Delete)
    assert [line.seconds for line in measuring.sheet.lines] == [7.9, 8.1]
    live.document.undo_stack.undo()
    assert measuring.sheet.lines == DOCK
    assert sheets.load().lines == DOCK


def test_that_errors_are_the_persons_to_change(page: MeasurePage, measuring: Measuring) -> None:
    page.choose_kind("drop")
    assert page.errors["felt"].isVisible()
    assert not page.errors["hand"].isVisible()
    page.errors["felt"].setValue(2.0)
    assert measuring.sheet.errors.felt == 2.0
    page.errors["sounded"].setValue(2.0)
    assert measuring.sheet.errors.sounded == pytest.approx(FOOT.to_si(2.0))


def test_that_columns_follow_the_unit_on_screen(page: MeasurePage, measuring: Measuring) -> None:
    measuring.set_sheet(Sheet(DOCK), "measured")
    assert cell(page, 0, 0) == "10"
    page._preferences.set_length("meters")
    assert cell(page, 0, 0) == "3.048"
    head = page.table.horizontalHeaderItem(0)
    assert head is not None
    assert head.text() == "Depth, m"


def test_that_every_kind_has_words_and_a_table(page: MeasurePage) -> None:
    for kind in KINDS:
        page.kinds[kind].click()
        assert page.table.kind == kind
        assert page.how.text()
        assert page.table.columnCount() == len(KINDS[kind].numbers)
    QApplication.processEvents()


def test_that_the_sheet_is_worked_with_keys_alone(page: MeasurePage, measuring: Measuring) -> None:
    page.table.setFocus()
    page.table.setCurrentCell(0, 0)
    QTest.keyClick(page.table, Qt.Key.Key_F2)
    if page.table.findChild(QLineEdit) is None:
        page.table.editItem(page.table.item(0, 0))
    editor = page.table.findChild(QLineEdit)
    assert editor is not None
    QTest.keyClicks(editor, "12")
    QTest.keyClick(editor, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert measuring.sheet.lines == (Line("dock", depth=FOOT.to_si(12.0)),)


def test_that_measure_needs_no_wide_window(page: MeasurePage, fitted: Measuring) -> None:
    assert page.minimumSizeHint().width() <= 1000
    assert page.minimumSizeHint().height() <= 560


def test_that_results_are_never_narrower_than_what_is_in_them(page: MeasurePage) -> None:
    (split,) = page.findChildren(QSplitter)
    split.setSizes([10_000, 1])
    QApplication.processEvents()
    (area,) = (area for area in page.findChildren(QScrollArea) if area.isAncestorOf(page.fit_table))
    assert area.widget().width() <= area.viewport().width()


def test_that_what_is_said_of_a_fit_stands_beside_it_on_a_large_screen(
    page: MeasurePage, fitted: Measuring
) -> None:
    for size, beside in (((2560, 1440), True), ((1280, 720), False)):
        page.window().resize(*size)
        QApplication.processEvents()
        assert page.words.text()
        assert (page.words.x() > page.fit_table.geometry().right()) == beside
        assert (page.words.y() > page.fit_table.geometry().bottom()) != beside
