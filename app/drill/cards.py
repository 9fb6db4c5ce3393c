"""Question cards: a question, a number to answer with, and what the model says."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from app.drill.asking import Asking
from app.drill.model import Drill
from app.drill.questions import ANSWER, KINDS, LEADER, LURE, SHARE
from app.ui.big import TALL, big
from app.ui.look import font
from app.ui.number_field import NumberField, Refusal, all_taken
from app.ui.panel import Panel, quiet
from app.ui.plain import Label
from app.ui.preferences import Preferences
from app.ui.steps import BIG, FAR, GAP, HEAD, READABLE, WIDE


class DrillCards(QWidget):
    """Pulls what it shows from the asking."""

    def __init__(self, drill: Drill, asking: Asking, preferences: Preferences) -> None:
        super().__init__()
        self._drill, self._asking, self._preferences = drill, asking, preferences
        panel = Panel("Question cards")
        self.question = Label()
        self.question.setFont(font(BIG, bold=True))
        self.question.setWordWrap(True)
        self.note = quiet()
        self.note.setWordWrap(True)
        self._answer = 0.0
        self.box = NumberField(
            ANSWER, lambda: self._answer, partial(setattr, self, "_answer"), preferences
        )
        self.home = self.box
        self.box.setMinimumHeight(TALL + 10)
        self.box.setFixedWidth(160)
        self.box.setFont(font(BIG, bold=True))
        self.less = big("−", lambda: self.box.stepBy(-1), "One second less (Down)")
        self.more = big("+", lambda: self.box.stepBy(1), "One second more (Up)")
        self.less.setAccessibleName("One second less")
        self.more.setAccessibleName("One second more")
        self.go = big("", self.enter, "Answer, then the next question (Enter)", tall=TALL + 10)
        self.go.setObjectName("primary")
        self.go.setMinimumWidth(260)
        self.said = Label()
        self.said.setFont(font(HEAD, bold=True))
        self.said.setWordWrap(True)
        self.boxes = quiet()
        row = QHBoxLayout()
        row.setSpacing(GAP)
        for widget in (self.less, self.box, self.more, self.go):
            row.addWidget(widget)
        row.addWidget(Refusal(self.box))
        row.addStretch(1)
        back = big("Back  Esc", drill.leave)
        self.back = back
        card = QWidget()
        card.setMaximumWidth(READABLE)
        column = QVBoxLayout(card)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(WIDE)
        column.addStretch(1)
        column.addWidget(self.question)
        column.addWidget(self.note)
        column.addLayout(row)
        column.addWidget(self.said)
        column.addStretch(2)
        panel.body.setSpacing(WIDE)
        panel.body.setContentsMargins(FAR, WIDE, FAR, WIDE)
        middle = QHBoxLayout()
        middle.addStretch(1)
        middle.addWidget(card, 20)
        middle.addStretch(1)
        panel.body.addLayout(middle, 1)
        panel.body.addWidget(self.boxes)
        panel.body.addWidget(back, 0, Qt.AlignmentFlag.AlignLeft)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(panel)
        asking.changed.connect(self.refresh)
        preferences.units_changed.connect(self.refresh)

    def begin(self) -> None:
        """The first question, and the keys to its answer."""
        self._asking.ask()
        self.box.setFocus()

    def enter(self) -> None:
        """Answer; or, once answered, the next question."""
        if self._asking.shown or self._asking.trouble:
            self._asking.ask()
            self.box.setFocus()
        elif all_taken(self.box):
            self._asking.give(self._answer)
            self.go.setFocus()

    def refresh(self) -> None:
        """The question and what is known."""
        asking, unit = self._asking, self._preferences.length
        if asking.question is None:
            return
        self.question.setText(asking.question.text(unit, self._preferences.speed))
        self.note.setText(
            f"One {LURE}, on leadcore with a leader of {unit.text(LEADER, 0)}, from steady tow "
            "over a level bottom. Simulated now, on coarse lines: invented, as every round. "
            f"Right within {_tolerance(asking)} s or {100 * SHARE:.0f} %, whichever is more."
        )
        self.go.setText("Next question  (Enter)" if asking.shown else "Answer  (Enter)")
        self.box.setEnabled(not asking.shown)
        self.said.setText(self._words())
        counts = "   ".join(f"{n}: {count}" for n, count in enumerate(asking.boxes, start=1))
        self.boxes.setText(
            f"Cards by box   {counts}.   Right: a box up, asked more seldom. Wrong: back to box 1."
        )

    def _words(self) -> str:
        asking = self._asking
        if asking.trouble:
            return asking.trouble
        if asking.given is None:
            return ""
        answered = asking.answered
        if answered is None:
            return "Working it out…"
        if answered.seconds is None:
            return "The line never comes so low: no answer."
        off = asking.given - answered.seconds
        if answered.right(asking.given):
            return f"Right: {answered.seconds:.1f} s, you were {abs(off):.1f} s off."
        word = "much" if off > 0.0 else "little"
        return f"{answered.seconds:.1f} s: you said {abs(off):.1f} s too {word}."


def _tolerance(asking: Asking) -> str:
    assert asking.question is not None
    return f"{KINDS[asking.question.kind]:g}"
