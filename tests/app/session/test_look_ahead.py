"""What the look-ahead says is what then happens."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.common.units import FOOT
from app.gear.catalog import Catalog
from app.live.readout import ahead_words, read_line
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.session.background import Background
from app.session.clock import Clock
from app.session.document import Document
from app.session.live_run import LiveRun
from app.session.look_ahead import HORIZON, LookAhead, look_ahead
from app.session.picture import pictured
from app.shell.window import Window
from app.ui.preferences import Preferences
from physics.environment.water import Bottom
from physics.simulation.events import find_events
from physics.simulation.run import Run, simulate
from physics.vessel.boat import Order
from tests.app.by_hand import Live
from tests.app.conftest import put_away, show
from tests.beside import noted

DEPTH = 0.01
"""How near the foretold greatest depth must come, m."""

WHEN = 0.25
"""How near the foretold time must come, s; the drawn points lie that far apart."""

AT_LEAST = 30.0
"""Look-aheads a wall second the design asks for while out of gear."""


def foretold(live: Live) -> LookAhead:
    live.look()
    assert live.live_run.ahead is not None
    return live.live_run.ahead


@pytest.mark.parametrize("demo_number", [0, 1, 2], ids=["two rods", "shoal", "lake"])
@pytest.mark.parametrize("out_for", [0.5, 15.0])
def test_that_what_happens_is_what_was_foretold(
    make_live: Callable[[Setup], Live], catalog: Catalog, demo_number: int, out_for: float
) -> None:
    live = make_live(scenario_file.load(scenario_file.demos()[demo_number], catalog))
    live_run = live.live_run
    live_run.auto_hold.set(False, 20.0)
    live_run.set_speed(4)
    live.sail(4.321)
    live_run.shift()
    live.sail(out_for)
    ahead = foretold(live)
    assert ahead.in_gear
    assert ahead.now == pytest.approx(live_run.now, abs=1e-9)
    live_run.shift()
    start = live_run.now
    live.sail(HORIZON)
    trajectory = live_run.run.trajectory()
    times = np.linspace(start, start + HORIZON, 4501)
    for number, line in enumerate(ahead.lines):
        depth = trajectory.depth(number, times)
        at = int(depth.argmax())
        assert line.deepest is not None
        when, deepest = line.deepest
        assert deepest == pytest.approx(depth[at], abs=DEPTH)
        within = times[depth > depth[at] - 1e-3]
        assert within.min() - WHEN <= when <= within.max() + WHEN


def test_that_a_lure_on_the_bottom_is_told_to_lift_when_it_does(
    demo: Setup, catalog: Catalog, preferences: Preferences
) -> None:
    shallow = replace(demo, mark=None, water=replace(demo.water, bottom=Bottom.level(5.5)))
    orders = (Order(1.0, "out of gear"), Order(46.0, "in gear"))
    run = simulate(replace(shallow, orders=orders, duration=90.0).scenario(catalog))
    there = Run([replace(run.scenario, orders=orders[:1])])
    there.advance_exactly(46.0)
    picture = pictured(there, 46.0, None)
    ahead = look_ahead(there, 46.0, None, shift=True)
    lifts = [event for event in find_events(run) if event.kind == "starts to lift"]
    assert len(lifts) == len(run.lines)
    for number, rod in enumerate(shallow.rods):
        assert read_line(picture, number, 0.0, ahead, preferences).status_text == "lure on bottom"
        (after,) = (event.time - 46.0 for event in lifts if event.rod == rod.name)
        assert after > 2.0
        told = ahead_words(ahead, number, 46.0, preferences)
        assert told == f"if in gear now: lifts in {after:.0f} s"


def test_that_in_gear_the_look_ahead_shows_the_boat_going_on_as_she_goes(live: Live) -> None:
    live.sail(3.0)
    ahead = foretold(live)
    assert not ahead.in_gear
    for number, line in enumerate(ahead.lines):
        assert line.deepest is not None
        assert line.deepest[1] == pytest.approx(live.live_run.run_depth(number), abs=DEPTH)


def test_that_shifting_drops_the_look_ahead_that_no_longer_holds(live: Live) -> None:
    live.sail(1.0)
    foretold(live)
    live.live_run.shift()
    assert live.live_run.ahead is None


def looks(live: Live, frames: int) -> int:
    """Look-aheads asked for in so many frames of a 60th of a second, each answered at once."""
    count = 0
    for _ in range(frames):
        live.frame(1.0 / 60.0)
        if live.worker.busy("ahead"):
            count += 1
            live.worker.deliver("ahead")
    return count


def test_that_out_of_gear_it_looks_ahead_every_other_frame_and_in_gear_now_and_then(
    live: Live,
) -> None:
    live.sail(1.0)
    foretold(live)
    assert looks(live, 60) <= 2
    live.live_run.shift()
    assert looks(live, 60) == AT_LEAST


def test_that_an_order_in_gear_is_looked_ahead_of_at_once(live: Live) -> None:
    live.sail(1.0)
    foretold(live)
    live.frame(1.0 / 60.0)
    live.live_run.set_throttle(live.live_run.throttle()[0] - 1.0)
    assert looks(live, 3) == 1


def test_that_a_slow_look_ahead_leaves_its_worker_as_much_rest(live: Live) -> None:
    live.sail(1.0)
    live.live_run.shift()
    asked = []
    for frame in range(60):
        live.frame(1.0 / 60.0)
        if live.worker.busy("ahead"):
            asked.append(frame)
            for _ in range(6):
                live.frame(1.0 / 60.0)
            live.worker.deliver("ahead")
    between = np.diff(asked)
    # six of twelve frames are gone by while it was at work
    assert between[1:].min() >= 6


def test_that_an_answer_from_before_a_shift_or_a_new_start_is_not_shown(live: Live) -> None:
    live_run = live.live_run
    live.sail(1.0)
    live.screen.go_by(2.0)
    live_run.tick()
    assert live.worker.busy("ahead")
    live_run.shift()
    live.worker.deliver()
    assert live_run.ahead is None
    live.screen.go_by(2.0)
    live_run.tick()
    assert live.worker.busy("ahead")
    live_run.start_over()
    live.worker.deliver()
    assert live_run.ahead is None


def test_that_a_touch_is_foretold_to_half_a_second(
    make_live: Callable[[Setup], Live], demo: Setup
) -> None:
    shallow = replace(demo, water=replace(demo.water, bottom=Bottom.level(FOOT.to_si(20.0))))
    live = make_live(replace(shallow, mark=None))
    live_run = live.live_run
    live_run.auto_hold.set(False, 20.0)
    live.sail(1.0)
    live_run.shift()
    live.sail(12.0)
    ahead = foretold(live)
    live_run.shift()
    live.sail(20.0)
    live.look()
    touched = {e.rod: e.time for e in live_run.events if e.kind == "lure touches"}
    assert touched
    for line, rod in zip(ahead.lines, live_run.scenario.rods, strict=True):
        if rod.name in touched and touched[rod.name] > ahead.now:
            assert line.touches_at is not None
            assert line.touches_at == pytest.approx(touched[rod.name], abs=2 * WHEN)


def test_that_the_pass_over_the_mark_is_foretold(live: Live) -> None:
    live_run = live.live_run
    live_run.auto_hold.set(False, 20.0)
    live.sail(10.5)
    live_run.shift()
    live.sail(14.0)
    ahead = foretold(live)
    live_run.shift()
    live.sail(30.0)
    live.look()
    passed = {e.rod: e for e in live_run.events if e.kind == "passes the mark"}
    names = [rod.name for rod in live_run.scenario.rods]
    assert set(passed) == set(names)
    for line, name in zip(ahead.lines, names, strict=True):
        assert line.at_mark is not None
        when, height, _ = line.at_mark
        assert when == pytest.approx(passed[name].time, abs=WHEN)
        assert height == pytest.approx(passed[name].values["height_m"], abs=0.15)


def test_that_the_look_ahead_keeps_coming_in_a_running_window(
    dressed: object,
    catalog: Catalog,
    demo: Setup,
    preferences: Preferences,
    settings: object,
    qtbot: QtBot,
    record_property: Callable[[str, object], None],
) -> None:
    """With a real clock, timer and worker. Asserts little, for the sake of noisy machines."""
    live_run = LiveRun(Document(catalog, demo), Clock())
    assert isinstance(live_run.background, Background)
    window = Window(live_run, preferences, settings)  # type: ignore[arg-type]
    show(window)
    came: list[float] = []
    live_run.ahead_changed.connect(
        lambda: came.append(live_run.clock._last) if live_run.ahead is not None else None
    )
    try:
        live_run.start()
        qtbot.waitUntil(lambda: bool(came), timeout=20_000)
        live_run.shift()
        came.clear()
        qtbot.wait(2000)
        rate = len(came) / 2.0
        record_property("look-aheads a second", rate)
        noted(f"look-aheads a second: {rate:.1f} (the design asks for {AT_LEAST:g})")
        qtbot.waitUntil(lambda: bool(came), timeout=8000)
        assert live_run.now > 0.5
    finally:
        put_away(window)
