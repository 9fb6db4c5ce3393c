"""What the drill's tests share: rounds made once, and a player with orders written down."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from app.catalog import Catalog
from app.drill_round import Level, Round, make_round
from app.drill_score import Best, Outcome, aim_of, best_for, is_over, outcome_of
from physics.boat import Order
from physics.drop import Run

LEVELS: tuple[Level, ...] = (1, 2, 3, 4, 5)


@cache
def tackle() -> Catalog:
    return Catalog.load(None)


@cache
def drill(level: Level, seed: int) -> Round:
    return make_round(level, seed, tackle())


@cache
def best(level: Level, seed: int) -> Best:
    found = best_for(drill(level, seed), tackle())
    assert found is not None
    return found


def played(
    given: Round,
    orders: Sequence[Order] = (),
    *,
    slices: float = 3.0,
    until: float | None = None,
) -> Outcome:
    """A round sailed live: each order is given when its time has come, slice by slice of time.

    ``until`` s is when the player stops; without it, when the round is
    over.
    """
    run = Run([given.setup.scenario(tackle())])
    aim, end = aim_of(given, tackle()), 300.0 if until is None else until
    waiting, now = sorted(orders, key=lambda order: order.time), 0.0
    while now < end and (until is not None or waiting or not is_over(run, now, aim)):
        now = min(now + slices, end)
        # the run is ahead of the screen, as it is on the Rehearse page
        run.advance(now)
        while waiting and waiting[0].time <= now:
            run.order(waiting.pop(0))
            run.advance(now)
    return outcome_of(run, now, aim)


def drop(given: Round, wait: float, hold: float) -> tuple[Order, Order]:
    """Out of gear ``wait`` s after the mark, in gear ``hold`` s later."""
    out = given.mark_at + wait
    return Order(out, "out of gear"), Order(out + hold, "in gear")
