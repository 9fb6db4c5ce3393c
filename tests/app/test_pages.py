"""Pages of the window: the one in front has the keys, and its view-model alone works."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget

from app.page_stack import ACTIVE, PAGES, PageStack
from app.window import Window
from tests.app.by_hand import worker_of
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
    ],
    ids=["timing", "compare", "tackle", "measure", "drill", "ground"],
)
def test_that_a_page_that_comes_forward_has_the_keys(
    window: Window, key: str, first: Callable[[PageStack], QWidget]
) -> None:
    QTest.keySequence(window, QKeySequence(key))
    window.rehearsal.timer.stop()
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
    window.rehearsal.timer.stop()
    parts = [part for part in vars(window.pages).values() if hasattr(part, "background")]
    workers = [worker_of(part) for part in parts]
    assert len(workers) == 10
    assert not any(worker.closed for worker in workers)
    put_away(window)
    assert all(worker.closed for worker in workers)
