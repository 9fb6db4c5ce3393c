"""GPX and CSV tracks: the same trip in every kind of file, and what is refused."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from app.bad_input import BadInput
from app.ground_csv import read_csv
from app.ground_gpx import read_gpx
from app.ground_read import read_ground
from app.units import FOOT, KNOT
from physics.holds import Stopped
from tests.app.ground_files import Trip, written

PLACE = 2e-7  # degrees
TRIP = Trip(60)


def rows(trip: Trip, separator: str = ",") -> list[str]:
    return [
        separator.join([
            f"2004-03-02T{trip.iso(i)}Z", f"{trip.lats[i]:.7f}", f"{trip.lons[i]:.7f}",
            f"{FOOT.from_si(trip.depth[i]):.2f}", f"{KNOT.from_si(trip.speeds[i]):.3f}",
        ])
        for i in range(trip.seconds)
    ]  # fmt: skip


HEAD = "Time (UTC),Latitude,Longitude,Depth (ft),Speed (kn)"


def test_that_the_same_trip_reads_alike_from_every_kind_of_file(tmp_path) -> None:
    logs = [
        read_ground(written(tmp_path, TRIP.lines("rmc", "dbt"), "a.txt")),
        read_ground(written(tmp_path, TRIP.gpx(), "b.txt")),
        read_ground(written(tmp_path, [HEAD, *rows(TRIP)], "c.txt")),
    ]
    for log in logs:
        assert_allclose(log.time, TRIP.time, atol=1e-6)
        assert_allclose(log.lat, TRIP.lats, atol=PLACE)
        assert_allclose(log.lon, TRIP.lons, atol=PLACE)
        assert_allclose(log.depth, TRIP.depth, atol=0.006)
        assert_allclose(log.speed, TRIP.speed, rtol=0.01)
        assert log.began == logs[0].began
        assert not log.report.left_out


def test_that_a_gpx_without_depths_or_speeds_is_a_track_and_says_so(tmp_path) -> None:
    log = read_gpx(written(tmp_path, TRIP.gpx(depth="<ele>{}</ele>")))
    assert log.depth_from == "none"
    assert_allclose(log.speed, TRIP.speed, rtol=0.01)
    said = log.report.sentences()
    assert "no speeds in the file: worked out from the places" in said
    assert "no depths in the file: a track without a bottom" in said


def test_that_a_gpx_cut_short_is_read_up_to_there(tmp_path) -> None:
    whole = TRIP.gpx()
    log = read_gpx(written(tmp_path, whole[: len(whole) // 2]))
    assert 25 <= len(log) <= 31
    assert any("breaks off at line" in line for line in log.report.sentences())


BOMB = '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaaaaaaaa">' + "".join(
    f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefgh", "bcdefghi", strict=True)
)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (BOMB + "]><gpx><trk>&i;</trk></gpx>", "has a document type"),
        ('<!DOCTYPE gpx SYSTEM "file:///etc/hostname"><gpx/>', "has a document type"),
        ("<gpx></gpx>", "has no recorded track"),
        ("<gpx><wpt lat='1' lon='2'><time>2004-03-02T08:00:00Z</time></wpt></gpx>", "no recorded"),
        ("<gpx><trk", "line 1 is not GPX"),
        ("<" * 100, "is not GPX"),
        ('<?xml version="1.0" encoding="klingon"?><gpx></gpx>', "encoding that cannot be read"),
        ('<?xml version="1.0" encoding="big5"?><gpx></gpx>', "encoding that cannot be read"),
    ],
    ids=[
        "entity bomb",
        "outside entity",
        "empty",
        "waypoints",
        "cut",
        "nonsense",
        "unheard-of",
        "many bytes",
    ],
)
def test_that_a_gpx_that_cannot_be_used_is_refused(tmp_path, text: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        read_ground(written(tmp_path, text))


def test_that_odd_track_points_are_counted(tmp_path) -> None:
    text = TRIP.gpx().replace('lat="', 'lat="x', 1).replace("T08:00:05Z", "yesterday")
    text = text.replace("<time>2004-03-02T08:00:09Z</time>", "")
    log = read_gpx(written(tmp_path, text))
    assert log.report.left_out == {"unreadable": 2, "no_time": 1}
    assert len(log) == 57


@pytest.mark.parametrize(
    ("head", "lines"),
    [
        (HEAD.replace(",", ";"), [r.replace(".", ",") for r in rows(TRIP, ";")]),
        (HEAD.replace(",", "\t"), rows(TRIP, "\t")),
        ("lat,lon,sog_kn,depth_ft,timestamp", [
            ",".join(np.array(r.split(","))[[1, 2, 4, 3, 0]]) for r in rows(TRIP)
        ]),
        (HEAD, [r.replace("2004-03-02T", "2004/03/02 ").replace("Z", "") for r in rows(TRIP)]),
    ],
    ids=["decimal commas", "tabs", "another order", "slashes"],
)  # fmt: skip
def test_that_csv_of_many_hands_is_read(tmp_path, head: str, lines: list[str]) -> None:
    log = read_csv(written(tmp_path, [head, *lines]))
    assert_allclose(log.lat, TRIP.lats, atol=PLACE)
    assert_allclose(log.depth, TRIP.depth, atol=0.006)
    assert_allclose(log.time, TRIP.time, atol=1e-6)


@pytest.mark.parametrize(
    ("since", "unit"),
    [(0.0, 1.0), *((1_078_214_400.0 * unit, unit) for unit in (1.0, 1e3, 1e6, 1e9))],
)
def test_that_seconds_count_from_anywhere_in_any_unit(tmp_path, since: float, unit: float) -> None:
    lines = [f"{since + unit * t:.0f},{a:.7f},{o:.7f}"
             for t, a, o in zip(TRIP.time, TRIP.lats, TRIP.lons, strict=True)]  # fmt: skip
    log = read_csv(written(tmp_path, ["seconds,lat,lon", *lines]))
    assert_allclose(log.time, TRIP.time, atol=1e-3)
    assert (log.began is None) == (since == 0.0)


def test_that_times_of_day_go_on_over_midnight_and_letters_give_the_side(tmp_path) -> None:
    late = Trip(60, start=86400 - 30, lat=-44.0, lon=-20.0)
    lines = [f"{late.iso(i)},{-late.lats[i]:.7f} S,{-late.lons[i]:.7f}W" for i in range(60)]
    log = read_csv(written(tmp_path, ["time,lat,lon", *lines]))
    assert_allclose(log.time, np.arange(60.0), atol=1e-6)
    assert_allclose(log.lat, late.lats, atol=PLACE)
    assert_allclose(log.lon, late.lons, atol=PLACE)


def test_that_lines_that_make_no_sense_are_counted(tmp_path) -> None:
    lines = [HEAD, *rows(TRIP)]
    lines[5], lines[9], lines[12] = "one,two", "", lines[12].replace(",", ",x", 1)
    log = read_csv(written(tmp_path, lines))
    assert log.report.left_out == {"unreadable": 2}
    assert len(log) == 57


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is empty"),
        ("  \n \n", "is empty"),
        ("time,lat\n1,2\n", "has no column for longitude"),
        ("time,lat,lon,depth\n1,2,3,4\n", "names no unit"),
        ("time,lat,lon,speed (ft)\n1,2,3,4\n", "names no unit"),
        ("just words\nand more\n", "has no column for time"),
        ("time,lat,lon\n", "has no lines that can be used"),
        ("time,lat,lon\na,b,c\n", "has no lines that can be used"),
        ("time,lat,lon\n1,95,3\n2,95,3\n", "too few places"),
        ("time,lat,lon\x00\n", "is not text"),
        ("time,lat,lon\n" + "1" * 3_000_000, "line without end"),
        ("time,lat,lon\n" + "1" * 120_000 + "\n", "line without end"),
        (f"time,lat,lon\n{'9' * 400},2,3\n", "has no lines that can be used"),
        (f"time,lat,lon\n{'9' * 25},2,3\n", "has no lines that can be used"),
    ],
)
def test_that_a_csv_that_cannot_be_used_is_refused(tmp_path, text: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        read_ground(written(tmp_path, text))


def test_that_no_file_and_a_folder_are_refused(tmp_path) -> None:
    for path in (tmp_path, tmp_path / "none.log"):
        with pytest.raises(BadInput, match="allowed: an NMEA 0183 log"):
            read_ground(path)


@pytest.mark.parametrize("kind", ["gpx", "csv"])
def test_that_reading_any_kind_can_be_stopped(tmp_path, kind: str) -> None:
    text = TRIP.gpx() if kind == "gpx" else "\n".join([HEAD, *rows(TRIP)])
    with pytest.raises(Stopped):
        read_ground(written(tmp_path, text), lambda share: share > 0.0)
