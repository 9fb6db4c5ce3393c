"""A recorded track taken in on the Ground page: its report, its bottom, its coast-downs."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.ground.tracks.model import TrackModel
from app.ground.tracks.offer import Offer
from app.ground.tracks.panel import TrackPanel
from app.shell.window import Window
from tests.app.by_hand import Live, lower_panel, worker_of

METERS_A_DEGREE = 111_195.0


def csv_track(path: Path, *, coast: bool = True, speed: float = 3.0) -> Path:
    """A boat north at ``speed`` m/s over a slope from 10 m to 5 m, then out of gear: made up."""
    lines = ["time,lat,lon,depth_m,speed_mps"]
    north = 0.0
    for second in range(180):
        since = second - 120
        now = speed if since < 0 or not coast else speed / (1.0 + since / 6.0)
        depth = 10.0 - 5.0 * min(max((north - 100.0) / 200.0, 0.0), 1.0)
        clock = f"2031-05-09T10:{second // 60:02d}:{second % 60:02d}Z"
        place = 10.0 + north / METERS_A_DEGREE
        lines.append(f"{clock},{place:.8f},20.0,{depth:.2f},{now:.3f}")
        north += now
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def panel(window: Window) -> TrackPanel:
    return lower_panel(window, 2).track


@pytest.fixture
def model(panel: TrackPanel, window: Window) -> TrackModel:
    return window.pages.track


def test_that_the_panel_says_what_it_takes(panel: TrackPanel) -> None:
    assert "NMEA 0183" in panel.told.toPlainText()
    assert not panel.use.isEnabled()
    assert not panel.coasts.isEnabled()
    assert not panel.bar.isVisible()


def test_that_a_track_gives_its_bottom_to_the_scenario_undoably(
    panel: TrackPanel, model: TrackModel, live: Live, tmp_path: Path
) -> None:
    before = live.document.setup
    model.read(csv_track(tmp_path / "mine.csv"))
    assert panel.bar.isVisible()
    assert "Reading mine.csv" in panel.told.toPlainText()
    worker_of(model).deliver()
    assert isinstance(model.offer, Offer)
    words = panel.told.toPlainText()
    assert "180 places" in words
    assert "Bottom along 000°" in words
    panel.use.click()
    bottom = live.document.setup.water.bottom
    along = [a for a, _ in bottom.points]
    for place, depth in ((60.0, 10.0), (200.0, 7.5), (320.0, 5.0)):
        assert along[0] < place < along[-1]
        assert float(bottom.depth_at(0.0, place)) == pytest.approx(depth, abs=0.2)  # type: ignore[arg-type]
    assert math.cos(live.document.setup.heading) == pytest.approx(1.0, abs=1e-3)
    live.document.undo_stack.undo()
    assert live.document.setup == before


def test_that_a_coast_down_is_offered_and_goes_among_the_measurements(
    panel: TrackPanel, model: TrackModel, window: Window, tmp_path: Path
) -> None:
    model.read(csv_track(tmp_path / "mine.csv"))
    worker_of(model).deliver()
    assert "Coasted down? From 5.8 kn" in panel.told.toPlainText()
    panel.coasts.click()
    assert window.pages.currentWidget() is window.pages.measure
    lines = [line for line in window.pages.measuring.sheet.lines if line.kind == "coast"]
    assert len(lines) > 5
    assert lines[0].start == pytest.approx(3.0, abs=0.1)
    window.document.undo_stack.undo()
    assert not window.pages.measuring.sheet.lines


def test_that_a_coast_begun_too_fast_is_left_out_and_counted(
    panel: TrackPanel, model: TrackModel, window: Window, tmp_path: Path
) -> None:
    model.read(csv_track(tmp_path / "mine.csv", speed=14.0))
    worker_of(model).deliver()
    words = panel.told.toPlainText()
    assert "Coasted down?" not in words
    assert "Left out as coast-downs, begun faster than 23.3 kn: 1." in words
    assert not panel.coasts.isEnabled()


def test_that_a_track_without_coast_or_depths_says_so(
    panel: TrackPanel, model: TrackModel, tmp_path: Path
) -> None:
    path = csv_track(tmp_path / "mine.csv", coast=False)
    rows = [line.split(",") for line in path.read_text("utf-8").splitlines()]
    path.write_text("\n".join(",".join(r[:3] + r[4:]) for r in rows), encoding="utf-8")
    model.read(path)
    worker_of(model).deliver()
    assert "No bottom" in panel.told.toPlainText()
    assert not panel.use.isEnabled()
    assert not panel.coasts.isEnabled()


def test_that_a_file_that_is_no_track_is_told_and_the_program_goes_on(
    panel: TrackPanel, model: TrackModel, live: Live, tmp_path: Path
) -> None:
    before = live.document.setup
    path = tmp_path / "shopping.csv"
    path.write_text("eggs,milk\n1,2\n", encoding="utf-8")
    model.read(path)
    worker_of(model).deliver()
    assert "shopping.csv" in panel.told.toPlainText()
    model.read(tmp_path / "not there.gpx")
    worker_of(model).deliver()
    assert "not there.gpx" in panel.told.toPlainText()
    assert live.document.setup == before


def test_that_each_trip_of_a_track_is_offered_by_itself(
    panel: TrackPanel, model: TrackModel, live: Live, tmp_path: Path
) -> None:
    path = csv_track(tmp_path / "mine.csv")
    head, *first = path.read_text("utf-8").splitlines()
    later = [line.replace("2031-05-09", "2033-01-02") for line in first[:100]]
    path.write_text("\n".join([head, *first, *later]) + "\n", encoding="utf-8")
    model.read(path)
    assert panel.trip.isHidden()
    worker_of(model).deliver()
    assert not panel.trip.isHidden()
    assert panel.trip.count() == 2
    assert panel.trip.currentText() == "Trip 1 of 2: 2031-05-09 10:00 UTC, 3 min"
    words = panel.told.toPlainText()
    assert "280 places" in words
    assert "2 trips" in words
    assert "Coasted down?" in words
    assert panel.until.range_text() == "0 to 2.9 min"
    panel.trip.setCurrentIndex(1)
    panel.trip.activated.emit(1)
    words = panel.told.toPlainText()
    assert "Trip 2 of 2, 2033-01-02 10:00 UTC, 2 min, 100 places:" in words
    assert "Coasted down?" not in words
    assert panel.until.range_text() == "0 to 1.6 min"
    panel.use.click()
    along = [a for a, _ in live.document.setup.water.bottom.points]
    assert along[-1] == pytest.approx(297.0, abs=3.0)
    model.read(csv_track(path))
    worker_of(model).deliver()
    assert panel.trip.isHidden()


def test_that_the_bar_follows_the_reading(
    panel: TrackPanel, model: TrackModel, tmp_path: Path
) -> None:
    model.read(csv_track(tmp_path / "mine.csv"))
    assert panel.bar.value() == 0
    worker_of(model).pulse("track", 0.42)
    assert panel.bar.value() == 420


def test_that_reading_can_be_given_up(panel: TrackPanel, model: TrackModel, tmp_path: Path) -> None:
    model.read(csv_track(tmp_path / "mine.csv"))
    panel.stop.click()
    assert not model.busy
    assert "given up" in panel.told.toPlainText()
    assert not panel.bar.isVisible()


# ---- running it again


def test_that_a_run_is_replayed_over_its_bottom_and_undone_in_one(
    panel: TrackPanel, model: TrackModel, live: Live, tmp_path: Path
) -> None:
    assert not panel.replay.isEnabled()
    before = live.document.setup
    model.read(csv_track(tmp_path / "mine.csv"))
    worker_of(model).deliver()
    assert panel.since.value() == 0.0
    assert panel.until.value() == pytest.approx(179.0 / 60.0, abs=0.06)
    QTest.keyClick(panel.replay, Qt.Key.Key_Return)
    assert "Working out" in panel.told.toPlainText()
    assert not panel.replay.isEnabled()
    worker_of(model).deliver()
    assert "Replaying 2:5" in panel.told.toPlainText()
    after = live.document.setup
    assert after.speed == pytest.approx(3.0, abs=0.1)
    assert math.cos(after.heading) == pytest.approx(1.0, abs=1e-3)
    assert after.orders[0].action == "course"
    live.settle()
    # out of gear on it at a recorded place, over the recorded bottom
    live.sail(70.0, frame=1.0)
    boat = live.live_run.picture.boat
    assert boat.y == pytest.approx(210.0, abs=3.0)
    ground = live.live_run.scenario.water.bottom.depth_at(boat.x, boat.y)  # type: ignore[arg-type]
    assert float(ground) == pytest.approx(10.0 - 5.0 * (boat.y - 100.0) / 200.0, abs=0.2)
    live.live_run.shift()
    live.sail(5.0)
    assert not live.live_run.in_gear
    live.document.undo_stack.undo()
    assert live.document.setup == before


def test_that_a_stretch_of_it_is_chosen(
    panel: TrackPanel, model: TrackModel, live: Live, tmp_path: Path
) -> None:
    model.read(csv_track(tmp_path / "mine.csv"))
    worker_of(model).deliver()
    panel.since.setValue(0.5)
    panel.until.setValue(1.7)
    panel.replay.click()
    worker_of(model).deliver()
    assert model.replayed is not None
    assert model.replayed.seconds == pytest.approx(72.0)
    start = live.document.setup.water.bottom.depth_at(0.0, 0.0)  # type: ignore[arg-type]
    assert float(start) == pytest.approx(10.0, abs=0.1)
    shoaling = live.document.setup.water.bottom.depth_at(0.0, 110.0)  # type: ignore[arg-type]
    assert float(shoaling) == pytest.approx(7.5, abs=0.2)


def test_that_a_stretch_that_cannot_be_replayed_is_told_and_changes_nothing(
    panel: TrackPanel, model: TrackModel, live: Live, tmp_path: Path
) -> None:
    before = live.document.setup
    model.read(csv_track(tmp_path / "mine.csv"))
    worker_of(model).deliver()
    panel.until.setValue(0.3)
    panel.replay.click()
    worker_of(model).deliver()
    assert "No replay: mine.csv: this stretch is too short" in panel.told.toPlainText()
    assert live.document.setup == before
    assert panel.replay.isEnabled()


def test_that_the_panel_makes_no_window_wider(panel: TrackPanel) -> None:
    assert panel.minimumSizeHint().width() < 900
