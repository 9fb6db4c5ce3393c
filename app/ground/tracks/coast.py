"""Stretches of a recorded track where the boat seems to have coasted down, as rows for a fit.

A log does not say where the lever was. A throttle pulled back, a fish on or a head sea slow a
boat too, and speed over ground is not speed through the water unless the current is taken off:
these are offers for a person to take or leave, not measurements yet.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from app.ground.tracks.log import GroundLog
from app.ground.tracks.plane import to_plane
from app.ground.tracks.profile import resampled
from physics.calibration.slowings import STEP, Coast, slowings_in

Array = NDArray[np.float64]

GAP = 10.0
"""Longer without a place there is no telling how she slowed, s."""


def coasts(log: GroundLog, current: tuple[float, float] = (0.0, 0.0)) -> tuple[Coast, ...]:
    """The ``slowings`` that can be measurements: none is too fast."""
    return tuple(coast for coast in slowings(log, current) if not coast.too_fast)


def slowings(log: GroundLog, current: tuple[float, float] = (0.0, 0.0)) -> tuple[Coast, ...]:
    """Where speed through the water falls for seconds with no gain, in order of time.

    ``current`` is the set (east, north), m/s, taken off the velocity over ground.
    """
    # what comes before a gap has nothing to do with what follows, were it months later
    parts = [part for part in log.split(GAP) if len(part) > 1]
    return tuple(coast for part in parts for coast in _in_one(part, current))


def _in_one(part: GroundLog, current: tuple[float, float]) -> list[Coast]:
    """The slowings of a track without gaps."""
    even = resampled(part, STEP)
    if len(even) < 2:
        return []
    return list(slowings_in(even.time, _through_water(even, current)))


def _through_water(even: GroundLog, current: tuple[float, float]) -> Array:
    """Speed through the water (n,), m/s: the current off the way over ground."""
    if current == (0.0, 0.0):
        return even.speed
    east, north = to_plane(even.lat, even.lon, (float(even.lat[0]), float(even.lon[0])))
    course = np.arctan2(np.gradient(east, even.time), np.gradient(north, even.time))
    out: Array = np.hypot(
        even.speed * np.sin(course) - current[0], even.speed * np.cos(course) - current[1]
    )
    return out
