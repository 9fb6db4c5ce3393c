"""A fit on the Measure page: asked for, shown, stopped, and kept as own tackle."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QApplication,
    QPushButton,
)
from pytestqt.qtbot import QtBot

from app.common.units import FOOT_PER_SECOND
from app.measure.file import Line, Sheet
from app.measure.model import Measuring
from app.measure.page import MeasurePage
from app.shell.window import Window
from physics.answers.sink import sink_rate
from tests.app.by_hand import Live, hover, worker_of
from tests.app.measure.entering import DOCK, coasts, deliver, type_cell


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


def test_that_what_the_helm_is_told_leaves_the_fit_and_another_speed_does_not(
    fitted: Measuring, live: Live
) -> None:
    live.live_run.auto_wait.set(True, 9.0)
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
    measuring.set_sheet(Sheet(coasts(live.document.setup.speed)), "measured")
    page.fit.click()
    deliver(measuring)
    usual = live.document.setup.doubt.coast_down
    names = measuring.keep(date(2031, 5, 9), rods=(), boat=measuring.boat_fitted)
    assert names
    assert live.document.setup.boat == names[0]
    assert live.document.setup.doubt.coast_down < usual


def test_that_a_calibrated_boat_chosen_later_brings_its_own_doubt(
    page: MeasurePage, measuring: Measuring, live: Live, window: Window
) -> None:
    measuring.set_sheet(Sheet(coasts(live.document.setup.speed)), "measured")
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
