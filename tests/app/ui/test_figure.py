"""The large figures: whatever is written is written whole."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication

from app.ui.figure import Figure
from app.ui.preferences import Preferences
from app.ui.steps import FIGURE, GREAT, HUGE


@pytest.mark.parametrize("points", [FIGURE, GREAT, HUGE])
@pytest.mark.parametrize("text", ["0.0", "In gear", "gjpqy", "16"])
def test_that_nothing_of_a_figure_is_cut(dressed: QApplication, text: str, points: float) -> None:
    preferences = Preferences()
    figure = Figure(preferences, points, "a figure", "hold")
    figure.resize(600, figure.sizeHint().height())
    figure.show_figure(text, "")
    image = figure.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    ground = QColor(preferences.look.panel).rgb()
    for row in (0, image.height() - 1):
        assert all(image.pixel(x, row) == ground for x in range(image.width())), row
    assert any(image.pixel(x, image.height() // 2) != ground for x in range(image.width())), (
        "and something is written"
    )
