"""How nearly together the lures of a spread lift through the depth of the mark."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.answers.holds import Responses

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Unison:
    """One drop. ``moments`` (R,) s from out of gear: each lure lifts through the mark's depth.

    NaN for one that does not. ``apart`` s lie between the first and the last of those that do,
    and halfway between these two the lures are ``depths`` (R,) m down, ``depths_apart`` m from
    the highest to the lowest of them. None where fewer than two do.
    """

    moments: Array
    depths: Array
    apart: float | None
    depths_apart: float | None


def lift_moments(responses: Responses, depth: float) -> Array:
    """When each lure first lifts through a ``depth``, m, after it was deepest (K, R), s.

    From out of gear on; NaN for one that never does.
    """
    z = responses.lure[..., 2] + depth
    deepest = np.nanargmin(z, axis=-1)
    at = np.arange(z.shape[-1] - 1)
    up = (z[..., :-1] < 0.0) & (z[..., 1:] >= 0.0) & (at >= deepest[..., None])
    first = up.argmax(axis=-1)
    before, after = (
        np.take_along_axis(z, k[..., None], axis=-1)[..., 0] for k in (first, first + 1)
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        share = -before / (after - before)
    time = responses.time
    moment: Array = time[first] + share * (time[first + 1] - time[first])
    return np.where(up.any(axis=-1), moment, np.nan)


def unison(responses: Responses, depth: float) -> Unison:
    """The unison of one hold's responses (K = 1) at the mark's ``depth``, m."""
    moments = lift_moments(responses, depth)[0]
    lifting = np.isfinite(moments)
    depths = np.full_like(moments, np.nan)
    if lifting.sum() < 2:
        return Unison(moments, depths, None, None)
    first, last = float(moments[lifting].min()), float(moments[lifting].max())
    known = np.isfinite(responses.lure[0, 0, :, 2])
    time = responses.time[known]
    for r in range(len(depths)):
        path = responses.lure[0, r, known, 2]
        depths[r] = -float(np.interp(0.5 * (first + last), time, path))
    spread = float(np.ptp(depths[lifting]))
    return Unison(moments, depths, last - first, spread)
