"""The Drill page of a window, with nothing begun."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.drill.model import Drill
from app.session.clock import Clock
from app.shell.window import Window
from tests.app.by_hand import HandBackground, HandTime, Live
from tests.app.drill.drill_by_hand import HOLDS, WAITS, DrillHand, Page

MEMORY: dict[bytes, Any] = {}


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> HandTime:
    """Few waits and holds, workers and times by hand; what was computed once is remembered."""
    time = HandTime()
    monkeypatch.setattr(Drill, "waits", WAITS)
    monkeypatch.setattr(Drill, "holds", HOLDS)
    monkeypatch.setattr(HandBackground, "memory", MEMORY)
    monkeypatch.setattr("app.drill.model.Background", HandBackground)
    monkeypatch.setattr("app.drill.model.Clock", lambda: Clock(time))
    return time


@pytest.fixture
def page(window: Window, live: Live, quick: HandTime) -> Page:
    """The Drill page just opened, with nothing begun."""
    QTest.keyClick(window, Qt.Key.Key_F7)
    return Page(window, DrillHand(window.pages.drilling, quick, live.screen))
