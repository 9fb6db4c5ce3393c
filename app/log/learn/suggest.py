"""What to try next: Thompson sampling over setups near the one fished last.

One additive logistic model of all that a skipper sets, with the day's luck; levels of a number
are alike the nearer they are. One draw from what is known of it (Laplace's approximation) is
taken for the truth, and the changes that would gain most under it are proposed: what is likely
better is chosen often, and what is little known now and then (Thompson 1933, Biometrika 25, 285;
MEMORY).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy

from app.log.learn.factors import FACTORS, Factor
from app.log.learn.luck import Luck
from app.log.learn.table import Array, Table, Value

MOST_CHANGES = 2
"""How many things are changed at once: with more, a crew loses its way (assumed)."""

NEAR = 2
"""How many steps of a number are changed at once."""

LATEST = 20_000
"""So many of the latest line-drops are looked at."""

OWN = 0.6
"""Standard deviation of a level's own logit beforehand (assumed)."""

ALIKE = 1.5
"""Over how many steps levels of a number are alike (assumed)."""

WHOLE = (-2.2, 1.5)
"""Mean and standard deviation of the logit of the whole beforehand (assumed)."""

NEWTON, CLOSE = 25, 1e-6


@dataclass(frozen=True, slots=True)
class Change:
    """One factor's level to change: of the drop, or of one line of those that are at ``old``."""

    key: str
    old: Value
    new: Value


@dataclass(frozen=True, slots=True)
class Level:
    """Where a factor's level stands in the model, and on how many line-drops it was."""

    value: Value
    place: int
    tried: int


def suggest(table: Table, luck: Luck, seed: int | None = None) -> tuple[Change, ...]:
    """What to change from the last drop; nothing when it is best left as it is.

    The same rows give the same suggestion, in whatever order they come, unless a ``seed`` is
    given. No rows give no suggestion.
    """
    if not len(table):
        return ()
    table = _latest(table)
    levels = {f: _levels(table, f) for f in FACTORS if f.settable and table.levels.get(f.key)}
    place = 1
    placed: dict[Factor, list[Level]] = {}
    for factor, found in levels.items():
        placed[factor] = [Level(v, place + n, tried) for n, (v, tried) in enumerate(found)]
        place += len(found)
    mode, root = _posterior(table, luck, placed, place)
    rng = np.random.default_rng((len(table), int(table.hit.sum())) if seed is None else seed)
    drawn = mode + scipy.linalg.solve_triangular(root.T, rng.normal(size=len(mode)))
    return _best(table, placed, drawn)


def _latest(table: Table) -> Table:
    if len(table) <= LATEST:
        return table
    kept = np.sort(np.argsort(table.drop, kind="stable")[-LATEST:])
    drop = np.unique(table.drop[kept], return_inverse=True)[1]
    day = np.unique(table.day[kept], return_inverse=True)[1]
    codes = {key: code[kept] for key, code in table.codes.items()}
    return Table(day, drop, table.hit[kept], table.hours[kept], codes, table.levels)


def _levels(table: Table, factor: Factor) -> list[tuple[Value, int]]:
    """A factor's levels and on how many rows each was; of numbers those next to them too."""
    seen = np.bincount(table.codes[factor.key] + 1, minlength=len(table.levels[factor.key]) + 1)
    tried = dict(zip(table.levels[factor.key], (int(n) for n in seen[1:]), strict=True))
    if factor.number:
        steps = {round(float(value) / factor.step) for value in tried}
        beside = {step + by for step in steps for by in (-1, 1)} - steps
        tried |= {step * factor.step: 0 for step in beside if step > 0}
    return sorted(tried.items(), key=lambda item: item[0])


def _posterior(
    table: Table, luck: Luck, placed: dict[Factor, list[Level]], days_from: int
) -> tuple[Array, Array]:
    """Mode (p,) of the whole, the levels and the days, and the root L of its curvature L L'."""
    rows = len(table)
    days = int(table.day.max()) + 1
    precision = np.zeros((days_from + days, days_from + days))
    precision[0, 0] = WHOLE[1] ** -2
    where = [np.zeros(rows, dtype=np.int64), days_from + table.day]
    known = [np.ones(rows), np.ones(rows)]
    for factor, found in placed.items():
        place = {level.value: level.place for level in found}
        of_code = np.array([place[value] for value in table.levels[factor.key]])
        where.append(of_code[table.codes[factor.key]])
        known.append((table.codes[factor.key] >= 0).astype(float))
        block = slice(found[0].place, found[0].place + len(found))
        apart = np.eye(len(found))
        if factor.number:
            at = np.array([float(level.value) for level in found]) / factor.step
            apart = np.exp(-np.abs(at[:, None] - at) / ALIKE)
        precision[block, block] = np.linalg.inv(OWN**2 * apart)
    precision[range(days_from, days_from + days), range(days_from, days_from + days)] = (
        1.0 / luck.day
    )
    size = np.bincount(table.drop)[table.drop]
    count = 1.0 / (1.0 + luck.drop * luck.spread * (size - 1.0))
    # the library's types do not know what its products are
    x: Any = scipy.sparse.csr_array(
        (np.concatenate(known), (np.tile(np.arange(rows), len(where)), np.concatenate(where))),
        shape=(rows, days_from + days),
    )
    before = np.zeros(days_from + days)
    before[0] = WHOLE[0]
    mode = before.copy()
    for _ in range(NEWTON):
        share = scipy.special.expit(x @ mode)
        slope = x.T @ (count * (table.hit - share)) - precision @ (mode - before)
        weight = count * share * (1.0 - share)
        curve = (x.T @ (x * weight[:, None])).toarray() + precision
        root = np.linalg.cholesky(curve)
        step = scipy.linalg.cho_solve((root, True), slope)
        mode = mode + step * min(1.0, 2.0 / max(float(np.abs(step).max()), 1e-12))
        if np.abs(step).max() < CLOSE:
            break
    return mode, root


def _best(table: Table, placed: dict[Factor, list[Level]], drawn: Array) -> tuple[Change, ...]:
    """The changes from the last drop that gain most if the drawn model is true."""
    last = table.drop == table.drop.max()
    gains: list[tuple[float, Change]] = []
    for factor, found in placed.items():
        codes = table.codes[factor.key][last]
        at = [table.levels[factor.key][code] for code in codes if code >= 0]
        if not at:
            continue
        effect = {level.value: float(drawn[level.place]) for level in found}
        # of several lines the one that stands worst is changed
        old = min(at, key=lambda value: (effect[value], value))
        best = max(_within_reach(factor, old, found), key=lambda level: drawn[level.place])
        gain = (effect[best.value] - effect[old]) * (at.count(old) if not factor.by_line else 1)
        if gain > 0.0:
            gains.append((gain / len(codes), Change(factor.key, old, best.value)))
    gains.sort(key=lambda item: -item[0])
    chosen: list[Change] = []
    for _, change in gains:
        # one course cannot be chosen for the tide and for the light
        if len(chosen) < MOST_CHANGES and not (
            change.key in COURSES and any(other.key in COURSES for other in chosen)
        ):
            chosen.append(change)
    return tuple(chosen)


COURSES = ("tide", "light")


def _within_reach(factor: Factor, old: Value, found: list[Level]) -> list[Level]:
    if not factor.number:
        return found
    reach = (NEAR + 0.5) * factor.step
    return [level for level in found if abs(float(level.value) - float(old)) <= reach]
