"""The steady answer on the Timing page, and what matters."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.timing.model import Planner
from app.timing.stages import rank_of
from app.timing.wait_hold_map import WaitHoldMap
from tests.app.by_hand import lay_out
from tests.app.timing.page.desk import Desk

STEADY = ("steady 0", "steady 1")


@pytest.fixture(autouse=True)
def more_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Planner, "holds", tuple(2.0 * n for n in range(16)))


def deliver(desk: Desk) -> None:
    """How sure the point is, and all of the steady answer."""
    desk.worker.deliver("sure 0", "sure 1", *STEADY)
    while "seen 0" in desk.worker.waiting:
        desk.worker.deliver("seen 0", "seen 1")


@pytest.fixture
def steady(planned: Desk) -> Desk:
    setup = planned.live.document.setup
    timing = replace(setup.timing, touch_chance=0.0)
    planned.live.document.edit(replace(setup, timing=timing), "never touch")
    deliver(planned)
    return planned


def test_that_it_stands_beside_the_exact_answer_once_its_drops_are_seen(planned: Desk) -> None:
    panel = planned.page.steady
    assert "Working out" in panel.words.text()
    assert not panel.look.isEnabled()
    planned.worker.deliver("sure 0", "sure 1", *STEADY)
    deliver_rest = planned.planner.steady
    while deliver_rest.ready is None:
        planned.worker.deliver("seen 0", "seen 1")
    assert "teady" in panel.words.text()
    assert planned.planner.sure.chances is not None
    exact = deliver_rest.ready.exact
    assert exact is not None
    assert exact.touch == planned.planner.sure.chances.any_touch, "one number for one thing"


def test_that_plots_do_not_move_as_it_comes(planned: Desk) -> None:
    planned.window.resize(1280, 720)
    tops = []
    for known in (False, True):
        if known:
            deliver(planned)
            assert planned.page.steady.trade.text()
        lay_out()
        tops.append(planned.page.splitter.geometry())
    assert tops[0] == tops[1]


def test_that_what_was_stopped_is_said_to_be_unknown(planned: Desk) -> None:
    planned.planner.stop()
    assert planned.page.steady.words.text().startswith("Stopped")
    planned.planner.replan()
    assert "Working out" in planned.page.steady.words.text()


def test_that_of_a_drop_that_is_refused_no_steady_answer_is_told(steady: Desk) -> None:
    panel, document = steady.page.steady, steady.live.document
    assert "drops of 100" in panel.words.text()
    setup = document.setup
    timing = replace(setup.timing, clearance=2.0 * setup.water.bottom.deepest)
    document.edit(replace(setup, timing=timing), "too far off bottom")
    assert steady.planner.refused is not None
    assert panel.words.text() == "–"
    assert not panel.trade.text()
    assert not panel.look.isEnabled()
    assert not panel.rehearse.isEnabled()


def test_that_it_does_not_wait_for_how_sure_the_holds_are() -> None:
    assert rank_of("steady 0") == rank_of("seen 1") < rank_of("spread 0")


def test_that_a_click_looks_at_it_and_nothing_is_run_again(steady: Desk) -> None:
    found = steady.planner.steady.ready
    assert found is not None
    assert found.answer is not None
    assert not found.same
    assert "drops of 100" in steady.page.steady.trade.text()
    QTest.mouseClick(steady.page.steady.look, Qt.MouseButton.LeftButton)
    assert steady.planner.point == (found.answer.wait, found.answer.hold)
    steady.planner._look_closely()
    assert not {"sure 0", "sure 1", *STEADY} & set(steady.worker.waiting)
    assert steady.planner.sure.chances is not None
    assert steady.planner.sure.chances.any_touch == found.answer.touch
    assert not steady.page.steady.look.isEnabled()


def test_that_a_click_rehearses_it(steady: Desk) -> None:
    found = steady.planner.steady.ready
    assert found is not None
    assert found.answer is not None
    QTest.mouseClick(steady.page.steady.rehearse, Qt.MouseButton.LeftButton)
    steady.live.live_run.timer.stop()
    assert steady.window.pages.currentWidget() is steady.window.page
    run = steady.live.live_run
    assert run.auto_wait.on
    assert run.auto_hold.on
    assert (run.auto_wait.seconds, run.auto_hold.seconds) == (found.answer.wait, found.answer.hold)


def test_that_another_chance_is_answered_without_another_table(steady: Desk) -> None:
    before = steady.planner.steady.found
    assert before is not None
    steady.page.matters.allowed.setValue(50.0)
    assert steady.live.document.setup.timing.touch_chance == 0.5
    assert not set(STEADY) & set(steady.worker.waiting)
    while "seen 0" in steady.worker.waiting:
        steady.worker.deliver("seen 0", "seen 1")
    after = steady.planner.steady.ready
    assert after is not None
    assert after.expected is before.expected
    assert after.answer is not None
    assert before.answer is not None
    assert after.allowed == 0.5
    assert after.answer.window >= before.answer.window
    steady.live.document.undo_stack.undo()
    assert steady.live.document.setup.timing.touch_chance == 0.0


def test_that_the_map_shows_exact_windows_or_average_ones(steady: Desk) -> None:
    page_map, plan = steady.page.map, steady.planner.plan
    assert isinstance(page_map, WaitHoldMap)
    assert plan is not None
    assert page_map.most == pytest.approx(plan.map.total.max())
    QTest.mouseClick(steady.page.on_average, Qt.MouseButton.LeftButton)
    found = steady.planner.steady.found
    assert found is not None
    assert page_map.most == pytest.approx(found.expected.window.max())
    answer = found.answer
    assert answer is not None
    # of an answer the map tells what its own drops say, as the panel does
    told = replace(answer, window=answer.window + 1.0, touch=0.25)
    steady.planner.steady.found = replace(found, answer=told)
    steady.page.steady.refresh()
    words = f"{told.window:.1f} s a drop, touches in 25 "
    assert words in page_map._told(answer.wait, answer.hold)
    assert words in steady.page.steady.words.text().replace(", all lines added up", "")
    steady.planner.steady.found = found
    assert steady.page.key.words.endswith("a drop")
    w, k = np.unravel_index(found.expected.window.argmax(), found.expected.window.shape)
    assert f"{found.expected.window.max():.1f} s a drop" in page_map._seconds_at(int(w), int(k))
    steady.window.grab()


def test_that_what_is_worth_measuring_is_one_click_away(steady: Desk) -> None:
    matters, work = steady.page.matters, steady.planner.steady
    assert work.found is not None
    gain, error = np.zeros((2, 6))
    work.found = replace(work.found, worth=replace(work.found.worth, gain=gain, error=error))
    matters.refresh()
    assert not matters.measure.isVisible()
    gain = np.array([0.0, 0.0, 0.0, work.found.worth.window, 0.0, 0.0])
    work.found = replace(work.found, worth=replace(work.found.worth, gain=gain))
    matters.refresh()
    assert "coast-down" in matters.words.text()
    QTest.mouseClick(matters.measure, Qt.MouseButton.LeftButton)
    assert steady.window.pages.currentWidget() is steady.window.pages.measure
    assert steady.window.pages.measure.kinds["coast"].isChecked()


def test_that_steady_holds_are_asked_for_on_the_card(steady: Desk) -> None:
    steady.worker.deliver("card")
    assert steady.planner.card is not None
    steady.page.card.steady.click()
    assert steady.live.document.setup.card.steady
    assert "card" in steady.worker.waiting
    assert steady.planner.card is None
