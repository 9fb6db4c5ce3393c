"""Stretches of a boat's speed against time in which she seems to have coasted down.

Speeds do not say where the lever was. A throttle pulled back, a fish on or a head sea slow a
boat too: these are offers for a person to take or leave, not measurements yet.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from physics.calibration.measured import CoastDown, coast_table

Array = NDArray[np.float64]

STEP = 1.0
SMOOTHED = 3
"""Speeds are medians of so many seconds."""

LEAST_SECONDS = 6.0
LEAST_START, MOST_START = 1.0, 12.0
"""Slower than this there is no telling a coast from drift; faster is no measurement, m/s."""

LEAST_LOST = 0.35
"""A coast loses at least this share of its speed."""

GAIN = 0.06
"""Speed may rise by this from second to second and still be falling: receivers' noise, m/s."""

BEGINS = 0.1
"""A coast begins where speed first falls by more than this in a second, m/s."""

MOST_SECONDS = 60.0


@dataclass(frozen=True, slots=True)
class Coast:
    """One stretch: when it began, s of the log, then seconds (m,) and speeds (m,) m/s."""

    began: float
    seconds: Array
    speed: Array

    @property
    def too_fast(self) -> bool:
        """Whether it begins faster than a measurement may."""
        return bool(self.speed[0] > MOST_START)

    @property
    def rows(self) -> tuple[CoastDown, ...]:
        """As measurements, the first speed the start of all. Raises InvalidValue if too fast."""
        lower = np.flatnonzero(self.speed[1:] < self.speed[0]) + 1
        keep = np.concatenate([[0], lower])
        return coast_table(self.seconds[keep].tolist(), self.speed[keep].tolist())


def slowings_in(time: Array, speed: Array) -> tuple[Coast, ...]:
    """Where a speed through the water falls for seconds with no gain, in order of time.

    ``time`` (n,) s is STEP apart; ``speed`` (n,) m/s, NaN where it is not known.
    """
    filled = np.isfinite(speed)
    smooth = _medians(np.where(filled, speed, 0.0))
    smooth[~filled] = np.nan
    falling = np.diff(smooth) <= GAIN
    out = []
    start = 0
    while start < len(falling):
        if not falling[start]:
            start += 1
            continue
        end = start
        while end < len(falling) and falling[end]:
            end += 1
        out += _within(time, smooth, start, end)
        start = end + 1
    return tuple(out)


def _within(time: Array, speed: Array, first: int, last: int) -> list[Coast]:
    """The coasts in a stretch that never gains: each from a drop in speed until it levels off."""
    out = []
    at = first
    while at < last:
        if not speed[at] - speed[at + 1] > BEGINS:
            at += 1
            continue
        end = at + 1
        # until it has lost nothing to speak of for three seconds
        while end < last and speed[max(end - 3, at)] - speed[end] > GAIN:
            end += 1
        end = min(end, at + int(MOST_SECONDS / STEP))
        lost = speed[at] - speed[end]
        enough = lost > LEAST_LOST * speed[at] and speed[at] >= LEAST_START
        if enough and time[end] - time[at] >= LEAST_SECONDS:
            part = slice(at, end + 1)
            out.append(Coast(float(time[at]), time[part] - time[at], speed[part].copy()))
        at = end
    return out


def _medians(values: Array) -> Array:
    # as scipy's median_filter, which takes a while to load
    padded = np.pad(values, SMOOTHED // 2, mode="edge")
    out: Array = np.median(sliding_window_view(padded, SMOOTHED), axis=-1)
    return out
