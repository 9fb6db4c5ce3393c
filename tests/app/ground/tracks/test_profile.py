"""Known ground and known coasts given back from logs made of them."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from app.common.bad_input import BadInput
from app.ground.tracks.coast import coasts, slowings
from app.ground.tracks.nmea import read_nmea
from app.ground.tracks.plane import to_plane
from app.ground.tracks.profile import ground_under, resampled
from physics.calibration.slowings import MOST_START
from tests.app.ground.tracks.invented_logs import Trip, shoal, written

FOUND = 0.2  # m; what is asked of a profile
DEGREE = np.pi / 180.0


def test_that_the_plane_agrees_with_published_lengths_of_a_degree() -> None:
    # COMPUTED from WGS 84: a degree of latitude about 45 N is 111,132 m, of longitude 78,847 m
    lat, lon = np.array([44.5, 45.5, 45.0, 45.0]), np.array([9.0, 9.0, 8.5, 9.5])
    east, north = to_plane(lat, lon, (45.0, 9.0))
    assert_allclose(north[1] - north[0], 111_132.0, rtol=1e-4)
    assert_allclose(east[3] - east[2], 78_847.0, rtol=1e-4)


@pytest.mark.parametrize("lon", [0.0, 179.9999, -180.0])
def test_that_a_meter_is_a_meter_anywhere_on_the_globe(lon: float) -> None:
    for lat in (-60.0, 0.0, 75.0):
        small = np.array([0.0, 1e-3])
        over = (lon + small + 180.0) % 360.0 - 180.0
        east, north = to_plane(np.full(2, lat), over, (lat, lon))
        c, s = np.cos(lat * DEGREE), np.sin(lat * DEGREE)
        prime_vertical = 6378137.0 / np.sqrt(1.0 - 0.00669437999014 * s * s)
        assert_allclose(east[1], prime_vertical * c * 1e-3 * DEGREE, rtol=1e-6)
        assert_allclose(north, 0.0, atol=1e-2)


@pytest.mark.parametrize(
    ("lat", "lon", "course"),
    [(10.0, -30.0, 0.6), (-44.0, 179.999, 1.4), (44.0, -179.999, 4.9), (60.0, 5.0, 3.2)],
)
def test_that_a_known_rip_is_found_again_within_a_hand(tmp_path, lat, lon, course) -> None:
    trip = Trip(240, lat=lat, lon=lon, course=course, noise=0.15)
    # a ghost echo every so often, twice as deep
    trip.depth[7::31] *= 2.0
    ground = ground_under(read_nmea(written(tmp_path, trip.lines("rmc", "dpt"))), spacing=12.0)
    along = np.linspace(10.0, trip.along[-1] - 10.0, 400)
    east, north = np.sin(ground.bottom.bearing), np.cos(ground.bottom.bearing)
    found = ground.bottom.depth_at(along * east, along * north)
    assert_allclose(found, shoal(along) + 0.5, rtol=0.0, atol=FOUND + 0.15)
    assert np.sqrt(np.mean((found - shoal(along) - 0.5) ** 2)) < 0.5 * FOUND
    assert_allclose(np.cos(ground.bottom.bearing - course), 1.0, atol=1e-4)
    assert_allclose(ground.origin, (lat, lon), atol=1e-6)
    assert ground.aside < 1.0


def test_that_without_noise_the_profile_is_within_a_fifth_of_a_meter(tmp_path) -> None:
    trip = Trip(400, speed=1.5)
    ground = ground_under(read_nmea(written(tmp_path, trip.lines("rmc", "dpt"))), deeper=0.3)
    along = np.linspace(5.0, trip.along[-1] - 5.0, 400)
    b = ground.bottom.bearing
    found = ground.bottom.depth_at(along * np.sin(b), along * np.cos(b))
    assert_allclose(found, shoal(along) + 0.8, rtol=0.0, atol=FOUND)
    assert np.ptp(found) > 3.5, "the rip is in it"


def test_that_one_echo_in_five_gone_wrong_does_not_move_the_profile(tmp_path) -> None:
    trip = Trip(400, speed=1.5)
    log = read_nmea(written(tmp_path, trip.lines("rmc", "dpt")))
    wrong = log.depth.copy()
    wrong[::5] *= 2.0
    ground = ground_under(replace(log, depth=wrong), spacing=12.0)
    b, along = ground.bottom.bearing, np.linspace(10.0, trip.along[-1] - 10.0, 200)
    found = ground.bottom.depth_at(along * np.sin(b), along * np.cos(b))
    assert_allclose(found, shoal(along) + 0.5, rtol=0.0, atol=2.0 * FOUND)


def test_that_a_track_there_and_back_runs_along_the_way_it_first_went(tmp_path) -> None:
    trip = Trip(400, course=2.0)
    log = read_nmea(written(tmp_path, trip.lines("rmc", "dpt")))
    back = np.concatenate([np.arange(400), np.arange(399)[::-1]])
    trip2 = Trip(799, course=2.0)
    for name in ("lats", "lons", "depth"):
        setattr(trip2, name, getattr(trip, name)[back])
    there_and_back = read_nmea(written(tmp_path, trip2.lines("rmc", "dpt")))
    for each in (log, there_and_back):
        assert_allclose(ground_under(each).bottom.bearing, 2.0, atol=0.01)


def test_that_a_track_with_no_depths_or_no_way_has_no_profile(tmp_path) -> None:
    with pytest.raises(BadInput, match="has no depths"):
        ground_under(read_nmea(written(tmp_path, Trip(20).lines("rmc"))))
    moored = Trip(60, speed=0.01).lines("rmc", "dpt")
    with pytest.raises(BadInput, match="goes nowhere"):
        ground_under(read_nmea(written(tmp_path, moored)))


def test_that_resampling_keeps_values_and_leaves_gaps_empty(tmp_path) -> None:
    trip = Trip(200, lat=44.0, lon=179.9995, course=1.5)
    lines = trip.lines("rmc", "dpt")
    del lines[160:240]
    log = read_nmea(written(tmp_path, lines))
    even = resampled(log, 0.5)
    assert_allclose(even.depth[::2][:79], log.depth[:79])
    assert np.isnan(even.depth[162:236]).all()
    assert np.isfinite(even.depth[242:]).all()
    assert (np.abs(even.lon) > 179.99).all(), "over the 180th meridian the short way"
    part = log.between(10.0, 20.0)
    assert_allclose(part.time, np.arange(10.0, 21.0), atol=1e-6)


def coasting(*starts: int, tau: float = 6.0, seconds: int = 200) -> Trip:
    """3.8 m/s, and out of gear for 15 s at some seconds: u = u0 / (1 + t/tau)."""
    speeds = np.full(seconds, 3.8) + 0.02 * np.sin(np.arange(seconds))
    for start in starts:
        speeds[start : start + 16] = 3.8 / (1.0 + np.arange(16) / tau)
        speeds[start + 16 : start + 21] = np.linspace(speeds[start + 15], 3.8, 5)
    return Trip(seconds, speeds=speeds)


def test_that_coast_downs_are_found_where_they_were_with_their_speeds(tmp_path) -> None:
    trip = coasting(40, 120)
    found = coasts(read_nmea(written(tmp_path, trip.lines("rmc"))))
    assert len(found) == 2
    for one, start in zip(found, (40, 120), strict=True):
        assert abs(one.began - start) <= 1.0
        rows = one.rows
        assert len(rows) >= 8
        for row in rows:
            truth = 3.8 / (1.0 + (one.began - start + row.seconds) / 6.0)
            assert abs(row.speed - truth) < 0.15
            assert abs(row.start - 3.8) < 0.3


def test_that_a_coast_begun_too_fast_to_measure_by_is_found_but_none_to_offer(tmp_path) -> None:
    trip = coasting(40, 120)
    fast = trip.speeds.copy()
    fast[:100] *= 1.05 * MOST_START / 3.8
    log = read_nmea(written(tmp_path, Trip(200, speeds=fast).lines("rmc")))
    assert [coast.too_fast for coast in slowings(log)] == [True, False]
    (offered,) = coasts(log)
    assert offered.began > 100.0
    assert offered.rows


def test_that_a_log_shorter_than_a_second_has_no_coasts(tmp_path) -> None:
    log = read_nmea(written(tmp_path, coasting(40).lines("rmc")))
    assert coasts(log.between(10.0, 10.0), (0.5, 0.0)) == ()
    moved = log.between(10.0, 11.0)
    assert coasts(replace(moved, time=moved.time * 0.5), (0.5, 0.0)) == ()


def test_that_a_steady_trip_a_slow_ease_and_a_short_dip_are_no_coasts(tmp_path) -> None:
    steady = np.full(200, 3.8)
    ease = np.linspace(3.8, 2.0, 200)
    dip = steady.copy()
    dip[50:53] = [3.0, 2.6, 3.2]
    for speeds in (steady, ease, dip):
        log = read_nmea(written(tmp_path, Trip(200, speeds=speeds).lines("rmc")))
        assert coasts(log) == ()


def test_that_a_coast_against_the_current_is_measured_through_the_water(tmp_path) -> None:
    trip = coasting(60)
    against = 0.5  # m/s; over ground all speeds are less by so much
    trip.speeds = trip.speeds - against
    moved = Trip(200, speeds=trip.speeds, course=trip.course)
    log = read_nmea(written(tmp_path, moved.lines("rmc")))
    current = -against * np.sin(moved.course), -against * np.cos(moved.course)
    (one,) = coasts(log, (float(current[0]), float(current[1])))
    assert_allclose(one.speed[0], 3.8, atol=0.1)
    assert_allclose(one.speed[-1], 3.8 / (1.0 + one.seconds[-1] / 6.0), atol=0.15)


def test_that_a_track_across_an_ocean_has_no_one_bottom(tmp_path) -> None:
    log = read_nmea(written(tmp_path, Trip(60).lines("rmc", "dpt")))
    far = replace(log, lat=np.linspace(-10.0, 10.0, 60))
    with pytest.raises(BadInput, match="goes farther than any one bottom"):
        ground_under(far)
