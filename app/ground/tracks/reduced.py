"""Recorded depths as depths under the level of the sea that is to be rehearsed at."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from app.common.bad_input import BadInput
from app.ground.tracks.log import GroundLog
from app.scenario.soundings import Soundings

Array = NDArray[np.float64]


def reduced(log: GroundLog, soundings: Soundings) -> GroundLog:
    """The log with its depths as the tide to rehearse at has them; NaN where it is not known.

    Depths that the file has from the surface already are not made deeper. Raises BadInput.
    """
    added = soundings.tide_now - tide_during(log, soundings)
    if log.depth_from != "surface":
        added = added + soundings.transducer
    return replace(log, depth=log.depth + added)


def tide_during(log: GroundLog, soundings: Soundings) -> Array:
    """Height of the tide at every fix (n,), m; NaN before and after the table.

    Between rows it is a monotone cubic, level at high and low water, which between a high and
    a low stays within 1 % of the range of the half cosine (common practice, no source). Raises
    BadInput for a table and a track without dates.
    """
    if not soundings.table:
        return np.full(len(log), soundings.tide)
    if log.began is None:
        raise BadInput(
            log.name, "", None, "one height of the tide instead of a table",
            "has no dates, so no tide table goes with it",
        )  # fmt: skip
    start = log.began.replace(tzinfo=None) + timedelta(seconds=soundings.clock)
    when = [(moment - start).total_seconds() for moment, _ in soundings.table]
    heights = [height for _, height in soundings.table]
    tide: Array = PchipInterpolator(when, heights, extrapolate=False)(log.time)
    if np.isnan(tide).all():
        first, last = (soundings.table[k][0].isoformat(" ", "minutes") for k in (0, -1))
        raise BadInput(
            log.name, "", f"{start:%Y-%m-%d %H:%M}", "a tide table of that day",
            f"was recorded outside the tide table, which goes from {first} to {last},",
        )  # fmt: skip
    return tide
