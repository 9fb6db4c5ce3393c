"""A plan of the Timing page sent to the live drop, and the live drop beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from app.scenario.setup import Setup
from app.shell.window import Window
from app.timing.tables import REHEARSED
from tests.app.by_hand import Live
from tests.app.timing.page.desk import Desk


def test_that_a_plan_sent_to_the_live_page_is_done_there_and_shown_beside(planned: Desk) -> None:
    planned.planner.choose(10.0, 12.0)
    wanted = planned.planner.rods
    planned.page.rehearse.click()
    live, window = planned.live, planned.window
    live.live_run.timer.stop()
    assert window.pages.currentWidget() is window.page
    live.settle()
    assert live.live_run.auto_wait.on
    assert live.live_run.auto_hold.on
    live.sail(12.0)
    assert "out of gear by itself" in window.page.helm.plan.text()
    live.sail(53.0)
    ((out, back),) = live.live_run.spells()
    mark = live.document.setup.mark
    assert mark is not None
    assert out == pytest.approx(mark.time + 10.0)
    assert back - out == pytest.approx(12.0)
    window.show_page("timing")
    assert planned.planner.live is not None
    assert planned.planner.live.done
    for plan, did in zip(wanted, planned.planner.live.rods, strict=True):
        assert did.deepest == pytest.approx(plan.deepest, abs=0.03)
        assert did.at_mark == pytest.approx(plan.at_mark, abs=0.06)
        assert did.lifting == pytest.approx(plan.lifting, abs=0.3)
        assert did.miss == pytest.approx(plan.miss, abs=0.1)
    assert planned.cell(1, 0) == REHEARSED
    assert "wait 10.0 s, hold 12.0 s" in planned.page.lines_panel.note.text()


def test_that_rehearsing_a_plan_is_one_change_and_leaves_the_plan_as_it_is(planned: Desk) -> None:
    live, planner = planned.live, planned.planner
    planner.choose(10.0, 12.0)
    while planner.busy:
        planned.worker.deliver()
    before, plan = live.document.setup, planner.plan
    planned.page.rehearse.click()
    live.live_run.timer.stop()
    assert live.document.setup == replace(before, wait=10.0, hold=12.0)
    assert live.document.changed
    live.live_run.auto_hold.set(False, 12.0)
    planned.window.show_page("timing")
    assert planner.fresh
    assert not planner.busy
    assert planner.plan is plan
    live.document.undo_stack.undo()
    live.document.undo_stack.undo()
    assert live.document.setup == before
    assert not live.document.undo_stack.canUndo()


def test_that_a_plan_without_a_mark_of_its_own_is_rehearsed_on_one(
    make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live], demo: Setup
) -> None:
    live = make_live(replace(demo, mark=None))
    desk = Desk(make_window(live), live)
    desk.window.show_page("timing")
    desk.plan()
    depth = desk.planner.plan.situation.aim.mark.depth  # type: ignore[union-attr]
    desk.planner.choose(2.0, 5.0)
    desk.page.rehearse.click()
    live.live_run.timer.stop()
    live.settle()
    live.sail(20.0)
    mark = live.live_run.mark()
    assert mark is not None
    assert mark.depth == pytest.approx(depth)
    assert live.live_run.spells() == [(pytest.approx(7.0), pytest.approx(12.0))]


def test_that_a_live_drop_of_other_tackle_is_not_shown_beside_the_plan(planned: Desk) -> None:
    planned.window.show_page("rehearse")
    live = planned.live
    live.live_run.timer.stop()
    live.sail(12.0)
    live.live_run.shift()
    live.sail(8.0)
    live.live_run.shift()
    live.sail(6.0)
    planned.window.show_page("timing")
    assert planned.planner.live is not None
    assert not planned.planner.live.done
    rods = planned.live.document.setup.rods
    longer = replace(rods[0], line_out=rods[0].line_out + 9.144)
    live.document.edit(replace(live.document.setup, rods=(longer, *rods[1:])), "longer")
    planned.plan()
    planned.planner.take_live()
    assert planned.planner.live is None
