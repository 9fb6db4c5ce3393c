"""How nearly together the lures of a spread lift through the depths of the mark."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.answers.holds import Responses
from physics.answers.timing import FINE
from physics.simulation.events import LIFTING
from physics.simulation.scenario import Mark

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Unison:
    """One drop. ``moments`` (R,) s from out of gear: each lure lifts through the mark's depths.

    NaN for one that does not. ``apart`` s lie between the first and the last of those that do,
    and halfway between these two the lures are ``depths`` (R,) m down, ``depths_apart`` m from
    the highest to the lowest of them. None where fewer than two do.
    """

    moments: Array
    depths: Array
    apart: float | None
    depths_apart: float | None


def lift_moments(responses: Responses, mark: Mark) -> Array:
    """When each lure lifts through the mark's depths (K, R), s from out of gear.

    The middle of the time from its deepest on in which it lifts within the band, wherever that
    is; NaN for one that never does.
    """
    time, z = responses.time, responses.lure[..., 2]
    fine = np.arange(time[0], time[-1] + 1e-9, FINE)
    k = np.clip(np.searchsorted(time, fine, side="right") - 1, 0, len(time) - 2)
    share = (fine - time[k]) / (time[k + 1] - time[k])
    path = z[..., k] + share * (z[..., k + 1] - z[..., k])
    with np.errstate(invalid="ignore"):
        lifting = (np.abs(path + mark.depth) <= mark.band) & (
            np.gradient(path, FINE, axis=-1) > LIFTING
        )
    lifting &= fine >= time[np.nanargmin(z, axis=-1)][..., None]
    seconds = lifting.sum(axis=-1)
    middle: Array = (lifting * fine).sum(axis=-1) / np.maximum(seconds, 1)
    return np.where(seconds > 0, middle, np.nan)


def unison(responses: Responses, mark: Mark) -> Unison:
    """The unison of one hold's responses (K = 1) at a mark."""
    moments = lift_moments(responses, mark)[0]
    lifting = np.isfinite(moments)
    depths = np.full_like(moments, np.nan)
    if lifting.sum() < 2:
        return Unison(moments, depths, None, None)
    first, last = float(moments[lifting].min()), float(moments[lifting].max())
    known = np.isfinite(responses.lure[0, 0, :, 2])
    for r in range(len(depths)):
        path = responses.lure[0, r, known, 2]
        depths[r] = -float(np.interp(0.5 * (first + last), responses.time[known], path))
    return Unison(moments, depths, last - first, float(np.ptp(depths[lifting])))
