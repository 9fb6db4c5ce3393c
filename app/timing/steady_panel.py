"""The steady answer beside the exact one: what it is, what it costs and gains; and what matters."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout

from app.planning.steady_words import (
    COUNTED,
    MEASURED_BY,
    matters_sentence,
    steady_sentence,
    trade_sentence,
)
from app.scenario.keys import DOUBT_WORDS, MAY_TOUCH
from app.timing.model import Planner
from app.ui.look import font
from app.ui.number_field import Field, NumberField
from app.ui.panel import Panel, quiet
from app.ui.plain import Label, as_tip
from app.ui.preferences import Preferences
from app.ui.steps import BODY, GAP, HAIR


class SteadyPanel(Panel):
    """Two lines of words, and what can be done with them; both are there while nothing is known,
    so that an answer moves nothing.

    ``to_rehearse``: the steady answer was sent to the live page.
    """

    to_rehearse = Signal()

    def __init__(self, planner: Planner) -> None:
        super().__init__("The steady answer")
        self._planner = planner
        # one row: the words say themselves what they are
        for part in (self.title, self.note, self.right):
            part.hide()
        self.body.removeItem(self.head)
        self.setToolTip(as_tip(f"Which answer is right most often. {COUNTED}"))
        self.setAccessibleName("The steady answer")
        self.words, self.trade = Label(), quiet()
        self.words.setFont(font(BODY, bold=True))
        for label in (self.words, self.trade):
            label.setWordWrap(True)
        said = QVBoxLayout()
        said.setSpacing(HAIR)
        said.addWidget(self.words)
        said.addWidget(self.trade)
        self.look = QPushButton("Look at it")
        self.look.setToolTip("Look at this wait and hold, and how sure it is")
        self.look.clicked.connect(self._look)
        self.rehearse = QPushButton("Rehearse it")
        self.rehearse.setToolTip("Start over on the Rehearse page with the steady wait and hold")
        self.rehearse.clicked.connect(self._rehearse)
        row = QHBoxLayout()
        row.setSpacing(GAP)
        row.addLayout(said, 1)
        row.addWidget(self.look)
        row.addWidget(self.rehearse)
        self.body.addLayout(row)
        planner.changed.connect(self.refresh)
        planner.point_moved.connect(self.refresh)
        planner.steady_changed.connect(self.refresh)
        planner.progress_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Say what is known."""
        planner, plan = self._planner, self._planner.plan
        usable = planner.refused is None and not planner.trouble
        found = planner.steady.ready if usable else None
        answer = None if found is None else found.answer
        if found is None or plan is None:
            self.words.setText(self._unknown())
            self.trade.setText("")
        else:
            setup = planner.request.setup
            self.words.setText(steady_sentence(found, setup.doubt, len(plan.rods)))
            self.trade.setText(trade_sentence(found))
        there = answer is not None and planner.point == (answer.wait, answer.hold)
        self.look.setEnabled(answer is not None and not there)
        self.rehearse.setEnabled(answer is not None and planner.fresh and answer.hold >= 0.5)

    def _unknown(self) -> str:
        """Why nothing is known."""
        planner = self._planner
        if planner.busy:
            return "Working out what is right most often…"
        return "Stopped: what is right most often is not known." if planner.stopped else "–"

    def _look(self) -> None:
        found = self._planner.steady.ready
        if found is not None and found.answer is not None:
            self._planner.look_at(found.answer.wait, found.answer.hold)

    def _rehearse(self) -> None:
        self._look()
        self._planner.rehearse()
        self.to_rehearse.emit()


class MattersPanel(Panel):
    """How often a line may touch, which input is worth measuring, and the way to measure it.

    ``to_measure`` carries the kind of measurement.
    """

    to_measure = Signal(str)

    def __init__(self, planner: Planner, preferences: Preferences) -> None:
        super().__init__("What matters")
        self._planner = planner
        self.allowed = NumberField(
            MAY_TOUCH, lambda: planner.request.setup.timing.touch_chance,
            planner.allow, preferences,
        )  # fmt: skip
        field = Field("May touch bottom in", self.allowed)
        field.setToolTip("The steady answer touches in no more drops than this")
        self.body.addWidget(field)
        self.words = quiet()
        self.words.setWordWrap(True)
        self.body.addWidget(self.words)
        self.measure = QPushButton()
        self.measure.setToolTip("Go to the Measure page, made ready for it")
        self.measure.clicked.connect(self._measure)
        self.body.addWidget(self.measure)
        planner.steady_changed.connect(self.refresh)
        planner.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Say what is known."""
        self.allowed.renew()
        found = self._planner.steady.ready
        self.words.setText("" if found is None else matters_sentence(found.worth))
        self.words.setVisible(bool(self.words.text()))
        name = self._worth_measuring()
        self.measure.setVisible(bool(name))
        self.measure.setText(f"Measure: {DOUBT_WORDS[name]}" if name else "")

    def _worth_measuring(self) -> str:
        """The input that is most worth knowing and can be measured here, or an empty text."""
        found = self._planner.steady.ready
        names = [] if found is None else found.worth.evident
        return next((name for name in names if name in MEASURED_BY), "")

    def _measure(self) -> None:
        name = self._worth_measuring()
        if name:
            self.to_measure.emit(MEASURED_BY[name])
