"""The Measure page of a window, and one with three dock falls fitted."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.measure.file import Sheet
from app.measure.model import Measuring
from app.measure.page import MeasurePage
from app.shell.window import Window
from tests.app.measure.entering import DOCK, deliver


@pytest.fixture
def page(window: Window) -> MeasurePage:
    """The Measure page just opened on the first demo, nothing measured yet."""
    QTest.keyClick(window, Qt.Key.Key_F6)
    assert window.pages.currentWidget() is window.pages.measure
    return window.pages.measure


@pytest.fixture
def measuring(page: MeasurePage, window: Window) -> Measuring:
    return window.pages.measuring


@pytest.fixture
def fitted(page: MeasurePage, measuring: Measuring) -> Measuring:
    measuring.set_sheet(Sheet(DOCK), "measured")
    page.fit.click()
    deliver(measuring)
    return measuring
