"""Buttons large enough for a wet thumb."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton

from app.ui.plain import as_tip

TALL = 46
"""Least height of a large button, px."""


def big(text: str, do: Callable[[], object], tip: str = "", tall: int = TALL) -> QPushButton:
    """A large button that does something."""
    button = QPushButton(text)
    button.setMinimumSize(TALL, tall)
    button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    if tip:
        button.setToolTip(as_tip(tip))
    button.clicked.connect(lambda: do())
    return button
