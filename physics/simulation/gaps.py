"""How near two lines are at an instant, and when they are nearer than something."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.simulation.core import compiled

Array = NDArray[np.float64]

ROUNDED = 1e-9
"""Lines are said to have come so much nearer than they did, m: more than rounding may hide."""


def polyline_distance(a: Array, b: Array) -> float:
    """Least distance between two polylines (3, n) and (3, m), m; n, m >= 2.

    All pairs of segments at once: the closest points of two segments lie
    where the unconstrained ones do if inside both, else at an end of one
    (Eberly 2001, Robust Computation of Distance Between Line Segments, idea).
    The compiled library leaves out pairs that lie in balls which are too far apart.
    """
    if compiled.LIBRARY is not None:
        return compiled.line_gap(a, b)
    p, u = a[:, :-1, None], (a[:, 1:] - a[:, :-1])[:, :, None]
    q, v = b[:, None, :-1], (b[:, 1:] - b[:, :-1])[:, None, :]
    w = p - q
    uu, uv, vv = (u * u).sum(0), (u * v).sum(0), (v * v).sum(0)
    uw, vw = (u * w).sum(0), (v * w).sum(0)
    det = np.maximum(uu * vv - uv * uv, 1e-12)

    def from_s(s: Array) -> Array:
        t = np.clip((vw + s * uv) / np.maximum(vv, 1e-12), 0.0, 1.0)
        s = np.clip((t * uv - uw) / np.maximum(uu, 1e-12), 0.0, 1.0)
        gap = w + s * u - t * v
        out: Array = (gap * gap).sum(0)
        return out

    inner = np.clip((uv * vw - vv * uw) / det, 0.0, 1.0)
    least = min(float(from_s(s).min()) for s in (inner, np.zeros_like(det), np.ones_like(det)))
    return float(np.sqrt(least))


def crossing(a: Array, b: Array, within: float = math.inf) -> tuple[float, float] | None:
    """Where one line (3, n) lies across another (3, m) as seen from above, m; None if nowhere.

    ``within`` is what is less between them there, m. Of several places the first along ``a``.
    """
    if compiled.LIBRARY is not None:
        return compiled.line_crossing(a, b, within)
    p, q = a[:, :-1, None], b[:, None, :-1]
    u, v, w = np.diff(a, axis=1)[:, :, None], np.diff(b, axis=1)[:, None, :], q - p
    det = u[0] * v[1] - u[1] * v[0]
    det = np.where(np.abs(det) < 1e-12, np.nan, det)
    s = (w[0] * v[1] - w[1] * v[0]) / det
    t = (w[0] * u[1] - w[1] * u[0]) / det
    inside = (s >= 0.0) & (s <= 1.0) & (t >= 0.0) & (t <= 1.0)
    where = np.argwhere(inside & (np.abs(p[2] + s * u[2] - q[2] - t * v[2]) < within))
    if not len(where):
        return None
    i, j = where[0]
    x, y = a[:2, i] + s[i, j] * (a[:2, i + 1] - a[:2, i])
    return float(x), float(y)


@dataclass(frozen=True, slots=True)
class Moving:
    """A line at n instants: ``nodes`` (n, 3, K), m, seen from where it hardly moves.

    ``low`` and ``high`` (n, 3) are its box, m; between two instants no point of it goes further
    than ``gone`` (n,) grows, m.
    """

    nodes: Array
    low: Array
    high: Array
    gone: Array


def moving(shapes: Sequence[Array]) -> list[Moving]:
    """Lines (n, 3, K), m, at the same instants, all seen from the tip and along the first.

    Lines that are towed steadily, straight or in a turn, do not move then, and those towed side
    by side have boxes side by side.
    """
    tip = shapes[0][:, :2, 0]
    east, north = (shapes[0][:, :2].mean(axis=2) - tip).T
    size = np.hypot(east, north)
    hangs = size < ROUNDED
    east, north = np.where(hangs, 1.0, east), np.where(hangs, 0.0, north)
    east, north = (part / np.where(hangs, 1.0, size) for part in (east, north))
    return [_seen(shape, tip, east[:, None], north[:, None]) for shape in shapes]


def _seen(shape: Array, tip: Array, east: Array, north: Array) -> Moving:
    x, y = shape[:, 0] - tip[:, :1], shape[:, 1] - tip[:, 1:]
    nodes = np.stack([x * east + y * north, y * east - x * north, shape[:, 2]], axis=1)
    step = np.diff(nodes, axis=0)
    most = np.sqrt((step * step).sum(axis=1).max(axis=1))
    gone = np.concatenate([np.zeros(min(len(nodes), 1)), np.cumsum(most + ROUNDED)])
    return Moving(nodes, nodes.min(axis=2), nodes.max(axis=2), gone)


def box_gaps(a: Moving, b: Moving) -> Array:
    """Lower bounds (n,) of the distance of two lines, m."""
    gap = np.maximum(np.maximum(a.low - b.high, b.low - a.high), 0.0)
    out: Array = np.sqrt((gap * gap).sum(axis=1))
    return out


def nearer(a: Moving, b: Moving, within: float) -> NDArray[np.bool_]:
    """Whether two lines are nearer than ``within`` m (n,), at the instants of both.

    They are measured only where their boxes are as near, and again only once they may have gone
    as far as they were from ``within``.
    """
    out = np.zeros(len(a.nodes), dtype=bool)
    look = np.flatnonzero(box_gaps(a, b) < within)
    gone = (a.gone + b.gone)[look]
    at = 0
    while at < len(look):
        apart = polyline_distance(a.nodes[look[at]], b.nodes[look[at]])
        same = int(np.searchsorted(gone, gone[at] + abs(apart - within)))
        out[look[at : max(same, at + 1)]] = apart < within
        at = max(same, at + 1)
    return out
