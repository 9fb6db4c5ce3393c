"""GPX and CSV tracks: the same trip in every kind of file, and what is refused."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from app.common.bad_input import BadInput
from app.common.units import FOOT, KNOT
from app.ground.tracks.csv import read_csv
from app.ground.tracks.gpx import read_gpx
from app.ground.tracks.read import read_ground
from physics.progress import Cancelled
from tests.app.ground.tracks.invented_logs import Trip, written

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


@pytest.mark.parametrize("kind", ["nmea", "gpx", "csv"])
@pytest.mark.parametrize("order", ["le", "be"])
def test_that_utf_16_that_says_so_is_read_in_every_kind(tmp_path, kind: str, order: str) -> None:
    text = {
        "nmea": "\r\n".join(TRIP.lines("rmc", "dbt")),
        "gpx": TRIP.gpx(),
        "csv": "\r\n".join([HEAD, *rows(TRIP)]),
    }[kind]
    path = tmp_path / "trip.log"
    path.write_bytes(("\ufeff" + text).encode(f"utf-16-{order}"))
    log = read_ground(path)
    assert_allclose(log.lat, TRIP.lats, atol=PLACE)
    assert_allclose(log.depth, TRIP.depth, atol=0.006)
    path.write_bytes(text.encode(f"utf-16-{order}"))
    with pytest.raises(BadInput, match="seems to be UTF-16 without the mark that says so"):
        read_ground(path)


def test_that_a_letter_over_the_edge_of_a_block_is_whole_in_utf_16(tmp_path, monkeypatch) -> None:
    path = tmp_path / "trip.csv"
    path.write_bytes("\n".join([HEAD, *rows(TRIP)]).encode("utf-16"))
    monkeypatch.setattr("app.ground.tracks.blocks.BLOCK", 97)
    assert len(read_ground(path)) == 60


def dated(date: str, trip: Trip = TRIP) -> str:
    return trip.gpx().replace("2004-03-02", date)


@pytest.mark.parametrize("year", ["0001", "1969", "2100", "9999"])
def test_that_a_track_of_no_possible_year_is_refused_clearly(tmp_path, year: str) -> None:
    path = written(tmp_path, dated(f"{year}-01-01"))
    with pytest.raises(BadInput, match="has no place dated so; allowed: dates of 1970 to 2099"):
        read_ground(path)


def test_that_a_few_places_of_an_impossible_year_are_left_out(tmp_path) -> None:
    text = TRIP.gpx().replace("2004-03-02T08:00:05Z", "9999-12-31T23:59:59Z")
    text = text.replace("2004-03-02T08:00:07Z", "0001-01-01T00:00:00+14:00")
    log = read_ground(written(tmp_path, text))
    assert log.report.left_out == {"wrong_date": 2}
    assert len(log) == 58


def test_that_every_trip_of_a_file_is_kept_however_far_apart(tmp_path) -> None:
    trips = [TRIP.gpx(), dated("2004-05-20"), dated("2011-08-01", Trip(40))]
    body = "".join(text.partition("<trkseg>")[2].partition("</trkseg>")[0] for text in trips)
    log = read_ground(written(tmp_path, f'<gpx xmlns:x="urn:invented">{body}</gpx>'))
    assert len(log) == 160
    assert not log.report.left_out
    assert "3 trips, more than 6 h from one to the next" in log.report.sentences()
    assert not any("gap" in said for said in log.report.sentences())
    parts = log.trips()
    assert [len(part) for part in parts] == [60, 60, 40]
    assert [str(part.began)[:10] for part in parts] == ["2004-03-02", "2004-05-20", "2011-08-01"]
    for part in parts:
        assert_allclose(part.time, np.arange(len(part)), atol=1e-5)
        assert_allclose(part.depth, TRIP.depth[: len(part)], atol=0.006)


def test_that_short_trips_of_a_thinned_track_are_kept(tmp_path) -> None:
    lines = [
        f"2004-{month:02d}-02T08:{minute:02d}:00Z,{10.0 + 0.001 * minute},20.0"
        for month in range(1, 13, 2)
        for minute in range(10)
    ]
    log = read_ground(written(tmp_path, ["time,lat,lon", *lines]))
    assert [len(part) for part in log.trips()] == [10] * 6


def test_that_one_trip_is_the_whole_track(tmp_path) -> None:
    log = read_ground(written(tmp_path, TRIP.gpx()))
    assert [len(part) for part in log.trips()] == [60]
    assert not any("trip" in said for said in log.report.sentences())


@pytest.mark.parametrize("opening", ['<trkpt lat="', "<trkpt lat='9' x", "<!-- "])
def test_that_a_tag_without_end_is_given_up_long_before_the_end(tmp_path, opening: str) -> None:
    endless = opening + "9" * 20_000_000
    shares: list[float] = []
    with pytest.raises(BadInput, match="line 1 has a tag without end"):
        read_gpx(written(tmp_path, "<gpx>" + endless), lambda share: bool(shares.append(share)))
    assert shares[-1] < 0.4
    whole = TRIP.gpx().replace("</trkseg></trk></gpx>", "\n")
    log = read_gpx(written(tmp_path, whole + endless))
    assert len(log) == 60
    assert "line 61 has a tag without end: read up to there" in log.report.sentences()


def test_that_elements_without_end_within_each_other_are_refused(tmp_path) -> None:
    with pytest.raises(BadInput, match="has elements more than 100 deep"):
        read_ground(written(tmp_path, "<gpx>" + "<a>" * 300_000))


def test_that_no_file_and_a_folder_are_refused(tmp_path) -> None:
    for path in (tmp_path, tmp_path / "none.log"):
        with pytest.raises(BadInput, match="allowed: an NMEA 0183 log"):
            read_ground(path)


@pytest.mark.parametrize("kind", ["gpx", "csv"])
def test_that_reading_any_kind_can_be_stopped(tmp_path, kind: str) -> None:
    text = TRIP.gpx() if kind == "gpx" else "\n".join([HEAD, *rows(TRIP)])
    with pytest.raises(Cancelled):
        read_ground(written(tmp_path, text), lambda share: share > 0.0)
