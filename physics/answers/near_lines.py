"""How near lines come to each other in a run, and whether they cross.

Lines are compared at instants SPACING apart. Boxes around them, laid along the boat's course
through the water, and how far they have gone since they were measured tell which instants can
matter, so that few distances are worked out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from physics.simulation.events import LINES_CLOSE
from physics.simulation.gaps import Moving, crossing, moving, nearer, polyline_distance
from physics.simulation.trajectory import LineRecord

Array = NDArray[np.float64]

SPACING = 0.5
"""Spacing of the instants at which lines are compared, s."""

OVER = 1.0
"""Lines that cross seen from above with less than this between them cross, m (assumed)."""

ALIKE = 0.01
"""Distances that differ by less are the same, m."""


@dataclass(frozen=True, slots=True)
class Approach:
    """Two lines over a time: ``apart`` m at the nearest, at ``time`` s.

    ``crosses`` is when they first are nearer than LINES_CLOSE, or cross seen from above with
    less than OVER between them, s; None if never.
    """

    apart: float
    time: float
    crosses: float | None


def approaches(
    lines: Sequence[LineRecord], start: float, end: float, direction: tuple[float, float]
) -> dict[tuple[int, int], Approach]:
    """How near any two lines, by their numbers, come to each other from ``start`` to ``end`` s.

    ``direction`` (east, north) is any direction; that of the boat through the water is fastest.
    """
    time = _instants(start, end)
    shapes = [line.nodes(time) for line in lines]
    turned, seen = [_turned(shape, direction) for shape in shapes], moving(shapes)
    out = {}
    for i, j in combinations(range(len(lines)), 2):
        apart, at = _nearest(turned[i], turned[j], seen[i].gone + seen[j].gone)
        crosses = _first_crossing(seen[i], seen[j])
        when = None if crosses is None else float(time[crosses])
        out[i, j] = Approach(apart, float(time[at]), when)
    return out


def crossing_pair(lines: Sequence[LineRecord], start: float, end: float) -> tuple[int, int] | None:
    """The first two lines, by their numbers, that cross from ``start`` to ``end`` s."""
    time = _instants(start, end)
    seen = moving([line.nodes(time) for line in lines])
    for i, j in combinations(range(len(lines)), 2):
        if _first_crossing(seen[i], seen[j]) is not None:
            return i, j
    return None


def _instants(start: float, end: float) -> Array:
    return np.linspace(start, end, max(2, math.ceil((end - start) / SPACING) + 1))


def _nearest(a: Array, b: Array, gone: Array) -> tuple[float, int]:
    """The distance of two lines (n, 3, K) at the nearest, m, and at which instant.

    They go no further between two instants than ``gone`` (n,) grows, m.
    """
    bound = _box_gaps(a, b)
    least, apart, at = bound.copy(), math.inf, 0
    # among equals the earliest
    for k in np.argsort(np.floor(bound / ALIKE), kind="stable"):
        if bound[k] >= apart - ALIKE:
            break
        if least[k] < apart - ALIKE:
            found = polyline_distance(a[k], b[k])
            np.maximum(least, found - np.abs(gone - gone[k]), out=least)
            if found < apart - ALIKE:
                apart, at = found, int(k)
    return apart, at


def _turned(nodes: Array, direction: tuple[float, float]) -> Array:
    """Nodes (n, 3, K) with their first axis along a direction."""
    size = math.hypot(*direction) or 1.0
    east, north = direction[0] / size, direction[1] / size
    out = nodes.copy()
    out[:, 0] = east * nodes[:, 0] + north * nodes[:, 1]
    out[:, 1] = east * nodes[:, 1] - north * nodes[:, 0]
    return out


def _box_gaps(a: Array, b: Array) -> Array:
    """Lower bounds (n,) of the distances of (n, 3, K) from (n, 3, M), m."""
    low = np.maximum(a.min(axis=2) - b.max(axis=2), b.min(axis=2) - a.max(axis=2))
    out: Array = np.sqrt((np.maximum(low, 0.0) ** 2).sum(axis=1))
    return out


def _first_crossing(a: Moving, b: Moving) -> int | None:
    """The first instant at which two lines cross."""
    may = np.flatnonzero(nearer(a, b, OVER))
    if not len(may):
        return None
    close = nearer(a, b, LINES_CLOSE)
    for k in may:
        if close[k] or crossing(a.nodes[k], b.nodes[k], OVER) is not None:
            return int(k)
    return None
