"""Recorded tracks with timed depths, read by us and by an independent reader.

gpxpy 1.6.2 reads the GPX, pynmea2 1.19.0 the NMEA 0183, GDAL 3.12.4 by pyogrio 0.13.0 the
crowd-sourced bathymetry, as GeoJSON and as an archive's CSV. The files are invented: what is
compared is what both make of every place, time and depth in them.
"""

from __future__ import annotations

from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from app.common.units import FATHOM, FOOT
from app.ground.tracks.log import GroundLog
from app.ground.tracks.read import read_ground
from tests.app.ground.tracks.invented_logs import Trip, sentence, written

gpxpy = pytest.importorskip("gpxpy")
pynmea2 = pytest.importorskip("pynmea2")
gdal = pytest.importorskip("pyogrio.raw")

TRIP = Trip(seconds=60, noise=0.3)

Point = tuple[datetime, float, float, float]
"""When, UTC; latitude and longitude, degrees; depth, m."""


def same(ours: GroundLog, theirs: list[Point]) -> None:
    """Both read the same points."""
    assert ours.began is not None
    times, lats, lons, depths = zip(*theirs, strict=True)
    assert len(ours) == len(theirs) == TRIP.seconds
    assert ours.began == times[0]
    seconds = [(time - times[0]).total_seconds() for time in times]
    for mine, other in ((ours.time, seconds), (ours.lat, lats), (ours.lon, lons)):
        np.testing.assert_allclose(mine, other, rtol=0.0, atol=1e-7)
    np.testing.assert_allclose(ours.depth, depths, rtol=0.0, atol=1e-6)


@pytest.mark.parametrize(
    "depth",
    [
        "<extensions><x:depth>{:.2f}</x:depth></extensions>",
        "<extensions><x:TrackPoint><x:depth>{:.2f}</x:depth></x:TrackPoint></extensions>",
    ],
)
def test_that_gpx_with_depths_reads_as_by_another_reader(depth: str, tmp_path: Path) -> None:
    text = TRIP.gpx(depth)
    theirs = [
        (
            point.time.astimezone(UTC), point.latitude, point.longitude,
            float(next(e.text for e in point.extensions[0].iter() if e.tag.endswith("depth"))),
        )
        for track in gpxpy.parse(text).tracks for part in track.segments for point in part.points
    ]  # fmt: skip
    same(read_ground(written(tmp_path, text, "trip.gpx")), theirs)


def dbs(i: int) -> str:
    depth = TRIP.depth[i]
    return sentence(
        f"SDDBS,{FOOT.from_si(depth):.1f},f,{depth:.2f},M,{FATHOM.from_si(depth):.1f},F"
    )


def depth_of(told: Any) -> float | None:
    """The depth that a sentence tells, m."""
    kind = getattr(told, "sentence_type", "")
    if kind == "DPT":
        return float(told.depth) + float(told.offset)
    if kind == "DBT":
        return float(told.depth_meters)
    if kind == "DBS":
        return float(told.depth_meter)
    return None


@pytest.mark.parametrize("place", ["rmc", "rmc gga", "rmc gll"])
@pytest.mark.parametrize("depth", ["dpt", "dbt", "dbs"])
def test_that_nmea_with_depths_reads_as_by_another_reader(
    place: str, depth: str, tmp_path: Path
) -> None:
    lines = []
    for i in range(TRIP.seconds):
        lines += [getattr(TRIP, kind)(i) for kind in place.split()]
        lines.append(dbs(i) if depth == "dbs" else getattr(TRIP, depth)(i))
    theirs: list[Point] = []
    at: tuple[datetime, float, float] | None = None
    for line in lines:
        told = pynmea2.parse(line, check=True)
        if told.sentence_type == "RMC":
            when = datetime.combine(told.datestamp, told.timestamp.replace(tzinfo=None), UTC)
            at = when, told.latitude, told.longitude
        elif (deep := depth_of(told)) is not None:
            assert at is not None
            theirs.append((*at, deep))
    same(read_ground(written(tmp_path, lines)), theirs)


def by_gdal(path: Path, depth: str, time: str, **options: str) -> list[Point]:
    """Points of a file; ``depth`` and ``time`` are its names for them."""
    about, _, shapes, values = gdal.read(path, datetime_as_string=True, **options)
    columns = dict(zip(about["fields"], values, strict=True))
    # well-known binary: byte order, 1 for a point, longitude and latitude
    places = [np.frombuffer(shape[5:21], dtype="<f8") for shape in shapes]
    return [
        (datetime.fromisoformat(when).astimezone(UTC), lat, lon, float(deep))
        for (lon, lat), when, deep in zip(places, columns[time], columns[depth], strict=True)
    ]


@pytest.mark.parametrize("convention", ["3.0", "3.1"])
def test_that_geojson_with_depths_reads_as_by_another_reader(
    convention: str, tmp_path: Path
) -> None:
    path = written(tmp_path, TRIP.geojson(convention), "trip.geojson")
    same(read_ground(path), by_gdal(path, "depth", "time"))


def test_that_an_archives_csv_reads_as_by_another_reader(tmp_path: Path) -> None:
    path = written(tmp_path, TRIP.shared_csv(), "trip.csv")
    theirs = partial(by_gdal, X_POSSIBLE_NAMES="LON", Y_POSSIBLE_NAMES="LAT")
    same(read_ground(path), theirs(path, "DEPTH", "TIME"))
