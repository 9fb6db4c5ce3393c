"""Question cards: one line, one bottom, one speed; the answer simulated there and then.

A question known moves up a box and comes back later; one missed goes to the
first box and comes back after one other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from app.common.quantities import Quantity, spell
from app.common.scales import always
from app.common.units import COLOR, FOOT, KNOT, SECOND, Unit
from app.drill.store import Card
from app.gear.catalog import Catalog
from app.planning.card_table import HOLDS, sinking_on, wait_for
from app.planning.plan import FIRST_RESOLUTION, holds_to_run
from app.scenario.setup import RodSetup, Setup
from physics.answers.between import between
from physics.answers.holds import bare, below_all, respond
from physics.answers.timing import CLEARANCE, Aim, shortest_hold
from physics.checks import Limits
from physics.environment.water import Water
from physics.progress import ProgressCallback
from physics.simulation.scenario import Mark

ANSWER = Quantity(
    "answer", spell("answer", "s"), Limits(0.0, 120.0, "s"), 0.0, always(SECOND, 0, 1.0),
    "your answer",
)  # fmt: skip

BOXES = 5

REST = (1, 2, 4, 8, 16)
"""Questions asked between two askings of one in each box."""

SOON = 1
"""Questions asked before one missed comes back."""

KINDS = {"hold": 2.0, "wait": 2.0, "sinks on": 1.0}
"""What is asked, and how many seconds off still counts as right."""

SHARE = 0.15
"""An answer off by this share of the right one counts as right, too."""

FOR_ERROR = {
    "long hold": "hold", "short hold": "hold", "touched": "sinks on", "early out": "wait",
    "late out": "wait", "no drop": "wait",
}  # fmt: skip
"""What is asked more often after each kind of error."""

BOAT, LURE = "center console, 26 ft, twin engines", "sinking plug, 5 in"

LEADER = FOOT.to_si(20.0)
"""Length of the leader of every question, m."""

MARK_OVER = FOOT.to_si(5.0)
"""How far over the bottom the mark of a question is, m."""


@dataclass(frozen=True, slots=True)
class Question:
    """``kind`` of KINDS; ``bottom`` in feet, ``colors`` out and ``knots``, round as asked."""

    kind: str
    bottom: float
    colors: float
    knots: float

    @property
    def key(self) -> str:
        """As kept."""
        return f"{self.kind}|{self.bottom:g}|{self.colors:g}|{self.knots:g}"

    @classmethod
    def of(cls, key: str) -> Question:
        """From as kept. Raises ValueError."""
        kind, bottom, colors, knots = key.split("|")
        if kind not in KINDS:
            raise ValueError(kind)
        return cls(kind, float(bottom), float(colors), float(knots))

    def text(self, unit: Unit, speed: Unit) -> str:
        """As asked, depths in ``unit``."""
        here = f"Bottom {unit.text(FOOT.to_si(self.bottom), 0)}, {self.colors:g} colors, "
        here += f"{round(speed.from_si(KNOT.to_si(self.knots)), 1):g} {speed.symbol}: "
        keep = f"{unit.text(CLEARANCE, 0)} off bottom"
        asked = {
            "hold": f"how long a hold brings the line down to {keep}?",
            "wait": f"held down to {keep} for a mark {unit.text(MARK_OVER, 0)} off "
            "bottom, how long is the wait after the mark?",
            "sinks on": f"held down to {keep}, how long does the lure go on sinking once in gear?",
        }[self.kind]
        return here + asked


@dataclass(frozen=True, slots=True)
class Answered:
    """The right answer, s, or None where the line never comes so low."""

    question: Question
    seconds: float | None

    @property
    def tolerance(self) -> float:
        """How far off still counts as right, s."""
        return max(KINDS[self.question.kind], SHARE * (self.seconds or 0.0))

    def right(self, given: float) -> bool:
        """Whether an answer, s, is near enough."""
        return self.seconds is not None and abs(given - self.seconds) <= self.tolerance


def answer(
    question: Question, catalog: Catalog, progress: ProgressCallback | None = None
) -> Answered:
    """The right answer, simulated on coarse lines. Raises ConvergenceError, Cancelled."""
    depth = FOOT.to_si(question.bottom)
    rod = RodSetup("line", line_out=COLOR.to_si(question.colors), lure=LURE, leader_length=LEADER)
    deep = below_all([rod.rod(catalog)])
    setup = Setup("card", Water(deep), BOAT, (rod,), speed=KNOT.to_si(question.knots))
    scenario = replace(bare(setup.scenario(catalog)), resolution=FIRST_RESOLUTION)
    run = respond(scenario, holds_to_run(scenario.water, HOLDS[-1]), progress=progress)
    found = between(run, HOLDS)
    least = np.nanmin(found.low[:, 0, :, 2], axis=1)
    hold = shortest_hold(found.holds, depth + least, setup.timing.clearance)
    if hold is None:
        return Answered(question, None)
    if question.kind == "hold":
        return Answered(question, hold)
    if question.kind == "sinks on":
        answer = sinking_on(found, 0, hold)
    else:
        aim = Aim(Mark(depth - MARK_OVER), setup.timing.radius, setup.timing.clearance)
        answer = wait_for(found, 0, hold, aim)
    return Answered(question, None if math.isnan(answer) else answer)


def next_question(cards: Sequence[Card], asked: int, errors: Sequence[str], seed: int) -> Question:
    """What to ask now: the lowest box that is due, else something new.

    New questions lean toward what was done wrong in rounds, by kind of error.
    """
    due = [card for card in cards if card.due <= asked]
    for card in sorted(due, key=lambda card: (card.box, card.due)):
        try:
            return Question.of(card.question)
        except ValueError:
            continue
    dice = np.random.default_rng([seed, asked])
    kinds = [*KINDS, *(FOR_ERROR[error] for error in errors if error in FOR_ERROR)]
    return Question(
        str(kinds[int(dice.integers(len(kinds)))]),
        float(2 * dice.integers(12, 21)),
        float(dice.integers(12, 21)) / 2.0,
        float(dice.integers(12, 16)) / 2.0,
    )


def boxed(question: Question, cards: Sequence[Card], asked: int, right: bool) -> Card:
    """The card after an answer: a box up, or back to the first."""
    old = next((card.box for card in cards if card.question == question.key), 0)
    box = min(old + 1, BOXES) if right else 1
    return Card(question.key, box, asked + 1 + (REST[box - 1] if right else SOON))
