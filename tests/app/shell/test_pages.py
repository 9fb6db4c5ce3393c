"""Pages of the window: the one in front has the keys, and its view-model alone works."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from app.drill.file import Planned
from app.ground.ways_job import Way
from app.scenario.setup import Setup
from app.session.pool import Rank
from app.shell.page_stack import ACTIVE, PAGES, PageStack
from app.shell.window import Window
from tests.app.by_hand import HandBackground, Live, worker_of
from tests.app.conftest import put_away


@pytest.mark.parametrize(
    ("key", "first"),
    [
        ("F3", lambda pages: pages.timing.map),
        ("F4", lambda pages: pages.compare.table),
        ("F5", lambda pages: pages.tackle.list.tree),
        ("F6", lambda pages: pages.measure.table),
        ("F7", lambda pages: pages.drill.start.begin),
        ("F8", lambda pages: pages.ground.top),
        ("F9", lambda pages: pages.put_out.look_for),
    ],
    ids=["timing", "compare", "tackle", "measure", "drill", "ground", "put out"],
)
def test_that_a_page_that_comes_forward_has_the_keys(
    window: Window, key: str, first: Callable[[PageStack], QWidget]
) -> None:
    QTest.keySequence(window, QKeySequence(key))
    window.live_run.timer.stop()
    assert window.focusWidget() is first(window.pages)
    QTest.keySequence(window, QKeySequence("F2"))
    assert window.focusWidget() is window.page.side_view


@pytest.mark.parametrize("model", ACTIVE)
def test_that_a_view_model_is_told_whether_its_page_is_in_front(
    window: Window, model: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[bool] = []
    monkeypatch.setattr(
        type(getattr(window.pages, model)), "set_active", lambda _, on: told.append(on)
    )
    for page in (ACTIVE[model], "rehearse"):
        window.show_page(page)
    assert told == [True, False]


def test_that_closing_ends_every_worker_that_was_begun(window: Window) -> None:
    for page, _, _ in PAGES:
        window.show_page(page)
    window.live_run.timer.stop()
    parts = [part for part in vars(window.pages).values() if hasattr(part, "background")]
    workers = [worker_of(part) for part in parts]
    assert len(workers) == 12
    assert not any(worker.closed for worker in workers)
    put_away(window)
    assert all(worker.closed for worker in workers)


def test_that_what_a_page_has_in_work_is_given_up_out_of_sight_and_taken_up_again(
    make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live], shoal: Setup
) -> None:
    window = make_window(make_live(shoal))
    pages = window.pages
    begun: list[tuple[str, Callable[[], object], HandBackground, str]] = [
        ("timing", lambda: None, worker_of(pages.planner), "first"),
        ("tackle", lambda: None, worker_of(pages.tryout), "trial"),
        ("drill", lambda: pages.drilling.begin_set([Planned(1, 7)]), worker_of(pages.drilling),
         "best"),
        ("ground", lambda: None, worker_of(pages.ways), "ways"),
    ]  # fmt: skip
    for page, begin, worker, kind in begun:
        window.show_page(page)
        begin()
        assert worker.busy(kind), kind
        window.show_page("measure")
        assert not worker.waiting, kind
        window.show_page(page)
        assert worker.busy(kind), kind
    window.live_run.timer.stop()


def test_that_ways_found_before_a_change_are_not_taken_for_those_after_it(
    make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live], shoal: Setup
) -> None:
    window = make_window(make_live(shoal))
    ways = window.pages.ways
    window.show_page("ground")
    window.live_run.timer.stop()
    ways._got((Way("down-tide", 0.0, 2.0, ()),))
    worker_of(ways).waiting.clear()
    ways.choose(ways.wait, ways.hold + 5.0)
    window.show_page("measure")
    window.show_page("ground")
    window.live_run.timer.stop()
    assert worker_of(ways).busy("ways")


def test_that_looking_ahead_comes_before_the_answer_the_bands_and_the_card(
    window: Window, live: Live
) -> None:
    live.screen.go_by(2.0)
    window.live_run.tick()
    assert live.worker.ranks["ahead"] == Rank.AHEAD
    window.show_page("timing")
    worker = worker_of(window.planner)
    for rank, kind in ((Rank.ANSWER, "first"), (Rank.BANDS, "sure 0"), (Rank.CARD, "card")):
        window.planner._ask(kind, print, abs, -1)
        assert worker.ranks[kind] == rank
    assert Rank.AHEAD < Rank.ANSWER < Rank.BANDS < Rank.CARD
