"""NMEA 0183 logs: published sentences, and everything a log can have wrong, counted."""

from datetime import UTC, datetime

import numpy as np
import pytest
from numpy.testing import assert_allclose

from app.common.bad_input import BadInput
from app.common.units import FATHOM, KILOMETER_PER_HOUR, KNOT
from app.ground.tracks.nmea import read_nmea
from app.ground.tracks.read import read_ground
from physics.progress import Cancelled
from tests.app.ground.tracks.invented_logs import Trip, sentence, written

PLACE = 2e-7  # degrees: a log writes 0.00001 minute

# From memory, each borne out by its own checksum: the RMC of D. DePriest's "NMEA data"
# page, and common examples of DBT, DPT and MWV.
PUBLISHED = "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A"

# READ: the sample of wiki.dfrobot.com/tel0137 (last revision 2026-01-09)
SECOND = "$GPRMC,061831.000,A,2236.9152,N,11403.2422,E,0.00,,130214,,,D*76"


def test_that_the_published_sentences_mean_what_is_published_of_them(tmp_path) -> None:
    later = sentence("GPRMC,123520,A,4807.038,N,01131.010,E,022.4,084.4,230394,003.1,W")
    lines = [PUBLISHED, "$SDDPT,76.1,0.0,100*7A", "$WIMWV,214.8,R,0.1,K,A*28", later]
    log = read_nmea(written(tmp_path, lines))
    assert log.began == datetime(1994, 3, 23, 12, 35, 19, tzinfo=UTC)
    assert_allclose([log.lat[0], log.lon[0]], [48.0 + 7.038 / 60.0, 11.0 + 31.0 / 60.0])
    assert_allclose(log.speed, KNOT.to_si(22.4))
    assert log.depth[0] == 76.1
    course, off_bow = np.radians(84.4), np.radians(84.4 + 214.8)
    felt = KILOMETER_PER_HOUR.to_si(0.1) * np.array([np.sin(off_bow), np.cos(off_bow)])
    blows = KNOT.to_si(22.4) * np.array([np.sin(course), np.cos(course)]) - felt
    assert_allclose(log.wind[0], blows, rtol=1e-9)
    assert not log.report.left_out


@pytest.mark.parametrize(
    ("body", "depth"),
    [
        ("SDDBT,8.1,f,2.4,M,1.3,F*0B", 2.4),  # MEMORY, its checksum right
        ("SDDPT,76.1,0.0,100*7A", 76.1),  # MEMORY, its checksum right
    ],
)
def test_that_published_depths_are_read(tmp_path, body: str, depth: float) -> None:
    trip = Trip(3)
    log = read_nmea(written(tmp_path, [trip.rmc(0), f"${body}", trip.rmc(1), trip.rmc(2)]))
    assert log.depth[0] == depth
    assert log.depth_from == "transducer"
    assert "from the transducer, not from the surface" in " ".join(log.report.sentences())


@pytest.mark.parametrize("damaged", ["$*PRMC,1,2", "$G*RMC,1", "$G\nRMC,1", "$\xff\xfeRMC,1"])
def test_that_a_damaged_head_costs_one_sentence_not_the_file(tmp_path, damaged: str) -> None:
    lines = [line.partition("*")[0] for line in Trip(20).lines("rmc")]
    log = read_nmea(written(tmp_path, [*lines[:10], damaged, *lines[10:]]))
    assert len(log) == 20


def test_that_a_second_receivers_published_sentence_is_read(tmp_path) -> None:
    other = sentence("GPRMC,061832.000,A,2236.9152,N,11403.2430,E,0.50,,130214,,,D")
    log = read_nmea(written(tmp_path, [SECOND, other]))
    assert_allclose([log.lat[0], log.lon[0]], [22.0 + 36.9152 / 60, 114.0 + 3.2422 / 60])
    assert log.began == datetime(2014, 2, 13, 6, 18, 31, tzinfo=UTC)


def test_that_depths_below_the_surface_are_told_from_depths_below_the_transducer(tmp_path) -> None:
    trip = Trip(5)
    over = read_nmea(written(tmp_path, trip.lines("rmc", "dpt")))
    assert over.depth_from == "surface"
    assert_allclose(over.depth, trip.depth + 0.5, atol=0.006)
    keel = [sentence(f"SDDPT,{d:.2f},-0.7") for d in trip.depth]
    lines = [one for pair in zip(trip.lines("rmc"), keel, strict=True) for one in pair]
    under = read_nmea(written(tmp_path, lines))
    assert under.depth_from == "transducer"
    assert_allclose(under.depth, trip.depth, atol=0.006)
    fathoms = [sentence("SDDBS,,f,,M,4.0,F")] * 5
    lines = [one for pair in zip(trip.lines("rmc"), fathoms, strict=True) for one in pair]
    assert_allclose(read_nmea(written(tmp_path, lines)).depth, FATHOM.to_si(4.0))


def spoiled(lines: list[str], *which: int) -> list[str]:
    """A digit of some lines changed, the checksum left."""
    out = list(lines)
    for i in which:
        out[i] = out[i].replace(",A,", ",A,9", 1)
    return out


def test_that_bad_checksums_and_cut_sentences_are_left_out_and_counted(tmp_path) -> None:
    trip = Trip(60)
    lines = spoiled(trip.lines("rmc"), 10, 20)
    lines[30] = lines[30][:25]
    lines[40] = lines[40][:30] + lines[41]
    del lines[41]
    log = read_nmea(written(tmp_path, lines))
    assert log.report.left_out == {"bad_checksum": 2, "cut": 2}
    assert len(log) == 56
    said = log.report.sentences()
    assert "2 sentences with a wrong checksum: left out" in said
    assert "2 sentences cut short: left out" in said


def test_that_a_log_without_checksums_is_used_as_it_is(tmp_path) -> None:
    trip = Trip(20)
    lines = [line.partition("*")[0] for line in trip.lines("rmc", "dpt")]
    log = read_nmea(written(tmp_path, lines))
    assert_allclose(log.lat, trip.lats, atol=PLACE)
    assert np.isfinite(log.depth).all()


def test_that_sentences_around_ours_and_time_stamps_before_them_do_no_harm(tmp_path) -> None:
    trip = Trip(20)
    lines = [f"2004-03-02 08:00:00;{line}" for line in trip.lines("rmc", "dpt")]
    lines.insert(5, "!AIVDM,1,1,,B,177KQJ5000G?tO`K>RA1wUbN0TKH,0*5C")
    lines.insert(9, sentence("PGRME,15.0,M,45.0,M,25.0,M"))
    lines.insert(12, sentence("HCHDG,101.1,,,7.1,W"))
    lines.insert(15, "\x00\xff garbage $ $$ *")
    log = read_nmea(written(tmp_path, lines))
    assert len(log) == 20
    assert log.report.read == 40


@pytest.mark.parametrize(
    "bad", ["GPRMC", "GPRMC,,,,,,,,,", "GPRMC,,A,,,,,,,,,", "SDDPT,", "SDDBT,,,"]
)
def test_that_empty_sentences_are_counted_not_fatal(tmp_path, bad: str) -> None:
    trip = Trip(10)
    log = read_nmea(written(tmp_path, [trip.rmc(0), sentence(bad), *trip.lines("rmc")[1:]]))
    assert len(log) == 10


def test_that_sentences_sent_without_a_fix_are_left_out(tmp_path) -> None:
    trip = Trip(10)
    lines = trip.lines("rmc")
    void = sentence(lines[4][1:].partition("*")[0].replace(",A,", ",V,", 1))
    log = read_nmea(written(tmp_path, [*lines[:4], void, *lines[5:]]))
    assert log.report.left_out == {"no_fix": 1}
    assert len(log) == 9


def test_that_gaps_are_told_and_no_depth_bridges_them(tmp_path) -> None:
    trip = Trip(300)
    lines = trip.lines("rmc", "dpt")
    del lines[200:400]
    log = read_nmea(written(tmp_path, lines))
    assert "1 gap without places, the longest 101 s" in log.report.sentences()
    silent = [
        line for i, line in enumerate(trip.lines("rmc", "dpt")) if i % 2 == 0 or not 100 < i < 200
    ]
    log = read_nmea(written(tmp_path, silent))
    assert np.isnan(log.depth[60:90]).all()
    assert np.isfinite(log.depth[:49]).all()
    assert len(log) == 300


def test_that_places_and_depths_that_jump_are_left_out(tmp_path) -> None:
    trip = Trip(120)
    far = Trip(120, lat=11.0)
    lines = trip.lines("rmc", "dpt")
    lines[80], lines[82] = far.rmc(40), far.rmc(41)
    trip.depth[60], trip.depth[70] = 60.0, 0.0
    lines[121], lines[141] = trip.dpt(60), sentence("SDDPT,0.0,0.5")
    log = read_nmea(written(tmp_path, lines))
    assert log.report.left_out == {"jump": 2, "depth_spike": 1, "no_depth": 1}
    assert np.abs(np.diff(log.lat)).max() < 1e-3
    assert log.depth.max() < 13.0
    first = read_nmea(written(tmp_path, [far.rmc(0), *trip.lines("rmc")[1:]]))
    assert first.report.left_out == {"jump": 1}
    assert_allclose(first.lat, trip.lats[1:], atol=PLACE)


def test_that_fixes_sent_twice_and_fixes_stuck_under_way_count_once(tmp_path) -> None:
    trip = Trip(60)
    twice = [line for line in trip.lines("rmc") for _ in range(2)]
    assert read_nmea(written(tmp_path, twice)).report.left_out == {"repeated": 60}
    trip.time[:] = 0.0
    trip.lats[20:30], trip.lons[20:30] = trip.lats[20], trip.lons[20]
    lines = trip.lines("rmc")
    stuck = read_nmea(written(tmp_path, [line for i, line in enumerate(lines) if i % 2 == 0]))
    assert stuck.report.left_out == {"stuck": 4}


def test_that_two_interleaved_talkers_are_not_mixed(tmp_path) -> None:
    one, other = Trip(60), Trip(60, talker="GN", lat=10.0002)
    lines = [
        x for i in range(60) for x in ((one.rmc(i), other.rmc(i)) if i < 50 else (other.rmc(i),))
    ]
    lines += [one.rmc(59)]
    log = read_nmea(written(tmp_path, lines))
    assert len(log) == 60
    assert log.report.left_out["other_talker"] == 51
    assert_allclose(log.lat[:49], other.lats[:49], atol=PLACE)
    swapped = [x for i in range(60) for x in (one.rmc(i),) if i < 30]
    swapped += [other.rmc(i) for i in range(34, 60)]
    both = read_nmea(written(tmp_path, swapped))
    assert len(both) == 56, "the second talker is heard where the first is silent"


def test_that_rmc_and_gga_of_one_receiver_are_one_track(tmp_path) -> None:
    log = read_nmea(written(tmp_path, Trip(40).lines("rmc", "gga", "dpt")))
    assert len(log) == 40
    assert not log.report.left_out


@pytest.mark.parametrize("kind", ["rmc", "gga"])
def test_that_a_trip_over_midnight_goes_on(tmp_path, kind: str) -> None:
    trip = Trip(120, start=86400 - 60)
    log = read_nmea(written(tmp_path, trip.lines(kind, "dpt")))
    assert_allclose(log.time, np.arange(120.0), atol=1e-6)
    assert np.isfinite(log.depth).all()
    assert (log.began is None) == (kind == "gga")
    assert_allclose(log.speed, 2.5, rtol=0.02)


@pytest.mark.parametrize(
    ("lat", "lon"), [(44.0, 20.0), (44.0, -20.0), (-44.0, 20.0), (-44.0, -20.0)]
)
def test_that_every_quarter_of_the_globe_keeps_its_sign(tmp_path, lat: float, lon: float) -> None:
    trip = Trip(10, lat=lat, lon=lon)
    log = read_nmea(written(tmp_path, trip.lines("rmc")))
    assert_allclose(log.lat, trip.lats, atol=PLACE)
    assert_allclose(log.lon, trip.lons, atol=PLACE)


def test_that_a_date_far_off_at_power_up_is_left_out(tmp_path) -> None:
    trip = Trip(30)
    cold = Trip(2, date="060180")
    log = read_nmea(written(tmp_path, [*cold.lines("rmc"), *trip.lines("rmc")]))
    assert log.report.left_out == {"wrong_date": 2}
    assert log.time[-1] == 29.0


def test_that_places_said_before_the_first_date_are_no_trip_of_1970(tmp_path) -> None:
    trip = Trip(60, start=3600)
    lines = [*trip.lines("gga"), *Trip(60, start=3660).lines("rmc", "gga")]
    log = read_nmea(written(tmp_path, [x for x in lines if "RMC" not in x or "9.00" in x]))
    assert log.began is not None
    assert log.began.year == 2004
    assert log.report.left_out["no_time"] >= 60


def test_that_a_log_with_places_in_gll_alone_is_read(tmp_path) -> None:
    trip = Trip(120)
    log = read_ground(written(tmp_path, trip.lines("gll", "dbt")))
    assert len(log) == 120
    assert log.report.read == 240
    assert not log.report.left_out
    assert_allclose(log.time, trip.time, atol=1e-6)
    assert_allclose(log.lat, trip.lats, atol=PLACE)
    assert_allclose(log.lon, trip.lons, atol=PLACE)
    assert_allclose(log.depth, trip.depth, atol=0.006)
    assert_allclose(log.speed, trip.speed, rtol=0.02)


def test_that_gll_without_a_fix_or_a_time_is_left_out_and_counted(tmp_path) -> None:
    trip = Trip(20)
    void = sentence(trip.gll(5)[1:].partition("*")[0].replace(",A,", ",V,"))
    old = sentence(f"GPGLL,{trip.place(6)}")
    log = read_nmea(written(tmp_path, [*trip.lines("gll"), void, old]))
    assert log.report.left_out == {"no_fix": 1, "no_time": 1}
    assert len(log) == 20


def test_that_a_receiver_that_says_gll_too_is_one_track(tmp_path) -> None:
    log = read_nmea(written(tmp_path, Trip(40).lines("rmc", "gga", "gll", "dpt")))
    assert len(log) == 40
    assert not log.report.left_out


def test_that_depths_before_the_first_fix_have_no_time(tmp_path) -> None:
    trip = Trip(20)
    log = read_nmea(written(tmp_path, [trip.dpt(0), trip.dpt(1), *trip.lines("rmc", "dpt")]))
    assert log.report.left_out == {"no_time": 2}


def test_that_a_log_without_depths_says_so_and_keeps_its_track(tmp_path) -> None:
    log = read_nmea(written(tmp_path, Trip(20).lines("rmc")))
    assert log.depth_from == "none"
    assert np.isnan(log.depth).all()
    assert "no depths in the file: a track without a bottom" in log.report.sentences()


@pytest.mark.parametrize(
    "lines", [["$SDDPT,1.0,*7A"], [sentence("SDDPT,5.0,")], [sentence("GPRMC,,V,,,,,,,,")]]
)
def test_that_a_log_without_places_is_refused(tmp_path, lines) -> None:
    with pytest.raises(BadInput, match="has no places"):
        read_nmea(written(tmp_path, lines))


def test_that_one_place_is_no_track(tmp_path) -> None:
    with pytest.raises(BadInput, match="two usable places"):
        read_nmea(written(tmp_path, [Trip(1).rmc(0)] * 5))


def test_that_reading_tells_how_far_it_is_and_can_be_stopped(tmp_path) -> None:
    path = written(tmp_path, Trip(12000).lines("rmc", "dpt"))
    shares: list[float] = []
    read_ground(path, lambda share: bool(shares.append(share)))
    assert shares == sorted(shares)
    assert 0.0 < shares[0] < shares[-1] <= 1.0
    with pytest.raises(Cancelled):
        read_ground(path, lambda share: share > 0.0)


def test_that_a_sentence_over_the_edge_of_a_block_is_whole(tmp_path, monkeypatch) -> None:
    path = written(tmp_path, Trip(200).lines("rmc", "dpt"))
    monkeypatch.setattr("app.ground.tracks.blocks.BLOCK", 97)
    log = read_nmea(path)
    assert len(log) == 200
    assert not log.report.left_out


def test_that_logs_joined_in_the_wrong_order_are_put_right(tmp_path) -> None:
    trip = Trip(60)
    lines = trip.lines("rmc", "dpt")
    log = read_nmea(written(tmp_path, [*lines[60:], *lines[:60]]))
    assert_allclose(log.time, np.arange(60.0), atol=1e-6)
    assert_allclose(log.lat, trip.lats, atol=PLACE)
    assert_allclose(log.depth, trip.depth + 0.5, atol=0.006)
