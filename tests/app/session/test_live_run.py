"""The live drop is the drop: whatever the frames do, orders and answers are the same."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from app.common.units import KNOT
from app.gear.catalog import Catalog
from app.scenario.limits import Timing
from app.scenario.setup import Setup
from app.session.clock import MOST_CATCH_UP
from app.session.document import Document
from app.session.live_run import LiveRun
from physics.answers.doubt import Doubt
from physics.line.march import ConvergenceError
from physics.line.tackle import Lure
from physics.simulation.run import Run, simulate
from physics.vessel.motion import PrescribedMotion
from tests.app.by_hand import Live
from tests.app.session.live_hands import shallower, uneven

SAME = 1e-3
"""How near the live answer must be to the one computed in one go, m."""


def steered(live: Live, frame: Callable[[], float], until: float) -> None:
    """Sail to ``until`` s with orders at odd moments."""
    live_run = live.live_run
    live_run.auto_hold.set(False, 20.0)
    plan: list[tuple[float, Callable[[], None]]] = [
        (3.0, lambda: live_run.set_throttle(KNOT.to_si(6.0))),
        (7.0, live_run.shift),
        (9.0, live_run.drop_mark),
        (20.0, live_run.shift),
        (20.5, lambda: live_run.set_engines(1)),
        (26.0, live_run.shift),
        (28.0, lambda: live_run.set_throttle(KNOT.to_si(7.0))),
        (31.0, live_run.shift),
    ]
    while live_run.now < until:
        while plan and live_run.now >= plan[0][0]:
            plan.pop(0)[1]()
        live.frame(frame())


def by_itself(live: Live) -> Setup:
    """The demo with all the orders the live drop was given, as if known beforehand."""
    given = [o for o in live.live_run.run.track().orders if o.action != "mark"]
    return replace(live.document.setup, orders=tuple(given))


@pytest.mark.parametrize(
    ("speed", "frame"),
    [(1, uneven(1)), (8, uneven(2)), (8, lambda: MOST_CATCH_UP), (3, uneven(3))],
    ids=["1x uneven", "8x uneven", "8x slow", "3x uneven"],
)
def test_that_the_live_drop_equals_the_same_orders_simulated(
    live: Live, speed: int, frame: Callable[[], float]
) -> None:
    live_run = live.live_run
    live_run.set_speed(speed)
    steered(live, frame, 40.0)
    scenario = replace(by_itself(live).scenario(live.document.catalog), duration=40.0)
    alone, lived = simulate(scenario), live_run.run.trajectory()
    times = np.linspace(0.0, 40.0, 401)
    for line, twin in zip(lived.lines, alone.lines, strict=True):
        np.testing.assert_allclose(line.nodes(times), twin.nodes(times), rtol=0, atol=SAME)
    assert live.said == []


def test_that_an_order_takes_effect_at_the_moment_it_is_given(live: Live) -> None:
    live.sail(2.345)
    live.live_run.shift()
    (order,) = [o for o in live.live_run.run.track().orders if o.action == "out of gear"]
    assert order.time == pytest.approx(2.345, abs=1e-9)
    assert not live.live_run.in_gear


def test_that_two_orders_between_frames_are_both_obeyed(live: Live) -> None:
    live.sail(1.0)
    live.live_run.shift()
    live.live_run.shift()
    assert live.live_run.in_gear
    assert live.live_run.last_hold() == 0.0
    live.sail(1.0)
    assert live.said == []


def test_that_starting_over_forgets_orders_marks_and_time(live: Live) -> None:
    live_run = live.live_run
    before = live_run.picture.lure.copy()
    live.sail(1.0)
    live_run.shift()
    live_run.drop_mark()
    live.sail(6.0)
    live_run.start_over()
    live.settle()
    assert live_run.now == 0.0
    assert live_run.in_gear
    assert live_run.spells() == []
    assert live_run.mark() is None
    np.testing.assert_allclose(live_run.picture.lure, before, rtol=0, atol=1e-9)


def test_that_time_stands_still_while_the_tow_settles(live: Live) -> None:
    live.sail(2.0)
    live.live_run.start_over()
    live.frame(0.05)
    live.frame(0.05)
    assert live.live_run.now == pytest.approx(2.0, abs=1e-9)
    live.settle()
    live.frame(0.05)
    assert live.live_run.now == pytest.approx(0.05, abs=1e-9)


def test_that_starting_over_twice_begins_once(live: Live) -> None:
    begun: list[float] = []
    live.live_run.restarted.connect(lambda: begun.append(live.live_run.now))
    live.sail(1.0)
    live.live_run.start_over()
    live.live_run.start_over()
    live.settle()
    assert begun == [0.0]


def test_that_pause_stops_time_and_orders_still_count(live: Live) -> None:
    live.sail(1.0)
    live.live_run.pause()
    live.frame(0.05)
    live.live_run.shift()
    live.frame(0.05)
    assert live.live_run.now == pytest.approx(1.0, abs=1e-9)
    assert not live.live_run.picture.boat.in_gear
    live.live_run.pause()
    live.frame(0.05)
    assert live.live_run.now == pytest.approx(1.05, abs=1e-9)


def test_that_an_edit_settles_a_new_tow_and_undo_brings_the_old_one_back(live: Live) -> None:
    live_run = live.live_run
    old, deep = live.document.setup, live_run.run_depth(0)
    live.sail(3.0)
    assert live.document.edit(shallower(live), "colors out")
    live.settle()
    assert live_run.run_depth(0) < 0.8 * deep
    assert live_run.now == 0.0
    live.document.undo_stack.undo()
    live.settle()
    assert live.document.setup == old
    assert live_run.run_depth(0) == pytest.approx(deep, abs=1e-9)
    live.document.undo_stack.redo()
    live.settle()
    assert live_run.run_depth(0) < 0.8 * deep


def test_that_a_new_name_or_mark_depth_does_not_disturb_the_drop(live: Live) -> None:
    live_run = live.live_run
    live.sail(3.0)
    mark = live.document.setup.mark
    assert mark is not None
    live.document.edit(
        replace(live.document.setup, name="Other", mark=replace(mark, depth=5.0)), "mark"
    )
    assert not live_run.settling
    assert live_run.now == pytest.approx(3.0, abs=1e-9)
    assert live.document.mark_depth() == 5.0


@pytest.mark.parametrize(
    "change", [{"doubt": Doubt(bottom=0.2)}, {"timing": Timing(1.0, 5.0)}, {"hold": 7.0}]
)
def test_that_what_only_a_plan_asks_does_not_disturb_the_drop(
    live: Live, change: dict[str, object]
) -> None:
    live_run = live.live_run
    live.sail(3.0)
    changed: list[None] = []
    live.document.setup_changed.connect(lambda: changed.append(None))
    wanted = replace(live.document.setup, **change)  # type: ignore[arg-type]
    assert live.document.edit(wanted, "plan")
    assert not live_run.settling
    assert live_run.now == pytest.approx(3.0, abs=1e-9)
    assert live.document.setup == wanted
    assert len(changed) == 1


def test_that_an_order_without_sense_is_refused_in_words(live: Live) -> None:
    live.live_run.set_throttle(1000.0)
    assert live.said == ["Throttle: allowed is 0.4 to 23.3 kn."]
    assert live.live_run.throttle()[0] == live.document.setup.speed


def test_that_no_steady_tow_leaves_the_last_one_running(
    live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    live.sail(2.0)
    monkeypatch.setattr("app.session.live_run.Run", no_steady_tow)
    live.document.edit(shallower(live), "colors out")
    live.settle()
    (words,) = live.said
    assert words.startswith("No steady tow found for this spread (too light)")
    assert not live.live_run.settling
    live.sail(1.0)
    assert live.live_run.now == pytest.approx(3.0, abs=1e-9)


def no_steady_tow(_scenarios: object, *, keep: float) -> None:
    raise ConvergenceError("too light")


def stuck(*_: object, **_words: object) -> bool:
    raise ConvergenceError("no step small enough")


def test_that_a_run_that_cannot_go_on_pauses_and_says_so_once(
    live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    live_run = live.live_run
    live.sail(2.0)
    reached = live_run.run.reached()
    monkeypatch.setattr(Run, "advance", stuck)
    for _ in range(8):
        live.frame(0.05)
    assert live_run.clock.paused
    assert live_run.now <= reached
    (words,) = live.said
    assert "could not be computed beyond" in words
    assert "no step small enough" in words


def test_that_going_on_after_a_run_was_stuck_tries_again(
    live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    live.sail(2.0)
    with monkeypatch.context() as patch:
        patch.setattr(Run, "advance", stuck)
        live.frame(0.05)
    live.live_run.pause()
    live.sail(1.0)
    assert live.live_run.now > 3.0 - 1e-9
    assert len(live.said) == 1


def test_that_events_come_with_their_figures_and_only_when_they_have_happened(live: Live) -> None:
    live_run = live.live_run
    live_run.auto_hold.set(True, 10.0)
    live.sail(2.0)
    live_run.shift()
    live.sail(9.0)
    live.look()
    assert [event.kind for event in live_run.events] == ["out of gear"]
    live.sail(25.0)
    live.look()
    assert all(event.time <= live_run.now for event in live_run.events)
    deepest = [event for event in live_run.events if event.kind == "deepest"]
    names = [rod.name for rod in live_run.scenario.rods]
    assert sorted(event.rod or "" for event in deepest) == sorted(names)
    for event in deepest:
        number = names.index(event.rod or "")
        assert event.time > 12.0
        kept = live_run.track.lure[:, number, 2]
        assert event.values["depth_m"] == pytest.approx(-kept.min(), abs=0.02)


def test_that_a_prescribed_motion_is_followed_and_takes_no_orders(
    make_live: Callable[[Setup], Live], demo: Setup
) -> None:
    motion = PrescribedMotion(((0.0, 3.0, 0.0), (10.0, 1.0, 0.0)))
    live = make_live(replace(demo, motion=motion, hold=None, speed=3.0))
    live.sail(5.0)
    assert not live.live_run.under_orders
    assert live.live_run.picture.boat.speed == pytest.approx(2.0, abs=1e-9)
    live.live_run.set_throttle(4.0)
    assert live.said == ["Order: allowed is no orders with a prescribed motion."]


def test_that_opening_another_setup_forgets_undo_and_takes_its_hold(
    live: Live, demo: Setup
) -> None:
    live.document.edit(replace(demo, name="Changed"), "name")
    live.document.open(replace(demo, name="Other", hold=None, speed=3.0))
    live.settle()
    assert not live.document.undo_stack.canUndo()
    assert not live.live_run.auto_hold.on
    assert live.live_run.picture.boat.speed == pytest.approx(3.0, abs=1e-9)


def test_that_each_frame_announces_one_picture(live: Live) -> None:
    times: list[float] = []
    live.live_run.frame.connect(lambda: times.append(live.live_run.picture.time))
    live.sail(0.5, frame=0.05)
    np.testing.assert_allclose(times, 0.05 * np.arange(1, 11), rtol=0, atol=1e-9)


def test_that_figures_are_announced_slowly_enough_to_read(live: Live) -> None:
    count: list[int] = []
    live.live_run.figures.connect(lambda: count.append(1))
    live.sail(3.0, frame=0.0166)
    assert 12 <= len(count) <= 16


def test_that_a_long_drop_keeps_its_newest_samples(live: Live) -> None:
    live_run = live.live_run
    for number in range(14_000):
        live_run.track.add(replace(live_run.picture, time=1.0 + 0.1 * number))
    time = live_run.track.time
    assert len(time) <= 6000
    assert time[-1] == pytest.approx(1.0 + 0.1 * 13_999)
    assert (np.diff(time) > 0.0).all()
    assert time[-1] - time[0] >= 290.0


def test_that_orders_pile_up_no_troubles_in_a_busy_minute(live: Live) -> None:
    live_run = live.live_run
    rng = np.random.default_rng(11)
    live_run.set_speed(8)
    deeds: list[Callable[[], None]] = [
        live_run.shift,
        live_run.drop_mark,
        lambda: live_run.set_throttle(float(rng.uniform(0.5, 6.0))),
        lambda: live_run.set_engines(int(rng.integers(1, 3))),
        lambda: live_run.auto_hold.set(bool(rng.integers(2)), float(rng.uniform(1.0, 9.0))),
        lambda: live_run.set_speed(int(rng.integers(1, 9))),
    ]
    while live_run.now < 60.0:
        deeds[int(rng.integers(len(deeds)))]()
        live.frame(float(rng.uniform(0.0, 0.3)))
        assert np.isfinite(live_run.picture.lure).all()
    assert live.said == []


def test_that_orders_are_kept_in_the_order_of_time(live: Live) -> None:
    live_run = live.live_run
    live_run.auto_hold.set(True, 2.0)
    for _ in range(4):
        live.sail(1.7)
        live_run.shift()
        live_run.drop_mark()
    times = [order.time for order in live_run.run.track().orders]
    assert len(times) >= 8
    assert times == sorted(times)


def test_that_a_view_never_hears_of_a_setup_the_live_run_has_not_taken_up(
    make_live: Callable[[Setup], Live], catalog: Catalog, demo: Setup
) -> None:
    """Even one that listened to the document before there was a live run."""
    document, heard = Document(catalog, demo), []
    document.setup_changed.connect(lambda: heard.append(live_run.settling))
    live = make_live(demo)
    live_run = LiveRun(document)
    assert document.edit(shallower(live), "colors out")
    document.open(replace(demo, name="Other"))
    live_run.close()
    assert heard == [True, True]


def test_that_tackle_nothing_on_screen_is_made_of_does_not_disturb_the_drop(live: Live) -> None:
    catalog = live.document.catalog
    name, lure = next(item for item in catalog.lures.items() if item[0] not in used(live))
    live.document.set_catalog(with_lure(catalog, name, replace(lure, mass=1.1 * lure.mass)))
    assert not live.live_run.settling
    name = used(live)[0]
    lure = catalog.lures[name]
    live.document.set_catalog(with_lure(catalog, name, replace(lure, mass=1.1 * lure.mass)))
    live.settle()
    assert live.live_run.scenario.rods[0].lure.mass == 1.1 * lure.mass


def used(live: Live) -> list[str]:
    """The lures of the setup on screen."""
    return [rod.lure for rod in live.document.setup.rods]


def with_lure(catalog: Catalog, name: str, lure: Lure) -> Catalog:
    return replace(catalog, lures={**catalog.lures, name: lure})
