"""What menus are made of."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QMenu


def add(
    menu: QMenu,
    text: str,
    do: Callable[[], object],
    keys: QKeySequence.StandardKey | str | None = None,
) -> QAction:
    """An entry at the end of a menu."""
    action = QAction(text, menu)
    action.triggered.connect(lambda: do())
    if isinstance(keys, str):
        action.setShortcut(QKeySequence(keys))
    elif keys is not None:
        action.setShortcuts(QKeySequence.keyBindings(keys))
    menu.addAction(action)
    return action


def add_choice(
    menu: QMenu, items: Sequence[tuple[str, str]], current: str, choose: Callable[[str], None]
) -> None:
    """Entries (title, name) of which one is chosen."""
    group = QActionGroup(menu)
    for title, name in items:
        action = add(menu, title, partial(choose, name))
        action.setCheckable(True)
        action.setChecked(name == current)
        group.addAction(action)
