"""The exposure table: one row a line-drop, by columns, with its factors cut into levels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from app.log.learn.factors import FACTORS, Factor

Array = NDArray[np.float64]
Codes = NDArray[np.int64]

Value = float | str
"""A level: a number in SI, or a word."""

Names = Sequence[str] | Codes

UNKNOWN = -1
"""The code of a row whose factor is not known."""


@dataclass(frozen=True)
class Columns:
    """Rows as they come, one a line-drop, in any order.

    ``day`` and ``drop`` tell rows apart, and sort as they followed each other; ``hits`` counts,
    ``seconds`` is how long the line fished (NaN where nobody knows). ``values`` has for each
    factor's key a number in SI (NaN if unknown) or a word (empty if unknown) a row.
    """

    day: Names
    drop: Names
    hits: Sequence[float] | Array
    seconds: Sequence[float] | Array
    values: Mapping[str, Sequence[Value] | Array]


@dataclass(frozen=True)
class Table:
    """n rows with whole numbers for names: ``day`` and ``drop`` (n,) count from 0 in the order
    of their names, ``codes`` of each factor (n,) number its ``levels`` or are UNKNOWN.
    ``hit`` (n,) is 1 where the line had a hit, ``hours`` (n,) is what it fished, 0 if unknown.
    """

    day: Codes
    drop: Codes
    hit: Array
    hours: Array
    codes: dict[str, Codes] = field(default_factory=dict)
    levels: dict[str, tuple[Value, ...]] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.hit)

    @property
    def drops(self) -> int:
        """How many drops there are."""
        return int(self.drop.max()) + 1 if len(self) else 0

    @property
    def factors(self) -> list[Factor]:
        """The factors that have any level."""
        return [factor for factor in FACTORS if self.levels.get(factor.key)]


def table_of(columns: Columns) -> Table:
    """The exposure table of rows; the order of the rows does not matter."""
    drop = numbered(columns.drop)[0]
    seconds = np.asarray(columns.seconds, dtype=float)
    codes, levels = {}, {}
    for factor in FACTORS:
        if factor.key in columns.values:
            cut = _cut(columns.values[factor.key], factor)
            codes[factor.key], levels[factor.key] = cut
    hit = (np.asarray(columns.hits, dtype=float) > 0).astype(float)
    hours = np.where(np.isfinite(seconds) & (seconds > 0.0), seconds, 0.0) / 3600.0
    return Table(numbered(columns.day)[0], drop, hit, hours, codes, levels)


def numbered(names: Sequence[Any] | NDArray[Any]) -> tuple[Codes, tuple[Any, ...]]:
    """The place (n,) of each name among all that there are, and those in their order."""
    if isinstance(names, np.ndarray):
        found, places = np.unique(names, return_inverse=True)
        return places, tuple(found.tolist())
    known = sorted(set(names))
    number = {name: place for place, name in enumerate(known)}
    return np.array(list(map(number.__getitem__, names)), dtype=np.int64), tuple(known)


def _cut(values: Sequence[Value] | Array, factor: Factor) -> tuple[Codes, tuple[Value, ...]]:
    """Codes and levels: words sorted, numbers the nearest whole number of steps, rising."""
    if not factor.number:
        codes, names = numbered(values)
        if names and not names[0]:
            return codes - 1, names[1:]
        return codes, names
    steps = np.asarray(values, dtype=float) / factor.step
    known = np.isfinite(steps)
    # halves go up, so that 22.5 s is with 25 s whatever its neighbors do
    whole = np.floor(np.where(known, steps, 0.0) + 0.5).astype(np.int64)
    found, place = np.unique(whole[known], return_inverse=True)
    codes = np.full(len(steps), UNKNOWN, dtype=np.int64)
    codes[known] = place
    return codes, tuple(float(step) * factor.step for step in found)
