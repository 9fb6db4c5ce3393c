"""Where the sun stands, and whether a heading is into the light or out of it.

Declination and right ascension: 'low-precision formulas for the Sun's coordinates', The
Astronomical Almanac, section C (p. C5 in 2017; 2ND), good to 0.01 deg from 1950 to 2050.
Sidereal time: Michalsky (1988), Solar Energy 40, 227 (MEMORY). Refraction is included, for
1010 hPa and 10 deg C: Saemundsson (1986) as in Meeus, Astronomical Algorithms, 16.4 (MEMORY),
under the horizon fading with the tangent, where nobody sees it. The sun's parallax, 0.002 deg,
is left out.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

J2000 = 946_728_000.0
"""Noon of 1 January 2000 UTC, s since 1970."""

DAY = 86_400.0

LOWEST = -0.575
"""Height under which refraction fades, deg."""

INTO, OUT_OF, FLAT = "into", "out", "flat"

HIGH_SUN = np.radians(50.0)
"""A sun above this lights all sides alike, rad (common practice, no source)."""

AHEAD = np.radians(60.0)
"""How far off the bow a sun is still ahead, and off the stern astern, rad (common practice,
no source)."""


class Sun(NamedTuple):
    """``bearing`` of the sun clockwise from true north, [0, 2 pi), and its ``height`` over the
    horizon as it is seen, both rad, of one shape."""

    bearing: Array
    height: Array


def sun(time: ArrayLike, latitude: ArrayLike, longitude: ArrayLike) -> Sun:
    """The sun at ``time``, UTC s since 1970, seen from a place in degrees (east positive).

    The arguments broadcast. On a pole the bearing counts from the meridian of ``longitude``.
    """
    days = (np.asarray(time, dtype=float) - J2000) / DAY
    declination, ascension = _coordinates(days)
    sidereal = np.radians(np.mod(280.460_625 + 360.985_647_363 * days, 360.0))
    hour = sidereal + np.radians(longitude) - ascension
    phi = np.radians(latitude)
    north = np.cos(phi) * np.sin(declination) - np.sin(phi) * np.cos(declination) * np.cos(hour)
    east = -np.cos(declination) * np.sin(hour)
    up = np.sin(phi) * np.sin(declination) + np.cos(phi) * np.cos(declination) * np.cos(hour)
    height = np.arctan2(up, np.hypot(north, east))
    bearing = np.mod(np.arctan2(east, north), 2.0 * np.pi)
    return Sun(bearing, height + refraction(height))


def _coordinates(days: Array) -> tuple[Array, Array]:
    """Declination and right ascension, rad, so many days after J2000."""
    anomaly = np.radians(np.mod(357.528 + 0.985_600_3 * days, 360.0))
    longitude = np.radians(
        np.mod(280.460 + 0.985_647_4 * days, 360.0)
        + 1.915 * np.sin(anomaly)
        + 0.020 * np.sin(2.0 * anomaly)
    )
    tilt = np.radians(23.439 - 4e-7 * days)
    return (
        np.arcsin(np.sin(tilt) * np.sin(longitude)),
        np.arctan2(np.cos(tilt) * np.sin(longitude), np.cos(longitude)),
    )


def refraction(height: ArrayLike) -> Array:
    """How much the air lifts what stands at a true height, both rad."""
    degrees = np.degrees(np.asarray(height, dtype=float))
    seen = np.maximum(degrees, LOWEST)
    lift = 1.02 / 60.0 / np.tan(np.radians(seen + 10.3 / (seen + 5.11)))
    fading = np.tan(np.radians(LOWEST)) / np.tan(np.radians(np.minimum(degrees, LOWEST)))
    out: Array = np.radians(np.maximum(lift, 0.0) * fading)
    return out


def light(heading: ArrayLike, sun: Sun) -> NDArray[np.str_]:
    """INTO, OUT_OF or FLAT for headings, rad, under a sun.

    Into the light is a sun ahead, out of it a sun astern, while it is over the horizon and
    not above HIGH_SUN; everything else is flat. Clouds are not known.
    """
    off = np.abs(np.mod(np.subtract(heading, sun.bearing) + np.pi, 2.0 * np.pi) - np.pi)
    low = (sun.height > 0.0) & (sun.height <= HIGH_SUN)
    out: NDArray[np.str_] = np.where(
        low & (off <= AHEAD), INTO, np.where(low & (off >= np.pi - AHEAD), OUT_OF, FLAT)
    )
    return out
