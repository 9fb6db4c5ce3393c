"""The Put out page: asked, worked out, used and undone; stopped; nothing found; refused."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.common.units import COLOR, FOOT, KNOT
from app.put_out.model import Proposals
from app.put_out.page import PutOutPage
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.steps import GAP
from physics.environment.water import Bottom
from physics.line.mesh import Resolution
from physics.simulation.scenario import Mark
from tests.app.by_hand import Live, worker_of


@pytest.fixture(autouse=True)
def few_samples(monkeypatch: pytest.MonkeyPatch) -> None:
    """How sure a suggestion is takes most of the time."""
    monkeypatch.setattr("app.planning.put_out_check.SAMPLES", 2)


@pytest.fixture
def live(make_live, demo: Setup) -> Live:
    """One short line, coarse, over a shallow bottom."""
    rod = replace(demo.rods[0], line_out=COLOR.to_si(1.0), on_reel=COLOR.to_si(2.0))
    return make_live(
        replace(
            demo, rods=(rod,), speed=KNOT.to_si(4.5),
            mark=Mark(FOOT.to_si(9.0), 10.0, FOOT.to_si(3.0)),
            water=replace(demo.water, bottom=Bottom.level(FOOT.to_si(14.0))),
            resolution=Resolution(line_elements=8, leader_elements=2, grading=1.0),
        )
    )  # fmt: skip


@pytest.fixture
def page(window: Window) -> PutOutPage:
    QTest.keyClick(window, Qt.Key.Key_F9)
    window.live_run.timer.stop()
    return window.pages.put_out


@pytest.fixture
def proposals(page: PutOutPage, window: Window) -> Proposals:
    """Asked for a hold of 12 s at the speed of now."""
    page.asked.ticks["speed"].setChecked(False)
    page.asked.ticks["hold"].setChecked(True)
    window.pages.proposals.enter("hold", 12.0)
    return window.pages.proposals


def finish(proposals: Proposals) -> None:
    """Do all jobs, stage after stage."""
    while proposals.busy:
        worker_of(proposals).deliver()


def test_that_the_page_begins_with_what_it_is_for(page: PutOutPage) -> None:
    assert page.said()[0].startswith("Say what may change")
    assert not page.cards.isVisible()
    assert page.picture.pair is None


def test_that_a_suggestion_is_used_in_one_action_and_taken_back_in_one_undo(
    page: PutOutPage, proposals: Proposals, window: Window
) -> None:
    page.look_for.click()
    assert not page.look_for.isEnabled()
    assert page.stop.isVisible()
    finish(proposals)
    assert proposals.offered, page.said()
    assert page.picture_panel.note.text() == "now dotted, the suggestion drawn out"
    before, looked = window.document.setup, proposals.offered[0].looked
    card = page.cards.cards[0]
    assert card.isVisible()
    assert "2 colors instead of 1" in card.words.text() or "1.5 colors" in card.words.text()
    assert "Why: " in card.words.text()
    card.use.click()
    assert window.document.setup == looked.setup
    assert window.document.undo_stack.count() == 1
    assert window.planner.chosen == (looked.wait, looked.hold)
    assert card.use.text() == "In use"
    assert not card.use.isEnabled()
    window.document.undo_stack.undo()
    assert window.document.setup == before
    assert card.use.isEnabled()
    assert page.picture.pair == (proposals.found.before, looked)
    assert window.planner.chosen is None, "its wait and hold are of another spread"
    window.document.undo_stack.redo()
    assert window.planner.chosen == (looked.wait, looked.hold)


def test_that_the_cards_leave_no_gap_and_their_buttons_are_alike(
    page: PutOutPage, proposals: Proposals, window: Window
) -> None:
    page.look_for.click()
    finish(proposals)
    window.resize(1920, 1080)
    QApplication.processEvents()
    card = page.cards.cards[0]
    assert card.use.height() == card.look.height()
    assert card.geometry().top() == 0
    assert page.cards.geometry().top() - page.picture_panel.geometry().bottom() == GAP + 1


def test_that_the_search_says_how_far_it_is_and_stops(
    page: PutOutPage, proposals: Proposals
) -> None:
    page.look_for.click()
    worker = worker_of(proposals)
    assert proposals.doing == "Trying what may be put out"
    first = proposals.progress
    worker.pulse("job 0", 0.5)
    assert proposals.progress > first
    page.stop.click()
    assert not worker.waiting
    assert page.said()[0].startswith("Stopped.")
    assert page.look_for.isEnabled()
    assert page.stop.isHidden()


def test_that_other_wishes_make_what_was_found_an_answer_to_what_was_asked_before(
    page: PutOutPage, proposals: Proposals, window: Window
) -> None:
    proposals.run()
    finish(proposals)
    assert not proposals.stale
    page.rods.rows[0].ticks["leader"].setChecked(True)
    assert page.said()[-1].startswith("This answers what was asked before")
    window.document.edit(replace(window.document.setup, speed=KNOT.to_si(5.0)), "speed")
    assert proposals.found is None


def test_that_where_nothing_does_it_the_page_says_why(
    page: PutOutPage, proposals: Proposals
) -> None:
    setup = proposals.document.setup
    aside = replace(setup.rods[0], abeam=20.0, line_out=COLOR.to_si(2.0))
    proposals.document.edit(replace(setup, rods=(aside,)), "aside")
    proposals.run()
    finish(proposals)
    assert proposals.found is not None
    assert not proposals.offered
    assert page.picture_panel.note.text() == "", "what is drawn out is what is out now"
    assert "passes 65.6 ft to starboard of the mark" in page.said()[1]


def test_that_what_cannot_be_planned_is_said_and_the_page_goes_on(
    page: PutOutPage, proposals: Proposals
) -> None:
    setup = proposals.document.setup
    too_clear = replace(setup.timing, clearance=FOOT.to_si(20.0))
    proposals.document.edit(replace(setup, timing=too_clear), "clear")
    proposals.run()
    assert not proposals.busy
    assert page.said() == [
        "The distance to keep off bottom has to be less than the water is deep, 14.0 ft."
    ]
    assert page.look_for.isEnabled()


def test_that_a_slowest_speed_above_the_fastest_is_refused_in_its_place(
    page: PutOutPage, window: Window
) -> None:
    slowest = page.asked.fields["slowest"]
    high = window.pages.proposals.speeds[1]
    slowest.setValue(KNOT.from_si(high) + 1.0)
    assert "the slowest below the fastest" in slowest.refusal
    assert window.pages.proposals.speeds[1] == high
