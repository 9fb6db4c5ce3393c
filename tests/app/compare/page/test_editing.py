"""Candidates edited on the Compare page: what is computed anew, and what is taken back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.common.units import FOOT, KNOT
from app.compare.candidates import MOST
from app.compare.fields import ALONE, PLAIN
from app.compare.lures import LureChooser
from app.compare.plot import ComparePlot
from app.scenario.setup import Setup
from physics.answers.holds import bare
from physics.simulation.run import Run
from tests.app.compare.page.desk import Desk


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


def test_that_an_arrow_held_down_shows_drops_on_the_way_and_is_one_undo(shown: Desk) -> None:
    box, before = shown.page.inputs.hold.box, shown.comparison.lineup
    old = [row.drop for row in shown.comparison.rows()]
    box.setFocus()
    QTest.keyPress(box, Qt.Key.Key_Up)
    asked = dict(shown.worker.waiting)
    passed = shown.comparison.lineup.hold
    for _ in range(2):
        QTest.keyPress(box, Qt.Key.Key_Up)
    assert shown.worker.waiting == asked, "what is on its way is waited for"
    shown.worker.deliver()
    rows = [row for row in shown.comparison.rows() if row.drop is not None]
    assert {row.drop.hold for row in rows} == {passed}  # type: ignore[union-attr]
    assert all("drop" in row.stale for row in rows)
    assert rows[0].drop is not old[0]
    assert set(shown.worker.waiting) == {"drop 0", "drop 1"}, "and the newest is asked about"
    shown.settle()
    rows = [row for row in shown.comparison.rows() if row.drop is not None]
    assert {row.drop.hold for row in rows} == {box.value()}  # type: ignore[union-attr]
    assert not any(row.stale for row in rows)
    shown.stack.undo()
    assert shown.comparison.lineup == before
    assert not shown.stack.canUndo()


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
    assert shown.names() == [names[0], "port (2)", *names[1:]]
    assert shown.comparison.chosen == 1
    assert not shown.worker.waiting, "a copy does what the first does"
    QTest.keyClick(shown.page.table, Qt.Key.Key_Insert)
    assert len(shown.names()) == 7
    QTest.keyClick(shown.page.table, Qt.Key.Key_Delete)
    shown.comparison.choose(1)
    QTest.mouseClick(shown.page.editor.drop, Qt.MouseButton.LeftButton)
    assert shown.names() == names
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
    before = shown.live.document.setup
    shown.type_number(shown.page.inputs.speed.box, "6")
    assert shown.live.document.setup.speed == pytest.approx(KNOT.to_si(6.0))
    assert set(shown.worker.waiting) == {"drop 0", "drop 1"}
    other = next(b for b in shown.live.document.catalog.boats if b != before.boat)
    document = shown.live.document
    document.set_catalog(replace(document.catalog, spreads={other: {"half_time": 0.05}}))
    shown.page.inputs.boat.textActivated.emit(other)
    assert shown.live.document.setup.boat == other
    assert shown.live.document.setup.doubt.coast_down == 0.05
    shown.stack.undo()
    shown.stack.undo()
    assert shown.live.document.setup == before
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
    shown.live.document.open(replace(demo, rods=rods))
    assert shown.names()[0] == "only"
    shown.comparison.add()
    shown.live.document.open(demo)
    assert shown.names()[0] == "only"
    QTest.mouseClick(shown.page.editor.usual, Qt.MouseButton.LeftButton)
    assert shown.names()[:2] == ["port", "starboard"]
    shown.live.worker.waiting.clear()


def test_that_a_typed_name_stays_and_any_other_follows_the_tackle(shown: Desk) -> None:
    editor = shown.page.editor
    shown.type_number(editor.colors.box, "8")
    assert shown.names()[0] == "sinking plug, 5 in, 8 colors"
    assert editor.name.text() == shown.names()[0]
    editor.name.setFocus()
    editor.name.selectAll()
    QTest.keyClicks(editor.name, "the long one")
    QTest.keyClick(editor.name, Qt.Key.Key_Return)
    shown.type_number(editor.colors.box, "9")
    assert shown.names()[0] == "the long one"
    editor.name.setFocus()
    editor.name.selectAll()
    QTest.keyClick(editor.name, Qt.Key.Key_Delete)
    QTest.keyClick(editor.name, Qt.Key.Key_Return)
    assert editor.name.text() == shown.names()[0] == "sinking plug, 5 in, 9 colors"


def test_that_a_curve_on_its_way_is_shown_pale_though_its_name_follows(shown: Desk) -> None:
    shown.type_number(shown.page.editor.colors.box, "8")
    shown.page.refresh_now()
    (stale,) = [curve for curve in shown.page.drops.curves if curve.stale]
    assert (stale.number, stale.name) == (0, "sinking plug, 5 in, 8 colors")


def test_that_what_is_shown_goes_with_its_candidate(shown: Desk) -> None:
    drops = [row.drop for row in shown.comparison.rows()]
    shown.type_number(shown.page.inputs.hold.box, "16")
    shown.comparison.choose(1)
    shown.comparison.remove()
    rows = shown.comparison.rows()
    assert all("drop" in row.stale for row in rows)
    assert [row.drop for row in rows] == [drops[0], *drops[2:]]


def test_that_each_candidate_is_dropped_from_its_own_rod_tip(shown: Desk) -> None:
    def runs() -> list[float | None]:
        drops = [row.drop for row in shown.comparison.rows()]
        return [None if drop is None else drop.run_depth for drop in drops]

    before = runs()
    shown.type_number(shown.page.editor.tip_up.box, "12")
    assert set(shown.worker.waiting) == {"drop 0", "tow 0"}
    shown.settle()
    after = runs()
    assert after[1:] == before[1:]
    assert after[0] is not None
    assert before[0] is not None
    assert after[0] < before[0] - FOOT.to_si(2.0), "a higher tip carries the lure up"


def test_that_a_line_runs_as_deep_here_as_in_its_own_plan(shown: Desk) -> None:
    setup = shown.live.document.setup
    high = replace(setup.rods[1], height=FOOT.to_si(11.0))
    shown.live.document.edit(setup.with_rod(1, high), "outrigger")
    shown.settle()
    (row,) = [row for row in shown.comparison.rows() if row.candidate.name == "starboard"]
    assert row.drop is not None
    setup = replace(shown.live.document.setup, mark=None, hold=None)
    run = Run([bare(setup.scenario(shown.live.document.catalog))])
    assert row.drop.run_depth == pytest.approx(-run.lures_at(0.0)[0][1, 2], abs=0.02)


def test_that_three_lures_are_chosen_by_three_ticks(shown: Desk) -> None:
    QTest.mouseClick(shown.page.editor.lures, Qt.MouseButton.LeftButton)
    chooser = shown.page.editor.findChild(LureChooser)
    assert chooser is not None
    assert not chooser.compare.isEnabled()
    names = ["heavy jig, 3 oz", "light spoon, 4 in", "sinking plug, 7 in"]
    for name in (*names, "light jig, 1 oz", "light jig, 1 oz"):
        (item,) = chooser.list.findItems(name, Qt.MatchFlag.MatchExactly)
        chooser.list.scrollToItem(item)
        at = chooser.list.visualItemRect(item).center()
        QTest.mouseClick(chooser.list.viewport(), Qt.MouseButton.LeftButton, pos=at)
    QTest.keyClick(chooser.list, Qt.Key.Key_Space)
    QTest.keyClick(chooser.list, Qt.Key.Key_Space)
    QTest.mouseClick(chooser.compare, Qt.MouseButton.LeftButton)
    lineup = shown.comparison.lineup
    assert sorted(c.lure for c in lineup.candidates) == names
    assert len({replace(c, lure="", name="") for c in lineup.candidates}) == 1
    shown.settle()
    assert [len(plot.curves) for plot in shown.page.plots] == [3] * 3
    shown.stack.undo()
    assert len(shown.names()) == 5
