"""The Compare page as a person works it: candidates, plots, ranking, files, what is refused."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from numpy.testing import assert_allclose
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QGuiApplication, QImage, QPainter
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDoubleSpinBox, QFileDialog, QMessageBox

from app import compare_file, files
from app.candidates import MOST, Candidate, Lineup
from app.compare_tables import COLUMNS
from app.look import LOOKS
from app.setup import Setup
from app.units import COLOR, FOOT, KNOT
from app.views.compare_fields import ALONE, PLAIN, CandidateEditor
from app.views.compare_plot import ComparePlot
from app.window import Window
from physics.sink import free_falls
from tests.app.by_hand import HandBackground, Live, hover, worker_of

MEMORY: dict[bytes, Any] = {}
"""What this file's tests have had computed already."""

JOBS = {"drop 0", "drop 1", "fall", "tow 0", "tow 1"}


@pytest.fixture(autouse=True)
def remembered(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(HandBackground, "memory", MEMORY)


class Desk:
    """A window on its Compare page, its worker in a test's hands."""

    def __init__(self, window: Window, live: Live) -> None:
        QTest.keyClick(window, Qt.Key.Key_F4)
        self.window, self.live, self.page = window, live, window.pages.compare
        comparison = window.pages.comparison
        self.comparison = comparison
        self.stack = live.rehearsal.undo_stack

    @property
    def worker(self) -> HandBackground:
        return worker_of(self.comparison)

    def settle(self) -> None:
        """Let everything that was asked be computed, and shown."""
        self.worker.deliver()
        self.page.refresh_now()

    def names(self) -> list[str]:
        return [c.name for c in self.comparison.lineup.candidates]

    def column(self, key: str) -> int:
        return 1 + [column.key for column in COLUMNS].index(key)

    def cells(self, column: int | str) -> list[str]:
        """A column of the table from top to bottom."""
        self.page.refresh_now()
        table = self.page.table
        at = self.column(column) if isinstance(column, str) else column
        found = [table.item(row, at) for row in range(table.rowCount())]
        return ["" if item is None else item.text() for item in found]

    def type_number(self, box: QDoubleSpinBox, text: str) -> None:
        box.setFocus()
        box.selectAll()
        QTest.keyClicks(box, text)
        QTest.keyClick(box, Qt.Key.Key_Return)

    def set_lineup(self, *candidates: Candidate) -> None:
        self.comparison.edit(Lineup(candidates), "others")


@pytest.fixture
def desk(window: Window, live: Live) -> Desk:
    """The Compare page just opened on the first demo."""
    return Desk(window, live)


@pytest.fixture
def shown(desk: Desk) -> Desk:
    """The Compare page with all of it computed."""
    desk.settle()
    return desk


PLUG = Candidate("plug", "sinking plug, 5 in")
JIG = Candidate("jig", "heavy jig, 3 oz", line_out=COLOR.to_si(7.0))
BALL = Candidate("ball", "ball sinker, 4 oz", alone=True)


# ---- opening


def test_that_the_page_opens_with_its_key_and_asks_for_what_it_shows(desk: Desk) -> None:
    assert desk.window.pages.currentWidget() is desk.page
    assert desk.window.page_row.buttons["compare"].isChecked()
    assert set(desk.worker.waiting) == JOBS
    assert desk.comparison.busy
    assert not any(plot.curves for plot in desk.page.plots)
    assert all(plot.to_come() for plot in desk.page.plots)
    assert set(desk.cells("runs")) == {"…"}
    assert desk.page.table_panel.right.text() == "working…"


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
    before = shown.live.rehearsal.in_gear
    QTest.keyClick(shown.page.table, Qt.Key.Key_M)
    QTest.keyClick(shown.page.table, Qt.Key.Key_P)
    assert shown.live.rehearsal.in_gear == before
    assert shown.live.rehearsal.mark() is None
    assert not shown.live.rehearsal.timer.isActive()
    QTest.keyClick(shown.window, Qt.Key.Key_F2)
    assert shown.live.rehearsal.timer.isActive()


def test_that_leaving_gives_up_what_is_left_and_coming_back_asks_again(desk: Desk) -> None:
    desk.worker.deliver("fall")
    QTest.keyClick(desk.window, Qt.Key.Key_F3)
    assert not desk.worker.waiting
    QTest.keyClick(desk.window, Qt.Key.Key_F4)
    assert set(desk.worker.waiting) == JOBS - {"fall"}


# ---- what is shown


def test_that_the_falls_on_the_page_are_those_of_the_physics(shown: Desk) -> None:
    rehearsal = shown.live.rehearsal
    lures = [rehearsal.catalog.lures[c.lure] for c in shown.comparison.lineup.candidates]
    falls = free_falls(lures, rehearsal.setup.water)
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
    assert desk.cells("runs")[1] == "alone: free fall only"
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
    corner = QPoint(shown.page.drops.viewport().width() - 12, 30)
    QTest.mouseClick(shown.page.drops.viewport(), Qt.MouseButton.LeftButton, pos=corner)
    assert shown.comparison.chosen == 0


# ---- editing


def test_that_an_edit_computes_only_what_it_touches(shown: Desk) -> None:
    shown.comparison.choose(1)
    shown.type_number(shown.page.editor.colors.box, "8")
    assert set(shown.worker.waiting) == {"drop 0"}
    shown.settle()
    lures = shown.page.editor.lure
    lures.setCurrentText("sinking plug, 5 in")
    lures.textActivated.emit("sinking plug, 5 in")
    assert set(shown.worker.waiting) == {"drop 0", "tow 0"}, "how it falls alone is known"
    shown.settle()
    shown.type_number(shown.page.inputs.hold.box, "12")
    assert set(shown.worker.waiting) == {"drop 0", "drop 1"}


def test_that_taking_an_edit_back_computes_nothing(shown: Desk) -> None:
    before = shown.cells("runs")
    shown.type_number(shown.page.editor.colors.box, "6")
    shown.settle()
    assert shown.cells("runs") != before
    shown.stack.undo()
    assert not shown.worker.waiting
    assert shown.cells("runs") == before
    shown.stack.redo()
    assert not shown.worker.waiting
    assert shown.cells("runs") != before


def test_that_another_name_or_depth_computes_nothing(shown: Desk) -> None:
    shown.page.editor.name.setFocus()
    shown.page.editor.name.selectAll()
    QTest.keyClicks(shown.page.editor.name, "the long one")
    QTest.keyClick(shown.page.editor.name, Qt.Key.Key_Return)
    assert shown.names()[0] == "the long one"
    shown.type_number(shown.page.inputs.deep.box, "16")
    assert not shown.worker.waiting
    shown.page.refresh_now()
    assert "16 ft" in shown.page.table.horizontalHeaderItem(shown.column("reaches")).text()


def test_that_the_chosen_depth_moves_in_every_plot(shown: Desk) -> None:
    before = [plot.grab().toImage() for plot in shown.page.plots]
    shown.type_number(shown.page.inputs.deep.box, "16")
    shown.page.refresh_now()
    for plot, old in zip(shown.page.plots, before, strict=True):
        assert plot.grab().toImage() != old


def test_that_what_is_shown_already_is_not_painted_again(
    shown: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    painted: list[ComparePlot] = []
    monkeypatch.setattr(ComparePlot, "redraw", lambda plot: painted.append(plot))
    for plot in shown.page.plots:
        plot.take(plot.rows, 9.0)
        assert painted == [plot]
        plot.take(plot.rows, 9.0)
        assert painted == [plot]
        painted.clear()


def test_that_while_a_drop_is_on_its_way_the_one_before_is_shown_pale(shown: Desk) -> None:
    axis = shown.page.drops.view.viewRange()[1]
    shown.type_number(shown.page.inputs.hold.box, "16")
    shown.page.refresh_now()
    assert all(curve.stale for curve in shown.page.drops.curves)
    assert shown.page.drops.view.viewRange()[1] == axis
    assert set(shown.cells("gained")) == {"…"}
    shown.settle()
    assert not any(curve.stale for curve in shown.page.drops.curves)


def test_that_every_field_changes_the_candidate_and_can_be_undone(shown: Desk) -> None:
    editor, before = shown.page.editor, shown.comparison.lineup
    for box, text, attribute, value in (
        (editor.lure, "light spoon, 4 in", "lure", "light spoon, 4 in"),
        (editor.line, "60 lb leadcore", "line", "60 lb leadcore"),
        (editor.leader, "20 lb mono leader", "leader", "20 lb mono leader"),
        (editor.way, ALONE, "alone", True),
    ):
        box.textActivated.emit(text)
        assert getattr(shown.comparison.candidate, attribute) == value
        assert box.currentText() == text
    shown.type_number(editor.length.box, "9")
    assert shown.comparison.candidate.leader_length == pytest.approx(FOOT.to_si(20.0))
    editor.way.textActivated.emit("on a line")
    shown.type_number(editor.length.box, "9")
    assert shown.comparison.candidate.leader_length == pytest.approx(FOOT.to_si(9.0))
    while shown.stack.canUndo():
        QTest.keyClick(shown.window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert shown.comparison.lineup == before


def test_that_plain_line_is_backing_alone(shown: Desk) -> None:
    text = f"{PLAIN}30 lb mono backing"
    assert shown.page.editor.line.findText(text) >= 0
    shown.page.editor.line.textActivated.emit(text)
    assert shown.comparison.candidate.line is None
    assert shown.comparison.candidate.backing == "30 lb mono backing"
    assert shown.page.editor.line.currentText() == text


def test_that_more_line_than_the_reel_holds_says_what_follows(shown: Desk) -> None:
    shown.type_number(shown.page.editor.colors.box, "12")
    assert "10 colors are on the reel" in shown.page.editor.note.text()


def test_that_a_copy_is_added_and_taken_away_by_button_and_key(shown: Desk) -> None:
    names = shown.names()
    QTest.mouseClick(shown.page.editor.add, Qt.MouseButton.LeftButton)
    assert shown.names() == [*names, "float plug, leadcore 2"]
    assert shown.comparison.chosen == 5
    assert not shown.worker.waiting, "a copy does what the first does"
    QTest.keyClick(shown.page.table, Qt.Key.Key_Insert)
    assert len(shown.names()) == 7
    QTest.keyClick(shown.page.table, Qt.Key.Key_Delete)
    QTest.mouseClick(shown.page.editor.drop, Qt.MouseButton.LeftButton)
    assert shown.names() == names
    assert shown.comparison.chosen == 4
    shown.stack.undo()
    assert len(shown.names()) == 6


def test_that_there_are_never_more_than_eight_nor_fewer_than_one(desk: Desk) -> None:
    for _ in range(10):
        desk.page.editor.add_one()
    assert len(desk.names()) == MOST
    assert not desk.page.editor.add.isEnabled()
    assert "8" in desk.page.editor.error.text()
    desk.settle()
    assert [len(plot.curves) for plot in desk.page.plots] == [MOST] * 3
    desk.window.grab()
    for _ in range(10):
        desk.page.editor.remove_one()
    assert len(desk.names()) == 1
    assert not desk.page.editor.drop.isEnabled()
    desk.settle()
    assert [len(plot.curves) for plot in desk.page.plots] == [1] * 3
    desk.window.grab()


def test_that_speed_and_boat_are_the_setups_own_and_undoable(shown: Desk) -> None:
    before = shown.live.rehearsal.setup
    shown.type_number(shown.page.inputs.speed.box, "6")
    assert shown.live.rehearsal.setup.speed == pytest.approx(KNOT.to_si(6.0))
    assert set(shown.worker.waiting) == {"drop 0", "drop 1"}
    other = next(b for b in shown.live.rehearsal.catalog.boats if b != before.boat)
    shown.page.inputs.boat.textActivated.emit(other)
    assert shown.live.rehearsal.setup.boat == other
    shown.stack.undo()
    shown.stack.undo()
    assert shown.live.rehearsal.setup == before
    assert shown.page.inputs.speed.box.value() == pytest.approx(7.5)
    shown.live.settle()


def test_that_a_speed_beyond_the_usual_ones_is_towed_too(shown: Desk) -> None:
    shown.type_number(shown.page.inputs.speed.box, "0.8")
    assert shown.comparison.speeds[0] < KNOT.to_si(0.8)
    shown.settle()
    assert all(np.isfinite(curve.depth).all() for curve in shown.page.runs.curves)
    shown.live.settle()


def test_that_the_usual_set_follows_the_scenario_until_it_is_changed(
    shown: Desk, demo: Setup
) -> None:
    rods = (replace(demo.rods[0], name="only"),)
    shown.live.rehearsal.open(replace(demo, rods=rods))
    assert shown.names()[0] == "only"
    shown.comparison.add()
    shown.live.rehearsal.open(demo)
    assert shown.names()[0] == "only"
    QTest.mouseClick(shown.page.editor.usual, Qt.MouseButton.LeftButton)
    assert shown.names()[:2] == ["port", "starboard"]
    shown.live.worker.waiting.clear()


# ---- what is refused


def test_that_a_hold_of_nothing_stays_in_its_field_with_the_reason(shown: Desk) -> None:
    shown.type_number(shown.page.inputs.hold.box, "0")
    field = shown.page.inputs.hold
    assert field.error.isVisible()
    assert "0.5 to 120 s" in field.error.text()
    assert shown.comparison.lineup.hold == 20.0
    assert not shown.worker.waiting
    shown.type_number(field.box, "14")
    assert not field.error.isVisible()
    assert shown.comparison.lineup.hold == 14.0


def test_that_a_depth_of_nothing_is_refused_in_the_units_on_screen(shown: Desk) -> None:
    shown.type_number(shown.page.inputs.deep.box, "0")
    assert "0.3 ft to 591 ft" in shown.page.inputs.deep.error.text()


def test_that_a_negative_number_cannot_be_typed(shown: Desk) -> None:
    shown.type_number(shown.page.editor.colors.box, "-4")
    assert shown.comparison.candidate.line_out > 0.0
    shown.type_number(shown.page.editor.length.box, "-3")
    assert shown.comparison.candidate.leader_length > 0.0


def test_that_a_name_given_twice_is_refused_where_it_was_typed(shown: Desk) -> None:
    name = shown.page.editor.name
    name.setFocus()
    name.selectAll()
    QTest.keyClicks(name, "starboard")
    QTest.keyClick(name, Qt.Key.Key_Return)
    assert shown.names()[0] == "port"
    assert "different name" in shown.page.editor.error.text()
    assert shown.page.editor.error.isVisible()


def test_that_a_lure_that_has_gone_is_named_shown_and_not_computed(desk: Desk) -> None:
    desk.set_lineup(PLUG, replace(JIG, lure="a lure of old"))
    desk.settle()
    said = "The lure “a lure of old” is not in the tackle any more."
    assert desk.cells(0) == ["plug", "jig"]
    assert desk.cells("alone")[1] == said
    assert [len(plot.curves) for plot in desk.page.plots] == [1, 1, 1]
    desk.comparison.choose(1)
    assert desk.page.editor.error.text() == said
    assert desk.page.editor.lure.currentText() == "a lure of old"
    desk.page.editor.lure.textActivated.emit("light jig, 1 oz")
    assert not desk.page.editor.error.isVisible()
    desk.settle()
    assert [len(plot.curves) for plot in desk.page.plots] == [2, 2, 2]


def test_that_a_drop_that_fails_is_told_in_its_row(desk: Desk) -> None:
    answer, _ = desk.worker.waiting.pop("drop 0")
    answer(ValueError("no way down"))
    desk.settle()
    tips = [desk.page.table.item(row, 0).toolTip() for row in range(5)]
    assert "no way down" in tips[0]
    assert "no way down" not in tips[1]
    assert len(desk.page.drops.curves) == 2


# ---- ranking


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


# ---- files and clipboard


@pytest.fixture
def pick(monkeypatch: pytest.MonkeyPatch) -> Callable[[Path | None, str], None]:
    """Answer the next question for a file's name, and with which kind."""

    def answer(path: Path | None, kind: str = "") -> None:
        given = "" if path is None else str(path)
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (given, kind))

    return answer


def test_that_the_table_goes_to_the_clipboard_as_it_is_ranked(shown: Desk) -> None:
    shown.page.table.rank(shown.column("alone"))
    shown.page.menu.copy_table()
    rows = [line.split("\t") for line in QGuiApplication.clipboard().text().splitlines()]
    assert rows[0][:3] == ["Candidate", "Tackle", "Sinks alone (ft/s)"]
    assert "Down to 20.0 ft (s)" in rows[0]
    assert [row[0] for row in rows[1:]] == shown.cells(0)
    assert float(rows[1][2]) > float(rows[2][2])
    assert {len(row) for row in rows} == {len(COLUMNS) + 3}


def test_that_a_plot_goes_to_the_clipboard_as_a_picture(shown: Desk) -> None:
    for name, plot in (("Drop", shown.page.drops), ("Run depth", shown.page.runs)):
        shown.page.menu.copy_plot(name, plot)
        assert_a_plots_picture(QGuiApplication.clipboard().image(), plot)


def assert_a_plots_picture(image: QImage, plot: ComparePlot) -> None:
    """It is larger than the plot and has the color of a candidate's curve in it."""
    assert image.width() > 2 * plot.width()
    assert image.height() > 2 * plot.height()
    wanted = plot.look.line_color(0).rgb()
    small = image.convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(small.constBits(), dtype=np.uint32)
    assert np.count_nonzero(pixels == np.uint32(wanted)) > 100


def box_of(image: QImage, plot: ComparePlot) -> tuple[int, int, int, int]:
    """Where in a picture the second candidate's color is: top, bottom, left, right, px."""
    small = image.convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(small.constBits(), dtype=np.uint32)
    pixels = pixels.reshape(small.height(), small.bytesPerLine() // 4)
    y, x = np.nonzero(pixels == np.uint32(plot.look.line_color(1).rgb()))
    return y.min(), y.max(), x.min(), x.max()


def ticks_of(image: QImage) -> tuple[int, int]:
    """First and last row of pixels with a depth beside the axis, px."""
    small = image.convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(small.constBits(), dtype=np.uint32)
    pixels = pixels.reshape(small.height(), small.bytesPerLine() // 4) & 0xFF
    head = 2 * 90
    rows = np.flatnonzero((pixels[head : 2 * 520, 2 * 16 : 2 * 44] < 160).any(axis=1))
    return head + int(rows[0]), head + int(rows[-1])


@pytest.mark.parametrize("number", [0, 1, 2])
def test_that_plots_are_saved_as_png_and_svg(
    shown: Desk, tmp_path: Path, pick: Callable[..., None], number: int
) -> None:
    plot = shown.page.plots[number]
    pick(tmp_path / "plot.png")
    shown.page.menu.save_plot("Plot", plot)
    assert_a_plots_picture(QImage(str(tmp_path / "plot.png")), plot)
    pick(tmp_path / "plot", "Drawing (*.svg)")
    shown.page.menu.save_plot("Plot", plot)
    text = (tmp_path / "plot.svg").read_text(encoding="utf-8")
    root = ElementTree.fromstring(text)
    words = " ".join("".join(e.itertext()) for e in root.iter() if e.tag.endswith("text"))
    assert all(name.split()[0] in words for name in shown.names())
    assert ("7.5 kn" in words) == (number > 0)
    assert text.count("<polyline") >= 5
    drawing = QImage(QImage(str(tmp_path / "plot.png")).size(), QImage.Format.Format_RGB32)
    painter = QPainter(drawing)
    QSvgRenderer(str(tmp_path / "plot.svg")).render(painter)
    painter.end()
    assert_a_plots_picture(drawing, plot)
    ours, theirs = box_of(drawing, plot), box_of(QImage(str(tmp_path / "plot.png")), plot)
    assert_allclose(ours, theirs, atol=4)
    ours, theirs = ticks_of(drawing), ticks_of(QImage(str(tmp_path / "plot.png")))
    assert_allclose(ours, theirs, atol=6)


def test_that_curves_and_table_are_saved_as_csv(
    shown: Desk, tmp_path: Path, pick: Callable[..., None]
) -> None:
    pick(tmp_path / "curves.csv")
    shown.page.menu.save_curves()
    rows = list(csv.DictReader(io.StringIO((tmp_path / "curves.csv").read_text())))
    plots = {row["plot"] for row in rows}
    assert plots == {"free fall", "drop", "run depth by speed", "run depth by colors"}
    drop = [row for row in rows if row["plot"] == "drop" and row["candidate"] == "port"]
    known = shown.comparison.rows()[0].drop
    assert known is not None
    assert_allclose([float(r["depth_m"]) for r in drop], known.depth, rtol=1e-4, atol=1e-6)
    assert_allclose([float(r["tension_n"]) for r in drop], known.tension, rtol=1e-4)
    assert {row["speed_kn"] for row in drop} == {""}
    pick(tmp_path / "table", "Table (*.csv)")
    shown.page.menu.save_table()
    table = list(csv.reader(io.StringIO((tmp_path / "table.csv").read_text())))
    assert [row[0] for row in table[1:]] == shown.names()
    assert table[1][2] == shown.cells("alone")[0]


def test_that_what_cannot_be_written_is_named(
    shown: Desk, tmp_path: Path, pick: Callable[..., None]
) -> None:
    for path, do in (
        (tmp_path / "none" / "a.png", lambda: shown.page.menu.save_plot("Drop", shown.page.drops)),
        (tmp_path / "a.gif", lambda: shown.page.menu.save_plot("Drop", shown.page.drops)),
        (tmp_path / "none" / "a.csv", shown.page.menu.save_curves),
        (tmp_path / "none" / "b.csv", shown.page.menu.save_table),
    ):
        pick(path)
        do()
        box = shown.window.findChildren(QMessageBox)[-1]
        assert path.name in box.text()
        assert "could not be saved" in box.text()
        assert not path.exists()
        box.close()


def test_that_nothing_is_written_when_no_name_is_given(
    shown: Desk, tmp_path: Path, pick: Callable[..., None]
) -> None:
    pick(None)
    shown.page.menu.save_plot("Drop", shown.page.drops)
    shown.page.menu.save_table()
    shown.page.menu.save_curves()
    assert not [path for path in tmp_path.iterdir() if path.suffix in (".png", ".csv")]


# ---- kept between starts


def test_that_the_candidates_are_there_again_at_the_next_start(
    shown: Desk, make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live],
    demo: Setup, home: Path,
) -> None:  # fmt: skip
    assert not (home / "compare.toml").exists()
    shown.comparison.add()
    shown.type_number(shown.page.inputs.hold.box, "9")
    kept = shown.comparison.lineup
    shown.window._saved = shown.live.rehearsal.setup
    shown.window.close()
    assert (home / "compare.toml").is_file()
    live = make_live(demo)
    again = Desk(make_window(live), live)
    assert again.comparison.lineup == kept
    assert again.comparison.damaged == ""


def test_that_the_usual_set_leaves_no_file(shown: Desk, home: Path) -> None:
    shown.comparison.add()
    shown.comparison._save()
    assert (home / "compare.toml").is_file()
    shown.stack.undo()
    shown.comparison._save()
    assert not (home / "compare.toml").exists()


def test_that_a_damaged_file_is_told_and_kept_aside_and_the_usual_set_shown(
    window: Window, live: Live, home: Path
) -> None:
    home.mkdir(parents=True, exist_ok=True)
    (home / "compare.toml").write_text("compare = 1\nhold_s = -2\n")
    desk = Desk(window, live)
    (box,) = window.findChildren(QMessageBox)
    for words in ("compare.toml", "hold_s", "-2", "0.5 to 120 s", "compare.damaged.toml"):
        assert words in box.text()
    assert desk.names()[:2] == ["port", "starboard"]
    assert (home / "compare.damaged.toml").read_text() == "compare = 1\nhold_s = -2\n"
    desk.comparison.add()
    desk.comparison._save()
    assert compare_file.load(home / "compare.toml") == desk.comparison.lineup
    box.close()


def test_that_a_damaged_file_that_cannot_be_moved_is_not_written_over(
    window: Window, live: Live, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home.mkdir(parents=True, exist_ok=True)
    (home / "compare.toml").write_text("damaged")
    monkeypatch.setattr(files, "set_aside", lambda _path: None)
    desk = Desk(window, live)
    desk.comparison.add()
    desk.comparison._save()
    assert (home / "compare.toml").read_text() == "damaged"
    (box,) = window.findChildren(QMessageBox)
    assert "not kept" in box.text()
    box.close()


def test_that_a_folder_that_cannot_be_written_is_told_and_the_page_goes_on(
    shown: Desk, home: Path
) -> None:
    home.write_text("in the way")
    shown.comparison.add()
    shown.comparison._save()
    assert "could not be kept" in shown.window.statusBar().currentMessage()
    assert len(shown.names()) == 6


# ---- looks and units


def test_that_units_and_looks_change_everywhere(shown: Desk) -> None:
    feet = shown.cells("runs")
    shown.window.preferences.set_length("meters")
    meters = shown.cells("runs")
    assert_allclose([float(m) for m in meters], [FOOT.to_si(float(f)) for f in feet], atol=0.07)
    assert "meters" in shown.page.drop_panel.note.text()
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
    before = comparison.rehearsal.catalog.lures[name]
    entry = shelf.entry(name)
    assert entry is not None
    shelf.put(name, replace(before, mass=1.5 * before.mass), entry.source, "weight")
    assert comparison.rehearsal.catalog.lures[name].mass == pytest.approx(1.5 * before.mass)
    assert comparison.background.busy("fall")
