"""Where rod tips are: a free place for a new one, and those that are at one place."""

from __future__ import annotations

import math
from itertools import combinations, count

from app.common.units import FOOT
from app.scenario.setup import RodSetup, Setup

APART = FOOT.to_si(2.0)
"""A new line is put at least this far from every other, m."""

TOGETHER = 0.05
"""Tips nearer each other than this are at one place, m."""


def free_abeam(setup: Setup) -> float:
    """How far abeam a line like the last one is put, m: mirrored, or outward beside another."""
    like = setup.rods[-1]
    out = abs(like.abeam)
    for step in count():
        for side in (-1.0, 1.0) if like.abeam >= 0.0 else (1.0, -1.0):
            abeam = side * (out + step * APART)
            if all(_between(like, rod, abeam) > APART - 1e-6 for rod in setup.rods):
                return abeam
    raise AssertionError("there is always room further out")


def _between(like: RodSetup, rod: RodSetup, abeam: float) -> float:
    return math.hypot(rod.abeam - abeam, rod.astern - like.astern)


def coinciding(setup: Setup) -> str:
    """Which rods have their tips at one place, in words; nothing where none have."""
    for one, other in combinations(setup.rods, 2):
        apart = math.dist(
            (one.abeam, one.astern, one.height), (other.abeam, other.astern, other.height)
        )
        if apart < TOGETHER:
            return (
                f"{one.name} and {other.name} have their rod tips at one place: "
                "give one another tip abeam or astern."
            )
    return ""
