"""A titled panel, the frame every view sits in, and small things to put in it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from app.ui.look import font
from app.ui.plain import Label, as_tip
from app.ui.steps import BODY, PANEL, SNUG


def quiet(text: str = "") -> Label:
    """A label in the fainter text color."""
    label = Label(text)
    label.setProperty("quiet", True)
    return label


class Note(Label):
    """A quiet label whose end is left out where it has no room; its tip has it all."""

    def __init__(self, text: str = "") -> None:
        super().__init__(text)
        self.setProperty("quiet", True)

    def minimumSizeHint(self) -> QSize:
        return QSize(0, super().minimumSizeHint().height())

    def shown_text(self) -> str:
        """What there is room for."""
        end = Qt.TextElideMode.ElideRight
        return self.fontMetrics().elidedText(self.text(), end, self.contentsRect().width())

    def paintEvent(self, event: QPaintEvent) -> None:
        shown = self.shown_text()
        if shown == self.text():
            super().paintEvent(event)
            return
        painter = QPainter(self)
        painter.setPen(self.palette().color(self.foregroundRole()))
        painter.drawText(self.contentsRect(), Qt.AlignmentFlag.AlignVCenter, shown)
        painter.end()

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip:
            cut = self.shown_text() != self.text()
            self.setToolTip(as_tip(self.text() if cut else ""))
        return super().event(event)


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
        self.note: Label = Note(note)
        self.right = quiet()
        self.right.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        head.addWidget(self.title)
        head.addWidget(self.note)
        head.addStretch(1)
        head.addWidget(self.right)
        self.body.addLayout(head)
