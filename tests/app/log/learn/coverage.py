"""How often intervals hold the truth of made-up days, and how often a difference is told of."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from app.log.learn.differences import differences
from app.log.learn.luck import luck_of
from app.log.learn.rates import per_drop, per_hour
from tests.app.log.learn.world import FISHED, LEVELS, World, table

SIZES = ((2, 10, 4), (5, 12, 4), (12, 12, 5))
"""Days, drops a day, lines a drop."""


@dataclass
class Counted:
    """Intervals looked at and those that held the truth; days' worth of rows, those with a claim,
    claims and those whose sign is right."""

    held: list[bool] = field(default_factory=list)
    held_hourly: list[bool] = field(default_factory=list)
    runs: int = 0
    claimed: int = 0
    claims: int = 0
    right: int = 0


def count(runs: int, size: tuple[int, int, int], nothing: bool, *, rates: bool = True) -> Counted:
    """So many worlds fished for a size of days; where ``nothing`` is set nothing matters."""
    out = Counted(runs=runs)
    for run in range(runs):
        rng = np.random.default_rng((run, size[0], nothing))
        world = World.random(rng)
        if nothing:
            world.effect = {}
        rows = table(world, rng, *size)
        luck = luck_of(rows)
        found = differences(rows, luck)
        told = [(key, level) for key in found.score for level in found.told(key)]
        out.claimed += bool(told)
        out.claims += len(told)
        for key, level in told:
            effect = world.effect.get(key, np.zeros(len(LEVELS[key])))
            out.right += np.sign(effect[level] - effect.mean()) == np.sign(found.score[key][level])
        for key in LEVELS if rates else ():
            rate, truth = per_drop(rows, key, luck), world.truth(key, rng)
            if len(rate.rate) == len(truth):
                out.held += list((rate.low <= truth) & (truth <= rate.high))
                rate, truth = per_hour(rows, key, luck), truth / FISHED
                out.held_hourly += list((rate.low <= truth) & (truth <= rate.high))
    return out
