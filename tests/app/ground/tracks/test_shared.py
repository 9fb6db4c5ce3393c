"""Crowd-sourced bathymetry of the IHO: GeoJSON and CSV, what is taken of it and what is refused."""

import json
from pathlib import Path

import pytest
from numpy.testing import assert_allclose

from app.common.bad_input import BadInput
from app.ground.tracks.geojson import read_geojson
from app.ground.tracks.log import GroundLog
from app.ground.tracks.read import read_ground
from physics.progress import Cancelled
from tests.app.ground.tracks.invented_logs import Trip, written

TRIP = Trip(60)

WHOLE = TRIP.geojson()


def as_sailed(log: GroundLog) -> None:
    assert_allclose(log.time, TRIP.time, atol=1e-6)
    assert_allclose(log.lat, TRIP.lats, atol=2e-7)
    assert_allclose(log.lon, TRIP.lons, atol=2e-7)
    assert_allclose(log.depth, TRIP.depth, atol=0.006)
    assert str(log.began) == "2004-03-02 08:00:00+00:00"


@pytest.mark.parametrize(
    ("convention", "reference", "depth_from"),
    [
        ("3.0", "Transducer", "transducer"),
        ("3.1", "Transducer", "transducer"),
        ("3.1", "Waterline", "surface"),
        ("3.1", "Unknown", "unknown"),
    ],
)
def test_that_geojson_says_what_its_depths_are_from(
    tmp_path: Path, convention: str, reference: str, depth_from: str
) -> None:
    log = read_ground(written(tmp_path, TRIP.geojson(convention, reference)))
    as_sailed(log)
    assert log.depth_from == depth_from
    assert not log.report.left_out


@pytest.mark.parametrize("block", [1, 7, 100])
def test_that_geojson_is_the_same_wherever_its_blocks_end(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, block: int
) -> None:
    monkeypatch.setattr("app.ground.tracks.blocks.BLOCK", block)
    as_sailed(read_geojson(written(tmp_path, WHOLE.replace("\n ", ""))))


def test_that_geojson_may_say_what_it_is_after_its_points(tmp_path: Path) -> None:
    head, _, features = WHOLE.partition('"features"')
    end = features.rindex("]") + 1
    turned = '{"features"' + features[:end] + "," + head.strip().removeprefix("{").rstrip(", \n")
    as_sailed(read_geojson(written(tmp_path, turned + "}")))


def test_that_geojson_cut_short_is_read_up_to_there(tmp_path: Path) -> None:
    log = read_geojson(written(tmp_path, WHOLE[: len(WHOLE) // 2]))
    assert 25 <= len(log) <= 31
    assert f"breaks off, after {len(log)} points: read up to there" in log.report.sentences()


def test_that_odd_features_are_counted(tmp_path: Path) -> None:
    told = json.loads(WHOLE)
    features = told["features"]
    features[3]["geometry"]["type"] = "LineString"
    features[5]["properties"]["time"] = "yesterday"
    features[9]["properties"]["time"] = None
    features[20]["properties"]["depth"] = None
    features[30]["properties"]["depth"] = "12 ft"
    features[40]["geometry"] = features[41]["properties"] = features[42] = []
    log = read_geojson(written(tmp_path, json.dumps(told)))
    assert log.report.left_out == {"unreadable": 5, "no_time": 2}
    assert len(log) == 60 - 7


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{}", "does not say that it is crowd-sourced bathymetry"),
        (WHOLE.replace("CSB", "of mine"), "does not say that it is crowd-sourced bathymetry"),
        (WHOLE.replace('"time"', '"when"'), "has no points with a time"),
        ('{"features": 5}', "is not GeoJSON"),
        ('{"features" [', "is not GeoJSON"),
        ("{7: 5}", "is not GeoJSON"),
        ("{", "breaks off"),
        ('{"a": ' + "[" * 300_000, "nested too deep"),
        ('{"a": "' + "9" * 9_000_000, "has a value without end"),
    ],
)
def test_that_json_that_cannot_be_used_is_refused(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        read_ground(written(tmp_path, text))


def test_that_reading_geojson_can_be_stopped(tmp_path: Path) -> None:
    with pytest.raises(Cancelled):
        read_ground(written(tmp_path, WHOLE), lambda share: share > 0.0)


@pytest.mark.parametrize("head", ["LON,LAT,DEPTH,TIME", "LAT,LON,DEPTH,TIME"])
def test_that_xyz_files_of_the_iho_are_in_meters_and_say_so(tmp_path: Path, head: str) -> None:
    one, other = (TRIP.lons, TRIP.lats) if head.startswith("LON") else (TRIP.lats, TRIP.lons)
    lines = [
        f"{one[i]:.7f}, {other[i]:.7f}, {TRIP.depth[i]:.2f}, 2004-03-02T{TRIP.iso(i)}.000Z"
        for i in range(TRIP.seconds)
    ]
    log = read_ground(written(tmp_path, [head, *lines]))
    as_sailed(log)
    said = "headings are those of crowd-sourced bathymetry: depths are meters"
    assert said in log.report.sentences()


def test_that_of_an_archives_csv_the_vessel_with_most_lines_is_taken(tmp_path: Path) -> None:
    head, *ours = TRIP.shared_csv()
    others = Trip(59, lat=-20.0).shared_csv("INVENTED-2")[1:]
    mixed = [line for pair in zip(others, ours[1:], strict=True) for line in pair]
    log = read_ground(written(tmp_path, [head, ours[0], *mixed]))
    as_sailed(log)
    assert log.report.left_out == {"other_vessel": 59}
