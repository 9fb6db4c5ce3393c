"""One spread's answer put together: parts computed apart, and holds that were not run.

Until she goes in gear all holds are one and the same drop. After it, how far a
lure has moved since she went in gear changes slowly with the hold, so a hold
that was not run goes along the common drop and then as its neighbors do.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from physics.answers.holds import Responses
from physics.checks import InvalidValue

Array = NDArray[np.float64]

NEIGHBORS = 4
"""Holds on either side, together, that a hold between them is interpolated from."""


def joined(parts: Sequence[Responses]) -> Responses:
    """Responses to one spread's holds computed apart, as one, holds rising."""
    if len(parts) == 1:
        return parts[0]
    time = max((part.time for part in parts), key=len)
    holds = np.concatenate([part.holds for part in parts])
    order = np.argsort(holds, kind="stable")
    lure, low = (
        np.concatenate([_padded(getattr(part, name), len(time)) for part in parts])[order]
        for name in ("lure", "low")
    )
    return Responses(holds[order], time, lure, low, parts[0].boat_velocity)


def between(found: Responses, holds: Sequence[float]) -> Responses:
    """What each of ``holds``, s, would give, from the holds that were run.

    A hold that was run is itself. Others are exact as far as they are out of
    gear and interpolated beyond (before the first run hold: extrapolated).
    Where the bottom is touched they are only as good as the spacing of the run
    holds. Raises InvalidValue for a hold longer than any run.
    """
    wanted = np.asarray(holds, dtype=float)
    if len(wanted) and (wanted.min() < 0.0 or wanted.max() > found.holds[-1]):
        raise InvalidValue("hold", float(wanted.max()), f"from 0 to {found.holds[-1]:g} s")
    paths = np.concatenate([found.lure, found.low], axis=1)
    out = np.stack([paths_at(found, paths, hold) for hold in wanted])
    rods = found.lure.shape[1]
    return Responses(wanted, found.time, out[:, :rods], out[:, rods:], found.boat_velocity)


def paths_at(found: Responses, paths: Array, hold: float) -> Array:
    """One hold's paths (P, n, 3) out of those (K, P, n, 3) of the holds that ``found`` ran."""
    run, time = found.holds, found.time
    same = np.flatnonzero(np.abs(run - hold) < 1e-9)
    if len(same):
        ready: Array = paths[same[0]]
        return ready
    near = _near(run, hold)
    first = int(np.searchsorted(time, hold, side="right"))
    moved = np.zeros_like(paths[0, :, first:])
    for at in near:
        others = [k for k in near if k != at]
        weight = np.prod((hold - run[others]) / (run[at] - run[others]))
        own = _sampled(paths[at], time, np.concatenate([[run[at]], time[first:] - hold + run[at]]))
        own -= own[:, :1].copy()
        own *= weight
        moved += own[:, 1:]
    out: Array = paths[-1].copy()
    out[:, first:] = _sampled(out, time, np.array([hold])) + moved
    return out


def _near(run: Array, hold: float) -> range:
    """The NEIGHBORS run holds about one, as many on either side as there are."""
    first = int(np.searchsorted(run, hold)) - NEIGHBORS // 2
    first = max(0, min(first, len(run) - NEIGHBORS))
    return range(first, min(first + NEIGHBORS, len(run)))


def _sampled(paths: Array, time: Array, at: Array) -> Array:
    """Paths (P, n, 3) at other times (m,), NaN where they are not known."""
    k = np.clip(np.searchsorted(time, at, side="right") - 1, 0, len(time) - 2)
    share = (at - time[k]) / (time[k + 1] - time[k])
    before, out = paths.take(k, axis=1), paths.take(k + 1, axis=1)
    out -= before
    out *= share[:, None]
    out += before
    # at a sample what comes after it need not be known
    out[:, share == 0.0] = before[:, share == 0.0]
    out[:, at > time[-1]] = np.nan
    return out


def _padded(path: Array, count: int) -> Array:
    """Paths (K, R, n, 3) made ``count`` samples long with NaN."""
    width = [(0, 0), (0, 0), (0, count - path.shape[2]), (0, 0)]
    return np.pad(path, width, constant_values=np.nan)
