"""Hits per line-drop and per line-hour at each level of a factor, shrunk toward the whole.

A hierarchical model a factor: the logit (per line-drop, binomial) or the log (per line-hour,
Poisson) of a level's rate is that of the whole, plus the level's own, normal with spread tau,
plus the day's luck. Laplace's approximation at each tau of a grid, weighted by its evidence and
prior, gives a mixture of normals (empirical Bayes would take the best tau alone, and be too
sure). The luck of a drop makes its lines at one level count as fewer, and what it gives lines at
different levels in common goes to the day.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import scipy

from app.log.learn.luck import Luck
from app.log.learn.table import Array, Codes, Table

SURE = 0.8
"""Share of drops' worth of truth an interval is to hold."""

TAUS = np.array([0.02, 0.15, 0.3, 0.5, 0.75, 1.1, 1.6])
PRIOR = np.array([0.55, 0.12, 0.10, 0.08, 0.07, 0.05, 0.03])
"""How far levels may differ, on the logit or log scale, and how likely that is beforehand: as
likely as not, hardly at all (assumed; tests hold the intervals to what they promise)."""

WHOLE = (-2.2, 1.0)
"""Mean and standard deviation of the logit of the whole beforehand: 1 in 10 (assumed)."""

WHOLE_HOUR = (0.7, 2.5)
"""As WHOLE, of the log of hits a line-hour: 2 (assumed)."""

NEWTON, LEAP, CLOSE = 40, 2.0, 1e-6
"""Most steps to the mode; the longest of them; and how short the last one is."""

POINTS = 241
"""Where the mixture is looked at for its quantiles."""


@dataclass(frozen=True)
class Rates:
    """Of each level (k,): the shrunk rate and the ends of its 80 % interval; ``hits`` and what
    was fished, ``exposure`` line-drops or line-hours, as they are."""

    rate: Array
    low: Array
    high: Array
    hits: Array
    exposure: Array


def per_drop(table: Table, key: str, luck: Luck) -> Rates:
    """Hits per line-drop at each level of a factor."""
    return _rates(table, key, luck, np.ones(len(table)), hourly=False)


def per_hour(table: Table, key: str, luck: Luck) -> Rates:
    """Hits per line-hour at each level of a factor; rows that nobody timed are left out."""
    return _rates(table, key, luck, table.hours, hourly=True)


def _rates(table: Table, key: str, luck: Luck, exposure: Array, *, hourly: bool) -> Rates:
    cells = _cells(table, key, exposure)
    hits, fished = cells.hits.sum(axis=0), cells.exposure.sum(axis=0)
    spread = (hits.sum() + 0.5) / (fished.sum() + 0.1) if hourly else luck.spread
    count = 1.0 / (1.0 + luck.drop * spread * cells.fewer)
    mixture = _mixture(
        cells.hits * count,
        cells.exposure * count,
        luck.day + luck.drop * cells.shared,
        hourly=hourly,
    )
    low, middle, high = mixture.quantiles((0.5 - SURE / 2, 0.5, 0.5 + SURE / 2))
    if hourly:
        ends = [np.exp(end + 0.5 * luck.day) for end in (middle, low, high)]
    else:
        # the mean of the logistic of a normal, nearly (MacKay 1992, MEMORY)
        flat = 1.0 / np.sqrt(1.0 + np.pi / 8.0 * luck.day)
        ends = [scipy.special.expit(end * flat) for end in (middle, low, high)]
    rate, lowest, highest = ends
    return Rates(rate, lowest, highest, hits, fished)


@dataclass(frozen=True)
class _Cells:
    """Hits and exposure (t, k) by day and level. ``fewer`` (k,): what lines of one drop at one
    level share, in exposure; ``shared`` (t,): what part of a drop's luck is left in the mean of
    a day because its lines were at different levels."""

    hits: Array
    exposure: Array
    fewer: Array
    shared: Array


def _cells(table: Table, key: str, exposure: Array) -> _Cells:
    levels, days = len(table.levels[key]), int(table.day.max(initial=0)) + 1
    use = (table.codes[key] >= 0) & (exposure > 0.0)
    code, day, drop, fished = table.codes[key][use], table.day[use], table.drop[use], exposure[use]

    def by(group: Codes, groups: int, of: Array) -> Array:
        counted = np.bincount(group * levels + code, of, groups * levels).astype(float)
        return counted.reshape(groups, levels)

    hits, seen = by(day, days, table.hit[use]), by(day, days, fished)
    of_drop = by(drop, table.drops, fished)
    day_of = np.zeros(table.drops, dtype=np.int64)
    day_of[drop] = day
    square = of_drop**2
    twins = square.sum(axis=0) - np.bincount(code, fished**2, levels)
    mixed = np.bincount(day_of, of_drop.sum(axis=1) ** 2 - square.sum(axis=1), days)
    some = seen.any(axis=1)
    return _Cells(
        hits[some],
        seen[some],
        twins / np.maximum(seen.sum(axis=0), 1e-12),
        mixed[some] / seen[some].sum(axis=1) ** 2,
    )


@dataclass(frozen=True)
class _Mixture:
    """A level's logit or log is one of m normals: ``weight`` (m,), ``mean`` and ``deviation``
    (m, k)."""

    weight: Array
    mean: Array
    deviation: Array

    def quantiles(self, shares: tuple[float, ...]) -> list[Array]:
        """Where the mixture holds these shares (each of k)."""
        low = (self.mean - 6.0 * self.deviation).min(axis=0)
        high = (self.mean + 6.0 * self.deviation).max(axis=0)
        grid = low + (high - low) * np.linspace(0.0, 1.0, POINTS)[:, None]
        held = np.einsum(
            "m,gmk->gk",
            self.weight,
            scipy.special.ndtr((grid[:, None] - self.mean) / self.deviation),
        )
        return [
            np.array([np.interp(share, held[:, k], grid[:, k]) for k in range(grid.shape[1])])
            for share in shares
        ]


def _mixture(hits: Array, exposure: Array, day: Array, *, hourly: bool) -> _Mixture:
    """What is known of the levels' logits or logs, one normal for each of TAUS."""
    center, wide = WHOLE_HOUR if hourly else WHOLE
    levels = hits.shape[1]
    whole, own, luck = center, np.zeros(levels), np.zeros(len(hits))
    evidence, mean, deviation = [], [], []
    for tau in TAUS:
        for _ in range(NEWTON):
            eta = whole + own + luck[:, None]
            if hourly:
                expected = weight = exposure * np.exp(eta)
            else:
                share = scipy.special.expit(eta)
                expected, weight = exposure * share, exposure * share * (1.0 - share)
            off = hits - expected
            # day by day the luck is eliminated, what is left is of the whole and the levels
            days = weight.sum(axis=1) + 1.0 / day
            slope_day = off.sum(axis=1) - luck / day
            slope = np.concatenate(
                [[off.sum() - (whole - center) / wide**2], off.sum(axis=0) - own / tau**2]
            )
            level = weight.sum(axis=0)
            cross = np.column_stack([weight.sum(axis=1), weight])
            curve = np.zeros((levels + 1, levels + 1))
            curve[0, 1:] = curve[1:, 0] = level
            curve[np.diag_indices(levels + 1)] = [
                level.sum() + wide**-2, *(level + tau**-2)
            ]  # fmt: skip
            curve -= cross.T @ (cross / days[:, None])
            step = np.linalg.solve(curve, slope - cross.T @ (slope_day / days))
            step_day = (slope_day - cross @ step) / days
            size = max(float(np.abs(step).max()), float(np.abs(step_day).max(initial=0.0)))
            # a logit that leaps overshoots
            part = min(1.0, LEAP / size) if size else 1.0
            whole += part * float(step[0])
            own = own + part * step[1:]
            luck = luck + part * step_day
            if size < CLOSE:
                break
        eta = whole + own + luck[:, None]
        told = (
            hits * eta - exposure * (np.exp(eta) if hourly else np.logaddexp(0.0, eta))
        ).sum()  # fmt: skip
        told -= 0.5 * (((whole - center) / wide) ** 2 + (own @ own) / tau**2 + luck @ (luck / day))
        evidence.append(
            told - levels * np.log(tau) - 0.5 * (np.linalg.slogdet(curve)[1] + np.log(days).sum())
        )
        known = np.linalg.inv(curve)
        mean.append(whole + own)
        deviation.append(np.sqrt(known[0, 0] + 2.0 * known[0, 1:] + np.diag(known)[1:]))
    log = np.array(evidence) + np.log(PRIOR)
    weight = np.exp(log - log.max())
    return _Mixture(weight / weight.sum(), np.array(mean), np.array(deviation))
