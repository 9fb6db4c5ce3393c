"""Which level differs from the rest, guarded against looking at many at once.

Each level's score is what was hit there beyond what the day, and the drop, had anyway. It is a
sum over drops (and over days, of what only differs between days), whose signs would be as likely
turned if the level made no difference: Hemerik, Goeman & Finos (2020), JRSS B 82, 841 (MEMORY).
The largest of all levels of all factors is held against the largest that turned signs give, so
that on days where nothing matters a difference is told of in fewer than 1 case of 10.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy

from app.log.learn.luck import Luck
from app.log.learn.table import Array, Codes, Table

FALSE = 0.03
"""How often a difference may be told of where there is none, over all factors together."""

TURNS = 2000
"""How often signs are turned."""

MOST_CLUSTERS = 2000
"""With more drops than this the turned sums are taken as normal."""

POWER = 0.8
"""How often so many drops more are to show a difference of the size seen."""

ROUNDING = 1e-9
"""A score that spreads less than this is nothing but rounding."""

LEAST_HITS = 3
"""Hits of the whole under which nothing is told (turned signs know too few cases)."""


@dataclass(frozen=True)
class Differences:
    """``score`` (k,) of each level of each factor, in standard deviations, more than the rest
    if positive; ``needed`` is how large the largest must be to be told of."""

    score: dict[str, Array]
    needed: float

    def told(self, key: str) -> Codes:
        """The levels of a factor that differ from the rest, the surest first."""
        size = np.abs(self.score[key])
        order = np.argsort(-size, kind="stable")
        return order[size[order] > self.needed]

    def more_drops(self, key: str, level: int, drops: int) -> float:
        """How many more drops like these would show a difference of the size seen in so many."""
        size = abs(float(self.score[key][level]))
        if size == 0.0:
            return np.inf
        whole = drops * ((self.needed + scipy.special.ndtri(POWER)) / size) ** 2
        return max(whole - drops, 0.0)


def differences(
    table: Table, luck: Luck, false: float = FALSE, *, hourly: bool = False
) -> Differences:
    """What differs in a table, over all its factors: in hits a line-drop, or a line-hour.

    ``false`` is how often a difference may be told of where there is none.
    """
    keys = [factor.key for factor in table.factors]
    ends = np.cumsum([len(table.levels[key]) for key in keys])
    if not keys or table.hit.sum() < LEAST_HITS:
        nothing = {key: np.zeros(len(table.levels[key])) for key in keys}
        return Differences(nothing, np.inf)
    exposure = table.hours if hourly else np.ones(len(table))
    every = np.concatenate(
        [_contributions(table, key, luck, exposure, hourly=hourly) for key in keys], axis=1
    )
    products = every.T @ every
    deviation = np.sqrt(np.diag(products))
    # what adds up to rounding alone, as a factor of one level does, says nothing
    scale = np.where(deviation > ROUNDING, 1.0 / np.maximum(deviation, ROUNDING), 0.0)
    score = every.sum(axis=0) * scale
    rng = np.random.default_rng(len(every))
    if len(every) <= MOST_CLUSTERS:
        turned = (rng.integers(0, 2, (TURNS, len(every))) * 2.0 - 1.0) @ (every * scale)
    else:
        size, way = scipy.linalg.eigh(products * scale * scale[:, None])
        turned = rng.normal(size=(TURNS, len(size))) @ (way * np.sqrt(np.maximum(size, 0.0))).T
    needed = float(np.quantile(np.abs(turned).max(axis=1), 1.0 - false))
    return Differences(dict(zip(keys, np.split(score, ends[:-1]), strict=True)), needed)


def _contributions(table: Table, key: str, luck: Luck, exposure: Array, *, hourly: bool) -> Array:
    """What each drop, and then each day, adds to the score of each level (c, k).

    Rows are told apart within their drop, drops within their day, and days; the coarser a
    comparison, the more luck is in it, and the less it counts.
    """
    levels, drops, days = len(table.levels[key]), table.drops, int(table.day.max()) + 1
    use = (table.codes[key] >= 0) & (exposure > 0.0)
    hit, drop = table.hit[use], table.drop[use]
    cell = drop * levels + table.codes[key][use]
    day_of = np.zeros(drops, dtype=np.int64)
    day_of[drop] = table.day[use]
    here = np.bincount(cell, exposure[use], drops * levels).reshape(drops, levels)
    hits = np.bincount(cell, hit, drops * levels).reshape(drops, levels)
    size = here.sum(axis=1)
    rate = hit.sum() / max(float(size.sum()), 1e-12)
    spread = rate if hourly else rate * (1.0 - rate)
    fished = np.where(size > 0.0, size, 1.0)
    own, share = hits.sum(axis=1) / fished, here / fished[:, None]
    within = hits - here * own[:, None]
    # a drop counts by how surely its rate is known beside the luck it has of its own
    weight = size / (1.0 + luck.drop * spread * size)
    day_weight, day_rate, day_share = _means(day_of, days, weight, own, share)
    off_rate, off_share = own - day_rate[day_of], share - day_share[day_of]
    between = off_share * (weight * off_rate)[:, None]
    weight = day_weight / (1.0 + luck.day * spread * day_weight)
    _, all_rate, all_share = _means(np.zeros(days, dtype=np.int64), 1, weight, day_rate, day_share)
    of_days = (day_share - all_share) * (weight * (day_rate - all_rate))[:, None]
    return np.concatenate([within + between, of_days])


def _means(
    group: Codes, groups: int, weight: Array, rate: Array, share: Array
) -> tuple[Array, Array, Array]:
    """Weight (g,), mean rate (g,) and mean shares (g, k) of groups."""
    total = np.bincount(group, weight, groups).astype(float)
    some = np.where(total > 0.0, total, 1.0)
    shares = [np.bincount(group, weight * share[:, k], groups) for k in range(share.shape[1])]
    return (
        total,
        np.bincount(group, weight * rate, groups) / some,
        np.column_stack(shares) / (some[:, None]),
    )
