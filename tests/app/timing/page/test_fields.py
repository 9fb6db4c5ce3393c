"""Fields of the Timing page: taken up undoably, or refused where they stand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.common.units import FOOT, KNOT
from app.scenario.setup import Setup
from app.shell.window import Window
from physics.environment.water import Bottom
from tests.app.by_hand import Live
from tests.app.timing.page.desk import Desk


def test_that_another_mark_needs_no_new_runs(planned: Desk) -> None:
    planned.worker.waiting.clear()
    planned.type_number("mark_top", "20")
    assert set(planned.worker.waiting) == {"finish"}
    mark = planned.live.document.setup.mark
    assert mark is not None
    assert mark.depth - mark.band == pytest.approx(FOOT.to_si(20.0), abs=1e-6)


@pytest.mark.parametrize(
    ("key", "text", "read"),
    [
        ("speed", "6.5", lambda s: KNOT.from_si(s.speed)),
        ("bottom", "35", lambda s: FOOT.from_si(s.water.bottom.deepest)),
        ("mark_top", "19", lambda s: FOOT.from_si(s.mark.depth - s.mark.band)),
        ("mark_low", "28", lambda s: FOOT.from_si(s.mark.depth + s.mark.band)),
        ("radius", "40", lambda s: FOOT.from_si(s.timing.radius)),
        ("clearance", "4", lambda s: FOOT.from_si(s.timing.clearance)),
    ],
)
def test_that_a_field_changes_the_setup_undoably_and_nothing_else(
    planned: Desk, key: str, text: str, read: Callable[[Setup], float]
) -> None:
    live_run = planned.live.live_run
    before = live_run.document.setup
    others = {k: b.box.value() for k, b in planned.page.fields.fields.items() if k != key}
    planned.type_number(key, text)
    assert read(live_run.document.setup) == pytest.approx(float(text), abs=1e-6)
    assert {k: planned.field(k).value() for k in others} == others
    assert planned.worker.waiting
    live_run.document.undo_stack.undo()
    assert live_run.document.setup == before


@pytest.mark.parametrize(
    ("key", "text", "field", "words"),
    [
        ("mark_low", "31", "mark_low", "no deeper than the bottom, 30.0 ft"),
        ("mark_top", "32", "mark_low", "deeper than the mark's top, 32.0 ft"),
        ("bottom", "26", "mark_low", "no deeper than the bottom, 26.0 ft"),
        ("mark_top", "28", "mark_low", "deeper than the mark's top, 28.0 ft"),
        ("clearance", "30", "clearance", "less than the water is deep, 30.0 ft"),
        ("bottom", "20", "mark_top", "below the bottom, which is 20.0 ft"),
    ],
)
def test_that_nonsense_is_told_at_the_field_and_nothing_is_computed_from_it(
    planned: Desk, key: str, text: str, field: str, words: str
) -> None:
    before, plan = planned.live.document.setup, planned.planner.plan
    planned.worker.waiting.clear()
    planned.type_number(key, text)
    assert words in planned.said_at(field)
    assert planned.field(key).value() == float(text)
    assert planned.live.document.setup == before
    assert planned.planner.plan is plan
    assert not planned.worker.waiting


def test_that_the_bottom_at_the_mark_is_that_under_the_mark(
    make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live], shoal: Setup
) -> None:
    live = make_live(shoal)
    window = make_window(live)
    QTest.keyClick(window, Qt.Key.Key_F3)
    desk = Desk(window, live)
    desk.worker.deliver("first")
    plan = desk.planner.plan
    assert plan is not None
    assert shoal.mark is not None
    boat = live.live_run.scenario.track().at(shoal.mark.time)
    (under,) = shoal.water.bottom.depth_at(np.array([boat.x]), np.array([boat.y]))
    assert under < shoal.water.bottom.deepest - 3.0
    assert desk.field("bottom").value() == pytest.approx(FOOT.from_si(under), abs=0.5)
    assert desk.field("bottom").value() == pytest.approx(
        FOOT.from_si(plan.situation.depth), abs=0.05
    )
    assert live.document.edit(replace(shoal, mark=replace(shoal.mark, depth=10.0)), "deep")
    there = FOOT.text(desk.planner.depth_at_mark(live.document.setup))
    assert f"The mark is below the bottom, which is {there} deep there." in desk.words()


def test_that_a_band_below_the_bottom_in_a_file_counts_down_to_the_bottom(planned: Desk) -> None:
    document = planned.live.document
    setup = document.setup
    low = replace(setup.mark, depth=FOOT.to_si(28.0))  # type: ignore[type-var]
    assert document.edit(replace(setup, mark=low), "low")
    assert planned.field("mark_low").value() == 31.0
    assert planned.said_at("mark_low") == "Counts down to the bottom, 30.0 ft."
    planned.type_number("clearance", "3")
    assert FOOT.from_si(document.setup.timing.clearance) == pytest.approx(3.0)
    planned.plan()
    assert planned.page.drop.mark_words() == "mark 25 to 30 ft"


def test_that_two_numbers_that_make_sense_only_together_are_taken_together(planned: Desk) -> None:
    planned.type_number("mark_top", "28")
    assert planned.said_at("mark_low")
    planned.type_number("mark_low", "29.5")
    assert not planned.said_at("mark_low")
    assert not planned.said_at("mark_top")
    mark = planned.live.document.setup.mark
    assert mark is not None
    assert FOOT.from_si(mark.depth) == pytest.approx(28.75)
    assert FOOT.from_si(mark.band) == pytest.approx(0.75)


def test_that_escape_from_nonsense_is_undo_or_another_number(planned: Desk) -> None:
    planned.type_number("clearance", "60")
    assert planned.said_at("clearance")
    planned.type_number("clearance", "3")
    assert not planned.said_at("clearance")
    assert FOOT.from_si(planned.live.document.setup.timing.clearance) == pytest.approx(3.0)


def test_that_a_setup_that_cannot_be_planned_says_why_and_keeps_the_program_going(
    planned: Desk,
) -> None:
    live_run = planned.live.live_run
    setup = live_run.document.setup
    shallow = replace(
        setup,
        mark=None,
        water=replace(setup.water, bottom=Bottom.level(3.0)),
        timing=replace(setup.timing, clearance=5.0),
    )
    planned.worker.waiting.clear()
    assert live_run.document.edit(shallow, "shallow")
    assert "No plan. The distance to keep off bottom" in planned.words()
    assert "9.8 ft" in planned.words()
    assert planned.said_at("clearance")
    assert not planned.worker.waiting
    assert not planned.page.rehearse.isEnabled()
    live_run.document.undo_stack.undo()
    assert "No plan" not in planned.words()
    assert planned.worker.waiting


def test_that_an_empty_spread_is_refused_in_words(planned: Desk) -> None:
    live_run = planned.live.live_run
    live_run.document._setup = replace(live_run.document.setup, rods=())
    planned.planner.replan()
    assert "rods" in planned.words()
    assert "1 to 6 rods" in planned.words()


def test_that_a_drop_that_cannot_be_computed_says_so(desk: Desk) -> None:
    desk.worker.deliver("first")
    answer, _ = desk.worker.waiting["half 0"]
    answer(RuntimeError("no step was small enough"))
    assert "could not be computed (no step was small enough)" in desk.words()
    assert not desk.page.rehearse.isEnabled()
    assert not desk.worker.waiting


def test_that_meters_are_shown_everywhere_when_asked_for(planned: Desk) -> None:
    planned.window.preferences.set_length("meters")
    assert planned.field("bottom").value() == pytest.approx(9.1, abs=0.05)
    assert planned.field("bottom").suffix() == " m"
    assert "0.6 m off bottom" not in planned.said_at("clearance")
    assert planned.page.drop.view.viewRange()[1][0] > -12.0
    assert "m off" in planned.page.mark_panel.note.text()
    assert float(planned.cell(0, 3)) == pytest.approx(planned.planner.rods[0].run_depth, abs=0.06)
