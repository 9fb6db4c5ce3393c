"""The log of a window, on an evening in May."""

from __future__ import annotations

import pytest

from app.log.model import Log
from app.shell.window import Window
from tests.app.log.made import LATE


@pytest.fixture
def log(window: Window) -> Log:
    """The log of the window, and its clock."""
    log = window.pages.entries
    log.now = lambda: LATE
    return log
