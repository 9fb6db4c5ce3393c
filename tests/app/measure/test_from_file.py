"""Measurements taken in from a CSV file: columns guessed and chosen, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import (
    QDialog,
    QMessageBox,
)

from app.common.units import COLOR, FOOT, KNOT
from app.measure import file as sheets
from app.measure.column_chooser import ColumnChooser
from app.measure.csv_columns import table_of
from app.measure.file import Line, Sheet
from app.measure.model import Measuring
from app.measure.page import MeasurePage
from app.shell.window import Window
from physics.calibration.measured import TowDepth
from tests.app.by_hand import Live
from tests.app.measure.entering import DOCK, FEET_10

CSV = b"depth (ft),seconds,note\n10,8.0,ok\n10,oops,\n12,9.7,ok\n10,-2,\n"


def test_that_columns_are_guessed_and_lines_left_out_are_listed(
    page: MeasurePage, live: Live
) -> None:
    setup = live.document.setup
    table = table_of(CSV, "dock.csv")
    chooser = ColumnChooser(table, "tow", setup.rods[0], live.document.catalog, page)
    assert chooser.chosen_kind() == "dock"
    assert chooser.read is not None
    assert len(chooser.read.rows) == 2
    assert "2 measurements; 2 lines left out" in chooser.told.text()
    assert "line 3, seconds: 'oops'" in chooser.left_out.toPlainText()
    ok = chooser.buttons.button(chooser.buttons.StandardButton.Ok)
    assert ok.isEnabled()
    chooser.measures[1].setCurrentIndex(0)
    chooser.measures[1].activated.emit(0)
    assert "has no column for seconds" in chooser.told.text()
    assert not ok.isEnabled()
    chooser.deleteLater()


def test_that_another_unit_of_a_column_is_used(page: MeasurePage, live: Live) -> None:
    setup = live.document.setup
    table = table_of(b"depth,seconds\n3,8.0\n", "dock.csv")
    chooser = ColumnChooser(table, "dock", setup.rods[0], live.document.catalog, page)
    at = chooser.units[0].findText("meters")
    chooser.units[0].setCurrentIndex(at)
    chooser.units[0].activated.emit(at)
    assert chooser.read is not None
    assert chooser.read.rows[0].depth == pytest.approx(3.0)  # type: ignore[union-attr]
    chooser.deleteLater()


def test_that_a_file_is_added_to_the_sheet(
    page: MeasurePage, measuring: Measuring, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    measuring.set_sheet(Sheet(DOCK[:1]), "measured")
    path = tmp_path / "dock.csv"
    path.write_bytes(CSV)
    monkeypatch.setattr(QDialog, "exec", lambda _self: 1)
    page.take_file(path)
    assert len(measuring.sheet.lines) == 3
    assert measuring.sheet.lines[2].depth == pytest.approx(FOOT.to_si(12.0))
    monkeypatch.setattr(QDialog, "exec", lambda _self: 0)
    page.take_file(path)
    assert len(measuring.sheet.lines) == 3


def test_that_a_file_that_cannot_be_read_is_told(
    page: MeasurePage, window: Window, tmp_path: Path
) -> None:
    path = tmp_path / "empty.csv"
    path.write_bytes(b"")
    page.take_file(path)
    (box,) = [b for b in window.findChildren(QMessageBox) if b.isVisible()]
    assert "empty.csv" in box.text()
    box.close()


def test_that_rows_of_a_file_keep_their_own_line_out(
    page: MeasurePage, measuring: Measuring, live: Live
) -> None:
    setup = live.document.setup
    table = table_of(b"speed kn,colors out,depth ft\n6.5,8,10\n", "tow.csv")
    chooser = ColumnChooser(table, "dock", setup.rods[0], live.document.catalog, page)
    assert chooser.read is not None
    (line,) = sheets.lines_of(chooser.read.rows)
    assert line.line_out == pytest.approx(COLOR.to_si(8.0))
    measuring.add((line,), "take in")
    (row,) = measuring.rows()
    assert row.rod.line_out == pytest.approx(  # type: ignore[union-attr]
        COLOR.to_si(8.0) + setup.rods[0].leader_length
    )
    chooser.deleteLater()


def test_that_speeds_over_ground_are_asked_for_kept_and_undone(
    page: MeasurePage, measuring: Measuring, live: Live
) -> None:
    measuring.add((Line("tow", speed=KNOT.to_si(4.0), depth=FEET_10),), "a depth")
    (through,) = measuring.rows()
    assert page.speeds.currentText() == "through the water"
    assert not page.current.isVisible()
    page.speeds.setCurrentIndex(1)
    page.speeds.activated.emit(1)
    assert measuring.sheet.over_ground
    (over,) = measuring.rows()
    assert isinstance(over, TowDepth)
    assert isinstance(through, TowDepth)
    assert over.speed_error > 2.0 * through.speed_error
    assert "0.5 kn" in page.current.text()
    assert page.current.isVisible()
    live.document.undo_stack.undo()
    assert page.speeds.currentText() == "through the water"
    assert measuring.rows() == [through]
