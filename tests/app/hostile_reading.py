"""Hostile files fed to the program's readers, and what came of each.

A reader may raise BadInput and nothing else, in one short line; what it takes can be used, saved
and read again the same.
"""

from __future__ import annotations

import random
import time
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

import numpy as np

from app.common.bad_input import BadInput
from app.common.resources import asset
from app.compare import file as compare_file
from app.compare.candidates import usual_lineup
from app.drill import file as drill_file
from app.gear.catalog import SHIPPED, Catalog
from app.gear.own_tackle import read_items, write_items
from app.ground.tracks.offer import fullest, offers_of
from app.ground.tracks.replay import usual_stretch
from app.measure import file as sheet
from app.measure.csv_columns import read_table
from app.measure.csv_rows import guessed, kind_of, measurements
from app.scenario import file as scenario_file
from app.scenario.file import demos, nearly_equal
from tests.app import hostile_logs
from tests.app.ground.tracks.invented_logs import Trip
from tests.app.hostile_files import (
    LARGEST,
    made_csv,
    made_geojson,
    made_gpx,
    made_nmea,
    made_toml,
    spoiled,
)
from tests.app.hostile_logs import Untrue
from tests.app.scenario.malformed import GOOD

LONGEST_MESSAGE = 600
SLOWEST = 5.0
"""Seconds of the processor to read and use a file; asked of the command, not of ordinary tests."""

MOST_MEMORY = 500e6
"""Bytes that reading and using one file may add to the most the process ever had."""

CATALOG = Catalog.load(None)

Make = Callable[[random.Random, list[bytes]], bytes]
Use = Callable[[Path], None]


@dataclass(frozen=True)
class Kind:
    """A kind of file: the ``suffix`` of its name, good ones, how to make and how to use one."""

    suffix: str
    seeds: list[bytes]
    make: Make
    use: Use


@dataclass(frozen=True)
class Outcome:
    """What one file came to: ``trouble`` is empty unless the program failed.

    ``seconds`` are the processor's, so that what else the machine does is left out; ``memory``
    is bytes.
    """

    read: bool
    seconds: float
    memory: float
    message: str
    trouble: str


def outcome(kind: str, number: int, seed: int, folder: Path) -> Outcome:
    """Write the file of a number, feed it to its reader and use what comes of it."""
    known = KINDS[kind]
    path = folder / f"hostile{known.suffix}"
    path.write_bytes(file_of(kind, number, seed))
    before, start = _most_memory(), time.process_time()
    read, message, trouble = True, "", ""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            known.use(path)
    except BadInput as error:
        read, message = False, str(error)
        if len(message) > LONGEST_MESSAGE or not message.isprintable():
            trouble = f"a message of {len(message)} characters, or of more than one line"
    except (Exception, RecursionError) as error:
        read, trouble = False, f"{type(error).__name__}: {error}"[:300]
    return Outcome(read, time.process_time() - start, _most_memory() - before, message, trouble)


def file_of(kind: str, number: int, seed: int) -> bytes:
    """The bytes of one hostile file, always the same."""
    draw = random.Random(f"{kind} {number} {seed}")
    known = KINDS[kind]
    if draw.random() < 0.2:
        data = known.make(draw, known.seeds)
        return (spoiled(draw, data) if draw.random() < 0.2 else data)[:LARGEST]
    return spoiled(draw, draw.choice(known.seeds))


def _most_memory() -> float:
    """The most bytes the process ever had; 0 where the system does not tell."""
    try:
        import resource
    except ImportError:
        return 0.0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024.0


def _same(a: object, b: object, what: str) -> None:
    if not nearly_equal(a, b):
        raise Untrue(f"{what} reads back otherwise")


def _scenario(path: Path) -> None:
    setup = scenario_file.load(path, CATALOG)
    setup.scenario(CATALOG)
    fresh = path.with_name("fresh.toml")
    # over the file itself, in its own layout, and as a new one
    for place in (path, fresh):
        scenario_file.save(setup, place)
        _same(scenario_file.load(place, CATALOG), setup, "a scenario")
    fresh.unlink()


def _tackle(path: Path) -> None:
    # without the shipped tackle, which is read in no time once and not thousands of times
    with patch("app.gear.catalog.SHIPPED", ()):
        _, refusals = Catalog.load_what_can_be_read(path.parent)
    items = read_items(path)
    if refusals:
        raise Untrue(f"the catalog refuses what the shelf takes: {refusals[0]}")
    write_items(path, items)
    again = read_items(path)
    for old, new in zip(items, again, strict=True):
        _same(old.thing, new.thing, "tackle")
        if (old.group, dict(old.source), dict(old.spread)) != (
            new.group, dict(new.source), dict(new.spread)
        ):  # fmt: skip
            raise Untrue("the source of tackle reads back otherwise")


def _sheet(path: Path) -> None:
    with patch("app.measure.file.place", lambda: path):
        kept = sheet.load()
        sheet.save(kept)
        if sheet.load() != kept:
            raise Untrue("a sheet reads back otherwise")
    rod = scenario_file.load(demos()[0], CATALOG).rods[0]
    for number, line in enumerate(kept.lines[:50], start=1):
        try:
            sheet.row_of(line, number, kept.errors, rod, CATALOG)
        except BadInput as error:
            if len(str(error)) > LONGEST_MESSAGE:
                raise


def _columns(path: Path) -> None:
    table = read_table(path)
    kind = kind_of(table)
    if kind is None:
        return
    rod = scenario_file.load(demos()[0], CATALOG).rods[0]
    read = measurements(table, kind, guessed(table), rod=rod, catalog=CATALOG)
    sheet.lines_of(read.rows)
    if any(len(str(line)) > LONGEST_MESSAGE for line in read.rejected):
        raise Untrue("a line is refused at great length")


def _candidates(path: Path) -> None:
    lineup = compare_file.load(path)
    if lineup is None:
        raise Untrue("the file is gone")
    compare_file.save(lineup, path)
    _same(compare_file.load(path), lineup, "a set of candidates")


def _drills(path: Path) -> None:
    name, rounds = drill_file.load(path, CATALOG)
    drill_file.save(name, rounds, path)
    again, same = drill_file.load(path, CATALOG)
    _same((again, *same), (name, *rounds), "a set of rounds")


def _track(path: Path) -> None:
    offers = offers_of(path, (0.3, -0.1))
    fullest(offers)
    for offer in offers:
        log = offer.log
        whole = (log.time, log.lat, log.lon)
        if not all(np.isfinite(each).all() for each in whole) or len(log) < 2:
            raise Untrue("a place is no number")
        if (
            (np.diff(log.time) <= 0.0).any()
            or np.isinf(log.depth).any()
            or np.isinf(log.speed).any()
        ):
            raise Untrue("time does not rise, or a depth or speed has no end")
        if offer.ground is not None and not np.isfinite(offer.ground.bottom.points).all():
            raise Untrue("a bottom is no number")
        for coast in offer.coasts:
            _ = coast.rows
        usual_stretch(log)
        log.report.sentences()


def _written(save: Callable[[Path], object]) -> bytes:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "good"
        save(path)
        return path.read_bytes()


def _good_sheet(path: Path) -> None:
    rows = (
        sheet.Line("dock", seconds=9.5, depth=6.1),
        sheet.Line("tow", speed=2.6, line_out=55.0, depth=7.9),
        sheet.Line("drop", speed=2.6, line_out=55.0, hold=12.0, seconds=10.5, depth=9.1),
        sheet.Line("coast", start=3.1, seconds=6.0, speed=1.4),
        sheet.Line("dock", depth=3.0),
    )
    with patch("app.measure.file.place", lambda: path):
        sheet.save(sheet.Sheet(rows, sheet.Errors(hand=0.4)))


def _good_drills(path: Path) -> None:
    own = scenario_file.loads(GOOD, "good", CATALOG)
    rounds = [drill_file.Planned(2, 7), drill_file.Planned(5, 90), drill_file.Planned(0, 3, own)]
    drill_file.save("A set", rounds, path)


def _tracks() -> dict[str, list[bytes]]:
    trips = (Trip(40), Trip(25, start=86380, lat=-44.0, lon=179.9999, date="311299"))
    csv = [
        "Time (UTC),Latitude,Longitude,Depth (ft),Speed (kn)\n"
        + "\n".join(
            f"2004-03-02T{trip.iso(i)}Z,{trip.lats[i]:.7f},{trip.lons[i]:.7f},{trip.depth[i]:.2f},5.0"
            for i in range(trip.seconds)
        )
        for trip in trips
    ]
    nmea = [("rmc", "dpt"), ("gga", "dbt"), ("gll", "dbt"), ("rmc", "gga", "gll", "dpt", "dbt")]
    logs = ["\r\n".join(trip.lines(*kinds)) for trip in trips for kinds in nmea]
    return {
        "nmea": [log.encode() for log in logs],
        "gpx": [trip.gpx().encode() for trip in trips],
        "csv": [text.encode() for text in csv],
        "geojson": [trip.geojson(kind).encode() for trip in trips for kind in ("3.0", "3.1")],
        "shared csv": ["\n".join(trip.shared_csv()).encode() for trip in trips],
    }


def _columns_of() -> list[bytes]:
    return [
        b"depth (ft),seconds\n20,9.5\n30,14.1\n12,5.5\n",
        b"speed kn;line out ft;depth ft\n5,0;180;22,5\n4,1;180;27\n",
        b"speed (kn),hold (s),touch (s),depth (ft),line out (ft)\n5,12,10.5,30,180\n5,9,,25,150\n",
        b"start kn\tseconds\tspeed kn\n6\t3\t4.1\n6\t6\t3.2\n6\t9\t2.5\n",
    ]


_TRACKS, _LOGS = _tracks(), hostile_logs.log_texts()

KINDS = {
    "scenario": Kind(
        ".toml", [GOOD.encode(), *(path.read_bytes() for path in demos())], made_toml, _scenario
    ),
    "tackle": Kind(
        ".toml", [asset(name).read_bytes() for name in SHIPPED], made_toml, _tackle
    ),
    "sheet": Kind(".csv", [_written(_good_sheet)], made_csv, _sheet),
    "columns": Kind(".csv", _columns_of(), made_csv, _columns),
    "candidates": Kind(
        ".toml",
        [_written(lambda path: compare_file.save(
            usual_lineup(scenario_file.load(demos()[0], CATALOG), CATALOG), path))],
        made_toml, _candidates,
    ),
    "drill set": Kind(".toml", [_written(_good_drills)], made_toml, _drills),
    "nmea": Kind(".log", _TRACKS["nmea"], made_nmea, _track),
    "gpx": Kind(".gpx", _TRACKS["gpx"], made_gpx, _track),
    "csv": Kind(".csv", _TRACKS["csv"], made_csv, _track),
    "geojson": Kind(".geojson", _TRACKS["geojson"], made_geojson, _track),
    "shared csv": Kind(".csv", _TRACKS["shared csv"], made_csv, _track),
    "log csv": Kind(".csv", _LOGS[:1], made_csv, hostile_logs.log_text),
    "log json": Kind(".json", _LOGS[1:], made_csv, hostile_logs.log_text),
    "other log": Kind(".csv", hostile_logs.other_logs(), made_csv, hostile_logs.other_log),
    "log file": Kind(".sqlite", hostile_logs.log_files(), hostile_logs.made_log,
                     hostile_logs.log_file),
}  # fmt: skip
