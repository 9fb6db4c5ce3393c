"""Fields of the form: a text that may be empty, a note, and a choice made by one letter."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit

from app.ui.plain import as_tip
from app.ui.wheel_needs_focus import ChoiceBox

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)

NOTE_HIGH = 46
"""Height of the note, px."""


class Typed(QLineEdit):
    """Shows what ``get`` says; what a person typed goes to ``put``, which raises ValueError with
    the reason where it will not do. It then stays in the field until it is mended or Escape
    takes it back; ``refused`` carries the reason, or nothing once it is taken."""

    refused = Signal(str)

    def __init__(
        self, name: str, get: Callable[[], str], put: Callable[[str], object], tip: str = ""
    ) -> None:
        super().__init__()
        self._get, self._put = get, put
        self.refusal = ""
        self.setAccessibleName(name)
        self.setToolTip(as_tip(tip or name))
        self.editingFinished.connect(self._finished)

    def refresh(self) -> None:
        """Show what is known, unless a person is at it."""
        if not (self.refusal or (self.hasFocus() and self.isModified())):
            self.reset()

    def reset(self) -> None:
        """Show what is known; forget what was refused or is half typed."""
        text = self._get()
        if text != self.text():
            self.setText(text)
        self.setModified(False)
        self.setCursorPosition(0)
        self._say("")

    def _finished(self) -> None:
        if not self.isModified() and not self.refusal:
            return
        text = self.text().strip()
        try:
            if text != self._get():
                self._put(text)
        except ValueError as error:
            self._say(str(error))
            return
        self.refusal = ""
        self.reset()

    def _say(self, why: str) -> None:
        self.refusal = why
        self.setAccessibleDescription(why)
        self.refused.emit(why)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if event.reason() in (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason):
            self.selectAll()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter takes what is typed and goes on; Escape takes it back."""
        if event.key() in ENTER and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self._finished()
            if not self.refusal:
                self.focusNextChild()
            return
        if event.key() == Qt.Key.Key_Escape and (self.refusal or self.isModified()):
            self.refusal = ""
            self.reset()
            self.selectAll()
            return
        super().keyPressEvent(event)


class Note(QPlainTextEdit):
    """A text of several lines, kept when the hand leaves it; ``put`` raises ValueError for what
    will not do, which stays until it is mended. ``refused`` carries the reason, or nothing."""

    refused = Signal(str)

    def __init__(self, get: Callable[[], str], put: Callable[[str], object]) -> None:
        super().__init__()
        self._get, self._put = get, put
        self.setAccessibleName("Note")
        self.setTabChangesFocus(True)
        self.setFixedHeight(NOTE_HIGH)

    def refresh(self) -> None:
        """Show what is known, unless a person is at it."""
        if not self.document().isModified():
            if self.toPlainText() != self._get():
                self.setPlainText(self._get())
            self.document().setModified(False)

    def finish(self) -> bool:
        """Keep what is typed; False where it will not do."""
        if self.document().isModified():
            # what is kept is shown again
            self.document().setModified(False)
            try:
                self._put(self.toPlainText())
            except ValueError as error:
                self.document().setModified(True)
                self.refused.emit(str(error))
                return False
            self.refused.emit("")
        return True

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.finish()
        super().focusOutEvent(event)


class Letters(ChoiceBox):
    """A choice of a few words: the first letter of one chooses it and goes on to the next field.

    ``put`` gets the value chosen; Delete, Backspace or a hyphen chooses nothing.
    """

    def __init__(
        self,
        name: str,
        options: Sequence[str],
        words: Mapping[str, str],
        get: Callable[[], str],
        put: Callable[[str], object],
    ) -> None:
        super().__init__()
        self._get, self._put = get, put
        self._letters = {(value or "-")[0]: value for value in ("", *options)}
        for value in ("", *options):
            self.addItem(words[value], value)
        self.setAccessibleName(name)
        keys = ", ".join(f"{value[0].upper()} {words[value]}" for value in options)
        self.setToolTip(as_tip(f"{name}: {keys}; Delete for nothing"))
        self.activated.connect(lambda _: self._put(str(self.currentData())))

    def refresh(self) -> None:
        """Show what is known."""
        with QSignalBlocker(self):
            self.setCurrentIndex(max(self.findData(self._get()), 0))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        letter = event.text().casefold()
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            letter = "-"
        if letter in self._letters:
            value = self._letters[letter]
            self.setCurrentIndex(self.findData(value))
            if value != self._get():
                self._put(value)
            self.focusNextChild()
            return
        super().keyPressEvent(event)
