"""Tabs: which one is in front is seen in every look."""

from __future__ import annotations

import pytest
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication, QTabBar

from app.ui.look import LOOKS, style_sheet


@pytest.mark.parametrize("name", LOOKS)
def test_that_the_tab_in_front_is_underlined(dressed: QApplication, name: str) -> None:
    look = LOOKS[name]
    dressed.setStyleSheet(style_sheet(look))
    bar = QTabBar()
    for word in ("Bottom", "Four ways"):
        bar.addTab(word)
    bar.setCurrentIndex(1)
    bar.resize(bar.sizeHint())
    image = bar.grab().toImage()
    wanted = QColor(look.choice).rgb()
    for tab, there in ((0, False), (1, True)):
        place = bar.tabRect(tab)
        at = (place.center().x(), place.bottom() - 1)
        assert (image.pixel(*at) == wanted) is there
