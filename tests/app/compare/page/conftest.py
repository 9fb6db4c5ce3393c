"""What tests of the Compare page share."""

from __future__ import annotations

from typing import Any

import pytest

from app.shell.window import Window
from tests.app.by_hand import HandBackground, Live
from tests.app.compare.page.desk import Desk

MEMORY: dict[bytes, Any] = {}
"""What the tests here have had computed already."""


@pytest.fixture(autouse=True)
def remembered(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(HandBackground, "memory", MEMORY)


@pytest.fixture
def desk(window: Window, live: Live) -> Desk:
    """The Compare page just opened on the first demo."""
    return Desk(window, live)


@pytest.fixture
def shown(desk: Desk) -> Desk:
    """The Compare page with all of it computed."""
    desk.settle()
    return desk
