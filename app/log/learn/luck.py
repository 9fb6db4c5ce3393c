"""How much luck the lines of one drop, and the drops of one day, share.

Lines of one drop are not independent: there was a fish at the mark, or none. Luck is a normal
shift of the logit of a hit that a drop's lines share, and another that a day's share. Their
variances come from products of residuals of pairs of rows (of one drop; of one day but not one
drop), each shrunk toward a guess as if that had been seen before in a few pairs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.log.learn.table import Array, Codes, Table

GUESS_DROP, GUESS_DAY = 0.3, 0.2
"""Variance of the logit that is guessed before anything was seen (assumed)."""

GUESS_WEIGHT = 8.0
"""How much the guess counts, as the inverse of its variance (assumed)."""

HITS_BEFORE, LINES_BEFORE = 0.5, 5.0
"""What is added to hits and line-drops for the share of hits of the whole."""


@dataclass(frozen=True, slots=True)
class Luck:
    """``drop`` and ``day``: variances of the logit; ``rate`` of hits a line-drop on the whole."""

    drop: float
    day: float
    rate: float

    @property
    def spread(self) -> float:
        """Variance of one line-drop, rate (1 - rate), which is also the slope of the logit."""
        return self.rate * (1.0 - self.rate)


def luck_of(table: Table) -> Luck:
    """The luck that rows share in this table."""
    rate = (float(table.hit.sum()) + HITS_BEFORE) / (len(table) + LINES_BEFORE)
    spread = rate * (1.0 - rate)
    residual = table.hit - rate
    n = max(len(table), 1)
    same_drop = _pairs(residual, table.drop, spread / n)
    same_day = _pairs(residual, table.day, spread / n)
    other = same_day[0] - same_drop[0], same_day[1] - same_drop[1]
    share = np.bincount(table.day) / n if len(table) else np.ones(1)
    # one day alone says nothing of how days differ
    day = _shrunk(other[0], other[1], spread, GUESS_DAY, 1.0 - float(share @ share))
    drop = _shrunk(same_drop[0] - day * spread**2 * same_drop[1], same_drop[1], spread, GUESS_DROP)
    return Luck(drop, day, rate)


def _pairs(residual: Array, group: Codes, lost: float) -> tuple[float, float]:
    """Sum of products of pairs of one group and how many pairs; ``lost`` is what a product
    loses because the mean is that of the same rows."""
    size = np.bincount(group).astype(float)
    total = np.bincount(group, residual)
    count = float(np.sum(size * (size - 1.0)))
    return float(np.sum(total**2) - np.sum(residual**2)) + lost * count, count


def _shrunk(
    products: float, pairs: float, spread: float, guess: float, share: float = 1.0
) -> float:
    """A variance of the logit of the sum of so many products, shrunk toward a guess."""
    if pairs <= 0.0:
        return guess
    weight = 0.5 * pairs * spread**2 * share
    seen = products / (pairs * spread**2)
    return max((GUESS_WEIGHT * guess + weight * seen) / (GUESS_WEIGHT + weight), 0.01)
