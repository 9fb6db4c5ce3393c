"""How near each other lines are now, and how each runs against the straight tow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from physics.environment.water import Water
from physics.simulation.events import LINES_CLOSE
from physics.simulation.gaps import crossing, polyline_distance

Array = NDArray[np.float64]

TURNING = 1e-3
"""A course that curves by less than this, 1/m, is straight: a circle of a kilometer."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two lines of the spread by number, ``apart`` m at the least.

    ``crossing``: seen from above one lies across the other. ``place`` (2,) is where over
    ground, m: of the crossing, or between the nodes that are nearest.
    """

    first: int
    second: int
    apart: float
    crossing: bool
    place: tuple[float, float]

    @property
    def close(self) -> bool:
        """Whether they may foul each other."""
        return self.crossing or self.apart < LINES_CLOSE


def nearest_pair(nodes: Sequence[Array]) -> Pair | None:
    """The pair of lines to look at: of those that cross the nearest, else the nearest of all.

    ``nodes`` holds (3, K) m a line; None where there are fewer than two lines. A pair is
    measured only where its boxes are nearer than what was found already.
    """
    crossings: list[tuple[int, int, tuple[float, float]]] = []
    gaps: list[tuple[float, int, int]] = []
    lows, highs = [n.min(axis=1) for n in nodes], [n.max(axis=1) for n in nodes]
    for i, j in combinations(range(len(nodes)), 2):
        clear = np.maximum(np.maximum(lows[i] - highs[j], lows[j] - highs[i]), 0.0)
        gaps.append((float(np.sqrt(clear @ clear)), i, j))
        if not clear[:2].any():
            place = crossing(nodes[i], nodes[j])
            if place is not None:
                crossings.append((i, j, place))
    if crossings:
        found = [(polyline_distance(nodes[i], nodes[j]), i, j, at) for i, j, at in crossings]
        apart, i, j, at = min(found)
        return Pair(i, j, apart, True, at)
    best: tuple[float, int, int] | None = None
    for clear_by, i, j in sorted(gaps):
        if best is not None and clear_by >= best[0]:
            break
        apart = polyline_distance(nodes[i], nodes[j])
        if best is None or apart < best[0]:
            best = apart, i, j
    if best is None:
        return None
    apart, i, j = best
    return Pair(i, j, apart, False, _between(nodes[i], nodes[j]))


def _between(a: Array, b: Array) -> tuple[float, float]:
    gap = a[:, :, None] - b[:, None, :]
    i, j = np.unravel_index((gap * gap).sum(axis=0).argmin(), gap.shape[1:])
    x, y = 0.5 * (a[:2, i] + b[:2, j])
    return float(x), float(y)


def turn_side(abeam: float, curvature: float) -> str:
    """``inside`` or ``outside`` of a turn for a rod ``abeam`` m to starboard; else ''."""
    if abs(curvature) < TURNING or abeam == 0.0:
        return ""
    return "inside" if abeam * curvature > 0.0 else "outside"


def lure_speeds(lure: Array, velocity: Array, water: Water) -> Array:
    """Speeds (n,) of lures through the water where they are, m/s.

    ``lure`` (n, 3) m and ``velocity`` (n, 3) m/s over ground.
    """
    floor = water.bottom.depth_at(lure[:, 0], lure[:, 1])
    surface = np.repeat(np.array(water.current)[:, None], len(lure), axis=1)
    flow = water.profile.flow(surface, -lure[:, 2], floor).velocity
    through = velocity.copy()
    through[:, :2] -= flow.T
    out: Array = np.linalg.norm(through, axis=1)
    return out
