"""Keys that mean the same everywhere: Enter presses what has the focus; a page has a home for them.

On pages with a gear lever Space is the lever, so a button there is pressed by Enter.
"""

from __future__ import annotations

from typing import cast

import shiboken6
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QDialog, QWidget

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


def home_of(widget: QWidget) -> QWidget:
    """Where the keys go when a page is shown: its ``home``, or the home of that.

    Not Qt's focus proxy: Tab that comes to a widget with a proxy leaves out
    everything that lies before the proxy.
    """
    while (inner := getattr(widget, "home", None)) is not None:
        widget = inner
    return widget


def finish_typing() -> None:
    """Take what is half typed, as when the hand leaves the field; the hand stays there."""
    field = QApplication.focusWidget()
    if field is not None and field.testAttribute(Qt.WidgetAttribute.WA_InputMethodEnabled):
        field.clearFocus()
        # a cell that was typed into is closed by that
        home = field if field.isVisible() else field.parentWidget()
        if home is not None:
            home.setFocus(Qt.FocusReason.OtherFocusReason)


class EnterPresses(QObject):
    """Lets Enter press the button, or open the list, that has the focus; not in dialogs that
    wait for an answer, where Enter gives it."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._on: QWidget | None = None
        cast(QApplication, QApplication.instance()).focusChanged.connect(self._moved)

    def _moved(self, _old: QWidget | None, new: QWidget | None) -> None:
        if self._on is not None and shiboken6.isValid(self._on):
            self._on.removeEventFilter(self)
        self._on = None
        pressed = isinstance(new, QAbstractButton | QComboBox)
        if new is not None and pressed and not _waits(new.window()):
            self._on = new
            new.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(event, QKeyEvent) or event.key() not in ENTER:
            return False
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            # that is a key of the page's own
            return False
        if event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        if event.type() == QEvent.Type.KeyPress and not event.isAutoRepeat():
            if isinstance(watched, QAbstractButton):
                watched.click()
            elif isinstance(watched, QComboBox):
                watched.showPopup()
            return True
        return False


def _waits(window: QWidget) -> bool:
    return isinstance(window, QDialog) and window.isModal()
