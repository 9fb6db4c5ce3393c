"""The Drill page as a trainee works it: by keys alone, to the debrief and the replay."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton, QWidget

from app.common.units import MILE_PER_HOUR
from app.drill.start import WIDEST
from app.drill.store import BROKEN_OFF, SCORED
from app.drill.words import SAFETY
from app.planning import steady
from app.ui.big import TALL
from app.ui.look import LOOKS
from app.ui.scroll import Upright
from app.ui.text_size import set_text_size
from physics.simulation.run import Run
from physics.vessel.boat import Order
from tests.app.by_hand import HandTime, Live
from tests.app.drill.drill_by_hand import Page


def buttons(view: QWidget) -> list[QPushButton]:
    return [b for b in view.findChildren(QPushButton) if b.isVisible()]


def test_that_a_round_begins_two_keys_after_the_window_and_after_the_cautions(page: Page) -> None:
    told = " ".join(label.text() for label in page.page.start.findChildren(QWidget, "")
                    if hasattr(label, "text"))  # fmt: skip
    assert all(note in told for note in SAFETY)
    assert "read this" in page.page.start.begin.text()
    assert page.drill.live_run is None
    page.press(Qt.Key.Key_Return)
    assert page.drill.stage == "play"
    assert page.page.stages.currentWidget() is page.page.play


def test_that_the_start_scrolls_when_low_and_does_not_balloon_when_large(page: Page) -> None:
    window, view = page.window, page.page
    assert view.minimumSizeHint().height() <= 560
    window.resize(1180, 660)
    QApplication.processEvents()
    assert window.height() == 660
    begin = view.start.begin
    assert window.rect().contains(begin.mapTo(window, begin.rect().bottomRight()))
    window.resize(1280, 692)
    QApplication.processEvents()
    area = view.start.findChild(Upright)
    assert isinstance(area, Upright)
    assert not area.verticalScrollBar().isVisible(), "but not at 1280x720"
    window.resize(2560, 1440)
    QApplication.processEvents()
    for button in buttons(view.start):
        assert button.height() <= 64
        assert button is begin or button.width() <= WIDEST


def test_that_results_come_before_the_administration_of_trainees(page: Page) -> None:
    start = page.page.start
    below = start.progress.mapTo(start, QPoint()).y() + start.progress.height()
    for button in start.who.values():
        assert button.mapTo(start, QPoint()).y() >= below


def test_that_a_whole_drill_goes_by_keys_alone(page: Page) -> None:
    drill, hand = page.drill, page.hand
    page.begin(1)
    hand.worker.deliver("best")
    assert drill.best is not None
    assert drill.round is not None
    wait, hold = drill.best.plan.point
    hand.sail_to(drill.round.mark.time + wait)
    page.press(Qt.Key.Key_Space)
    hand.sail_to(drill.round.mark.time + wait + hold)
    page.press(Qt.Key.Key_Space)
    hand.to_the_end()
    hand.worker.deliver("measure")
    assert drill.score is not None
    assert drill.score.points >= 95.0
    debrief = page.page.debrief
    assert debrief is not None
    assert debrief.points.text == f"{drill.score.points:.0f}"
    assert "Well timed" in debrief.words.text()
    assert "added up" not in debrief.words.text() + debrief.sum.text(), "of a single line"
    (result,) = drill.results()
    assert result.state == SCORED
    assert result.points == drill.score.points
    page.press(Qt.Key.Key_Left)
    page.press(Qt.Key.Key_Return)
    assert drill.stage == "play"
    assert drill.round.seed == 2
    page.press(Qt.Key.Key_Escape)
    assert drill.stage == "start"
    assert page.states() == [SCORED, BROKEN_OFF]
    page.press(Qt.Key.Key_Q)
    assert drill.stage == "cards"
    hand.worker.deliver("card")
    page.page.cards.box.selectAll()
    QTest.keyClicks(page.page.cards.box, "20")
    QTest.keyClick(page.page.cards.box, Qt.Key.Key_Return)
    assert page.page.asking.shown
    asked = page.page.asking.question
    page.press(Qt.Key.Key_Return)
    assert not page.page.asking.shown
    assert page.page.asking.question != asked
    assert sum(page.page.asking.boxes) == 1
    page.press(Qt.Key.Key_Escape)
    assert drill.stage == "start"


def test_that_the_moment_replayed_is_within_the_round_however_late_its_last_frame(
    page: Page,
) -> None:
    page.begin(1)
    page.hand.settle()
    assert page.drill.live_run is not None
    page.drill.live_run.set_speed(8)
    page.hand.to_the_end(frame=0.09)
    page.hand.worker.deliver("measure")
    debrief = page.page.debrief
    assert debrief is not None
    assert debrief.replay.time == pytest.approx(debrief.replay.end)


@pytest.mark.parametrize("frame", [0.016, 0.09])
def test_that_the_score_does_not_depend_on_frames_or_speed(page: Page, frame: float) -> None:
    points = []
    for speed in (1, 8):
        page.begin(1) if page.drill.stage == "start" else page.press(Qt.Key.Key_R)
        page.hand.settle()
        assert page.drill.live_run is not None
        page.drill.live_run.set_speed(speed)
        page.hand.worker.deliver("best")
        # a second and a half late, so that the share is not simply all of it
        assert page.drill.round is not None
        assert page.drill.best is not None
        at = page.drill.round.mark.time + page.drill.best.plan.point[0] + 1.5
        for time in (at, at + page.drill.best.plan.point[1]):
            page.hand.sail_to(time, frame)
            page.drill.live_run.shift()
        page.hand.to_the_end(frame)
        page.hand.worker.deliver("measure")
        assert page.drill.score is not None
        points.append(page.drill.score.points)
    assert points[0] > 10.0
    assert points[1] == pytest.approx(points[0], abs=1.0)


def test_that_the_debrief_tells_the_steady_answer_beside_the_best(
    page: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = steady.doubt_rows
    monkeypatch.setattr(steady, "doubt_rows", lambda request, *_: rows(request, 12))
    page.begin(1)
    page.drill.live_run.set_speed(8)  # type: ignore[union-attr]
    page.hand.play_best()
    view = page.page.debrief
    assert page.drill.best is not None
    assert view.steady.isHidden()
    page.hand.worker.deliver("steady")
    found = page.drill.steady
    assert found is not None
    assert found.answer is not None
    assert f"{found.answer.window:.1f} s a drop, touches in" in view.steady.text()
    assert not view.steady.isHidden()
    (kept,) = page.drill.results()
    assert (kept.steady_wait_s, kept.steady_hold_s) == (found.answer.wait, found.answer.hold)
    assert (kept.steady_window_s, kept.steady_touch) == (found.answer.window, found.answer.touch)
    # of the next round nothing is known yet
    page.press(Qt.Key.Key_Return)
    assert page.drill.steady is None
    assert "steady" not in page.hand.worker.waiting


def test_that_the_replay_shows_the_run_itself(page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    page.begin(2)
    page.hand.play_best()
    live_run, debrief = page.drill.live_run, page.page.debrief
    assert live_run is not None
    assert debrief is not None
    places: list[float] = []
    drawn = QPainter.drawText

    def draw(painter: QPainter, at: object, *words: object) -> None:
        if isinstance(at, QPointF) and str(words[0]).startswith("mark "):
            places.append(at.x())
        drawn(painter, at, *words)

    monkeypatch.setattr(QPainter, "drawText", draw)
    debrief.tracks.grab()
    # the moment replayed is at the end of the plot
    assert places
    assert max(places) < 0.2 * debrief.tracks.width()
    assert "all lines added up" in debrief.sum.text()
    assert "within 1.6 ft of each other" in debrief.formula.text()
    page.window.preferences.set_length("meters")
    assert "within 0.5 m of each other" in debrief.formula.text()
    lived = live_run.run.trajectory()
    kept = json.loads(page.drill.results()[-1].orders)
    again = Run([live_run.scenario])
    for time, action, value in kept:
        if action != "mark":
            again.order(Order(time, action, value))
    again.advance(debrief.replay.end)
    for time in np.linspace(1.0, debrief.replay.end, 9):
        debrief.slider.setValue(round(float(time) * 20.0))
        at = live_run.picture.time
        assert at == pytest.approx(time, abs=0.06)
        for number, lure in enumerate(live_run.picture.lure):
            assert np.abs(lure - lived.lines[number].lure(at)).max() < 1e-9
            redone = again.trajectory().lines[number].lure(at)
            assert np.abs(lure - redone).max() < 2e-3


def test_that_the_replay_runs_and_stops_by_key(page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    page.begin(1)
    page.hand.play_best()
    debrief = page.page.debrief
    assert debrief is not None
    time = HandTime()
    monkeypatch.setattr("app.drill.replay.wall", time)
    page.press(Qt.Key.Key_Space)
    assert debrief.replay.runs
    assert debrief.replay.time == 0.0
    time.go_by(2.0)
    debrief.replay._frame()
    assert debrief.replay.time == pytest.approx(6.0)
    page.press(Qt.Key.Key_Right)
    assert not debrief.replay.runs
    assert debrief.replay.time == pytest.approx(7.0)


def test_that_the_rehearse_page_is_left_as_it_was(page: Page, live: Live) -> None:
    setup, now = live.document.setup, live.live_run.now
    page.begin(1)
    page.hand.sail_to(5.0)
    page.press(Qt.Key.Key_Space)
    assert live.document.setup == setup
    assert live.live_run.now == now
    assert live.live_run.in_gear
    page.press(Qt.Key.Key_F2)
    assert page.drill.live_run is not None
    assert not page.drill.live_run.timer.isActive()
    page.press(Qt.Key.Key_Space)
    assert not live.live_run.in_gear
    assert not page.drill.live_run.in_gear
    live.live_run.stand_by()


def test_that_the_look_ahead_helps_fades_and_goes(page: Page, live: Live) -> None:
    def seen(level: int, hold: float) -> float:
        """Seconds of look-ahead there are so long after out of gear."""
        page.begin(level)
        live_run = page.drill.live_run
        assert live_run is not None
        page.hand.sail_to(3.0)
        live_run.shift()
        page.hand.sail_to(3.0 + hold)
        live_run.background.cancel("ahead")
        page.hand.screen.go_by(2.0)
        live_run.tick()
        if live_run.background.busy("ahead"):
            live_run.background.deliver("ahead")
        ahead = live_run.ahead
        painted(1.0)
        page.press(Qt.Key.Key_Escape)
        return 0.0 if ahead is None else float(ahead.lines[0].time[-1] - ahead.now)

    def painted(after: float) -> None:
        """The strip outlives a look-ahead that has run out."""
        play = page.page.play
        assert play is not None
        page.hand.sail_to(page.hand.now + after)
        play.strip.grab()

    assert seen(1, 6.0) > 40.0
    assert 15.0 < seen(2, 6.0) < 30.0
    assert seen(2, 14.0) < 1.0
    assert seen(3, 6.0) == 0.0


def test_that_the_mark_is_not_seen_before_it_comes(page: Page) -> None:
    page.begin(1)
    play, round_ = page.page.play, page.drill.round
    assert play is not None
    assert round_ is not None
    page.hand.sail_to(round_.mark.time - 0.5)
    assert play.sounder.mark_astern is None
    assert "no mark yet" in play.helm._state()
    page.hand.sail_to(round_.mark.time + 4.0)
    speed = round_.setup.speed
    assert play.sounder.mark_astern == pytest.approx(4.0 * speed, rel=0.02)
    assert play.helm._state().endswith("; 4 s since the mark")


def test_that_the_fish_is_called_and_engine_wheel_and_throttle_obey(page: Page) -> None:
    page.begin(5)
    play, drill = page.page.play, page.drill
    assert play is not None
    assert drill.live_run is not None
    assert drill.round is not None
    assert not play.helm.call.isVisible()
    page.press(Qt.Key.Key_Left)
    assert drill.live_run.wheel() < 0.0
    page.press(Qt.Key.Key_Right)
    assert drill.live_run.wheel() == 0.0
    drill.live_run.set_speed(8)
    page.hand.sail_to(drill.round.mark.time + 91.0)
    assert drill.fish_on
    assert play.helm.call.isVisible()
    assert str(drill.round.hooked) in play.helm.call.text()
    page.press(Qt.Key.Key_E)
    before = drill.live_run.throttle()[0]
    page.press(Qt.Key.Key_Up)
    throttle, engines = drill.live_run.throttle()
    assert engines == 1
    assert throttle > before
    page.press(Qt.Key.Key_Escape)


def test_that_a_round_is_steered_and_asked_about_in_the_speeds_on_screen(page: Page) -> None:
    page.begin(5)
    play, drill = page.page.play, page.drill
    assert play is not None
    assert drill.live_run is not None
    page.window.preferences.set_speed("mph")
    assert play.helm.slower.toolTip() == "Throttle down 0.5 mph (Down)"
    assert play.helm.faster.toolTip() == "Throttle up 0.5 mph (Up)"
    before = drill.live_run.throttle()[0]
    page.press(Qt.Key.Key_Up)
    assert drill.live_run.throttle()[0] - before == pytest.approx(MILE_PER_HOUR.to_si(0.5))
    page.press(Qt.Key.Key_Escape)
    page.press(Qt.Key.Key_Q)
    assert " mph: " in page.page.cards.question.text()


def test_that_level_one_has_no_wheel_and_no_engine(page: Page) -> None:
    page.begin(1)
    play = page.page.play
    assert play is not None
    assert not play.helm.port.isVisible()
    assert not play.helm.engines.isVisible()
    page.press(Qt.Key.Key_E)
    page.press(Qt.Key.Key_Right)
    assert page.drill.live_run is not None
    assert page.drill.live_run.throttle()[1] == 2
    assert page.drill.live_run.wheel() == 0.0


def test_that_the_count_is_heard_once_a_second_if_wanted(
    page: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    beeps: list[int] = []
    monkeypatch.setattr(QApplication, "beep", lambda: beeps.append(1))
    page.begin(1)
    play = page.page.play
    assert play is not None
    page.hand.sail_to(2.0)
    page.press(Qt.Key.Key_Space)
    page.hand.sail_to(5.05)
    assert not beeps
    play.helm.beep.setChecked(True)
    page.hand.sail_to(8.05)
    assert len(beeps) == 3


def test_that_every_button_is_large_enough_for_a_thumb(page: Page) -> None:
    page.press(Qt.Key.Key_5)
    seen = buttons(page.page.start)
    page.begin(5)
    assert page.page.play is not None
    seen += buttons(page.page.play)
    page.press(Qt.Key.Key_Escape)
    page.press(Qt.Key.Key_Q)
    seen += buttons(page.page.cards)
    assert len(seen) > 20
    assert min(min(b.height(), b.width()) for b in seen) >= 44 <= TALL


@pytest.mark.usefixtures("usual_text")
def test_that_the_buttons_of_a_round_grow_with_the_text_though_they_come_late(page: Page) -> None:
    set_text_size(1.25)
    page.begin(1)
    assert page.page.play is not None
    assert min(b.height() for b in buttons(page.page.play)) >= round(1.25 * TALL)


def test_that_a_teachers_set_is_played_in_order(page: Page, tmp_path: Path) -> None:
    start = page.page.start
    start.pick(1)
    start.add_round.click()
    start.pick(0)
    start.add_round.click()
    path = tmp_path / "set.toml"
    from app.drill import file as drill_file

    drill_file.save("set", start.mine, path)
    page.page.open_set(path)
    assert page.drill.round is not None
    assert (page.drill.round.level, page.drill.last) == (1, False)
    page.drill.next_round()
    page.hand.settle()
    assert page.drill.round.level == 0
    assert page.drill.last
    assert page.drill.live_run is not None
    assert page.drill.live_run.scenario.rods == page.window.live_run.scenario.rods


@pytest.mark.parametrize("look", list(LOOKS))
def test_that_every_stage_paints_in_every_look(
    page: Page, look: str, make_live: Callable[..., Live]
) -> None:
    page.window.preferences.set_look(look)
    page.window.grab()
    page.begin(4)
    page.hand.sail_to(20.0)
    page.window.grab()
    page.drill.live_run.set_speed(8)  # type: ignore[union-attr]
    page.hand.play_best()
    assert not page.window.grab().isNull()
    window, debrief = page.window, page.page.debrief
    assert debrief is not None
    window.resize(1280, 692)
    QApplication.processEvents()
    for button in (debrief.run, debrief.next, debrief.again, debrief.choose):
        assert window.rect().contains(button.mapTo(window, button.rect().bottomRight()))
    page.press(Qt.Key.Key_Escape)
    page.window.grab()
