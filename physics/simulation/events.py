"""What happened in a run, and when: found on the steps' own cubics."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import combinations

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.simulation.drop_facts import TOUCHING, deepest, heights, passing, sinks_on
from physics.simulation.gaps import moving, nearer, polyline_distance
from physics.simulation.strength import Strength
from physics.simulation.trajectory import LineRecord, Trajectory
from physics.vessel.boat import Order

Array = NDArray[np.float64]

LIFTING = 0.03
"""A lure counts as lifting once it rises faster than this, m/s (about 0.1 ft/s)."""

BACK_WITHIN = 0.10
"""A lure is back once within this share of its running depth."""

LINES_CLOSE = 0.5
"""Lines nearer than this are reported, m."""

AT_ONCE = 512
"""Instants at which whole lines are looked at together: more take much memory."""

APART_EVERY = 0.5
"""Lines are looked at together so often, s."""

LOOK = 0.1
"""Spacing of the first look for a crossing, s; roots are then polished."""


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened.

    ``kind`` is one of: out of gear, in gear, deepest, starts to lift, lure
    touches, line touches, passes the mark, back at running depth, lines close,
    over strength. ``rod`` names the line, or None; ``values`` are SI figures that go
    with it, ``section`` the kind of line that is pulled too hard.
    """

    kind: str
    time: float
    rod: str | None = None
    values: dict[str, float] = field(default_factory=dict)
    section: str | None = None


def out_of_gear_intervals(orders: Sequence[Order]) -> list[tuple[float, float]]:
    """(out of gear, in gear) times; an unfinished interval ends with infinity."""
    intervals: list[tuple[float, float]] = []
    out: float | None = None
    for order in orders:
        if order.action == "out of gear" and out is None:
            out = order.time
        elif order.action == "in gear" and out is not None:
            intervals.append((out, order.time))
            out = None
    if out is not None:
        intervals.append((out, np.inf))
    return intervals


def find_events(trajectory: Trajectory) -> list[Event]:
    """All events of a run in order of time, to within 0.05 s."""
    events: list[Event] = []
    intervals = out_of_gear_intervals(trajectory.track.orders)
    for number, (out, back) in enumerate(intervals):
        if out > trajectory.end:
            continue
        events.append(Event("out of gear", out))
        if back <= trajectory.end:
            events.append(Event("in gear", back, None, {"hold_s": back - out}))
        until = intervals[number + 1][0] if number + 1 < len(intervals) else trajectory.end
        for line in range(len(trajectory.lines)):
            events += _drop_events(trajectory, line, out, back, min(until, trajectory.end))
    for line in range(len(trajectory.lines)):
        events += _touches(trajectory, line)
        events += _passes(trajectory, line)
        events += _over_strength(trajectory, line)
    events += _close_lines(trajectory)
    return sorted(events, key=lambda event: event.time)


def _times(start: float, end: float) -> Array:
    count = max(2, int(np.ceil((end - start) / LOOK)) + 1)
    out: Array = np.linspace(start, end, count)
    return out


def _crossings(values: Array, below: bool) -> NDArray[np.intp]:
    """Indices i where ``values`` pass zero between i and i + 1, downward or upward."""
    low = values < 0.0
    turned = (low[1:] & ~low[:-1]) if below else (~low[1:] & low[:-1])
    out: NDArray[np.intp] = np.flatnonzero(turned)
    return out


def _drop_events(
    trajectory: Trajectory, number: int, out: float, back: float, end: float
) -> list[Event]:
    """Deepest, starts to lift and back at running depth, for one spell out of gear."""
    line = trajectory.lines[number]
    name = line.rod.name
    start = max(out, trajectory.start)
    if end <= start + LOOK:
        return []
    times = _times(start, end)
    depth = trajectory.depth(number, times)
    found = deepest(times, depth, trajectory.height(number, times))
    if not found.turned and end >= trajectory.end:
        return []
    when = found.time
    height = float(trajectory.height(number, np.array([when]))[0])
    values = {"depth_m": found.depth, "height_m": height, "after_out_s": when - out}
    on = sinks_on(found, float(depth[0]), back)
    if np.isfinite(back) and on is not None:
        values["after_in_gear_s"] = on
    events = [Event("deepest", when, name, values)]
    t = starts_to_lift(line, times, max(when, back))
    if t is not None:
        events.append(Event("starts to lift", t, name, {"depth_m": -float(line.lure(t)[2])}))
    run = float(depth[0])
    limit = run * (1.0 + BACK_WITHIN)
    if found.depth > limit and np.isfinite(back):
        over = depth - limit
        for j in _crossings(over, below=True):
            if times[j + 1] > when:
                t = float(
                    scipy.optimize.brentq(
                        lambda s: -line.lure(s)[2] - limit, times[j], times[j + 1]
                    )
                )
                events.append(
                    Event("back at running depth", t, name, {"depth_m": limit,
                                                             "after_in_gear_s": t - back})
                )  # fmt: skip
                break
    return events


def starts_to_lift(line: LineRecord, times: Array, first: float) -> float | None:
    """When a lure first lifts from ``first`` s on, looked for at ``times`` (n,) s; None if never.

    From ``first`` on means once in gear and deepest before: a lure still sinks for a while.
    """
    rate = line.lure_velocity(times)[:, 2]
    later = np.flatnonzero((times >= first) & (rate > LIFTING))
    if first >= times[-1] or not len(later):
        return None
    j = int(later[0])
    t = float(times[j])
    if j and rate[j - 1] <= LIFTING:
        t = float(
            scipy.optimize.brentq(
                lambda s: line.lure_velocity(s)[2] - LIFTING, times[j - 1], times[j]
            )
        )
    return max(t, first)


def _heights(trajectory: Trajectory, line: LineRecord, times: Array) -> tuple[Array, Array]:
    """Least height (n,) of the lure, and of the line, over the bottom; as in ``heights``."""
    lure, line_ = np.empty(len(times)), np.empty(len(times))
    for k in range(0, len(times), AT_ONCE):
        part = slice(k, k + AT_ONCE)
        bottom = trajectory.scenario.water.bottom
        lure[part], line_[part] = heights(line.nodes(times[part]), bottom)
    return lure, line_


def _touches(trajectory: Trajectory, number: int) -> list[Event]:
    line = trajectory.lines[number]
    if trajectory.end <= trajectory.start:
        return []
    bottom = trajectory.scenario.water.bottom
    reach = -float(line.position[:, 2].min())
    if reach < bottom.shallowest - 1.0:
        return []
    times = _times(trajectory.start, trajectory.end)
    events = []
    for kind, which in (("lure touches", 0), ("line touches", 1)):
        gap = _heights(trajectory, line, times)[which] - TOUCHING
        starts = _crossings(gap, below=True)
        ends = _crossings(gap, below=False)
        first = [float(times[0])] if gap[0] < 0.0 else []
        for t0 in first + [
            _polish(trajectory, line, which, times[j], times[j + 1]) for j in starts
        ]:
            later = [j for j in ends if times[j + 1] > t0]
            t1 = (
                _polish(trajectory, line, which, times[later[0]], times[later[0] + 1])
                if later
                else trajectory.end
            )
            depth = -float(line.lure(t0)[2])
            events.append(
                Event(kind, t0, line.rod.name, {"depth_m": depth, "for_s": max(t1 - t0, 0.0)})
            )
    return events


def _over_strength(trajectory: Trajectory, number: int) -> list[Event]:
    """When each kind of line on a rod first carries more than it stands, and the most it does."""
    line = trajectory.lines[number]
    strength = Strength(line.rod, trajectory.scenario.resolution, line.handled)
    events = []
    tensions = strength.tensions(line.time, line.position, line.tips)
    for section, tension in zip(strength.sections, tensions.T, strict=True):
        over = np.flatnonzero(tension > section.strength)
        if not len(over) or line.time[over[0]] > trajectory.end:
            continue
        k = int(over[0])
        t = float(line.time[k])
        if k:
            share = (section.strength - tension[k - 1]) / (tension[k] - tension[k - 1])
            t = float(line.time[k - 1] + share * (t - line.time[k - 1]))
        events.append(Event("over strength", t, line.rod.name, {
            "tension_n": float(tension.max()),
            "strength_n": section.strength,
            "depth_m": -float(line.lure(t)[2]),
        }, section.name))  # fmt: skip
    return events


def _polish(trajectory: Trajectory, line: LineRecord, which: int, low: float, high: float) -> float:
    def gap(t: float) -> float:
        return float(_heights(trajectory, line, np.array([t]))[which][0]) - TOUCHING

    if gap(low) * gap(high) > 0.0:
        return float(high)
    return float(scipy.optimize.brentq(gap, low, high, xtol=1e-3))


def marks(trajectory: Trajectory) -> list[tuple[float, float, float, float]]:
    """(time, x, y, depth) of every mark so far: where the transducer was then."""
    out = []
    for order in trajectory.track.orders:
        if order.action == "mark":
            boat = trajectory.track.at(order.time)
            out.append((order.time, boat.x, boat.y, order.value))
    return out


def _passes(trajectory: Trajectory, number: int) -> list[Event]:
    """How one lure passes each mark."""
    line = trajectory.lines[number]
    events = []
    for marked, x, y, depth in marks(trajectory):
        start = max(marked, trajectory.start)
        if trajectory.end <= start + LOOK:
            continue
        times = _times(start, trajectory.end)
        found = passing(times, line.lure(times), x, y)
        if found is None:
            continue
        height = float(trajectory.height(number, np.array([found.time]))[0])
        here = -float(found.place[2])
        events.append(
            Event("passes the mark", found.time, line.rod.name, {
                "miss_m": found.miss,
                "height_m": height,
                "depth_m": here,
                "below_mark_m": here - depth,
                "rate_mps": found.rate,
                "mark_time_s": marked,
            })
        )  # fmt: skip
    return events


def _close_lines(trajectory: Trajectory) -> list[Event]:
    """First instants at which two lines come nearer than LINES_CLOSE."""
    events: list[Event] = []
    lines = trajectory.lines
    if len(lines) < 2 or trajectory.end <= trajectory.start:
        return events
    count = max(2, int(np.ceil((trajectory.end - trajectory.start) / APART_EVERY)) + 1)
    times = np.linspace(trajectory.start, trajectory.end, count)
    pairs = list(combinations(range(len(lines)), 2))
    near = np.concatenate([
        _close(lines, pairs, times[k : k + AT_ONCE]) for k in range(0, count, AT_ONCE)
    ])  # fmt: skip
    before = np.roll(near, 1, axis=0)
    before[0] = False
    for k, pair in np.argwhere(near & ~before):
        one, other = (lines[number] for number in pairs[pair])
        t = float(times[k])
        if k:
            t = _first_close(one, other, float(times[k - 1]), t)
        gap = polyline_distance(one.nodes(t), other.nodes(t))
        name = f"{one.rod.name} and {other.rod.name}"
        events.append(Event("lines close", t, name, {"apart_m": gap}))
    return events


def _close(
    lines: Sequence[LineRecord], pairs: Sequence[tuple[int, int]], times: Array
) -> NDArray[np.bool_]:
    """Which pairs of lines are nearer than LINES_CLOSE at times (n,): (n, pairs)."""
    seen = moving([line.nodes(times) for line in lines])
    return np.stack([nearer(seen[i], seen[j], LINES_CLOSE) for i, j in pairs], axis=1)


def _first_close(one: LineRecord, other: LineRecord, low: float, high: float) -> float:
    while high - low > 0.02:
        mid = 0.5 * (low + high)
        if polyline_distance(one.nodes(mid), other.nodes(mid)) < LINES_CLOSE:
            high = mid
        else:
            low = mid
    return high
