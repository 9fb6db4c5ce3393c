"""The Timing page as it opens and plans, and how sure it is."""

from __future__ import annotations

import gc
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.planning.words import answer_sentence
from physics.answers.holds import Responses
from physics.environment.water import Bottom
from tests.app.by_hand import HandBackground
from tests.app.timing.page.desk import RUNS, Desk


def test_that_the_page_opens_with_its_key_and_asks_for_a_plan(desk: Desk, qtbot: QtBot) -> None:
    assert desk.window.pages.currentWidget() is desk.page
    assert desk.window.page_row.buttons["timing"].isChecked()
    assert set(desk.worker.waiting) == {"first"}
    assert "Working" in desk.words()
    assert not desk.page.rehearse.isEnabled()
    assert not desk.page.answer.bar.isVisible()
    qtbot.waitUntil(desk.page.answer.bar.isVisible)
    assert desk.page.answer.doing.text() == "A first answer…"
    assert desk.page.answer.stop.isVisible()


def test_that_a_first_answer_is_shown_dim_and_the_full_one_not(desk: Desk) -> None:
    desk.worker.deliver("first")
    plan = desk.planner.plan
    assert plan is not None
    assert plan.coarse
    assert desk.page.answer.wait.figure.dim
    assert answer_sentence(plan) in desk.words()
    desk.plan()
    assert not desk.page.answer.wait.figure.dim
    assert desk.planner.plan is not None
    assert not desk.planner.plan.coarse
    assert desk.page.answer.hold.figure.text == f"{desk.planner.plan.answer.hold:g}"  # type: ignore[union-attr]


def answers() -> list[Responses]:
    """All that are alive."""
    gc.collect()
    return [one for one in gc.get_objects() if type(one) is Responses]


def test_that_the_halves_of_an_answer_are_let_go_once_it_is_whole(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(HandBackground, "memory", None)
    before = {id(one) for one in answers()}
    desk.plan()
    plan = desk.planner.plan
    assert plan is not None
    (whole,) = [one for one in answers() if id(one) not in before]
    assert whole is plan.responses


def test_that_lines_are_run_again_and_kept_whole_when_ground_is_level_no_more(
    planned: Desk,
) -> None:
    document, plan = planned.live.document, planned.planner.plan
    assert plan is not None
    assert plan.responses.along is None
    setup = document.setup
    for bottom, jobs in (
        (Bottom(((0.0, 14.0), (80.0, 9.0))), {"first"}),
        (Bottom(((0.0, 14.0), (80.0, 8.0))), {"finish"}),
        (setup.water.bottom, {"finish"}),
    ):
        document.edit(replace(setup, water=replace(setup.water, bottom=bottom)), "Ground")
        assert set(planned.worker.waiting) & set(RUNS) == jobs
        planned.plan()
        plan = planned.planner.plan
        assert plan is not None
        assert plan.situation.bottom.is_level == (plan.responses.along is None)


def test_that_the_long_work_begins_once_the_first_answer_is_there(desk: Desk) -> None:
    desk.worker.deliver("first")
    assert set(desk.worker.waiting) == {"half 0", "half 1"}
    assert desk.planner.fresh


def test_that_progress_is_shown_and_the_work_can_be_stopped_and_taken_up_again(desk: Desk) -> None:
    desk.worker.pulse("first", 0.5)
    before = desk.planner.progress
    assert desk.page.answer.bar.value() == round(1000 * before)
    desk.worker.deliver("first")
    assert 0.0 < before < desk.planner.progress < 1.0
    assert desk.page.answer.bar.value() == round(1000 * desk.planner.progress)
    desk.page.answer.stop.click()
    assert not desk.worker.waiting
    assert not desk.page.answer.bar.isVisible()
    assert desk.page.answer.stop.text() == "Go on"
    desk.page.answer.stop.click()
    assert set(desk.worker.waiting) == {"first"}


def test_that_the_drop_stands_still_while_it_is_out_of_sight(desk: Desk) -> None:
    assert not desk.live.live_run.timer.isActive()
    QTest.keyClick(desk.window, Qt.Key.Key_F2)
    assert desk.live.live_run.timer.isActive()
    desk.live.live_run.timer.stop()


def test_that_the_keys_of_the_drop_do_nothing_here(planned: Desk) -> None:
    live_run = planned.live.live_run
    for key in (Qt.Key.Key_Space, Qt.Key.Key_M, Qt.Key.Key_P, Qt.Key.Key_8):
        QTest.keyClick(planned.window, key)
    assert live_run.in_gear
    assert not live_run.clock.paused
    assert live_run.clock.speed == 1
    assert live_run.mark() is None


def test_that_leaving_the_page_gives_up_the_work_and_coming_back_takes_it_up(desk: Desk) -> None:
    desk.window.show_page("rehearse")
    desk.live.live_run.timer.stop()
    assert not desk.worker.waiting
    desk.window.show_page("timing")
    assert "first" in desk.worker.waiting


def test_that_a_setup_changed_elsewhere_is_planned_on_return(planned: Desk) -> None:
    planned.worker.waiting.clear()
    planned.window.show_page("rehearse")
    planned.live.live_run.timer.stop()
    setup = planned.live.document.setup
    planned.live.document.edit(replace(setup, speed=setup.speed - 0.5), "slower")
    assert not planned.worker.waiting
    planned.window.show_page("timing")
    assert "first" in planned.worker.waiting
    assert not planned.planner.fresh


def test_that_bands_are_told_in_words_and_in_the_table(planned: Desk) -> None:
    planned.worker.deliver("sure 0", "sure 1")
    assert planned.planner.sure.chances is not None
    assert planned.planner.sure.chances.bands.shape[1] == 2
    assert "8 drops of 10" in planned.words()
    assert planned.cell(1, 2) == "…"
    planned.worker.deliver("spread 0", "spread 1")
    bands = planned.planner.sure.hold_bands
    assert bands is not None
    assert planned.cell(1, 2) == f"{bands[0, 1]:.0f}–{bands[2, 1]:.0f}"
    assert bands[0, 1] <= planned.planner.plan.reach[1] <= bands[2, 1]  # type: ignore[union-attr,operator]


def test_that_the_band_of_holds_is_the_same_at_every_point(planned: Desk) -> None:
    planned.worker.deliver("sure 0", "sure 1", "spread 0", "spread 1")
    bands = planned.planner.sure.hold_bands
    planned.planner.choose(4.0, 6.0)
    planned.planner._look_closely()
    assert set(planned.worker.waiting) == {"sure 0", "sure 1", "steady 0", "steady 1", "card"}
    assert planned.planner.sure.hold_bands is bands


def test_that_other_doubts_ask_for_the_bands_alone(planned: Desk) -> None:
    planned.page.unsure.boxes["lure_swing"].setValue(10.0)
    planned.worker.waiting.clear()
    planned.page.unsure.boxes["speed"].setValue(45.0)
    assert planned.page.unsure.note.text() == "up to ± 45 %"
    planned.page.unsure.boxes["speed"].setValue(12.0)
    asked = {f"{kind} {part}" for kind in ("sure", "steady", "spread") for part in (0, 1)}
    assert set(planned.worker.waiting) == asked
    assert planned.live.document.setup.doubt.speed == pytest.approx(0.12)
    assert planned.planner.sure.chances is None
