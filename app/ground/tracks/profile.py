"""The bottom under a recorded track, as depth along its mean course."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from app.common.bad_input import BadInput
from app.ground.tracks.log import GroundLog
from app.ground.tracks.plane import to_plane
from physics.checks import InvalidValue
from physics.environment.water import Bottom, compass_vector

Array = NDArray[np.float64]

SPACING = 2.0
"""Shortest bin along the course, m; a fix is not better known than that."""

MOST_POINTS = 400
"""Bins are made longer rather than more than this."""

ALLOWED = "a stretch with depths along a course of at least 10 m"

SHORTEST = 10.0


@dataclass(frozen=True, slots=True)
class Ground:
    """A bottom for a scenario, and where it came from.

    ``bottom`` counts distances, m, along its bearing from ``origin`` (lat, lon degrees),
    the first fix of the stretch. ``aside`` m is how far nine in ten of its fixes lie from
    the mean course at most; ``rough`` m is half the spread of the depths within a bin that
    holds two in three of them: sea, sounder, tide and ground across the course together.
    """

    bottom: Bottom
    origin: tuple[float, float]
    aside: float
    rough: float


def ground_under(log: GroundLog, *, deeper: float = 0.0, spacing: float | None = None) -> Ground:
    """The bottom along the mean course of a log or of a part of it.

    The course is the track's main axis (least squares of distances from it), pointing the
    way the boat made good, or for a track that comes back to its start, the way it first
    went. Depths are medians of bins ``spacing`` m long, so that what stands out alone
    does not count; straight lines bridge empty bins. ``deeper`` m is added: how deep the
    transducer sits, less the tide. Raises BadInput.
    """
    known = np.isfinite(log.depth)
    if known.sum() < 2:
        raise BadInput(log.name, "", None, ALLOWED, "has no depths")
    origin = float(log.lat[0]), float(log.lon[0])
    east, north = to_plane(log.lat, log.lon, origin)
    bearing = _mean_course(east, north)
    ahead = compass_vector(bearing)
    along, across = east * ahead[0] + north * ahead[1], east * ahead[1] - north * ahead[0]
    sounded = along[known]
    length = float(np.ptp(sounded))
    if length < SHORTEST:
        raise BadInput(log.name, "", None, ALLOWED, "goes nowhere")
    bin_length = max(spacing or SPACING, length / MOST_POINTS)
    number = np.floor((sounded - sounded.min()) / bin_length).astype(np.intp)
    order = np.argsort(number, kind="stable")
    _, first = np.unique(number[order], return_index=True)
    groups = np.split(log.depth[known][order], first[1:])
    places = np.split(sounded[order], first[1:])
    depth = np.array([np.median(group) for group in groups]) + deeper
    # the middle of what was sounded, not of the bin: a slope's first bin may be half empty
    middle = np.array([np.mean(place) for place in places])
    if depth.min() < 0.3:
        raise BadInput(log.name, "", f"{depth.min():.1f} m", "depths of 0.3 m and more")
    spreads = [np.diff(np.percentile(group, (16.7, 83.3)))[0] for group in groups if len(group) > 4]
    points = tuple((float(a), float(d)) for a, d in zip(middle, depth, strict=True))
    try:
        bottom = Bottom(points, bearing)
    except InvalidValue as error:
        raise BadInput(log.name, "", None, ALLOWED, "goes farther than any one bottom") from error
    aside = float(np.percentile(np.abs(across - np.median(across)), 90.0))
    rough = 0.5 * float(np.median(spreads)) if spreads else 0.0
    return Ground(bottom, origin, aside, rough)


def _mean_course(east: Array, north: Array) -> float:
    """Bearing of the main axis, rad from 0 up to a full turn."""
    x, y = east - east.mean(), north - north.mean()
    axis = 0.5 * np.arctan2(2.0 * float(x @ y), float(y @ y) - float(x @ x))
    ahead = compass_vector(float(axis))
    along = east * ahead[0] + north * ahead[1]
    made_good, out = float(along[-1] - along[0]), float(along[np.abs(along - along[0]).argmax()])
    back = made_good if abs(made_good) > 0.25 * float(np.ptp(along)) else out - float(along[0])
    return float((axis + (np.pi if back < 0.0 else 0.0)) % (2.0 * np.pi))


def resampled(log: GroundLog, step: float) -> GroundLog:
    """The log every ``step`` s, straight between fixes; depths, speeds, winds NaN in gaps.

    A gap is longer than 10 s, or than two steps if that is longer. Longitudes go
    the short way over the 180th meridian.
    """
    time: Array = np.arange(0.0, float(log.time[-1] - log.time[0]) + 1e-9, step) + log.time[0]
    at = np.clip(np.searchsorted(log.time, time), 1, len(log.time) - 1)
    gap = (log.time[at] - log.time[at - 1] > max(10.0, 2.0 * step)) & (time != log.time[at])
    gap &= time != log.time[at - 1]

    def between(value: Array, blank: bool = True) -> Array:
        out: Array = np.interp(time, log.time, value)
        if blank:
            out[gap] = np.nan
        return out

    lon = between(np.unwrap(log.lon, period=360.0), blank=False)
    wind = np.stack([between(log.wind[:, 0]), between(log.wind[:, 1])], axis=1)
    return replace(
        log, time=time, lat=between(log.lat, blank=False), lon=(lon + 180.0) % 360.0 - 180.0,
        depth=between(log.depth), speed=between(log.speed), wind=wind,
    )  # fmt: skip
