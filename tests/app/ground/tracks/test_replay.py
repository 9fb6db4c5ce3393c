"""A recorded run replayed, against the truth it was made up from."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.typing import NDArray

from app.common.bad_input import BadInput
from app.ground.tracks.log import GroundLog
from app.ground.tracks.plane import ECCENTRICITY_2, SEMI_MAJOR
from app.ground.tracks.replay import LONGEST, Replay, replay_of, usual_stretch
from app.ground.tracks.report import Report
from physics.environment.water import Bottom, Water
from physics.vessel.boat import MOST_LEGS, Boat
from physics.vessel.helm import HelmTrack

Array = NDArray[np.float64]

BOAT = Boat("boat")
STILL = Water(Bottom.level(20.0))
TIDAL = Water(Bottom.level(20.0), current=(0.45, -0.25))
WINDY = Water(Bottom.level(20.0), current=(0.3, 0.2), wind=(-6.0, 2.0))

PLACE_RMS, DEPTH_OFF = 5.0, 0.3
"""How near a replay has to be, m."""

LAT, LON = 10.0, -30.0


def shoal(along: Array) -> Array:
    """Depth, m: a gentle slope and a rip 3 m high."""
    return 14.0 - along / 800.0 - 3.0 * np.exp(-(((along - 500.0) / 90.0) ** 2))


@dataclass(frozen=True)
class Truth:
    """What was done: places (n, 2) over ground, m, every second, and what was recorded of it."""

    place: Array
    log: GroundLog


def sailed(
    speed: Callable[[Array], Array],
    curvature: Callable[[Array], Array],
    water: Water,
    seconds: int = 600,
    noise: float = 0.6,
    heading: float = 0.5,
) -> Truth:
    """A boat with a speed, m/s, and a curvature, 1/m, against time, recorded once a second."""
    step = 0.05
    fine = np.arange(0.0, seconds, step)
    u = speed(fine)
    turned = heading + np.concatenate([[0.0], np.cumsum(step * (u * curvature(fine)))[:-1]])
    drift = np.array(water.current) + BOAT.leeway * np.array(water.wind)
    rate = np.column_stack([u * np.sin(turned), u * np.cos(turned)]) + drift
    place = np.vstack([[0.0, 0.0], np.cumsum(step * rate, axis=0)[:-1]])[:: round(1.0 / step)]
    rng = np.random.default_rng(11)
    wander = rng.normal(scale=noise, size=place.shape)
    depth = shoal(place @ (math.sin(heading), math.cos(heading))) + rng.normal(
        scale=0.05, size=len(place)
    )
    s = math.sin(math.radians(LAT)) ** 2
    across = SEMI_MAJOR / math.sqrt(1.0 - ECCENTRICITY_2 * s)
    along = across * (1.0 - ECCENTRICITY_2) / (1.0 - ECCENTRICITY_2 * s)
    east, north = (place + wander).T
    log = GroundLog(
        "made up", None, np.arange(float(len(place))), LAT + np.degrees(north / along),
        LON + np.degrees(east / (across * math.cos(math.radians(LAT)))), depth,
        np.hypot(*np.gradient(place, axis=0).T), np.full((len(place), 2), np.nan), "surface",
        Report(),
    )  # fmt: skip
    return Truth(place, log)


def steady(t: Array) -> Array:
    return np.full_like(t, 3.0)


def coasting(t: Array) -> Array:
    """Out of gear at 200 s for half a minute, then up to speed again."""
    coast = 3.0 / (1.0 + np.maximum(t - 200.0, 0.0) / 6.0)
    back = np.clip((t - 230.0) / 15.0, 0.0, 1.0)
    return np.where(t < 230.0, coast, coast[np.searchsorted(t, 230.0)] * (1.0 - back) + 3.0 * back)


def straight(t: Array) -> Array:
    return np.zeros_like(t)


def turning(t: Array) -> Array:
    """Straight, a circle to starboard, straight, half to port, then a long bend."""
    out = np.zeros_like(t)
    out[(t > 60.0) & (t < 160.0)] = 2.0 * math.pi / 300.0
    out[(t > 260.0) & (t < 310.0)] = -math.pi / 150.0
    out[t > 400.0] = 0.003
    return out


def replayed(truth: Truth, water: Water) -> tuple[Replay, Array]:
    """The replay, and where its boat is (n, 2), m, every second."""
    replay = replay_of(truth.log, 0.0, float(truth.log.time[-1]), water, BOAT)
    track = HelmTrack(BOAT, water, replay.speed, replay.heading, replay.orders)
    states = [track.at(float(t)) for t in truth.log.time]
    return replay, np.array([[s.x, s.y] for s in states])


@pytest.mark.parametrize("water", [STILL, TIDAL, WINDY], ids=["still", "tidal", "windy"])
@pytest.mark.parametrize("speed", [steady, coasting])
def test_that_a_run_with_turns_is_where_it_was_at_its_time(
    speed: Callable[[Array], Array], water: Water
) -> None:
    truth = sailed(speed, turning, water)
    replay, place = replayed(truth, water)
    off = np.hypot(*(place - truth.place).T)
    assert np.sqrt(np.mean(off**2)) < PLACE_RMS
    # and what it says of itself is so
    assert replay.off == pytest.approx(np.sqrt(np.mean(off**2)), abs=1.0)
    assert len(replay.legs) <= MOST_LEGS


@pytest.mark.parametrize("water", [STILL, TIDAL], ids=["still", "tidal"])
@pytest.mark.parametrize("speed", [steady, coasting])
def test_that_on_a_straight_run_the_depth_is_the_recorded_one(
    speed: Callable[[Array], Array], water: Water
) -> None:
    truth = sailed(speed, straight, water, heading=1.1 if water is STILL else 0.5)
    replay, place = replayed(truth, water)
    depth = replay.bottom.depth_at(place[:, 0], place[:, 1])
    heading = 1.1 if water is STILL else 0.5
    known = shoal(truth.place @ (math.sin(heading), math.cos(heading)))
    assert np.abs(depth - known).max() < DEPTH_OFF


def test_that_the_current_of_another_day_is_seen_in_what_it_says() -> None:
    truth = sailed(steady, turning, TIDAL)
    replay = replay_of(truth.log, 0.0, 599.0, STILL, BOAT)
    # over ground she goes where she went, but at other headings and speeds
    assert replay.off < PLACE_RMS
    right = replay_of(truth.log, 0.0, 599.0, TIDAL, BOAT)
    assert len(right.orders) < len(replay.orders)


def test_that_a_part_of_a_track_starts_where_the_part_does() -> None:
    truth = sailed(steady, straight, STILL, noise=0.2)
    replay = replay_of(truth.log, 150.0, 450.0, STILL, BOAT)
    here = float(replay.bottom.depth_at(np.array(0.0), np.array(0.0)))
    assert here == pytest.approx(float(shoal(np.array(450.0))), abs=DEPTH_OFF)
    assert replay.seconds == pytest.approx(300.0)


@pytest.mark.parametrize("noise", [1.0, 2.5])
def test_that_two_hours_stay_within_the_legs_a_course_may_have(noise: float) -> None:
    def weaving(t: Array) -> Array:
        return 0.012 * np.sin(t / 40.0)

    truth = sailed(steady, weaving, TIDAL, seconds=7201, noise=noise)
    replay = replay_of(truth.log, 0.0, LONGEST, TIDAL, BOAT)
    assert len(replay.legs) <= MOST_LEGS
    assert replay.off < PLACE_RMS


# ---- which stretch


def test_that_the_usual_stretch_is_the_longest_with_depths_under_way() -> None:
    log = sailed(steady, straight, STILL).log
    depth, speed = log.depth.copy(), log.speed.copy()
    depth[100:150] = np.nan
    speed[150:160] = 0.1
    assert usual_stretch(replace(log, depth=depth, speed=speed)) == (160.0, 599.0)
    # a place without a depth here and there does not end it
    depth = log.depth.copy()
    depth[::7] = np.nan
    since, until = usual_stretch(replace(log, depth=depth)) or (0.0, 0.0)
    assert until - since > 590.0


def test_that_a_gap_and_a_run_home_end_the_usual_stretch() -> None:
    log = sailed(steady, straight, STILL).log
    late = log.time + np.where(log.time > 350.0, 60.0, 0.0)
    assert usual_stretch(replace(log, time=late)) == (0.0, 350.0)
    speed = log.speed.copy()
    speed[250:300] = 14.0
    assert usual_stretch(replace(log, speed=speed)) == (300.0, 599.0)


def test_that_the_usual_stretch_is_two_hours_at_most_and_there_may_be_none() -> None:
    log = sailed(steady, straight, STILL, seconds=9000).log
    assert usual_stretch(log) == (0.0, LONGEST)
    assert usual_stretch(log.between(0.0, 30.0)) is None
    assert usual_stretch(replace(log, depth=np.full(len(log), np.nan))) is None


def lying(t: Array) -> Array:
    return np.where(t < 100.0, 0.05, 3.0)


@pytest.mark.parametrize(
    ("change", "since", "until", "words"),
    [
        (lambda log: log, 0.0, 20.0, "too short"),
        (lambda log: replace(log, time=log.time * 20.0), 0.0, 11000.0, "too long"),
        (lambda log: replace(log, time=log.time + 60.0 * (log.time > 90)), 0.0, 500.0, "1.5 min"),
        (lambda log: replace(log, depth=np.full(len(log), np.nan)), 0.0, 500.0, "no depths"),
        (lambda log: replace(log, lat=log.lat * 0 + LAT, lon=log.lon * 0 + LON), 0.0, 500.0,
         "hardly goes through the water"),
        (lambda log: replace(log, time=log.time / 5.0), 0.0, 100.0, "faster than anybody"),
        (lambda _: sailed(lying, straight, STILL).log, 0.0, 599.0, "begin later"),
    ],
)  # fmt: skip
def test_that_what_cannot_be_replayed_is_told_in_plain_words(
    change: Callable[[GroundLog], GroundLog], since: float, until: float, words: str
) -> None:
    log = change(sailed(steady, straight, STILL).log)
    with pytest.raises(BadInput, match=words):
        replay_of(log, since, until, STILL, BOAT)
