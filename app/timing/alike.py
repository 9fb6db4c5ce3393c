"""What of a plan, and of its card, another setup changes."""

from __future__ import annotations

from dataclasses import replace

from app.planning.plan import Plan
from app.planning.situation import Situation
from app.scenario.setup import Setup
from physics.answers.timing import TOUCH_CHANCE
from physics.simulation.scenario import Scenario


def same_runs(plan: Plan, found: Situation) -> bool:
    """Whether a plan's runs serve another situation too: it differs in bottom or mark alone."""
    if plan.responses.along is None and not found.bottom.is_level:
        return False
    return same_but_for_words(plan.situation.scenario, found.scenario)


def same_but_for_words(one: Scenario, other: Scenario) -> bool:
    """Whether two scenarios are alike but for what they are called and what is noted of them."""
    return replace(one, name="-", notes="") == replace(other, name="-", notes="")


def another_scenario(old: Setup, new: Setup) -> bool:
    """Whether another scenario altogether is on screen: a chosen point means nothing in it."""
    return old.name != new.name or len(old.rods) != len(new.rods)


def card_wish(setup: Setup) -> object:
    """What else a card depends on: how unsure things are only where its holds are steady."""
    card = setup.card
    return (card, setup.doubt, setup.timing.touch_chance) if card.steady else card


def planned_part(setup: Setup) -> Setup:
    """A setup without what a plan does not depend on."""
    mark = setup.mark
    if mark is not None and setup.water.bottom.is_level:
        mark = replace(mark, time=0.0)
    return replace(
        setup.untold(),
        name="",
        notes="",
        duration=60.0,
        mark=mark,
        doubt=type(setup.doubt)(),
        card=type(setup.card)(),
        timing=replace(setup.timing, touch_chance=TOUCH_CHANCE),
    )
