"""What is asked of a drop, in one meaning each: deepest, sinks on, at the mark, touches.

Depth, and height off bottom, are those of the middle of a lure (``LineRecord.lure``); how near
the bottom anything comes is asked of the two ends of the lure and of all its line. Everything
works on samples, evenly spaced, between which a parabola runs through the nearest three. At
SPACING times are within 0.003 s, when a lure lands within 0.05 s, depths and heights within
0.2 mm and the least height within 4 mm of those of samples 0.01 s apart (measured on drops of
the demos). Over a sharp crest the least height is only as good as what the ground rises in the
way made between two samples: on slopes of 1 in 3 within 0.07 m (measured).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.environment.water import Bottom
from physics.line.contact import CONTACT_BLUR

Array = NDArray[np.float64]
Index = NDArray[np.intp]

SPACING = 0.25
"""Samples are to be no farther apart than this, s."""

TOUCHING = CONTACT_BLUR
"""What is lower over the bottom than this touches it, m: the bottom takes up its weight."""

LEAST_GAIN = 0.02
"""A lure that gets less deeper than it ran than this, m, has not dropped."""


@dataclass(frozen=True, slots=True)
class Deepest:
    """When a lure is deepest, s, and how deep, m; ``turned``: it was seen to sink no further."""

    time: float
    depth: float
    turned: bool


def deepest(time: Array, depth: Array, height: Array | None = None) -> Deepest:
    """When a lure's depth (n,) m at ``time`` (n,) s is greatest, and how great.

    With its ``height`` (n,) m over the bottom a lure that lies there is deepest from when it
    first lies as deep, to within TOUCHING: it moves about by less.
    """
    at = int(depth.argmax())
    if height is not None and height[at] < TOUCHING:
        landed = first_below(time, np.maximum(height, depth[at] - depth), TOUCHING)
        return Deepest(float(time[at]) if landed is None else landed, float(depth[at]), True)
    top = Turn.near(depth, np.intp(at))
    return Deepest(float(top.of(time)), float(top.of(depth)), at < len(time) - 1)


def sinks_on(deep: Deepest, run_depth: float, in_gear: float) -> float | None:
    """How long a lure goes on sinking once in gear at ``in_gear`` s, s: 0 if it had turned before.

    None for a lure that never gets deeper than it ran, at ``run_depth`` m.
    """
    return max(deep.time - in_gear, 0.0) if deep.depth > run_depth + LEAST_GAIN else None


@dataclass(frozen=True, slots=True)
class Passing:
    """A lure as it passes the mark's place: nearest to it as seen from above.

    ``time`` s; ``place`` (3,) m of its middle; ``rate`` m/s, rising positive; ``miss`` m, how
    far to the side.
    """

    time: float
    place: Array
    rate: float
    miss: float


def passing(time: Array, lure: Array, x: float, y: float) -> Passing | None:
    """How a lure (n, 3) passes a place; None while its nearest is the first or the last sample."""
    squared = (lure[:, 0] - x) ** 2 + (lure[:, 1] - y) ** 2
    near = Turn.near(squared, squared.argmin())
    if not near.inside(len(time)):
        return None
    place = np.array([near.of(axis) for axis in lure.T])
    rate = near.slope(lure[:, 2]) / float(time[1] - time[0])
    miss = math.hypot(place[0] - x, place[1] - y)
    return Passing(float(near.of(time)), place, float(rate), miss)


@dataclass(frozen=True, slots=True)
class Turn:
    """Where some values turn: ``share`` of a sample, -0.5 to 0.5, beyond sample number ``at``.

    One of both, or many: all in values (n,), or (P, W) with W in each row of values (P, n).
    """

    at: Index
    share: Array

    @classmethod
    def near(cls, value: Array, at: Index | np.intp) -> Turn:
        """The turn of values (n,) or (P, n) nearest to samples; the first or last is itself."""
        return cls.through(_three(value, np.asarray(at)), np.asarray(at), value.shape[-1])

    @classmethod
    def through(cls, three: tuple[Array, Array, Array], at: Index, count: int | Index) -> Turn:
        """The turn of values that are these before, at and after samples ``at`` of ``count``."""
        before, here, after = three
        bend = before - 2.0 * here + after
        inside = (at > 0) & (at < count - 1) & (bend != 0.0)
        share = 0.5 * (before - after) / np.where(inside, bend, 1.0)
        return cls(at, np.where(inside, np.minimum(np.maximum(share, -0.5), 0.5), 0.0))

    def inside(self, count: int | Index) -> NDArray[np.bool_]:
        """Whether it is seen to turn, with ``count`` samples: not at the first or the last."""
        out: NDArray[np.bool_] = (self.at > 0) & (self.at < count - 1)
        return out

    def of(self, value: Array) -> Array:
        """Values (n,) or (P, n) there."""
        return self.of_three(_three(value, self.at))

    def of_three(self, three: tuple[Array, Array, Array]) -> Array:
        """Values there that are these before, at and after the samples."""
        before, here, after = three
        bend = before - 2.0 * here + after
        out: Array = here + 0.5 * self.share * (after - before + self.share * bend)
        return out

    def slope(self, value: Array) -> Array:
        """How fast values (n,) or (P, n) change there, a sample."""
        before, here, after = _three(value, self.at)
        out: Array = 0.5 * (after - before) + self.share * (before - 2.0 * here + after)
        return out


def _three(value: Array, at: Index) -> tuple[Array, Array, Array]:
    """Samples about ``at``; none beyond the ends."""
    near = np.maximum(at - 1, 0), at, np.minimum(at + 1, value.shape[-1] - 1)
    if value.ndim == 1:
        first, here, last = (value[k] for k in near)
    else:
        first, here, last = (np.take_along_axis(value, k, axis=1) for k in near)
    return first, here, last


def heights(nodes: Array, bottom: Bottom) -> tuple[Array, Array]:
    """Least height (n,) m over the ground of a lure, and of its line.

    ``nodes`` (n, 3, K) m from the rod tip on, as of LineRecord.nodes: the last two are the
    lure's, the first is in the air.
    """
    points, height = _over_ground(nodes, bottom)
    last = nodes.shape[2] - 1
    lure = np.zeros(points.shape[2], dtype=bool)
    # its two ends, and the middle between them where that is looked at
    lure[[last - 1, last, -1]] = True
    line = ~lure
    line[0] = False
    return height[:, lure].min(axis=1), height[:, line].min(axis=1, initial=np.inf)


def nearest_ground(nodes: Array, bottom: Bottom) -> tuple[Array, Array]:
    """The point (n, 3) m of lure or line that is least over the ground, and its height (n,) m."""
    points, height = _over_ground(nodes, bottom)
    at = height.argmin(axis=1)
    place: Array = np.take_along_axis(points, at[:, None, None], axis=2)[:, :, 0]
    return place, height[np.arange(len(at)), at]


def _over_ground(nodes: Array, bottom: Bottom) -> tuple[Array, Array]:
    """Points (n, 3, P) m to look at, and their heights (n, P) m over the ground."""
    points = nodes
    if not bottom.is_level:
        # an element may span a crest that both its ends clear
        points = np.concatenate([nodes, 0.5 * (nodes[:, :, 1:] + nodes[:, :, :-1])], axis=2)
    height: Array = points[:, 2] + bottom.depth_at(points[:, 0], points[:, 1])
    return points, height


def first_below(time: Array, value: Array, limit: float) -> float | None:
    """When samples (n,) first are below a limit, straight between them; None if never."""
    under = np.flatnonzero(value < limit)
    if not len(under):
        return None
    k = int(under[0])
    if k == 0:
        return float(time[0])
    share = (value[k - 1] - limit) / (value[k - 1] - value[k])
    return float(time[k - 1] + share * (time[k] - time[k - 1]))
