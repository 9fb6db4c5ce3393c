"""A recorded run as orders to the helm, so that a drop can be tried anywhere on it.

What was recorded is places over ground. Less the set (current and leeway) they are a way
through the water; a course follows it, and the throttle is worked so that the scenario's
boat, with her own coast-down and throttle, is where the recorded one was at its time.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from app.common.bad_input import BadInput
from app.common.quantities import Quantity, spell
from app.common.scales import always
from app.common.units import MINUTE
from app.ground.tracks.log import GroundLog
from app.ground.tracks.plane import to_plane
from app.ground.tracks.profile import ground_under
from app.scenario.courses import course_path, steered_along
from physics.checks import InvalidValue, Limits
from physics.environment.water import Bottom, Water, compass_vector
from physics.vessel.boat import Boat, BoatState, Leg, Order
from physics.vessel.helm import HelmTrack

Array = NDArray[np.float64]

SHORTEST, LONGEST = 60.0, 7200.0
"""A stretch to replay lasts so long, s."""

STRETCH = Quantity(
    "since", spell("since", "s"), Limits(0.0, 1e6, "s"), 0.0, always(MINUTE, 1, 1.0), "replay from"
)
"""Where on the track a stretch begins or ends; no file keeps it."""

GAP = 15.0
"""Longer without a place there is no saying where she went, s."""

NO_DEPTH = 30.0
"""The usual stretch ends where there is no depth for longer, s."""

SMOOTHED = (2.5, 5.0, 10.0)
"""Places are smoothed over so many seconds (standard deviation): a receiver wanders by a
meter or two, and a boat does not. Over more where the course has too many legs otherwise."""

START = 5.0
"""Heading and speed at the start are means of so many seconds."""

UNDER_WAY = 0.5
"""A run begins at no less, m/s through the water: the lines start in a steady tow."""

FASTEST = 12.0

THINNED = 2.0
"""Places of the way through the water are so far apart, m: a boat that lies still wanders."""

TIGHTEST = 8.0
"""She turned no tighter than this, m."""

SPEED_STEP = 0.2
"""The throttle is moved where the speed wanted differs from the one set by more, m/s."""

DECIDED, AHEAD = 2.0, 8.0
"""Every so many s the speed is looked for that brings her right in so many s: her throttle and
her way take some five to answer."""

LEAST_THROTTLE = 0.2

ALLOWED = "a stretch of 1 minute to 2 hours, under way at its start, without gaps"


@dataclass(frozen=True, slots=True)
class Replay:
    """What a scenario needs to run a recorded stretch again.

    ``bottom`` counts from the place the boat starts at. ``heading`` rad, ``speed`` m/s.
    The first of the ``orders`` is the course, the others the throttle. ``seconds`` and
    ``way`` m through the water it lasts; ``off`` m is the root mean square of how far the
    replayed boat is from the recorded one, at the same times, and ``worst`` the most.
    """

    bottom: Bottom
    heading: float
    speed: float
    orders: tuple[Order, ...]
    seconds: float
    way: float
    off: float
    worst: float

    @property
    def legs(self) -> tuple[Leg, ...]:
        """The course."""
        return self.orders[0].legs


def usual_stretch(log: GroundLog) -> tuple[float, float] | None:
    """Start and end, s of the log, of the longest stretch with depths; None without one.

    Without gaps, at trolling speeds, under way at its start, of LONGEST at most.
    """
    time = log.time
    sounded = np.isfinite(log.depth) & ~(log.speed > FASTEST)
    rows = np.flatnonzero(sounded)
    if len(rows) < 2:
        return None
    apart = np.diff(time[rows])
    lost = np.cumsum(np.concatenate([[False], np.diff(time) > GAP]))
    fast = np.cumsum(log.speed > FASTEST)
    breaks = (apart > NO_DEPTH) | (np.diff(lost[rows]) > 0) | (np.diff(fast[rows]) > 0)
    best: tuple[float, float] | None = None
    for part in np.split(rows, np.flatnonzero(breaks) + 1):
        moving = part[~(log.speed[part] < UNDER_WAY)]
        if not len(moving):
            continue
        since = float(time[moving[0]])
        until = min(float(time[part[-1]]), since + LONGEST)
        if best is None or until - since > best[1] - best[0]:
            best = since, until
    return best if best is not None and best[1] - best[0] >= SHORTEST else None


def replay_of(log: GroundLog, since: float, until: float, water: Water, boat: Boat) -> Replay:
    """The run from ``since`` to ``until``, s of the log, in ``water``'s current and wind.

    Raises BadInput.
    """
    part = log.between(since, until)
    _check(part, log.name)
    drift = (
        water.current[0] + boat.leeway * water.wind[0],
        water.current[1] + boat.leeway * water.wind[1],
    )
    for seconds in SMOOTHED:
        time, place = _smooth(part, seconds)
        through = place - np.outer(time, drift)
        velocity = np.gradient(through, time, axis=0)
        speed, heading = _start(time, velocity, log.name)
        start = _afloat(through[0], heading, speed)
        try:
            legs = steered_along(_thinned(through), start, speed, (0.0, 0.0), TIGHTEST)
        except InvalidValue as error:
            if seconds == SMOOTHED[-1]:
                problem = "cannot be steered again"
                raise BadInput(log.name, "", None, error.allowed, problem) from error
        else:
            break
    way = _way_wanted(through, start, legs)
    throttle = _throttle(time, way, speed, boat)
    orders = (Order(0.0, "course", legs=legs), *throttle)
    bottom = _under(part, place[0])
    replayed = HelmTrack(boat, water, speed, heading, orders)
    there = np.array([[state.x, state.y] for state in map(replayed.at, time.tolist())])
    off = np.hypot(*(there - (place - place[0])).T)
    return Replay(
        bottom, heading, speed, orders, float(time[-1]), float(way[-1]),
        float(np.sqrt(np.mean(off**2))), float(off.max()),
    )  # fmt: skip


def _check(part: GroundLog, name: str) -> None:
    """Refuse a stretch nobody can replay, in plain words."""
    if len(part) < 10 or part.time[-1] - part.time[0] < SHORTEST:
        raise BadInput(name, "", None, ALLOWED, "this stretch is too short to replay")
    if part.time[-1] - part.time[0] > LONGEST + 1.0:
        raise BadInput(name, "", None, ALLOWED, "this stretch is too long to replay")
    gap = np.diff(part.time)
    if gap.max() > GAP:
        at = float(part.time[int(gap.argmax())])
        problem = f"has no places for {gap.max():.0f} s, {at / 60.0:.1f} min into the track"
        raise BadInput(name, "", None, ALLOWED, problem)


def _smooth(part: GroundLog, seconds: float) -> tuple[Array, Array]:
    """Seconds from the start (n,), one apart, and smoothed places (n, 2) from its first fix, m."""
    east, north = to_plane(part.lat, part.lon, (float(part.lat[0]), float(part.lon[0])))
    since = part.time - part.time[0]
    time: Array = np.arange(0.0, since[-1] + 1e-9, 1.0)
    rows = np.column_stack([np.interp(time, since, east), np.interp(time, since, north)])
    pad = min(int(4.0 * seconds), len(rows) - 1)
    # past its ends the track is turned about them: that keeps where and how fast it begins
    before, after = 2.0 * rows[0] - rows[pad:0:-1], 2.0 * rows[-1] - rows[-2 : -pad - 2 : -1]
    whole = gaussian_filter1d(np.vstack([before, rows, after]), seconds, axis=0)
    return time, whole[pad : pad + len(rows)]


def _start(time: Array, velocity: Array, name: str) -> tuple[float, float]:
    """Speed through the water, m/s, and heading, rad, at the start."""
    speeds = np.hypot(*velocity.T)
    if np.median(speeds) < UNDER_WAY:
        raise BadInput(
            name, "", None, ALLOWED,
            "she hardly goes through the water: is the current the one of that day?",
        )  # fmt: skip
    if speeds.max() > FASTEST + 1.0:
        raise BadInput(name, "", None, ALLOWED, "goes faster than anybody trolls")
    first = velocity[time <= START]
    # back from the middle of the seconds averaged to the start, as far as she turned meanwhile
    angle = np.unwrap(np.arctan2(first[:, 0], first[:, 1]))
    slope = np.polyfit(time[time <= START], angle, 1)
    speed = float(np.mean(np.hypot(*first.T)))
    if speed < UNDER_WAY:
        raise BadInput(name, "", None, ALLOWED, "lies without way at the start: begin later")
    return speed, float(slope[1]) % (2.0 * math.pi)


def _afloat(place: Array, heading: float, speed: float) -> BoatState:
    velocity = speed * math.sin(heading), speed * math.cos(heading)
    x, y = float(place[0]), float(place[1])
    return BoatState(0.0, x, y, heading, speed, 0.0, 0.0, velocity, True, speed)


def _thinned(places: Array) -> Array:
    """Places (m, 2) at least THINNED from one to the next, the first left out."""
    kept = [0]
    for row in range(1, len(places)):
        if math.dist(places[row], places[kept[-1]]) >= THINNED:
            kept.append(row)
    return places[kept[1:]]


def _way_wanted(through: Array, start: BoatState, legs: tuple[Leg, ...]) -> Array:
    """Way (n,), m, of the course at which she is nearest to each place; never back."""
    spaced = [Leg(1.0, leg.curvature) for leg in legs for _ in range(round(leg.length))]
    path = course_path(start, spaced, 1.0, (0.0, 0.0))
    out, at = np.zeros(len(through)), 0
    reach = math.ceil(2.0 * FASTEST)
    for row, place in enumerate(through):
        part = path[at : at + reach]
        at += int(((part - place) ** 2).sum(axis=1).argmin())
        out[row] = at
    smooth: Array = np.maximum.accumulate(gaussian_filter1d(out, 1.0, mode="nearest"))
    return smooth


def _throttle(time: Array, way: Array, speed: float, boat: Boat) -> list[Order]:
    """Throttle orders that bring her to each ``way`` (n,), m, at its ``time`` (n,), s."""
    # straight ahead in still water her way is where she is, whatever the course
    track = HelmTrack(boat, Water(Bottom.level(10.0)), speed)
    orders: list[Order] = []
    asked = speed
    for now in np.arange(DECIDED, time[-1] - DECIDED, DECIDED).tolist():
        span = min(AHEAD, time[-1] - now)
        goal = float(np.interp(now + span, time, way))
        wanted = min(max((goal - track.at(now).y) / span, LEAST_THROTTLE), FASTEST)
        if abs(wanted - asked) > SPEED_STEP:
            asked = round(wanted, 3)
            orders.append(Order(now, "throttle", asked))
            track.order(orders[-1])
    return orders


def _under(part: GroundLog, start: Array) -> Bottom:
    """The stretch's bottom, counted from where the replayed boat starts."""
    bottom = ground_under(part).bottom
    ahead = compass_vector(bottom.bearing)
    past = float(start[0] * ahead[0] + start[1] * ahead[1])
    return replace(bottom, points=tuple((along - past, depth) for along, depth in bottom.points))
