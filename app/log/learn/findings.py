"""What was found of each factor: rates of its levels, what differs, and what cannot be told."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from app.log.learn.differences import FALSE, Differences, differences
from app.log.learn.factors import Factor
from app.log.learn.luck import Luck, luck_of
from app.log.learn.rates import Rates, per_drop, per_hour
from app.log.learn.suggest import Change, suggest
from app.log.learn.table import Columns, Table, Value, table_of

ALWAYS = 0.8
"""Levels of two factors that share so much of their line-drops cannot be told apart."""

PHASES_FALSE = FALSE / 10.0
"""Of the false claims that are allowed, what is left to the phases, which are timed apart."""


@dataclass(frozen=True)
class Finding:
    """One factor: its ``levels``, rates by line-drop and by line-hour of them, and the number of
    drops it is known of.

    With ``hourly`` its levels are compared in hits a line-hour, because one drop has several of
    them. ``told`` are the levels that differ from the rest, the surest first, and ``more`` whether
    each has more hits. ``hint`` is the level that differs most, told or not; ``wanted`` how many
    drops more would show a difference of its size (inf: nothing to go by). ``together`` are
    levels of other factors that came with the first told one nearly always.
    """

    factor: Factor
    levels: tuple[Value, ...]
    by_drop: Rates
    by_hour: Rates
    drops: int
    told: tuple[int, ...] = ()
    more: tuple[bool, ...] = ()
    hint: int = 0
    wanted: float = np.inf
    together: tuple[tuple[str, Value], ...] = ()
    hourly: bool = False

    @property
    def rates(self) -> Rates:
        """The rates that its levels are compared in."""
        return self.by_hour if self.hourly else self.by_drop


@dataclass(frozen=True)
class Learned:
    """All that was found in so many days, drops and line-drops with so many hits, and what to
    change next (nothing: leave all as it is)."""

    findings: tuple[Finding, ...] = ()
    changes: tuple[Change, ...] = ()
    days: int = 0
    drops: int = 0
    lines: int = 0
    hits: int = 0

    def of(self, key: str) -> Finding | None:
        """What was found of one factor."""
        return next((found for found in self.findings if found.factor.key == key), None)


def learn(rows: Columns, phases: Columns) -> Learned:
    """What can be learned of rows, one a line-drop, and of ``phases``, one for each thing that
    the lure of a line-drop did, with the seconds it did so and whether it was hit meanwhile."""
    table, timed = table_of(rows), table_of(phases)
    if not len(table):
        return Learned()
    luck = luck_of(table)
    found = _findings(table, luck, differences(table, luck), hourly=False)
    apart = differences(timed, luck, PHASES_FALSE, hourly=True)
    found += _findings(timed, luck, apart, hourly=True)
    return Learned(
        tuple(found), suggest(table, luck), int(table.day.max()) + 1, table.drops, len(table),
        int(table.hit.sum()),
    )  # fmt: skip


def _findings(table: Table, luck: Luck, apart: Differences, *, hourly: bool) -> list[Finding]:
    return [_finding(table, factor, luck, apart, hourly) for factor in table.factors]


def _finding(table: Table, factor: Factor, luck: Luck, apart: Differences, hourly: bool) -> Finding:
    key = factor.key
    known = table.codes[key] >= 0
    drops = int(np.count_nonzero(np.bincount(table.drop[known])))
    told = tuple(int(level) for level in apart.told(key))
    score = apart.score[key]
    hint = int(np.argmax(np.abs(score)))
    return Finding(
        factor, table.levels[key], per_drop(table, key, luck), per_hour(table, key, luck), drops,
        told, tuple(bool(score[level] > 0.0) for level in told), hint,
        apart.more_drops(key, hint, drops), _together(table, key, told[0]) if told else (),
        hourly,
    )  # fmt: skip


def _together(table: Table, key: str, level: int) -> tuple[tuple[str, Value], ...]:
    """Levels of other factors on nearly the same line-drops as this one."""
    here = table.codes[key] == level
    out = []
    for factor in table.factors:
        if factor.key == key:
            continue
        codes = table.codes[factor.key]
        of_level = np.bincount(codes + 1, minlength=len(table.levels[factor.key]) + 1)[1:]
        both = np.bincount(codes[here] + 1, minlength=len(of_level) + 1)[1:]
        share = both / np.maximum(of_level + np.count_nonzero(here) - both, 1)
        if share.max() >= ALWAYS:
            out.append((factor.key, table.levels[factor.key][int(share.argmax())]))
    return tuple(out)
