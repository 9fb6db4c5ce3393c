"""The log of a window, on an evening in May."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.log.model import Log
from app.log.page import LogPage
from app.shell.window import Window
from tests.app.log.made import LATE


@pytest.fixture
def log(window: Window) -> Log:
    """The log of the window, and its clock."""
    log = window.pages.entries
    log.now = lambda: LATE
    return log


@pytest.fixture
def page(window: Window, log: Log) -> LogPage:
    """The Log page, in front."""
    QTest.keyClick(window, Qt.Key.Key_F10)
    assert window.pages.currentWidget() is window.pages.log
    return window.pages.log
