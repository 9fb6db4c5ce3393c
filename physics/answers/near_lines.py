"""How near two lines come to each other in a run, and whether they cross.

Lines are compared at instants SPACING apart. Boxes around them, laid along the boat's course
through the water, tell which instants can matter, so that few distances are worked out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.simulation.events import LINES_CLOSE, polyline_distance
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


def approach(
    one: LineRecord, other: LineRecord, start: float, end: float, direction: tuple[float, float]
) -> Approach:
    """How near two lines come from ``start`` to ``end`` s.

    ``direction`` (east, north) is any direction; that of the boat through the water is fastest.
    """
    count = max(2, math.ceil((end - start) / SPACING) + 1)
    time = np.linspace(start, end, count)
    a, b = (_turned(line.nodes(time), direction) for line in (one, other))
    bound = _box_gaps(a, b)
    apart, at = math.inf, 0
    # among equals the earliest
    for k in np.argsort(np.floor(bound / ALIKE), kind="stable"):
        if bound[k] >= apart - ALIKE:
            break
        found = polyline_distance(a[k], b[k])
        if found < apart - ALIKE:
            apart, at = found, int(k)
    first = [t for t in (_first_close(a, b, bound), _first_over(a, b, bound)) if t is not None]
    return Approach(apart, float(time[at]), float(time[min(first)]) if first else None)


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


def _first_close(a: Array, b: Array, bound: Array) -> int | None:
    for k in np.flatnonzero(bound < LINES_CLOSE):
        if polyline_distance(a[k], b[k]) < LINES_CLOSE:
            return int(k)
    return None


def _first_over(a: Array, b: Array, bound: Array) -> int | None:
    """The first instant at which the lines cross seen from above, with less than OVER between."""
    near = np.flatnonzero(bound < OVER)
    a, b = a[near], b[near]
    p, u = a[:, :, :-1, None], np.diff(a, axis=2)[..., None]
    q, v = b[:, :, None, :-1], np.diff(b, axis=2)[:, :, None]
    cross = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    flat = np.abs(cross) < 1e-12
    cross = np.where(flat, 1.0, cross)
    x, y = (q - p)[:, 0], (q - p)[:, 1]
    s, t = (x * v[:, 1] - y * v[:, 0]) / cross, (x * u[:, 1] - y * u[:, 0]) / cross
    meets = ~flat & (s >= 0.0) & (s <= 1.0) & (t >= 0.0) & (t <= 1.0)
    between = np.abs((p + s[:, None] * u - q - t[:, None] * v)[:, 2])
    found = np.flatnonzero((meets & (between < OVER)).any(axis=(1, 2)))
    return int(near[found[0]]) if len(found) else None
