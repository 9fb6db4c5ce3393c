"""What tests of the Timing page share."""

from __future__ import annotations

from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.shell.window import Window
from app.timing.model import Planner
from tests.app.by_hand import HandBackground, Live
from tests.app.timing.page.desk import Desk

MEMORY: dict[bytes, Any] = {}
"""What the tests here have had computed already."""


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Few holds, waits and samples: what they are is tested elsewhere."""
    monkeypatch.setattr(Planner, "holds", (0.0, 10.0, 20.0, 30.0))
    monkeypatch.setattr(Planner, "waits", tuple(4.0 * n for n in range(8)))
    monkeypatch.setattr(Planner, "samples", 8)
    monkeypatch.setattr(HandBackground, "memory", MEMORY)


@pytest.fixture
def desk(window: Window, live: Live) -> Desk:
    """The Timing page just opened on the first demo: nothing computed yet."""
    QTest.keyClick(window, Qt.Key.Key_F3)
    return Desk(window, live)


@pytest.fixture
def planned(desk: Desk) -> Desk:
    """The Timing page with its full plan."""
    desk.plan()
    return desk
