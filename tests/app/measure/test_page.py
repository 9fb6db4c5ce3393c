"""Measurements on the Measure page: typed, taken in, undone, fitted, kept, used; and bad ones."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QLineEdit, QMessageBox, QPushButton
from pytestqt.qtbot import QtBot

from app.common.units import COLOR, FOOT, FOOT_PER_SECOND, KNOT
from app.gear.measured_kinds import KINDS
from app.measure import file as sheets
from app.measure.column_chooser import ColumnChooser
from app.measure.csv_columns import table_of
from app.measure.file import Line, Sheet
from app.measure.model import Measuring
from app.measure.page import MeasurePage
from app.shell.window import Window
from physics.answers.sink import sink_rate
from physics.calibration.measured import TowDepth
from tests.app.by_hand import Live, hover, worker_of

FEET_10 = FOOT.to_si(10.0)

DOCK = tuple(Line("dock", seconds=s, depth=FEET_10) for s in (7.9, 8.3, 8.1))


@pytest.fixture
def page(window: Window) -> MeasurePage:
    """The Measure page just opened on the first demo, nothing measured yet."""
    QTest.keyClick(window, Qt.Key.Key_F6)
    assert window.pages.currentWidget() is window.pages.measure
    return window.pages.measure


@pytest.fixture
def measuring(page: MeasurePage, window: Window) -> Measuring:
    return window.pages.measuring


def deliver(measuring: Measuring) -> None:
    worker_of(measuring).deliver()


def type_cell(page: MeasurePage, row: int, column: int, text: str) -> None:
    """Type into a cell as an editor would leave it."""
    item = page.table.item(row, column)
    assert item is not None
    item.setText(text)


def cell(page: MeasurePage, row: int, column: int) -> str:
    item = page.table.item(row, column)
    assert item is not None
    return item.text()


# ---- typing


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
    assert head.text() == "depth, m"


# ---- the fit


@pytest.fixture
def fitted(page: MeasurePage, measuring: Measuring) -> Measuring:
    measuring.set_sheet(Sheet(DOCK), "measured")
    page.fit.click()
    deliver(measuring)
    return measuring


def test_that_nothing_measured_is_said_not_fitted(page: MeasurePage, measuring: Measuring) -> None:
    page.fit.click()
    assert "there are none yet" in page.words.text()
    assert not page.keep.isEnabled()


def test_that_half_a_line_is_said_not_fitted(page: MeasurePage, measuring: Measuring) -> None:
    measuring.set_sheet(Sheet((*DOCK, Line("dock", depth=3.0))), "measured")
    page.fit.click()
    assert "line 4, seconds" in page.words.text()
    assert "is empty" in page.words.text()


def test_that_a_fit_shows_values_intervals_and_advice(page: MeasurePage, fitted: Measuring) -> None:
    assert fitted.found is not None
    (part,) = fitted.found.result.fitted
    assert part.name == "lure_drag"
    table = page.fit_table
    texts = [table.item(0, k).text() for k in range(table.columnCount())]  # type: ignore[union-attr]
    assert texts[0] == "Lure drag area, broadside"
    gear = fitted.gear()
    was = gear.falling.broadside_area  # type: ignore[union-attr]
    fell, falls = (FOOT_PER_SECOND.from_si(sink_rate(lure, gear.water)) for lure in
                   (gear.falling, fitted.found.result.tuned.falling))  # fmt: skip
    assert texts[1] == f"{was * 1e4:.3g} cm² ({fell:.2f} ft/s)"
    assert texts[2] == f"{part.value * 1e4:.3g} cm² ({falls:.2f} ft/s)"
    assert abs(fell - falls) > 0.01
    assert texts[4] == f"{100.0 * part.ratio:.0f} %"
    assert 1.0 < 100.0 * part.ratio < 100.0
    low, high = sorted((part.value_low, part.value_high))
    assert texts[3] == f"{low * 1e4:.3g} to {high * 1e4:.3g}"
    assert page.words.text()
    page.residuals.grab()
    row = fitted.found.result.rows[1]
    said = page.residuals.told(2, row)
    assert said[1] == f"measured 8.3 s, the fit says {row.predicted:.1f} s"
    plot = page.residuals
    at = plot.mapFromScene(plot.view.mapViewToScene(QPointF(2.0, 0.0)))
    hover(plot.viewport(), at)
    plot.grab()
    assert plot.hover_lines == said


def test_that_another_number_takes_the_fit_away(page: MeasurePage, fitted: Measuring) -> None:
    type_cell(page, 0, 1, "9")
    assert fitted.found is None
    assert page.fit_table.rowCount() == 0
    assert not page.keep.isEnabled()


def test_that_what_the_helm_is_told_leaves_the_fit_and_another_water_does_not(
    fitted: Measuring, live: Live
) -> None:
    live.live_run.set_auto_wait(True, 9.0)
    assert fitted.found is not None
    setup = live.document.setup
    live.document.edit(replace(setup, speed=setup.speed + 0.5), "faster")
    assert fitted.found is None


def test_that_what_is_fitted_can_be_chosen(page: MeasurePage, measuring: Measuring) -> None:
    measuring.set_sheet(Sheet(DOCK), "measured")
    assert page.factors["lure_drag"].isChecked()
    assert not page.factors["lure_weight"].isChecked()
    page.factors["lure_weight"].click()
    page.factors["lure_drag"].click()
    page.fit.click()
    deliver(measuring)
    assert measuring.found is not None
    assert [part.name for part in measuring.found.result.fitted] == ["lure_weight"]
    page.factors["lure_weight"].click()
    page.fit.click()
    assert "Choose something" in page.words.text()


def test_that_a_factor_these_rows_say_nothing_of_is_refused(
    page: MeasurePage, measuring: Measuring
) -> None:
    measuring.set_sheet(Sheet(DOCK), "measured")
    page.factors["coast_down"].click()
    page.fit.click()
    deliver(measuring)
    assert measuring.found is None
    assert "could not be fitted" in page.words.text()
    assert "coast_down" in page.words.text()


def test_that_the_bar_follows_the_fit(page: MeasurePage, measuring: Measuring) -> None:
    measuring.set_sheet(Sheet(DOCK), "measured")
    page.fit.click()
    worker_of(measuring).pulse("fit", 0.42)
    assert page.bar.value() == 420


def test_that_a_fit_can_be_stopped(page: MeasurePage, measuring: Measuring, qtbot: QtBot) -> None:
    measuring.set_sheet(Sheet(DOCK), "measured")
    page.fit.click()
    assert page.fit.text() == "Stop"
    qtbot.waitUntil(page.bar.isVisible)
    page.fit.click()
    assert not measuring.busy
    assert page.fit.text() == "Fit"


def test_that_another_lure_is_fitted_when_chosen(page: MeasurePage, measuring: Measuring) -> None:
    measuring.set_sheet(Sheet(DOCK), "measured")
    at = page.lure.findText("heavy jig, 3 oz")
    page.lure.setCurrentIndex(at)
    page.lure.activated.emit(at)
    assert measuring.gear().falling.name == "heavy jig, 3 oz"  # type: ignore[union-attr]


# ---- keep


def test_that_a_fit_is_kept_used_and_undone_in_one(
    page: MeasurePage, fitted: Measuring, live: Live, window: Window
) -> None:
    live_run = live.live_run
    before, lure = live_run.document.setup, live_run.document.setup.rods[0].lure
    assert fitted.found is not None
    value = fitted.found.result.of("lure_drag").value
    (name,) = fitted.keep(date(2031, 5, 9), rods=fitted.users, boat=True)
    assert name == f"{lure}, calibrated 2031-05-09"
    assert live_run.document.catalog.lures[name].broadside_area == pytest.approx(value, rel=1e-3)
    assert "broadside_area" in live_run.document.catalog.spreads[name]
    assert live_run.document.setup.rods[0].lure == name
    window.show_page("tackle")
    assert window.pages.tackle.list.choose(name)
    assert "fitted 2031-05-09" in window.pages.tackle.form.rows["broadside_area"].source.text()
    live_run.document.undo_stack.undo()
    assert live_run.document.setup == before
    assert name not in live_run.document.catalog.lures
    live_run.document.undo_stack.redo()
    assert live_run.document.setup.rods[0].lure == name


def test_that_a_fit_may_be_kept_without_being_used(fitted: Measuring, live: Live) -> None:
    before = live.document.setup
    (name,) = fitted.keep(date(2031, 5, 9), rods=(), boat=False)
    assert name in live.document.catalog.lures
    assert live.document.setup == before


def test_that_a_coast_down_narrows_the_doubt_of_the_scenario(
    page: MeasurePage, measuring: Measuring, live: Live
) -> None:
    start = live.document.setup.speed
    lines = tuple(
        Line("coast", start=start, seconds=s, speed=share * start)
        for s, share in ((4.0, 0.55), (8.0, 0.38), (4.2, 0.54))
    )
    measuring.set_sheet(Sheet(lines), "measured")
    page.fit.click()
    deliver(measuring)
    usual = live.document.setup.doubt.coast_down
    names = measuring.keep(date(2031, 5, 9), rods=(), boat=measuring.boat_fitted)
    assert names
    assert live.document.setup.boat == names[0]
    assert live.document.setup.doubt.coast_down < usual


# ---- taking in a file


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


def test_that_a_calibrated_boat_chosen_later_brings_its_own_doubt(
    page: MeasurePage, measuring: Measuring, live: Live, window: Window
) -> None:
    start = live.document.setup.speed
    lines = tuple(
        Line("coast", start=start, seconds=s, speed=share * start)
        for s, share in ((4.0, 0.55), (8.0, 0.38), (4.2, 0.54))
    )
    measuring.set_sheet(Sheet(lines), "measured")
    page.fit.click()
    deliver(measuring)
    (name,) = measuring.keep(date(2031, 5, 9), rods=(), boat=False)
    usual = live.document.setup.doubt
    window.edit_spread()
    assert window.editor is not None
    window.editor._boat(name)
    left = live.document.setup.doubt
    assert left.coast_down == live.document.catalog.spreads[name]["half_time"] < usual.coast_down
    assert left.line_drag == usual.line_drag


# ---- through the water, or over the ground


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


# ---- in three steps


def test_that_two_dock_falls_become_own_tackle_in_few_actions(window: Window, live: Live) -> None:
    """Opening the page, filling a field and pressing a button are an action each."""
    actions = 0
    handle = window.windowHandle()

    def press(key: Qt.Key) -> None:
        nonlocal actions
        actions += 1
        QTest.keyClick(handle, key)
        QApplication.processEvents()

    def enter(text: str) -> None:
        for letter in text:
            QTest.keyClick(handle, letter)
        press(Qt.Key.Key_Return)

    def click(button: QPushButton) -> None:
        nonlocal actions
        actions += 1
        assert button.isVisible()
        QTest.mouseClick(button, Qt.MouseButton.LeftButton)
        QApplication.processEvents()

    press(Qt.Key.Key_F6)
    page, measuring = window.pages.measure, window.pages.measuring
    for text in ("10", "7.9", "8.3"):
        enter(text)
    assert measuring.sheet.lines == DOCK[:2]
    click(page.fit)
    deliver(measuring)
    QApplication.processEvents()
    assert page.residuals.isVisible()
    click(page.keep)
    (own,) = [name for name in live.document.catalog.lures if "calibrated" in name]
    assert live.document.setup.rods[0].lure == own
    assert actions <= 8


def test_that_saving_keeps_the_fit_asks_which_rods_and_says_which(
    page: MeasurePage, measuring: Measuring, live: Live
) -> None:
    document = live.document
    first, second = document.setup.rods
    same = replace(second, lure=first.lure, name="starboard & far")
    document.edit(replace(document.setup, rods=(first, same)), "the same lure twice")
    measuring.set_sheet(Sheet(DOCK), "measured")
    assert not page.residuals.isVisible()
    assert not page.keep.isEnabled()
    page.fit.click()
    deliver(measuring)
    QApplication.processEvents()
    assert list(page.rods) == [0, 1]
    assert page.rods[1].text() == "starboard && far"
    page.rods[0].click()
    page.keep.click()
    assert document.setup.rods[0].lure == first.lure
    own = document.setup.rods[1].lure
    assert isinstance(own, str)
    assert "calibrated" in own
    assert measuring.found is not None
    assert page.fit_table.rowCount() == 1
    assert page.residuals.isVisible()
    assert page.on.text() == f"Saved: {own}. Now on: starboard & far."
    assert not page.keep.isEnabled()


def test_that_advice_follows_the_units_chosen(page: MeasurePage, fitted: Measuring) -> None:
    page._preferences.set_length("meters")
    page._preferences.set_speed("mph")
    assert " ft" not in page.words.text()
    assert " kn" not in page.words.text()
    cells = [page.fit_table.item(0, k).text() for k in (1, 2)]  # type: ignore[union-attr]
    assert all(text.endswith(" m/s)") for text in cells)


def test_that_measure_needs_no_wide_window(page: MeasurePage, fitted: Measuring) -> None:
    assert page.minimumSizeHint().width() <= 1000
    assert page.minimumSizeHint().height() <= 560
