"""What is asked, down the side of a page."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.common.words import CAUTION
from app.ui.panel import quiet
from app.ui.scroll import Column
from app.ui.steps import GAP


def side(width: int, *parts: QWidget) -> Column:
    """The parts one under another, at least ``width`` px wide, and the caution at the foot."""
    column = QWidget()
    layout = QVBoxLayout(column)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setSpacing(GAP)
    for part in parts:
        layout.addWidget(part)
    layout.addStretch(1)
    caution = quiet(CAUTION)
    caution.setWordWrap(True)
    layout.addWidget(caution)
    return Column(column, width)
