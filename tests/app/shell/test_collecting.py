"""The collector in the window: between two events, and everything in the end."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QObject
from pytestqt.qtbot import QtBot

from app.shell import collecting
from app.shell.collecting import Collecting


class Knot(list[object]):
    """Something that only the collector can free."""

    def __init__(self) -> None:
        self.append(self)


@pytest.fixture
def begun(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Iterator[Collecting]:
    """A collector at work, thirty times as fast."""
    monkeypatch.setattr(collecting, "YOUNG_MS", 10)
    was, parent = gc.isenabled(), QObject()
    gc.enable()
    begun = Collecting(parent)
    yield begun
    begun.end()
    assert gc.isenabled()
    if not was:
        gc.disable()
    del parent


def test_that_nothing_is_collected_in_the_middle_of_an_event(begun: Collecting) -> None:
    knot = weakref.ref(Knot())
    made = [[] for _ in range(200_000)]
    assert len(made) == 200_000
    assert knot() is not None


def test_that_what_is_young_goes_with_the_next_events(begun: Collecting, qtbot: QtBot) -> None:
    knot = weakref.ref(Knot())
    qtbot.waitUntil(lambda: knot() is None)


def test_that_what_is_old_goes_in_the_end(begun: Collecting, qtbot: QtBot) -> None:
    old = Knot()
    knot = weakref.ref(old)
    for generation in (0, 1):
        gc.collect(generation)
    del old
    begun.collect()
    assert knot() is not None
    qtbot.waitUntil(lambda: knot() is None)
