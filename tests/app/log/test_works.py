"""What works, on the Log page: learned when looked at, drawn, said, and set up in one action."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from app.log.learn.findings import Learned
from app.log.page import LogPage
from app.log.works_panel import EMPTY
from app.shell.window import Window
from app.ui.look import LOOKS
from tests.app.by_hand import worker_of
from tests.app.log.made import season


@pytest.fixture
def page(window: Window) -> LogPage:
    """The Log page of a window, with two hundred made-up drops, at what works."""
    log = window.pages.entries
    log.store.change([(None, entry) for entry in season(60)])
    window.show_page("log")
    page = window.pages.log
    page.tabs.setCurrentIndex(1)
    worker_of(log).deliver("works")
    return page


def learned(window: Window) -> Learned:
    return window.pages.works.learned


def test_that_what_works_is_learned_when_somebody_looks(window: Window) -> None:
    log = window.pages.entries
    log.store.change([(None, entry) for entry in season(20)])
    window.show_page("log")
    page = window.pages.log
    assert not window.pages.works.busy
    page.tabs.setCurrentIndex(1)
    assert window.pages.works.busy
    worker_of(log).deliver("works")
    assert learned(window).drops == 20


def test_that_every_factor_has_its_sentence_and_its_picture(page: LogPage, window: Window) -> None:
    rows = [row for row in page.works.rows if row.isVisibleTo(page)]
    assert len(rows) == len(learned(window).findings) > 4
    for row in rows:
        assert row.title.text()
        assert re.search("drops", row.sentence.text())
        # and still once it was painted
        row.plot.say()
        said = row.plot.accessibleDescription()
        assert re.search(r"\d+ of \d+ line-drops; about [\d.]+ in 100, 80 % range", said)
        assert not row.plot.grab().isNull()


def test_that_by_line_hour_the_same_drops_are_told_by_the_hour(page: LogPage) -> None:
    page.works.hourly.setChecked(True)
    said = page.works.rows[0].plot.accessibleDescription()
    assert re.search(r"\d+ in [\d.]+ line-hours; about [\d.]+ a line-hour", said)


@pytest.mark.parametrize("look", LOOKS)
def test_that_what_works_is_painted_in_every_look(page: LogPage, window: Window, look) -> None:
    window.preferences.set_look(look)
    for row in page.works.rows:
        row.plot.grab()
        assert row.plot.look.name == look


def test_that_set_it_up_is_one_action_and_one_undo(page: LogPage, window: Window) -> None:
    works, document = window.pages.works, window.document
    hold = 15.0 if document.setup.hold != 15.0 else 25.0
    (change, *_) = works.learned.changes
    works.learned = replace(
        works.learned, changes=(replace(change, key="hold", old=20.0, new=hold),)
    )
    before = document.setup
    page.works.button.click()
    assert document.setup == replace(before, hold=hold)
    document.undo_stack.undo()
    assert document.setup == before


def test_that_an_empty_log_says_that_there_is_nothing_to_learn_from(window: Window) -> None:
    window.show_page("log")
    page = window.pages.log
    page.tabs.setCurrentIndex(1)
    worker_of(window.pages.entries).deliver("works")
    assert page.works.empty.text() == EMPTY
    assert not page.works.button.isEnabled()


def test_that_a_log_that_cannot_be_read_is_told_of_and_nothing_is_lost(
    page: LogPage, window: Window
) -> None:
    told: list[str] = []
    window.pages.works.trouble.connect(told.append)
    before = learned(window)
    window.pages.works._got(OSError("no such disk"))
    assert told == ["The log could not be learned from (no such disk)."]
    assert learned(window) is before
