"""One spread's answer put together: parts computed apart, and holds that were not run.

Until she goes in gear all holds are one and the same drop. After it, how far a
lure has moved since she went in gear changes slowly with the hold, so a hold
that was not run goes along the common drop and then as its neighbors do.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from physics.answers.holds import EVERY, Responses
from physics.checks import InvalidValue

Array = NDArray[np.float64]
Paths = NDArray[Any]

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
    known = [_padded(part.along, len(time[::EVERY])) for part in parts if part.along is not None]
    along = np.concatenate(known)[order] if len(known) == len(parts) else None
    return Responses(holds[order], time, lure, low, parts[0].boat_velocity, along)


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
    out = np.stack([path_at(found.holds, found.time, paths, hold) for hold in wanted])
    rods = found.lure.shape[1]
    along = found.along
    if along is not None:
        points = along.reshape(len(along), -1, *along.shape[3:])
        along = np.stack(
            [path_at(found.holds, found.along_time, points, hold) for hold in wanted]
        ).reshape(-1, *along.shape[1:])
    return Responses(wanted, found.time, out[:, :rods], out[:, rods:], found.boat_velocity, along)


def path_at(run: Array, time: Array, paths: Paths, hold: float) -> Paths:
    """One hold's paths (P, n, 3) out of those of the run holds (K, P, n, 3) at times (n,)."""
    same = np.flatnonzero(np.abs(run - hold) < 1e-9)
    if len(same):
        ready: Paths = paths[same[0]]
        return ready
    near = _near(run, hold)
    first = int(np.searchsorted(time, hold, side="right"))
    own, weights = [], []
    for at in near:
        others = [k for k in near if k != at]
        weights.append(np.prod((hold - run[others]) / (run[at] - run[others])))
        begun = int(np.searchsorted(time, run[at]))
        known = int(np.isfinite(paths[at, 0, :, 0]).sum())
        if time[first - 1] == hold and time[begun] == run[at]:
            # both lie on samples, and so does all after them
            own.append(paths[at, :, begun : min(known, begun + len(time) - first + 1)])
        else:
            wanted = time[first:] - hold + run[at]
            wanted = np.concatenate([[run[at]], wanted[wanted <= time[known - 1]]])
            own.append(_sampled(paths[at], time, wanted))
    count = min(one.shape[1] for one in own) - 1
    out: Paths = np.empty_like(paths[-1])
    out[:, :first], out[:, first + count :] = paths[-1][:, :first], np.nan
    # they begin where it goes in gear, and each moves on from there as it did
    moved, there = out[:, first : first + count], _sampled(paths[-1], time, np.array([hold]))
    moved[:] = there - sum(w * one[:, :1] for w, one in zip(weights, own, strict=True))
    for weight, one in zip(weights, own, strict=True):
        moved += weight * one[:, 1 : count + 1]
    return out


def _near(run: Array, hold: float) -> range:
    """The NEIGHBORS run holds about one, as many on either side as there are."""
    first = int(np.searchsorted(run, hold)) - NEIGHBORS // 2
    first = max(0, min(first, len(run) - NEIGHBORS))
    return range(first, min(first + NEIGHBORS, len(run)))


def _sampled(paths: Paths, time: Array, at: Array) -> Paths:
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


def _padded(path: Paths, count: int) -> Paths:
    """Paths (K, ..., n, 3) made ``count`` samples long with NaN."""
    width = [*[(0, 0)] * (path.ndim - 2), (0, count - path.shape[-2]), (0, 0)]
    return np.pad(path, width, constant_values=np.nan)
