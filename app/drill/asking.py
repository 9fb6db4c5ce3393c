"""View-model of the question cards: what is asked, and what the trainee answered."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QObject, Signal

from app.drill.model import Drill
from app.drill.questions import BOXES, Answered, Question, answer, boxed, next_question
from app.drill.store import Card

NEVER = 10**9
"""When a question without an answer is due, questions asked."""

LATELY = 10
"""Errors of this many last rounds decide what is asked more often."""


class Asking(QObject):
    """``changed``: another question, its answer is known, or one was given."""

    changed = Signal()

    def __init__(self, drill: Drill, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._drill = drill
        self.question: Question | None = None
        self.answered: Answered | None = None
        self.given: float | None = None
        self.trouble = ""

    @property
    def boxes(self) -> list[int]:
        """How many cards lie in each box, the first one first."""
        cards = self._drill.store.cards(self._drill.trainee)
        return [sum(card.box == box for card in cards) for box in range(1, BOXES + 1)]

    @property
    def shown(self) -> bool:
        """Whether the right answer may be shown."""
        return self.given is not None and self.answered is not None

    def ask(self) -> None:
        """The next question, and in the background its answer."""
        drill = self._drill
        store, trainee = drill.store, drill.trainee
        errors = [
            error
            for result in store.results(trainee)[-LATELY:]
            for error in result.errors.split(", ")
        ]
        self.question = next_question(
            store.cards(trainee), store.asked(trainee), errors, trainee.number
        )
        self.answered, self.given, self.trouble = None, None, ""
        drill.background.ask("card", self._got, answer, self.question, drill.catalog, reports=True)
        self.changed.emit()

    def give(self, seconds: float) -> None:
        """What the trainee says, s."""
        if self.given is None and self.question is not None:
            self.given = seconds
            self._settle()
            self.changed.emit()

    def _got(self, result: Any) -> None:
        if isinstance(result, Answered):
            self.answered = result
            if result.seconds is None and self.given is None:
                # a line that never comes so low teaches nothing here: another one
                self._settle()
                self.ask()
                return
            self._settle()
        else:
            self.trouble = f"This question could not be computed ({result})."
        self.changed.emit()

    def _settle(self) -> None:
        """Box the card once both answers are there; one without an answer is put away."""
        if self.answered is None or (self.given is None and self.answered.seconds is not None):
            return
        assert self.question is not None
        store, trainee = self._drill.store, self._drill.trainee
        asked = store.asked(trainee)
        if self.answered.seconds is None or self.given is None:
            card = Card(self.question.key, BOXES, NEVER)
        else:
            right = self.answered.right(self.given)
            card = boxed(self.question, store.cards(trainee), asked, right)
        store.put_card(trainee, card)
        self._drill.keeper.keep()
