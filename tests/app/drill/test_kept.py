"""Results of rounds and names of trainees: kept whatever a person does in a round."""

from __future__ import annotations

import sqlite3
from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMessageBox

from app.drill.model import FIRST_NAME
from app.drill.store import BROKEN_OFF, SCORED, Store
from app.planning import steady
from tests.app.conftest import put_away
from tests.app.drill.drill_by_hand import Page


def test_that_quitting_in_a_round_keeps_it_as_broken_off(page: Page, home: Path) -> None:
    page.begin(1)
    page.hand.sail_to(2.0)
    page.press(Qt.Key.Key_Space)
    page.hand.sail_to(3.0)
    put_away(page.window)
    store = Store()
    (result,) = store.results(store.trainees()[0])
    store.close()
    assert result.state == BROKEN_OFF
    assert result.points is None
    assert "out of gear" in result.orders


def test_that_two_of_one_name_are_refused_and_deleting_asks(
    page: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    drill = page.drill
    assert drill.add("Mate one")
    assert not drill.add("  mate ONE ")
    assert "taken" in page.hand.said[-1]
    assert [person.name for person in drill.people()] == ["Mate one", FIRST_NAME]
    monkeypatch.setattr(QMessageBox, "exec", lambda _: QMessageBox.StandardButton.Cancel)
    page.page.start.who["delete"].click()
    assert len(drill.people()) == 2
    monkeypatch.setattr(QMessageBox, "exec", lambda _: QMessageBox.StandardButton.Yes)
    page.page.start.who["delete"].click()
    assert [person.name for person in drill.people()] == [FIRST_NAME]


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_R, Qt.Key.Key_Escape])
@pytest.mark.parametrize("known", [(), ("best",), ("measure",)])
def test_that_a_round_left_before_its_score_is_scored_and_kept(
    page: Page, key: Qt.Key, known: tuple[str, ...]
) -> None:
    page.begin(1)
    page.hand.to_the_end()
    if known:
        page.hand.worker.deliver(*known)
    page.press(key)
    assert page.states() == []
    page.hand.worker.deliver("late")
    (result,) = page.drill.results()
    assert (result.state, result.seed) == (SCORED, 1)
    assert result.points is not None
    page.press(Qt.Key.Key_Escape)


def test_that_rounds_left_one_after_the_other_are_all_scored(page: Page) -> None:
    page.begin(1)
    for _ in range(2):
        page.hand.to_the_end()
        page.press(Qt.Key.Key_Return)
        page.hand.settle()
    page.hand.worker.deliver("late")
    page.hand.worker.deliver("late")
    assert sorted((r.state, r.seed) for r in page.drill.results()) == [(SCORED, 1), (SCORED, 2)]


@pytest.mark.parametrize("scored", [True, False])
def test_that_a_round_left_before_its_steady_answer_has_it_all_the_same(
    page: Page, scored: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = steady.doubt_rows
    monkeypatch.setattr(steady, "doubt_rows", lambda request, *_: rows(request, 12))
    page.begin(1)
    if scored:
        page.hand.play_best()
    else:
        page.hand.to_the_end()
    page.press(Qt.Key.Key_Escape)
    if not scored:
        page.hand.worker.deliver("late")
    (before,) = page.drill.results()
    assert before.state == SCORED
    assert before.steady_hold_s is None
    page.hand.worker.deliver("steady late")
    (after,) = page.drill.results()
    assert after.points == before.points
    assert after.steady_hold_s is not None
    assert after.steady_window_s
    assert page.hand.said == []


def test_that_a_round_not_scored_when_the_program_ends_is_there_as_broken_off(page: Page) -> None:
    page.begin(1)
    page.hand.to_the_end()
    page.press(Qt.Key.Key_Return)
    page.press(Qt.Key.Key_Escape)
    put_away(page.window)
    store = Store()
    (trainee,) = store.trainees()
    assert [r.state for r in store.results(trainee)] == [BROKEN_OFF, BROKEN_OFF]
    store.close()


def test_that_a_score_waits_while_another_program_has_the_results(page: Page) -> None:
    drill = page.drill
    page.begin(1)
    other = sqlite3.connect(drill.store.path)
    other.execute("begin exclusive")
    page.hand.play_best()
    assert drill.score is not None
    assert sum("locked" in said for said in page.hand.said) == 1
    other.rollback()
    other.close()
    drill.keeper.keep()
    (result,) = drill.results()
    assert result.points == drill.score.points
    assert "are kept now" in page.hand.said[-1]


def test_that_names_a_full_disk_refuses_are_told_and_people_stay(page: Page) -> None:
    drill = page.drill
    assert drill.add("Ann")
    drill.store._db.execute("pragma query_only = on")
    for change in (partial(drill.add, "Bo"), partial(drill.rename, "Cy")):
        assert not change()
        assert "could not be kept" in page.hand.said.pop()
    drill.delete()
    assert "Ann could not be deleted" in page.hand.said.pop()
    drill.store._db.execute("pragma query_only = off")
    assert drill.trainee.name == "Ann"
    assert [person.name for person in drill.people()] == ["Ann", FIRST_NAME]
