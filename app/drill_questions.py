"""Question cards of a drill: how long a hold from these depths, colors and knots; and when again.

Depends on: catalog, setup, units; physics.between, physics.checks, physics.holds, physics.mesh,
physics.timing, physics.water.

The right answer is simulated when it is asked for, on one line of the setup
over deep level water. A card is asked again after the longer the oftener it
was answered right.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from app.catalog import Catalog
from app.setup import LEAST_LINE_OUT, MOST_LINE_OUT, RodSetup, Setup
from app.units import COLOR, FOOT, KNOT, Unit
from physics.between import between
from physics.checks import Unusable, require_number
from physics.holds import Tell, bare, respond
from physics.mesh import Resolution
from physics.timing import shortest_hold
from physics.water import Bottom, compass_vector

MOST_QUESTIONS = 200

DEPTH_STEP = 5.0
LINE_STEP = 0.5
SPEED_STEP = 0.5
"""How a mate rounds them: feet of bottom, colors out, knots."""

DEPTH_STEPS = 2
LINE_STEPS = 4
SPEED_STEPS = 2
"""Questions go this many steps to either side of the setup's own numbers."""

LEAST_SPEED, MOST_SPEED = 1.0, 20.0
"""Knots asked about."""

LONGEST = 60.0
"""Longest hold that counts as an answer, s."""

HOLDS = tuple(2.0 * n for n in range(31))
"""Holds told apart, s; the answer lies on a curve through them."""

RUN_HOLDS = (0.0, 2.0, 5.0, 10.0, 18.0, 30.0, 44.0, LONGEST)
"""Holds run, s; those between are interpolated."""

AFTER = 25.0
"""Seconds followed after in gear: the lure has turned by then."""

STEP_TOLERANCE = 0.03
LONGEST_STEP = 4.0
RESOLUTION = Resolution(line_elements=12, leader_elements=2)
"""Coarse, to answer in half a second.

Over 48 questions about the demos, holds are within 0.6 s of those on the usual
lines with the usual steps, mostly 0.1 to 0.5 s long; none is missed or made up.
"""

UNDER = 20.0
"""The deep water is this much deeper than the line is long, m."""

TOLERANCE_SECONDS = 2.0
TOLERANCE_SHARE = 0.1
"""An answer is right within the seconds or within the share, whichever is more."""

BOXES = (1, 2, 3, 4, 5)
DAYS = (0, 1, 3, 7, 14)
"""Days until a card of each box is asked again."""


@dataclass(frozen=True, slots=True, order=True)
class Question:
    """How long a hold over a bottom ``depth`` m deep, with ``line_out`` m, at ``speed`` m/s.

    Raises Unusable (depth, line_out, speed).
    """

    depth: float
    line_out: float
    speed: float

    def __post_init__(self) -> None:
        require_number("depth", self.depth, 0.1, 2000.0, "m")
        require_number("line_out", self.line_out, LEAST_LINE_OUT / 2.0, 2.0 * MOST_LINE_OUT, "m")
        require_number("speed", self.speed, 0.2, 12.0, "m/s")


@dataclass(frozen=True, slots=True)
class Card:
    """A question, the ``box`` (1 to 5) it is in, and the day it is due. Raises Unusable (box)."""

    question: Question
    box: int
    due: date

    def __post_init__(self) -> None:
        _check_box(self.box)

    def answered(self, right: bool, day: date) -> Card:
        """The card after an answer on a day, in its next box and due when that says."""
        box = next_box(self.box, right)
        return Card(self.question, box, due_after(box, day))


def make_questions(setup: Setup, seed: int, count: int) -> tuple[Question, ...]:
    """Different questions around a setup's own numbers, in an order that the seed gives.

    Depth in steps of 5 ft, line in half colors, speed in half knots, about the
    bottom under the mark (where she comes by then in no current), the line out
    and the speed. Lines shorter than the water is deep are left out, so there
    may be fewer than ``count``. Own sections of line stay as long as they are.
    Raises Unusable (count).
    """
    require_number("count", count, 1, MOST_QUESTIONS)
    rod = asked_rod(setup)
    depths = _round_about(FOOT, _depth(setup), DEPTH_STEP, DEPTH_STEPS, DEPTH_STEP, math.inf)
    speeds = _round_about(KNOT, setup.speed, SPEED_STEP, SPEED_STEPS, LEAST_SPEED, MOST_SPEED)
    if rod.sections is not None:
        lines, leader = [math.fsum(part.length for part in rod.sections)], 0.0
    else:
        most = COLOR.from_si(MOST_LINE_OUT)
        lines = _round_about(COLOR, rod.line_out, LINE_STEP, LINE_STEPS, LINE_STEP, most)
        leader = rod.leader_length
    possible = [
        Question(depth, line, speed)
        for depth in depths
        for line in lines
        for speed in speeds
        if depth - setup.timing.clearance < line + leader
    ]
    return tuple(random.Random(seed).sample(possible, min(count, len(possible))))


def asked_rod(setup: Setup) -> RodSetup:
    """The rod questions are about: the first whose line out can be changed, or else the first."""
    return next((rod for rod in setup.rods if rod.sections is None), setup.rods[0])


def words(question: Question, unit: Unit = FOOT) -> str:
    """The question as a mate asks it, the bottom in ``unit``."""
    depth = f"{_plain(unit.from_si(question.depth))} {unit.symbol}"
    colors = _plain(COLOR.from_si(question.line_out))
    speed = f"{_plain(KNOT.from_si(question.speed))} {KNOT.symbol}"
    kind = "color" if colors == "1" else "colors"
    return f"Bottom {depth}, {colors} {kind}, {speed}: how long a hold?"


def answer(
    question: Question, setup: Setup, catalog: Catalog, tell: Tell | None = None
) -> float | None:
    """The shortest hold, s, that brings line or lure within the setup's clearance of bottom.

    0 if she is that near in the tow already, None if 60 s do not do it.
    ``tell`` hears the share of the work done. Raises Unusable, march.Stuck,
    holds.Stopped.
    """
    rod = asked_rod(setup)
    if rod.sections is None:
        rod = replace(rod, line_out=question.line_out)
    length = question.line_out + rod.leader_length
    water = replace(setup.water, bottom=Bottom.level(max(length + UNDER, question.depth)))
    alone = replace(
        setup, rods=(rod,), water=water, speed=question.speed, mark=None, orders=(), hold=None,
        motion=None, resolution=RESOLUTION,
    )  # fmt: skip
    run = respond(
        bare(alone.scenario(catalog)), RUN_HOLDS,
        after=AFTER, tolerance=STEP_TOLERANCE, longest=LONGEST_STEP, tell=tell,
    )  # fmt: skip
    found = between(run, HOLDS)
    least = np.nanmin(found.low[:, 0, :, 2], axis=1)
    return shortest_hold(found.holds, question.depth + least, setup.timing.clearance)


def judged(answer: float | None, given: float | None) -> bool:
    """Whether a given hold, s, is right; None says that no hold does it."""
    if answer is None or given is None:
        return answer is given
    return abs(given - answer) <= max(TOLERANCE_SECONDS, TOLERANCE_SHARE * answer)


def next_box(box: int, right: bool) -> int:
    """The box a card goes to: one up when right, the first when wrong. Raises Unusable (box)."""
    _check_box(box)
    return min(box + 1, BOXES[-1]) if right else BOXES[0]


def due_after(box: int, day: date) -> date:
    """When a card that came into a box on a day is due. Raises Unusable (box)."""
    _check_box(box)
    return day + timedelta(days=DAYS[box - 1])


def pick(cards: Sequence[Card], today: date, seed: int) -> Card | None:
    """One of the cards due today or before, low boxes likelier; None if none is due.

    The same for the same cards in any order, day and seed.
    """
    due = sorted(
        (card for card in cards if card.due <= today),
        key=lambda card: (card.question, card.box, card.due),
    )
    if not due:
        return None
    weights = [BOXES[-1] + 1 - card.box for card in due]
    return random.Random(seed).choices(due, weights)[0]


def _check_box(box: int) -> None:
    if isinstance(box, bool) or box not in BOXES:
        raise Unusable("box", box, "1 to 5")


def _depth(setup: Setup) -> float:
    """Depth of water, m, where the mark is, or where she starts without one."""
    run = 0.0 if setup.mark is None else setup.mark.time * setup.speed
    place = run * np.array(compass_vector(setup.heading))
    return float(setup.water.bottom.depth_at(place[:1], place[1:])[0])


def _round_about(
    unit: Unit, value: float, step: float, steps: int, least: float, most: float
) -> list[float]:
    """SI values round in a unit about one; ``step``, ``least``, ``most`` are in the unit."""
    middle = round(unit.from_si(value) / step)
    middle = max(middle, math.ceil(least / step))
    round_ones = [step * n for n in range(middle - steps, middle + steps + 1)]
    return [unit.to_si(one) for one in round_ones if least <= one <= most]


def _plain(number: float) -> str:
    """A number with a tenth at most, and none when it is whole."""
    return f"{round(number, 1):g}"
