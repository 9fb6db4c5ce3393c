"""A panel that folds up to its title, and a button that Enter presses."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QPushButton, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from app.ui.look import font
from app.ui.panel import Panel
from app.ui.plain import as_tip
from app.ui.steps import BODY, SNUG

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class EnterButton(QPushButton):
    """A button for a page on which Space is the gear lever: Enter presses it."""

    def __init__(self, text: str, tip: str = "") -> None:
        super().__init__(text)
        self.setToolTip(as_tip(tip))
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER:
            self.click()
        else:
            super().keyPressEvent(event)


class _Title(QToolButton):
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in ENTER:
            self.click()
        else:
            super().keyPressEvent(event)


class FoldPanel(Panel):
    """Widgets go in ``body`` as in any panel. ``folded``: folded up or opened, by whomever.

    ``by_hand`` once a person chose; a page leaves it as it is from then on.
    """

    folded = Signal()

    def __init__(self, title: str) -> None:
        super().__init__("")
        self.title.hide()
        self.by_hand = False
        self._title, self._summary = title, ""
        self.fold = _Title()
        self.fold.setObjectName("fold")
        self.fold.setAccessibleName(title)
        self.fold.setFont(font(BODY, bold=True))
        self.fold.setCheckable(True)
        self.fold.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.fold.setToolTip("Fold up or open")
        self.fold.clicked.connect(self._by_hand)
        self.head.insertWidget(0, self.fold)
        # a summary must not make a narrow column wider
        self.note.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.head.setStretchFactor(self.note, 100)
        self.inside = QWidget()
        self.body.addWidget(self.inside, 1)
        self.body = QVBoxLayout(self.inside)
        self.body.setContentsMargins(0, 0, 0, 0)
        self.body.setSpacing(SNUG)
        self.set_open(True)

    @property
    def is_open(self) -> bool:
        """Whether more than the title shows."""
        return self.fold.isChecked()

    def set_open(self, is_open: bool) -> None:
        """Open, or fold up to the title."""
        changed = is_open == self.inside.isHidden()
        self.fold.setChecked(is_open)
        self.fold.setText(f"{'▾' if is_open else '▸'} {self._title}")
        self.inside.setVisible(is_open)
        policy = QSizePolicy.Policy
        self.setSizePolicy(policy.Preferred, policy.Preferred if is_open else policy.Maximum)
        self._note()
        if changed:
            self.folded.emit()

    def open_up(self) -> None:
        """Open, because there is something to read."""
        if not self.is_open:
            self.set_open(True)

    def summarize(self, words: str) -> None:
        """What stands beside the title while it is folded."""
        self._summary = words
        self._note()

    def _note(self) -> None:
        self.note.setText("" if self.is_open else self._summary)

    def _by_hand(self) -> None:
        self.by_hand = True
        self.set_open(self.fold.isChecked())
