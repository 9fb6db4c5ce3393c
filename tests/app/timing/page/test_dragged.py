"""What a hand that drags sees on the Timing page: answers as it goes, and one undo."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.common.units import FOOT, KNOT
from app.scenario import file as scenario_file
from tests.app.timing.page.desk import Desk


def hold_key(desk: Desk, field: str, key: Qt.Key, times: int) -> None:
    """A key held down in a field, as the keyboard repeats it."""
    box = desk.field(field)
    box.setFocus()
    for _ in range(times):
        QTest.keyPress(box, key)


def test_that_a_dragged_point_shows_its_lures_and_its_path_before_it_is_let_go(
    planned: Desk, qtbot: QtBot
) -> None:
    planned.worker.deliver("sure 0", "sure 1")
    port, planner = planned.page.map.viewport(), planned.planner
    button, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    QTest.mousePress(port, button, none, planned.pixel(8.0, 5.0))
    seen = []
    for wait, hold in ((10.0, 6.0), (14.0, 8.0), (18.0, 4.0)):
        QTest.mouseMove(port, planned.pixel(wait, hold))
        assert planner.point == pytest.approx((wait, hold), abs=0.5)
        assert (planned.page.wait.value(), planned.page.hold.value()) == planner.point
        exact = planner.plan.at(*planner.point)  # type: ignore[union-attr]
        assert planned.cell(0, 4) == f"{FOOT.from_si(exact[0].deepest):.1f}"
        seen.append(planned.cell(0, 4))
    assert len(set(seen)) == 3
    assert not planned.worker.busy("sure 0")
    assert planner.sure.chances is None
    QTest.mouseRelease(port, button, none, planned.pixel(18.0, 4.0))
    qtbot.waitUntil(lambda: planned.worker.busy("sure 0"))
    assert not planned.worker.busy("finish")
    planned.worker.deliver("sure 0", "sure 1")
    assert planner.sure.chances is not None
    assert planned.live.document.undo_stack.count() == 0


def test_that_an_arrow_held_down_shows_answers_on_the_way_and_is_one_undo(planned: Desk) -> None:
    planned.worker.waiting.clear()
    planner, document = planned.planner, planned.live.document
    before, plan = document.setup, planner.plan
    hold_key(planned, "speed", Qt.Key.Key_Up, 2)
    passed = document.setup.speed
    first = planned.worker.waiting["first"]
    hold_key(planned, "speed", Qt.Key.Key_Up, 2)
    assert planned.worker.waiting["first"] is first, "the answer on its way is waited for"
    planned.worker.deliver("first")
    assert planner.plan is not plan
    assert planner.plan is not None
    assert before.speed < planner.plan.request.setup.speed < passed
    assert not planner.fresh
    assert planned.page.answer.wait.figure.dim
    assert set(planned.worker.waiting) == {"first"}, "and now the newest is asked about"
    planned.worker.deliver("first")
    assert planner.fresh
    assert planner.plan.request.setup == document.setup
    assert KNOT.from_si(document.setup.speed) == pytest.approx(planned.field("speed").value())
    planned.plan()
    assert not planner.plan.coarse
    document.undo_stack.undo()
    assert document.setup == before
    assert not document.undo_stack.canUndo()


def test_that_a_mark_moved_on_and_on_is_answered_on_the_way_without_new_runs(
    planned: Desk,
) -> None:
    planned.worker.waiting.clear()
    hold_key(planned, "mark_top", Qt.Key.Key_Down, 1)
    finish = planned.worker.waiting["finish"]
    hold_key(planned, "mark_top", Qt.Key.Key_Down, 2)
    assert planned.worker.waiting == {"finish": finish}
    planned.worker.deliver("finish")
    assert not planned.planner.fresh
    assert set(planned.worker.waiting) == {"finish"}
    planned.worker.deliver("finish")
    assert planned.planner.fresh
    plan = planned.planner.plan
    assert plan is not None
    assert plan.situation.aim.mark.depth == planned.live.document.setup.mark.depth  # type: ignore[union-attr]


def test_that_trouble_with_a_setup_that_is_gone_is_not_told(planned: Desk) -> None:
    hold_key(planned, "speed", Qt.Key.Key_Up, 2)
    answer, _ = planned.worker.waiting.pop("first")
    answer(RuntimeError("no solution"))
    assert planned.planner.trouble == ""
    assert set(planned.worker.waiting) == {"first"}


def test_that_another_scenario_waits_for_no_answer_about_the_one_before(planned: Desk) -> None:
    hold_key(planned, "speed", Qt.Key.Key_Up, 1)
    first = planned.worker.waiting["first"]
    planned.window.document.saved = planned.window.document.setup
    assert planned.window.files.open_file(scenario_file.demos()[1], demo=True)
    assert planned.worker.waiting["first"] is not first


def test_that_numbers_dragged_here_ask_for_no_tow_until_the_drop_goes_on(planned: Desk) -> None:
    live = planned.live
    hold_key(planned, "speed", Qt.Key.Key_Up, 3)
    assert not live.worker.busy("settle")
    QTest.keyClick(planned.window, Qt.Key.Key_F2)
    live.live_run.timer.stop()
    assert live.worker.busy("settle")
    live.settle()
    assert live.live_run.scenario.speed == live.document.setup.speed
