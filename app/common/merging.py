"""What two windows changed of one thing, put together so that neither's work is lost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Mapping, Sequence
from typing import TypeVar

T = TypeVar("T")
H = TypeVar("H", bound=Hashable)


def merged_entries(
    base: Mapping[str, T], mine: Mapping[str, T], theirs: Mapping[str, T]
) -> tuple[dict[str, T], dict[str, T]]:
    """``theirs`` with what was done from ``base`` to ``mine`` done to it, by name.

    Second: those of mine that cannot stand there, because theirs of the same name became
    another one since ``base``. What one changed and the other removed stays, changed.
    """
    if theirs == base:
        return dict(mine), {}
    out, clashing = dict(theirs), {}
    for name in {**base, **mine}:
        was, now, there = base.get(name), mine.get(name), theirs.get(name)
        if now in (was, there):
            continue
        if now is None:
            if there == was:
                del out[name]
        elif there is None or there == was:
            out[name] = now
        else:
            clashing[name] = now
    return out, clashing


def merged_rows(base: Sequence[H], mine: Sequence[H], theirs: Sequence[H]) -> tuple[H, ...]:
    """As ``merged_entries`` for rows without names, of which some may be alike."""
    if tuple(theirs) == tuple(base):
        return tuple(mine)
    gone, new = Counter(base), Counter(mine)
    gone, new = gone - new, new - gone
    out = []
    for row in theirs:
        if gone[row]:
            gone[row] -= 1
        else:
            out.append(row)
    for row in mine:
        if new[row]:
            new[row] -= 1
            out.append(row)
    return tuple(out)


def merged_value(base: T, mine: T, theirs: T) -> T:
    """Mine if I changed it, else theirs."""
    return theirs if mine == base else mine
