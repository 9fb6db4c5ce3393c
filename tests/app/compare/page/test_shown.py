"""The Compare page as it opens: what is asked for, three plots, looks and units."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.common.units import COLOR, FOOT, KNOT
from app.compare.fields import CandidateEditor
from app.compare.plot import ComparePlot
from app.shell.window import Window
from app.ui.look import LOOKS
from physics.answers.sink import free_falls
from tests.app.by_hand import hover
from tests.app.compare.page.desk import BALL, JOBS, PLUG, Desk


def test_that_the_page_opens_with_its_key_and_asks_for_what_it_shows(
    desk: Desk, qtbot: QtBot
) -> None:
    assert desk.window.pages.currentWidget() is desk.page
    assert desk.window.page_row.buttons["compare"].isChecked()
    assert set(desk.worker.waiting) == JOBS
    assert desk.comparison.busy
    assert not any(plot.curves for plot in desk.page.plots)
    assert all(plot.to_come() for plot in desk.page.plots)
    assert set(desk.cells("runs")) == {"…"}
    assert desk.page.table_panel.right.text() == ""
    qtbot.waitUntil(lambda: desk.page.table_panel.right.text() == "working…")


def test_that_nothing_of_it_is_made_before_it_is_wanted(window: Window) -> None:
    assert window.pages.made("comparison") is None
    QTest.keyClick(window, Qt.Key.Key_F3)
    assert window.pages.made("comparison") is None


def test_that_the_usual_set_is_shown_with_a_float_that_rises(shown: Desk) -> None:
    gained = dict(zip(shown.names(), shown.cells("gained"), strict=True))
    assert gained["float plug, plain line"].startswith("−")
    assert float(gained["sinking plug, plain line"]) > 0.0
    assert not shown.comparison.busy
    assert shown.page.table_panel.right.text() == ""
    assert [len(plot.curves) for plot in shown.page.plots] == [5, 5, 5]


def test_that_the_live_pages_keys_sleep_and_its_drop_stands_still(shown: Desk) -> None:
    before = shown.live.live_run.in_gear
    QTest.keyClick(shown.page.table, Qt.Key.Key_M)
    QTest.keyClick(shown.page.table, Qt.Key.Key_P)
    assert shown.live.live_run.in_gear == before
    assert shown.live.live_run.mark() is None
    assert not shown.live.live_run.timer.isActive()
    QTest.keyClick(shown.window, Qt.Key.Key_F2)
    assert shown.live.live_run.timer.isActive()


def test_that_leaving_gives_up_what_is_left_and_coming_back_asks_again(desk: Desk) -> None:
    desk.worker.deliver("fall")
    QTest.keyClick(desk.window, Qt.Key.Key_F3)
    assert not desk.worker.waiting
    QTest.keyClick(desk.window, Qt.Key.Key_F4)
    assert set(desk.worker.waiting) == JOBS - {"fall"}


def test_that_the_falls_on_the_page_are_those_of_the_physics(shown: Desk) -> None:
    live_run = shown.live.live_run
    lures = [live_run.document.catalog.lures[c.lure] for c in shown.comparison.lineup.candidates]
    falls = free_falls(lures, live_run.document.setup.water)
    rates = [float(cell.replace("−", "-")) for cell in shown.cells("alone")]
    assert_allclose(rates, [FOOT.from_si(fall.rate) for fall in falls], atol=0.006)
    for curve, fall in zip(shown.page.falls.curves, falls, strict=True):
        assert_allclose(
            np.interp(fall.time, curve.x, curve.depth), np.maximum(fall.depth, 0.0), atol=0.01
        )


def test_that_all_three_plots_share_one_depth_axis(shown: Desk) -> None:
    ranges = [plot.view.viewRange()[1] for plot in shown.page.plots]
    assert ranges[0] == ranges[1] == ranges[2]
    deepest = max(float(row.drop.depth.max()) for row in shown.comparison.rows() if row.drop)
    assert ranges[0][0] < -FOOT.from_si(deepest)


def test_that_a_lure_alone_is_in_the_first_plot_only_and_says_so(desk: Desk) -> None:
    desk.set_lineup(PLUG, BALL)
    desk.settle()
    assert [[c.name for c in plot.curves] for plot in desk.page.plots] == [
        ["plug", "ball"], ["plug"], ["plug"],
    ]  # fmt: skip
    assert desk.cells("runs")[1] == "alone: in the first plot only"
    assert "first plot only" in desk.page.table_panel.note.text()
    desk.comparison.choose(1)
    assert "first plot only" in desk.page.editor.note.text()
    assert not desk.page.editor.line.isEnabled()


def test_that_only_lures_alone_leave_the_other_plots_saying_why(desk: Desk) -> None:
    desk.set_lineup(BALL)
    desk.settle()
    assert desk.page.drops.curves == []
    assert not desk.page.drops.to_come()
    assert "on a line" in desk.page.drops.nothing()
    desk.page.grab()


def test_that_run_depth_turns_from_speed_to_colors(shown: Desk) -> None:
    by_speed = shown.page.runs.curves[0]
    at = float(np.interp(KNOT.from_si(shown.comparison.speed), by_speed.x, by_speed.depth))
    shown.page.across.setFocus()
    QTest.keyClick(shown.page.across, Qt.Key.Key_Down)
    by_colors = shown.page.runs.curves[0]
    assert by_colors.x[-1] == pytest.approx(COLOR.from_si(shown.comparison.most_out))
    assert float(np.interp(10.0, by_colors.x, by_colors.depth)) == pytest.approx(at, abs=0.03)
    assert "at 7.5 kn" in shown.page.run_panel.note.text()


@pytest.mark.parametrize("by_colors", [False, True])
def test_that_each_candidates_symbol_stands_where_its_line_is_now(
    shown: Desk, monkeypatch: pytest.MonkeyPatch, by_colors: bool
) -> None:
    signs: dict[int, tuple[float, float]] = {}

    def record(
        _plot: object, _painter: object, _axes: object, number: int, x: float, depth: float
    ) -> None:
        signs[number] = x, depth

    plot, speed = shown.page.runs, shown.comparison.speed
    plot.show_colors(by_colors)
    monkeypatch.setattr(ComparePlot, "sign", record)
    plot.grab()
    rows = [row for row in shown.comparison.rows() if row.tow is not None]
    assert set(signs) == {row.number for row in rows}
    for row in rows:
        x, depth = signs[row.number]
        out = row.candidate.line_out
        assert x == pytest.approx(COLOR.from_si(out) if by_colors else KNOT.from_si(speed))
        assert row.tow is not None
        here = float(row.tow.by_speed(out, np.array([speed]))[0])
        assert depth == pytest.approx(here, abs=0.05)


def test_that_values_stand_beside_the_pointer(shown: Desk) -> None:
    for plot in shown.page.plots:
        hover(plot.viewport(), plot.viewport().rect().center())
        plot.grab()
        assert len(plot.hover_lines) > 2
        assert "ft" in plot.hover_lines[1]


def test_that_a_click_on_a_curve_chooses_its_candidate(shown: Desk) -> None:
    plot = shown.page.drops
    curve = plot.curves[3]
    at = plot.view.mapViewToScene(QPointF(30.0, -FOOT.from_si(float(
        np.interp(30.0, curve.x, curve.depth)))))  # fmt: skip
    QTest.mouseClick(plot.viewport(), Qt.MouseButton.LeftButton, pos=plot.mapFromScene(at))
    assert shown.comparison.chosen == 3
    assert shown.page.editor.name.text() == shown.names()[3]
    assert shown.page.table.currentRow() == 3


def test_that_a_click_away_from_all_curves_chooses_none(shown: Desk) -> None:
    viewport = shown.page.drops.viewport()
    corner = QPoint(viewport.width() // 4, viewport.height() - 60)
    QTest.mouseClick(viewport, Qt.MouseButton.LeftButton, pos=corner)
    assert shown.comparison.chosen == 0


def test_that_units_and_looks_change_everywhere(shown: Desk) -> None:
    feet = shown.cells("runs")
    shown.window.preferences.set_length("meters")
    meters = shown.cells("runs")
    assert_allclose([float(m) for m in meters], [FOOT.to_si(float(f)) for f in feet], atol=0.07)
    assert shown.page.drops.getAxis("left").labelText == "depth, m"
    assert shown.page.inputs.deep.box.suffix() == " m"
    for look in LOOKS:
        shown.window.preferences.set_look(look)
        shown.window.grab()
        assert shown.page.drops.look.name == look


def test_that_tackle_just_made_can_be_chosen_and_is_fallen_anew(window: Window) -> None:
    window.show_page("compare")
    page = window.pages.compare
    shelf = window.shelf
    name = shelf.copy("sinking plug, 5 in")
    assert name is not None
    editor = page.findChild(CandidateEditor)
    assert editor is not None
    assert editor.lure.findText(name) >= 0
    comparison = window.pages.comparison
    comparison.change("lure", lure=name)
    before = comparison.document.catalog.lures[name]
    entry = shelf.entry(name)
    assert entry is not None
    shelf.put(name, replace(before, mass=1.5 * before.mass), entry.source, "weight")
    assert comparison.document.catalog.lures[name].mass == pytest.approx(1.5 * before.mass)
    assert comparison.background.busy("fall")
