"""Courses to steer: circles, S-turns and figures of eight, and ways drawn by hand.

A course is legs by way through the water; the current and the leeway carry it along
meanwhile. No Qt.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from app.common import scales
from app.common.quantities import Quantity, spell
from app.common.units import Unit
from physics.checks import InvalidValue, Limits
from physics.simulation.run import Run
from physics.vessel.boat import MOST_CURVATURE, MOST_LEGS, BoatState, Leg
from physics.vessel.helm import HelmTrack

Array = NDArray[np.float64]

SHAPES = ("circle", "S-turn", "figure of eight")

TURNS = Quantity(
    "radius", spell("radius", "ft", "m"), Limits(10.0, 1000.0, "m"), None, scales.REACH, "radius"
)
"""Of the turns of a shape: the least is tight, the most hardly a turn. No file keeps it."""

TIGHTEST = 12.0
"""Radius of the tightest turn a drawn way is followed with, m: some one and a half boats long."""

REACH = 1.2
"""She steers for a place this many tightest turns ahead on the way drawn: further than the
middle of a turning circle is, or she could circle around it for ever."""

STEP = 1.0
"""Way through the water from one look ahead to the next, m."""

SAME, SHARE = 2e-3, 0.2
"""The wheel is left alone while it is wrong by less than this, 1/m, or than this share of
what it should be: legs stay few."""

STRAIGHT = 5e-4
"""A wanted curvature under this is steered as straight, 1/m."""

PATIENCE = 3.0
"""A way is given up when she has run so many times its length and a turn and not followed it."""

ARC, LONGEST_CHORD = 0.12, 25.0
"""Spacing of a predicted track: in a turn, radians, and at most, m."""

WHOLE = 0.03
"""A turn within this of a full circle, radians, is told as one."""


def shaped_course(shape: str, radius: float, side: int) -> tuple[Leg, ...]:
    """A shape of SHAPES with turns of ``radius`` m, first to starboard (side 1) or port (-1).

    Circle and figure of eight come back to where they began; the S-turn is a quarter turn
    to one side and a quarter turn back, onto the first heading, 2 x radius further over.
    Raises InvalidValue.
    """
    if shape not in SHAPES:
        raise InvalidValue("shape", shape, "one of " + ", ".join(SHAPES))
    if not radius >= 1.0 / MOST_CURVATURE:
        raise InvalidValue("radius", radius, f"a radius of at least {1.0 / MOST_CURVATURE:g} m")
    turn = math.copysign(1.0 / radius, side)
    whole = 2.0 * math.pi * radius
    if shape == "circle":
        return (Leg(whole, turn),)
    if shape == "S-turn":
        return Leg(0.25 * whole, turn), Leg(0.25 * whole, -turn)
    return Leg(whole, turn), Leg(whole, -turn)


def length_of(legs: Sequence[Leg]) -> float:
    """Way through the water of a course, m."""
    return math.fsum(leg.length for leg in legs)


def course_name(legs: Sequence[Leg]) -> str:
    """What a course is, with its article: a shape known by its turns, or a course of its own."""
    turns = [leg.length * leg.curvature for leg in legs]
    if len(turns) == 1 and abs(abs(turns[0]) - 2.0 * math.pi) < WHOLE:
        return "a circle"
    if len(turns) == 2 and abs(turns[0] + turns[1]) < WHOLE:
        if abs(abs(turns[0]) - 2.0 * math.pi) < WHOLE:
            return "a figure of eight"
        if abs(abs(turns[0]) - 0.5 * math.pi) < WHOLE:
            return "an S-turn"
    return "a course"


def course_now(run: Run, time: float) -> tuple[tuple[Leg, ...], float] | None:
    """The course steered at a time and the way run of it, m; None off a course."""
    track = run.track()
    return track.course_at(time) if isinstance(track, HelmTrack) else None


def course_words(legs: Sequence[Leg], way: float, unit: Unit) -> str:
    """Which course is steered and how much of it is run, m, for a person."""
    whole = unit.text(length_of(legs), 0)
    return f"steering {course_name(legs)}, {unit.from_si(way):.0f} of {whole}"


def ahead_of(legs: Sequence[Leg], way: float, most: float = math.inf) -> tuple[Leg, ...]:
    """What is left of a course after ``way`` m of it, the first ``most`` m of that."""
    out = []
    for leg in legs:
        left = min(leg.length, leg.length - way, most)
        if left >= 0.1:
            out.append(Leg(left, leg.curvature))
            most -= left
        way = max(way - leg.length, 0.0)
        if most < 0.1:
            break
    return tuple(out)


def drift_of(state: BoatState) -> tuple[float, float]:
    """Current with leeway (east, north), m/s: what is over ground and not through the water."""
    vx, vy = state.velocity
    return vx - state.speed * math.sin(state.heading), vy - state.speed * math.cos(state.heading)


def course_path(
    state: BoatState, legs: Sequence[Leg], speed: float, drift: tuple[float, float]
) -> Array:
    """Places over ground (n, 2), east and north, m, of a course steered from ``state`` on.

    ``speed`` m/s through the water is held all the way; ``drift`` (east, north) m/s is the
    current with the leeway. Exact at its points, which lie ARC or LONGEST_CHORD apart.
    """
    place, heading, way = np.array([state.x, state.y]), state.heading, 0.0
    rows = [place[None]]
    for leg in legs:
        turn = leg.length * leg.curvature
        count = max(math.ceil(abs(turn) / ARC), math.ceil(leg.length / LONGEST_CHORD), 1)
        run = leg.length * np.arange(1, count + 1) / count
        half = 0.5 * leg.curvature * run
        # the chord of an arc lies half its turn off the heading it began with
        chord = run * np.sinc(half / math.pi)
        east, north = np.sin(heading + half), np.cos(heading + half)
        carried = np.outer((way + run) / speed, drift)
        rows.append(place + np.column_stack([chord * east, chord * north]) + carried)
        place = place + chord[-1] * np.array([east[-1], north[-1]])
        heading, way = heading + turn, way + leg.length
    out: Array = np.concatenate(rows)
    return out


def steered_along(
    points: Array,
    state: BoatState,
    speed: float,
    drift: tuple[float, float],
    tightest: float = TIGHTEST,
) -> tuple[Leg, ...]:
    """The course that follows ``points`` (n, 2), m over ground, from where she is.

    She is steered at ``speed`` m/s through the water, set by ``drift`` m/s, along the circle
    over ground that touches her course made good and goes through a place REACH x tightest
    ahead on the way drawn (pure pursuit: Coulter 1992, Implementation of the Pure Pursuit
    Path Tracking Algorithm, CMU-RI-TR-92-01, from memory), turning no tighter than
    ``tightest`` m. She goes to the first point first, and on a little past the last. The wheel
    stays as it is until it is wrong by SAME or SHARE, so legs are few. Raises InvalidValue.
    """
    if not math.hypot(*drift) < 0.9 * speed:
        raise InvalidValue("course", None, "a set slower than she goes through the water")
    reach = REACH * tightest
    way = _even(np.vstack([[state.x, state.y], points]), reach)
    if len(way) < 2:
        raise InvalidValue("course", None, "a way with some length")
    most = 1.0 / tightest
    x, y, heading, time = state.x, state.y, state.heading, STEP / speed
    wheel, run, at = 0.0, 0.0, 0
    limit = PATIENCE * len(way) * STEP + 4.0 * math.pi * tightest
    legs: list[tuple[float, float]] = []
    while True:
        while math.hypot(way[at][0] - x, way[at][1] - y) < reach:
            at += 1
            if at == len(way):
                break
        if at == len(way):
            break
        if run > limit:
            raise InvalidValue("course", None, "a way that can be followed in this current")
        wanted = _pursuit(way[at][0] - x, way[at][1] - y, heading, speed, drift)
        wanted = min(max(wanted, -most), most)
        if abs(wanted - wheel) > max(SAME, SHARE * abs(wanted)):
            wheel = 0.0 if abs(wanted) < STRAIGHT else wanted
        if legs and legs[-1][1] == wheel:
            legs[-1] = legs[-1][0] + STEP, wheel
        else:
            legs.append((STEP, wheel))
        half = 0.5 * wheel * STEP
        x += STEP * math.sin(heading + half) + drift[0] * time
        y += STEP * math.cos(heading + half) + drift[1] * time
        heading += wheel * STEP
        run += STEP
    if not legs or len(legs) > MOST_LEGS:
        raise InvalidValue("course", f"{len(legs)} legs", f"1 to {MOST_LEGS} legs")
    return tuple(Leg(length, round(curvature, 6)) for length, curvature in legs)


def _even(points: Array, past: float) -> list[tuple[float, float]]:
    """A way every STEP m, and straight on for ``past`` m at its end; [] without length."""
    step = np.hypot(*np.diff(points, axis=0).T)
    points = points[np.concatenate([[True], step > 1e-6])]
    if len(points) < 2:
        return []
    # the last piece may be a slip of the hand: the direction is that of the last few meters
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    back = max(way[-1] - 3.0 * STEP, 0.0)
    from_ = np.array([np.interp(back, way, column) for column in points.T])
    ahead = points[-1] - from_
    ahead *= past / max(float(np.hypot(*ahead)), 1e-9)
    points, way = np.vstack([points, points[-1] + ahead]), np.append(way, way[-1] + past)
    at = np.arange(0.0, way[-1] + 0.5 * STEP, STEP)
    return list(zip(*(np.interp(at, way, column).tolist() for column in points.T), strict=True))


def _pursuit(
    east: float, north: float, heading: float, speed: float, drift: tuple[float, float]
) -> float:
    """Curvature through the water, 1/m, toward a place ``east``, ``north`` m from her."""
    through = speed * math.sin(heading), speed * math.cos(heading)
    vx, vy = through[0] + drift[0], through[1] + drift[1]
    over = math.hypot(vx, vy)
    distance = math.hypot(east, north)
    across = (east * vy - north * vx) / (over * distance)
    ahead = (east * vx + north * vy) / (over * distance)
    if ahead < 0.0:
        return math.copysign(math.inf, across)
    # rate of turn of the course over ground, then of the heading that gives it
    rate = 2.0 * across / distance * over
    helps = (through[0] * vx + through[1] * vy) / (over * over)
    return rate / (max(helps, 0.2) * speed)
