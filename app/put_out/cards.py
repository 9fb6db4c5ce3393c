"""The suggestions as cards: what to do, what changes, what it gains, why, and how sure."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from app.planning.put_out_words import (
    changes,
    crossing_words,
    gains,
    reasons,
    sure_words,
    title,
    todo,
)
from app.put_out.model import Proposals
from app.ui.look import font, px
from app.ui.panel import Panel
from app.ui.plain import Label
from app.ui.preferences import Preferences
from app.ui.scroll import Scroll
from app.ui.steps import BODY, GAP, TIGHT

MOST = 3

TALLEST = 330
"""Most height of a card, px: what is left goes to the picture."""


class Card(Panel):
    """One suggestion. A click looks at it; the button puts it into the scenario."""

    def __init__(self, number: int, proposals: Proposals, preferences: Preferences) -> None:
        super().__init__("")
        self.setMaximumHeight(round(px(TALLEST)))
        self._number, self._proposals, self._preferences = number, proposals, preferences
        self.words = Label()
        self.words.setWordWrap(True)
        self.words.setTextFormat(Qt.TextFormat.RichText)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.title.setWordWrap(True)
        self.head.setStretch(0, 100)
        area = Scroll(self.words)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.body.addWidget(area, 1)
        row = QHBoxLayout()
        self.look = QPushButton("Look at it")
        self.look.setToolTip("Show this one in the picture")
        self.look.clicked.connect(lambda: proposals.show(number))
        self.use = QPushButton("Use it")
        self.use.setObjectName("primary")
        self.use.setFont(font(BODY, bold=True))
        self.use.setToolTip("Put this out in the scenario; one undo takes it back")
        self.use.clicked.connect(lambda: proposals.use(number))
        row.addWidget(self.look)
        row.addStretch(1)
        row.addWidget(self.use)
        self.body.addLayout(row)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._proposals.show(self._number)
        super().mousePressEvent(event)

    def refresh(self) -> None:
        """Show the suggestion of this number; hidden where there is none."""
        proposals, found = self._proposals, self._proposals.found
        offered = proposals.offered
        self.setVisible(found is not None and self._number < len(offered))
        if found is None or self._number >= len(offered):
            return
        one, unit = offered[self._number], self._preferences.length
        self.title.setText(f"{self._number + 1}. {title(one)}")
        before, after = found.before, one.looked
        todos = [f"<b>{escape(todo(after))}</b>"]
        todos += [f"<b>{escape(text)}</b>" for text in changes(found.request.setup, after.setup)]
        said = [*gains(before, after, unit), reasons(before, after), sure_words(before, after)]
        paragraphs = ["<br>".join(todos), *(escape(text) for text in said if text)]
        if crosses := crossing_words(after):
            alarm = self._preferences.look.alarm
            paragraphs.append(f"<span style='color:{alarm}'>{escape(crosses)}</span>")
        self.words.setText(
            "".join(f"<p style='margin:0 0 {TIGHT}px 0'>{p}</p>" for p in paragraphs)
        )
        used, shown = proposals.in_use(self._number), proposals.shown == self._number
        self.use.setText("In use" if used else "Use it")
        self.use.setEnabled(not used and not proposals.busy)
        self.look.setText("In the picture" if shown else "Look at it")
        self.look.setEnabled(not shown)


class Cards(QWidget):
    """Up to three, side by side."""

    def __init__(self, proposals: Proposals, preferences: Preferences) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(GAP)
        self.cards = [Card(number, proposals, preferences) for number in range(MOST)]
        for card in self.cards:
            row.addWidget(card, 1)
        proposals.changed.connect(self.refresh)
        preferences.units_changed.connect(self.refresh)
        preferences.look_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show what was found."""
        for card in self.cards:
            card.refresh()
