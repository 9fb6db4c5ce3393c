"""Which side of a rip a place is on: on its top, or on the deeper or the shallower side of it.

Common practice, no source: a rip runs over the shallowest of the ground. Where the ground tells
no sides, or more than one rip, nothing is said.
"""

from __future__ import annotations

import numpy as np

from physics.environment.water import Bottom, compass_vector

DEEP, SHALLOW, TOP, UNTOLD = "deep", "shallow", "top", ""

LEAST = 1.0
"""Ground that rises by less, m, makes no rip."""

ALIKE = 0.15
"""Depths that differ by less of the whole rise are alike."""

UPPER = 0.25
"""So much of the rise above the shallower side is the top."""


def side_of_rip(bottom: Bottom, x: float, y: float) -> str:
    """DEEP, SHALLOW, TOP or UNTOLD of a place, m over ground.

    Where the ground falls off to one side alone the upper and the lower third of it are the
    shallow and the deep side. Where it falls off to both, the side with the deeper ground is
    the deep one, and if both are alike only the top is told.
    """
    along, depth = np.array(bottom.points, dtype=float).T
    crest = int(depth.argmin())
    top = float(depth[crest])
    left, right = float(depth[: crest + 1].max()), float(depth[crest:].max())
    rise, height = max(left, right) - top, min(left, right) - top
    if rise < LEAST or _rises_again(depth[crest::-1], rise) or _rises_again(depth[crest:], rise):
        return UNTOLD
    here = float(bottom.depth_at(np.array(x), np.array(y)))
    if height < ALIKE * rise:
        share = (here - top) / rise
        return SHALLOW if share < 1.0 / 3.0 else DEEP if share > 2.0 / 3.0 else UNTOLD
    east, north = compass_vector(bottom.bearing)
    place = x * east + y * north
    low, high = sorted((place, float(along[crest])))
    between = depth[(along >= low) & (along <= high)]
    if max(here, float(between.max())) <= top + UPPER * height:
        return TOP
    if abs(left - right) < ALIKE * rise:
        return UNTOLD
    return DEEP if (place > along[crest]) == (right > left) else SHALLOW


def _rises_again(depth: np.ndarray, rise: float) -> bool:
    """Whether ground that falls off from the crest comes up again to another one."""
    return bool((np.maximum.accumulate(depth) - depth).max() > UPPER * rise)
