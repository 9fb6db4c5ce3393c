"""Text shown as it is written: names come from files, and a tag in one is no order to Qt.

Qt guesses for labels, tips and message boxes whether a text is HTML. Views make theirs here;
what is meant as HTML is written beside a QLabel or QMessageBox of its own, all names escaped.
"""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QMessageBox, QWidget


class Label(QLabel):
    """A label that takes no tags."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setText(text)


class Message(QMessageBox):
    """A message box that takes no tags, and is gone once it is answered."""

    def __init__(
        self,
        text: str,
        parent: QWidget | None = None,
        icon: QMessageBox.Icon = QMessageBox.Icon.NoIcon,
    ) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setIcon(icon)
        self.setWindowTitle("Leadfall")
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setText(text)


def as_tip(text: str) -> str:
    """A text for ``setToolTip`` that is shown as it is written."""
    if "<" not in text and "&" not in text:
        return text
    return f"<qt>{escape(text, quote=False)}</qt>".replace("\n", "<br>")
