"""Transducer and tide: what makes recorded depths true, kept with the scenario."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.common.bad_input import BadInput
from app.common.units import FOOT, HOUR, METER
from app.gear.catalog import Catalog
from app.ground.tracks.model import TrackModel
from app.ground.tracks.panel import TrackPanel
from app.ground.tracks.profile import ground_under
from app.ground.tracks.read import read_ground
from app.ground.tracks.reduced import reduced, tide_during
from app.ground.tracks.tide_dialog import TideDialog
from app.ground.tracks.tide_table import parse_table, table_text
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.scenario.soundings import Soundings
from app.shell.window import Window
from physics.checks import InvalidValue
from tests.app.by_hand import Live, lower_panel, worker_of
from tests.app.ground.tracks.invented_logs import Trip, sentence, shoal

DEEP = 0.5
"""How deep the transducer of the invented log sits, m."""

LOW, HIGH = datetime(2004, 3, 2, 1, 0), datetime(2004, 3, 2, 7, 10)
"""Low and high water by a clock 5 h behind UTC: the invented track is between them."""

TABLE = ((LOW, 0.2), (HIGH, 1.9))
LOCAL = HOUR.to_si(-5.0)


def true_tide(seconds: np.ndarray) -> np.ndarray:
    """Half a cosine from low to high water, m, so many seconds after 8 h UTC."""
    start = datetime(2004, 3, 2, 8) + timedelta(seconds=LOCAL)
    share = ((start - LOW).total_seconds() + seconds) / (HIGH - LOW).total_seconds()
    return 0.2 + 1.7 * (1.0 - np.cos(np.pi * share)) / 2.0


def tidal_log(path: Path, talker: str = "DBT") -> Path:
    """An hour and a half over the shoal of the other tests, again and again, on a rising tide."""
    trip = Trip(seconds=5400, speed=2.5)
    # back and forth, so that every spot is sounded at many heights of the tide
    along = 600.0 - np.abs(trip.along % 1200.0 - 600.0)
    east, north = along * np.sin(trip.course), along * np.cos(trip.course)
    trip.lats = trip.lat + north / 111_132.0
    trip.lons = trip.lon + east / (111_320.0 * np.cos(np.radians(trip.lat)))
    depth = shoal(along) + true_tide(trip.time) - DEEP
    lines = []
    for i in range(trip.seconds):
        lines.append(trip.rmc(i))
        lines.append(sentence(f"SD{talker},,f,{depth[i]:.3f},M,,F"))
    path.write_text("\r\n".join(lines) + "\r\n", encoding="ascii")
    return path


def worst(log_depths: object, true: float) -> float:
    """How far a bottom lies from the true one at worst, m."""
    ground = ground_under(log_depths)  # type: ignore[arg-type]
    along = np.array([a for a, _ in ground.bottom.points])
    found = np.array([d for _, d in ground.bottom.points])
    inside = (along > 5.0) & (along < 590.0)
    return float(np.abs(found - shoal(along) - true)[inside].max())


def test_that_a_log_with_a_tide_gives_the_bottom_back(tmp_path: Path) -> None:
    log = read_ground(tidal_log(tmp_path / "tide.nmea"))
    rise = float(np.ptp(true_tide(log.time)))
    assert rise > 0.6
    soundings = Soundings(transducer=DEEP, clock=LOCAL, table=TABLE)
    assert worst(reduced(log, soundings), 0.0) < 0.15
    assert worst(log, 0.0) > 0.3
    higher = replace(soundings, tide_now=1.2)
    assert worst(reduced(log, higher), 1.2) < 0.15
    # a clock an hour out is an hour of tide
    assert worst(reduced(log, replace(soundings, clock=LOCAL + 3600.0)), 0.0) > 0.15


def test_that_the_tide_between_waters_is_near_half_a_cosine(tmp_path: Path) -> None:
    log = read_ground(tidal_log(tmp_path / "tide.nmea"))
    six = timedelta(hours=6, minutes=10)
    table = tuple((LOW + k * six, (0.2, 1.9)[k % 2]) for k in range(-1, 4))
    found = tide_during(log, Soundings(clock=LOCAL, table=table))
    assert np.abs(found - true_tide(log.time)).max() < 0.01 * 1.7


def test_that_one_height_and_the_transducer_shift_every_depth(tmp_path: Path) -> None:
    log = read_ground(tidal_log(tmp_path / "tide.nmea"))
    moved = reduced(log, Soundings(transducer=DEEP, tide=1.0, tide_now=0.25))
    assert np.allclose(moved.depth - log.depth, DEEP - 1.0 + 0.25, equal_nan=True)


def test_that_depths_from_the_surface_get_no_transducer(tmp_path: Path) -> None:
    log = read_ground(tidal_log(tmp_path / "tide.nmea", talker="DBS"))
    assert log.depth_from == "surface"
    moved = reduced(log, Soundings(transducer=DEEP))
    assert np.array_equal(moved.depth, log.depth, equal_nan=True)


def test_that_depths_before_and_after_the_table_are_left_out(tmp_path: Path) -> None:
    log = read_ground(tidal_log(tmp_path / "tide.nmea"))
    half = datetime(2004, 3, 2, 3, 30)
    moved = reduced(log, Soundings(clock=LOCAL, table=((LOW, 0.2), (half, 1.0))))
    known = np.isfinite(moved.depth)
    assert known[log.time < 1795.0].any()
    assert not known[log.time > 1805.0].any()
    other = ((LOW + timedelta(days=9), 0.2), (HIGH + timedelta(days=9), 1.0))
    with pytest.raises(BadInput, match="outside the tide table"):
        reduced(log, Soundings(clock=LOCAL, table=other))
    with pytest.raises(BadInput, match="no dates"):
        reduced(replace(log, began=None), Soundings(table=TABLE))


@pytest.mark.parametrize(
    "text",
    [
        "2004-03-02 01:00  0.2\n2004-03-02 07:10\t1.9",
        "An invented harbor\n\n2004/03/02 Tue 01:00 AM 0.2 m L\n03/02/2004, 7:10 am, 1.9m H",
        "2004-03-02T01:00:00;0,2\n2004-03-02T07:10:00;1,9\n",
        "2004-03-02 07:10 6.233596 ft\n2004-03-02 01:00 0.656168 feet",
    ],
)
def test_that_a_table_is_read_however_it_is_written(text: str) -> None:
    rows = parse_table(text, METER)
    assert [moment for moment, _ in rows] == [LOW, HIGH]
    assert [height for _, height in rows] == pytest.approx([0.2, 1.9], abs=1e-6)
    assert parse_table(table_text(rows, FOOT), METER) == tuple(
        (moment, pytest.approx(height, abs=0.0016)) for moment, height in rows
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("2004-03-02 01:00", "line 1"),
        ("2004-03-02 01:00 1\n2004-02-30 02:00 1", "line 2"),
        ("2004-03-02 13:00 PM 1\n2004-03-02 02:00 1", "line 1"),
        ("2004-03-02 01:00 1\n2004-03-02 01:00 2", "one height for one moment"),
        ("2004-03-02 01:00 100", "line 1"),
        ("2004-03-02 01:00 1.0", "one row"),
        ("\n".join(f"2004-03-{1 + k // 24:02d} {k % 24:02d}:00 1" for k in range(500)), "too long"),
    ],
)
def test_that_what_is_no_table_is_refused_by_its_line(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        parse_table(text, METER)


def test_that_the_scenario_keeps_transducer_and_tide(demo: Setup, catalog: Catalog) -> None:
    soundings = Soundings(0.45, 0.3, -0.2, HOUR.to_si(-3.5), TABLE)
    setup = replace(demo, soundings=soundings)
    text = scenario_file.dumps(setup)
    assert "tide_clock_h = -3.5" in text
    assert scenario_file.nearly_equal(scenario_file.loads(text, "x", catalog), setup)
    # and a file's own keys and comments stay
    own = text.replace("transducer_ft", "transducer_m").replace("[soundings]", "[soundings] # mine")
    again = scenario_file.dumps(scenario_file.loads(own, "x", catalog), "x", own)
    assert "# mine" in again
    assert "transducer_m" in again
    without = scenario_file.dumps(demo, "x", text)
    assert scenario_file.nearly_equal(scenario_file.loads(without, "x", catalog), demo)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("transducer_ft = -1", "transducer_ft"),
        ("tide_table_m = [[2004-03-02T01:00:00, 1.0]]", "2 to"),
        ("tide_table_m = [[2004-03-02T01:00:00, 1.0], [2004-03-02T00:00:00, 1.0]]", "rise"),
        ("tide_table_m = [[2004-03-02T01:00:00Z, 1], [2004-03-02T02:00:00Z, 1]]", "without a zone"),
        ("tide_table_m = [[1, 1.0], [2, 1.0]]", "date and time"),
        ("tide_table_m = [[2004-03-02T01:00:00, nan], [2004-03-02T02:00:00, 1]]", "m"),
        ("tide_table_m = []\ntide_table_ft = []", "only one of"),
        ("tide_m = 1\ntides_m = 1", "tides_m"),
    ],
)
def test_that_a_wrong_key_is_named(line: str, said: str, demo: Setup, catalog: Catalog) -> None:
    text = scenario_file.dumps(demo) + f"\n[soundings]\n{line}\n"
    with pytest.raises(BadInput, match=said):
        scenario_file.loads(text, "mine.toml", catalog)


def test_that_a_single_row_is_no_table() -> None:
    with pytest.raises(InvalidValue, match="table"):
        Soundings(table=TABLE[:1])


@pytest.fixture
def panel(window: Window) -> TrackPanel:
    return lower_panel(window, 2).track


@pytest.fixture
def model(panel: TrackPanel, window: Window) -> TrackModel:
    return window.pages.track


def test_that_fields_change_the_bottom_on_offer_and_can_be_undone(
    panel: TrackPanel, model: TrackModel, live: Live, tmp_path: Path
) -> None:
    model.read(tidal_log(tmp_path / "tide.nmea"))
    worker_of(model).deliver()
    assert "Add how deep the transducer sits" in panel.told.toPlainText()
    assert model.offer is not None
    assert model.offer.ground is not None
    before = model.offer.ground.bottom.shallowest
    panel.since.put(20.0)
    box = panel.soundings.transducer
    box.setFocus()
    box.selectAll()
    QTest.keyClicks(box, "2")
    QTest.keyClick(box, Qt.Key.Key_Return)
    assert live.document.setup.soundings.transducer == pytest.approx(FOOT.to_si(2.0))
    assert model.offer.ground.bottom.shallowest - before == pytest.approx(FOOT.to_si(2.0))
    assert "2.0 ft added for the transducer" in panel.told.toPlainText()
    assert panel.since.get() == 20.0
    live.document.undo_stack.undo()
    assert model.offer.ground.bottom.shallowest == before
    assert box.value() == 0.0


def test_that_a_pasted_table_takes_the_place_of_one_height(
    panel: TrackPanel, model: TrackModel, live: Live, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    model.read(tidal_log(tmp_path / "tide.nmea"))
    worker_of(model).deliver()

    def paste(dialog: TideDialog) -> int:
        ok = dialog.buttons.button(dialog.buttons.StandardButton.Ok)
        dialog.rows.setPlainText("2004-03-02 25:00 1\n")
        assert not ok.isEnabled()
        assert "line 1" in dialog.told.text()
        dialog.rows.setPlainText(table_text(TABLE, METER))
        dialog.clock.setValue(-5.0)
        assert ok.isEnabled()
        assert "2 rows" in dialog.told.text()
        return 1

    monkeypatch.setattr(TideDialog, "exec", paste)
    QTest.mouseClick(panel.soundings.table, Qt.MouseButton.LeftButton)
    soundings = live.document.setup.soundings
    assert soundings.clock == LOCAL
    assert [moment for moment, _ in soundings.table] == [LOW, HIGH]
    assert not panel.soundings.tide.isEnabled()
    assert "taken off" in panel.told.toPlainText()
    assert model.offer is not None
    assert model.offer.ground is not None
    assert model.offer.ground.bottom.shallowest == pytest.approx(8.0 - DEEP, abs=0.15)
