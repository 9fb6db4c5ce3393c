"""What a recorded track says, without what cannot be so, and every omission counted."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import median_filter

from app.common.bad_input import BadInput
from app.ground.tracks.blocks import READING
from app.ground.tracks.log import APART, GroundLog, Raw
from app.ground.tracks.plane import centered, to_plane
from app.ground.tracks.report import Report
from physics.progress import ProgressCallback, report_progress

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Index = NDArray[np.intp]

FASTEST = 30.0
"""A boat that fishes is not faster over ground, m/s."""

SLOP = 30.0
"""A fix may be off by so much without having jumped, m."""

AGREE = 20
"""So many fixes in a row that agree with each other are a track, not a spike."""

UNDER_WAY = 1.0
"""A boat this fast moves from fix to fix, m/s."""

DEEPEST, SHALLOWEST = 2000.0, 0.1

AROUND = 9
"""A depth is compared with the median of so many around it."""

STANDS_OUT = (3.0, 0.25)
"""It stands out alone when off by more than so many m and by that share of the median."""

NEAR = 5.0
"""A depth is known at a fix when it was sounded within this of it on either side, s."""

WIND_NEAR = 10.0
GAP = 10.0
"""Longer without a fix is a gap, s; or five times the usual spacing, if that is longer."""

MONTH = 30.0 * 86400.0

FEW = 0.25
"""Less than AGREE fixes, and than this share of the most in a row, that are dated more than a
MONTH from all others, come from a receiver that did not know the date yet."""

LATEST = 4_102_444_800.0
"""The year 2100, s since 1970; receivers tell no time before or after."""


def cleaned(
    raw: Raw, name: str, report: Report, progress: ProgressCallback | None = None
) -> GroundLog:
    """The usable part of a track, time rising; ``progress`` hears the last share of the work.

    Raises BadInput when there is none, Cancelled.
    """
    shares = iter(np.linspace(READING, 1.0, 8)[1:])
    use = _kept(raw, name, report)
    if use.sum() < 2:
        raise BadInput(name, "", None, "at least two usable places", "has too few places to use")
    order = np.flatnonzero(use)
    order = order[np.argsort(raw.time[order], kind="stable")]
    for key, found in (("repeated", _repeated), ("stuck", _stuck), ("jump", _jumps)):
        out = found(raw, order)
        report.leave(key, int(out.sum()))
        order = order[~out]
        report_progress(progress, float(next(shares)))
        if len(order) < 2:
            raise BadInput(name, "", None, "at least two usable places", "stays in no place")
    start = float(raw.time[order[0]])
    time = raw.time[order] - start
    lat, lon = raw.lat[order], raw.lon[order]
    velocity = _velocity(time, lat, lon)
    report_progress(progress, float(next(shares)))
    speed = _speed(raw.speed[order], velocity, report)
    depth = _depth(raw.depths, start, time, report)
    report_progress(progress, float(next(shares)))
    wind = _wind(raw, order, start, time, velocity, speed)
    report_progress(progress, 1.0)
    began = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=start) if raw.dated else None
    depth_from = raw.depth_from if np.isfinite(depth).any() else "none"
    report.fixes, report.depths = len(time), int(np.isfinite(depth).sum())
    _remark(report, time, depth_from, raw.dated)
    return GroundLog(name, began, time, lat, lon, depth, speed, wind, depth_from, report)


def _kept(raw: Raw, name: str, report: Report) -> Mask:
    """Fixes with a place on the globe and a date that can be. Raises BadInput where none has."""
    place = np.isfinite(raw.time) & (np.abs(raw.lat) <= 90.0) & (np.abs(raw.lon) <= 180.0)
    # receivers without a fix say 0 N, 0 E
    place &= (raw.lat != 0.0) | (raw.lon != 0.0)
    report.leave("no_place", int((~place).sum()))
    if not place.any():
        return place
    known = place & (raw.time >= 0.0) & (raw.time < LATEST)
    if not known.any():
        raise BadInput(name, "", None, "dates of 1970 to 2099", "has no place dated so")
    rows = np.flatnonzero(known)
    rows = rows[np.argsort(raw.time[rows], kind="stable")]
    runs = np.split(rows, np.flatnonzero(np.diff(raw.time[rows]) > MONTH) + 1)
    few = min(AGREE, FEW * max(map(len, runs)))
    for run in runs:
        known[run] = len(run) >= few
    report.leave("wrong_date", int((place & ~known).sum()))
    return known


def _repeated(raw: Raw, order: Index) -> Mask:
    return np.concatenate([[False], np.diff(raw.time[order]) <= 1e-6])


def _stuck(raw: Raw, order: Index) -> Mask:
    same = (np.diff(raw.lat[order]) == 0.0) & (np.diff(raw.lon[order]) == 0.0)
    moving = raw.speed[order] > UNDER_WAY
    # the shortest step a fix can tell, 0.001 minute, takes longer than this at that speed
    slow = np.diff(raw.time[order]) > 1.9
    return np.concatenate([[False], same & slow & moving[1:] & moving[:-1]])


def _jumps(raw: Raw, order: Index) -> Mask:
    """Fixes the boat could not have got to, or back from."""
    time = raw.time[order]
    place = centered(raw.lat[order], raw.lon[order])

    def reachable(a: Index, b: Index) -> Mask:
        far = sum(((axis[b] - axis[a]) ** 2 for axis in place), start=np.zeros(len(a)))
        within: Mask = far <= (SLOP + FASTEST * (time[b] - time[a])) ** 2
        return within

    count = np.arange(len(order))
    first = np.concatenate([[0], np.flatnonzero(~reachable(count[:-1], count[1:])) + 1])
    last = np.append(first[1:], len(order)) - 1
    out = np.zeros(len(order), dtype=bool)
    kept: list[int] = []
    # stretches that hang together: a long one is a track, a short one must follow from the last
    for k in range(len(first)):
        follows = not kept or bool(reachable(last[kept[-1:]], first[k : k + 1])[0])
        if last[k] - first[k] + 1 >= AGREE and not follows:
            if sum(last[j] - first[j] + 1 for j in kept[:AGREE]) < AGREE:
                for j in kept:
                    out[first[j] : last[j] + 1] = True
                kept = []
            follows = True
        if follows:
            kept.append(k)
        else:
            out[first[k] : last[k] + 1] = True
    return out


def _velocity(time: Array, lat: Array, lon: Array) -> Array:
    """Velocity over ground (2, n) from places about two seconds apart, m/s."""
    east, north = to_plane(lat, lon, (float(lat[0]), float(lon[0])))
    count = np.arange(len(time))
    before, after = np.maximum(count - 1, 0), np.minimum(count + 1, len(time) - 1)
    span = np.maximum(time[after] - time[before], 1e-6)
    return np.stack([(east[after] - east[before]) / span, (north[after] - north[before]) / span])


def _speed(given: Array, velocity: Array, report: Report) -> Array:
    wild = (given > FASTEST) | (given < 0.0)
    report.leave("speed_spike", int(wild.sum()))
    speed = np.where(wild, np.nan, given)
    if np.isnan(speed).all():
        report.remarks.append("no speeds in the file: worked out from the places")
        worked_out: Array = np.hypot(velocity[0], velocity[1])
        return worked_out
    return speed


def _depth(rows: Array, start: float, time: Array, report: Report) -> Array:
    """Depth at the fixes, m; NaN where none was sounded near."""
    good = np.isfinite(rows).all(axis=1) & (rows[:, 1] >= SHALLOWEST) & (rows[:, 1] <= DEEPEST)
    report.leave("no_depth", int((~good).sum()))
    rows = rows[good]
    rows = rows[np.argsort(rows[:, 0], kind="stable")]
    if len(rows) == 0:
        return np.full(len(time), np.nan)
    around = median_filter(rows[:, 1], AROUND, mode="nearest")
    least, share = STANDS_OUT
    alone = np.abs(rows[:, 1] - around) > np.maximum(least, share * around)
    report.leave("depth_spike", int(alone.sum()))
    rows = rows[~alone]
    if len(rows) == 0:
        return np.full(len(time), np.nan)
    # several in a second share its time, because sounders send none of their own
    when, first = np.unique(rows[:, 0] - start, return_index=True)
    deep = np.add.reduceat(rows[:, 1], first) / np.diff(np.append(first, len(rows)))
    at = np.searchsorted(when, time)
    before = when[np.maximum(at - 1, 0)]
    exact = when[np.minimum(at, len(when) - 1)]
    known = (np.abs(exact - time) < 1e-6) | (
        (at > 0) & (at < len(when)) & (exact - time <= NEAR) & (time - before <= NEAR)
    )
    return np.where(known, np.interp(time, when, deep), np.nan)


def _wind(
    raw: Raw, order: Index, start: float, time: Array, velocity: Array, speed: Array
) -> Array:
    """The air's velocity over ground (n, 2), m/s; the bow is taken to point along the course."""
    out = np.full((len(time), 2), np.nan)
    rows = raw.winds[np.argsort(raw.winds[:, 0], kind="stable")]
    if len(rows) == 0:
        return out
    when = rows[:, 0] - start
    at = np.clip(np.searchsorted(when, time), 0, len(when) - 1)
    back = np.maximum(at - 1, 0)
    at = np.where(np.abs(when[back] - time) < np.abs(when[at] - time), back, at)
    course = np.radians(raw.course[order])
    course = np.where(np.isnan(course), np.arctan2(velocity[0], velocity[1]), course)
    come = course + np.radians(rows[at, 1])
    felt = rows[at, 3] < 0.5
    for axis, unit in ((0, np.sin), (1, np.cos)):
        out[:, axis] = -rows[at, 2] * unit(come) + np.where(felt, speed * unit(course), 0.0)
    # a drifting boat has no course to speak of
    far = (np.abs(when[at] - time) > WIND_NEAR) | ~(speed > 0.5)
    out[far] = np.nan
    return out


def _remark(report: Report, time: Array, depth_from: str, dated: bool) -> None:
    steps = np.diff(time)
    ends = steps > APART
    if ends.any():
        hours = f"{APART / 3600.0:.0f} h"
        report.remarks.append(f"{ends.sum() + 1:,} trips, more than {hours} from one to the next")
    gaps = steps[(steps > max(GAP, 5.0 * float(np.median(steps)))) & ~ends]
    if len(gaps):
        many = "1 gap" if len(gaps) == 1 else f"{len(gaps):,} gaps"
        report.remarks.append(f"{many} without places, the longest {_span(float(gaps.max()))}")
    if depth_from == "none":
        report.remarks.append("no depths in the file: a track without a bottom")
    elif depth_from == "transducer":
        report.remarks.append("depths are from the transducer, not from the surface")
    elif depth_from == "unknown":
        report.remarks.append("the file does not say whether depths are from the surface")
    if not dated:
        report.remarks.append("no dates in the file: only times of day")


def _span(seconds: float) -> str:
    if seconds < 120.0:
        return f"{seconds:.0f} s"
    return f"{seconds / 60.0:.0f} min" if seconds < 7200.0 else f"{seconds / 3600.0:.1f} h"
