"""A titled panel, the frame every view sits in, and small things to put in it."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from app.ui.look import font
from app.ui.plain import Label
from app.ui.steps import BODY, PANEL, SNUG


def quiet(text: str = "") -> Label:
    """A label in the fainter text color."""
    label = Label(text)
    label.setProperty("quiet", True)
    return label


class Panel(QFrame):
    """A rounded frame with a title, a note beside it, and room at the right."""

    def __init__(self, title: str, note: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("panel")
        self.body = QVBoxLayout(self)
        self.body.setContentsMargins(*PANEL)
        self.body.setSpacing(SNUG)
        self.head = head = QHBoxLayout()
        self.title = Label(title)
        self.title.setFont(font(BODY, bold=True))
        self.note = quiet(note)
        self.right = quiet()
        self.right.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        head.addWidget(self.title)
        head.addWidget(self.note)
        head.addStretch(1)
        head.addWidget(self.right)
        self.body.addLayout(head)
