"""Every control of the helm, and what it shows."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDoubleSpinBox, QPushButton

from app.common.units import FOOT, KNOT
from app.gear.catalog import Catalog
from app.rehearse.helm import SPOKE, Helm
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.preferences import Preferences
from physics.environment.water import Bottom
from physics.vessel.boat import SPEED, Boat
from physics.vessel.motion import PrescribedMotion
from tests.app.by_hand import Live

ONE_ENGINE = "skiff, 18 ft, one engine"


@pytest.fixture
def helm(window: Window) -> Helm:
    return window.page.helm


def given(live: Live, action: str) -> list[tuple[float, float]]:
    """(time, value) of the orders of a kind so far."""
    orders = live.live_run.run.track().orders
    return [(order.time, order.value) for order in orders if order.action == action]


def type_number(box: QDoubleSpinBox, text: str) -> None:
    """Type over a field's number and press Enter."""
    box.setFocus()
    box.selectAll()
    QTest.keyClicks(box, text)
    QTest.keyClick(box, Qt.Key.Key_Return)


def test_that_the_lever_shifts_and_says_what_it_would_do_next(live: Live, helm: Helm) -> None:
    live.sail(2.0)
    assert helm.lever.text() == "Out of gear  (Space)"
    helm.lever.click()
    live.sail(0.5)
    assert helm.lever.text() == "Go in gear  (Space)"
    assert helm.title.text() == "Helm: out of gear"
    helm.lever.click()
    live.sail(0.5)
    assert helm.title.text() == "Helm: in gear"
    assert given(live, "out of gear") == [(pytest.approx(2.0), 0.0)]
    assert given(live, "in gear") == [(pytest.approx(2.5), 0.0)]


def test_that_the_lever_turns_at_once_though_the_drop_is_paused(live: Live, helm: Helm) -> None:
    live.sail(2.0)
    live.live_run.pause()
    helm.lever.click()
    live.frame(0.02)
    live.look()
    assert helm.lever.text() == "Go in gear  (Space)"


def test_that_the_hold_counts_in_tenths_and_then_stands(live: Live, helm: Helm) -> None:
    live.live_run.auto_hold.set(False, 20.0)
    assert helm.count.dim
    live.sail(1.0)
    helm.lever.click()
    live.sail(3.4)
    assert (helm.count.text, helm.count.word) == ("3.4", "s out of gear")
    helm.lever.click()
    live.sail(2.0)
    live.look()
    assert (helm.count.text, helm.count.word, helm.count.dim) == ("In gear", "", True)
    assert helm.count.accessibleDescription() == "In gear"
    assert helm.right.text() == "last hold 3.4 s"


def test_that_the_largest_figures_are_what_comes_next_and_the_lowest_lure(
    live: Live, helm: Helm, window: Window
) -> None:
    live.live_run.auto_hold.set(True, 20.0)
    live.sail(1.0)
    helm.lever.click()
    live.sail(8.0)
    live.look()
    live.look()
    assert (helm.count.text, helm.count.word) == ("12", "s, then in gear")
    readings = [card.reading for card in window.page.cards]
    lowest = min((r for r in readings if r), key=lambda r: float(r.off_bottom))
    assert helm.low.text == lowest.off_bottom
    assert helm.low.word == f"ft off, {lowest.name}"


def test_that_a_throttle_typed_in_becomes_an_order_in_knots(live: Live, helm: Helm) -> None:
    live.sail(1.0)
    type_number(helm.throttle, "6")
    assert given(live, "throttle") == [(pytest.approx(1.0), pytest.approx(KNOT.to_si(6.0)))]
    live.sail(1.0)
    live.look()
    assert helm.throttle.value() == 6.0


def test_that_a_throttle_is_no_order_until_it_is_finished(live: Live, helm: Helm) -> None:
    live.sail(1.0)
    helm.throttle.setFocus()
    helm.throttle.selectAll()
    QTest.keyClicks(helm.throttle, "5")
    live.sail(1.0)
    assert given(live, "throttle") == []
    QTest.keyClick(helm.throttle, Qt.Key.Key_Return)
    assert len(given(live, "throttle")) == 1


def test_that_throttle_steps_stop_at_the_ends_of_what_physics_takes(live: Live, helm: Helm) -> None:
    for _ in range(60):
        helm.step_throttle(0.5)
    assert SPEED.high - KNOT.to_si(0.1) < live.live_run.throttle()[0] <= SPEED.high
    for _ in range(60):
        helm.step_throttle(-0.5)
    assert SPEED.low <= live.live_run.throttle()[0] < SPEED.low + KNOT.to_si(0.1)
    assert live.said == []


def test_that_the_throttle_goes_no_further_than_the_boat_is_driven(
    live: Live, helm: Helm, preferences: Preferences
) -> None:
    boat = Boat("stops short", trolling_speed=0.5, half_time=1.0, exponent=3.0)
    live.document.edit(replace(live.document.setup, boat=boat, speed=2.4), "boat")
    live.settle()
    live.look()
    assert helm.throttle.range_text().endswith(" to 4.9 kn")
    type_number(helm.throttle, "6")
    assert helm.throttle.refusal == f"Allowed is {helm.throttle.range_text()}."
    helm.throttle.reset()
    helm.step_throttle(5.0)
    assert 4.9 < preferences.speed.from_si(live.live_run.throttle()[0]) <= 5.0
    assert live.said == []


def test_that_starting_over_puts_the_throttle_back(live: Live, helm: Helm) -> None:
    helm.step_throttle(-2.0)
    live.sail(1.0)
    live.live_run.start_over()
    live.settle()
    live.look()
    assert helm.throttle.value() == 7.5


def test_that_one_engine_is_slower_and_both_are_faster_again(live: Live, helm: Helm) -> None:
    live.sail(1.0)
    helm.engines.click()
    assert helm.engines.text() == "one (E)"
    live.sail(20.0)
    slow = live.live_run.picture.boat.speed
    helm.engines.click()
    assert helm.engines.text() == "both (E)"
    live.sail(20.0)
    assert [value for _, value in given(live, "engines")] == [1.0, 2.0]
    assert slow < 0.8 * live.live_run.picture.boat.speed


def test_that_a_boat_with_one_engine_offers_no_choice(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup
) -> None:
    helm = make_window(make_live(replace(demo, boat=ONE_ENGINE))).page.helm
    assert not helm.engines.isEnabled()
    assert helm.engines.text() == "one"


def test_that_the_automatic_hold_and_its_seconds_are_taken(live: Live, helm: Helm) -> None:
    assert helm.auto.isChecked()
    assert helm.hold.value() == 20.0
    type_number(helm.hold, "6")
    assert live.live_run.auto_hold.seconds == 6.0
    helm.lever.click()
    live.sail(2.0)
    assert helm.plan.text() == "in gear by itself in 4 s"
    helm.auto.click()
    assert not live.live_run.auto_hold.on
    live.sail(10.0)
    assert helm.plan.text() == "in gear when you say"
    helm.auto.click()
    live.sail(0.3)
    assert live.live_run.in_gear


def test_that_the_state_tells_how_the_boat_comes_back_up(live: Live, helm: Helm) -> None:
    live.sail(0.4)
    assert helm.plan.text() == "steady"
    helm.lever.click()
    live.sail(10.0)
    helm.lever.click()
    live.sail(1.0)
    assert helm.plan.text() == "shifting, then throttle coming up"
    live.sail(4.5)
    assert helm.plan.text() == "speeding up"
    live.sail(25.0)
    assert helm.plan.text() == "steady"
    live.live_run.start_over()
    assert helm.plan.text() == "finding the steady tow…"


def test_that_a_mark_depth_is_used_by_the_next_mark(live: Live, helm: Helm) -> None:
    live.sail(1.0)
    type_number(helm.mark, "18")
    live.live_run.drop_mark()
    mark = live.live_run.mark()
    assert mark is not None
    assert mark.depth == pytest.approx(FOOT.to_si(18.0))
    assert not live.live_run.settling


def test_that_a_mark_below_the_bottom_is_refused_in_its_field(live: Live, helm: Helm) -> None:
    before = live.document.setup
    type_number(helm.mark, "40")
    assert helm.mark.refusal == "Allowed is 0.4 to 30 ft, no deeper than the bottom."
    assert live.document.setup is before
    type_number(helm.mark, "18")
    assert not helm.mark.refusal
    assert live.document.mark_depth() == pytest.approx(FOOT.to_si(18.0))


def test_that_a_new_bottom_depth_settles_the_tow_and_leaves_the_mark(
    live: Live, helm: Helm
) -> None:
    before = live.document.setup
    type_number(helm.bottom, "20")
    assert helm.bottom.refusal == "Allowed is 24 to 6,561.6 ft, no shallower than the mark."
    assert live.document.setup is before
    type_number(helm.bottom, "26")
    live.settle()
    assert live.live_run.scenario.water.bottom.deepest == pytest.approx(FOOT.to_si(26.0))
    assert live.document.setup.mark == before.mark
    live.document.undo_stack.undo()
    live.settle()
    assert (helm.bottom.value(), helm.mark.value()) == (30.0, 24.0)


def test_that_a_bottom_profile_is_not_overwritten_from_the_helm(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], catalog: Catalog
) -> None:
    shoal = scenario_file.load(scenario_file.demos()[1], catalog)
    helm = make_window(make_live(shoal)).page.helm
    assert not helm.bottom.isEnabled()
    assert "profile" in helm.bottom.toolTip()


def test_that_meters_show_the_same_depths_and_change_nothing(
    live: Live, helm: Helm, preferences: Preferences
) -> None:
    before = live.document.setup
    preferences.set_length("meters")
    assert helm.mark.suffix() == helm.bottom.suffix() == " m"
    assert helm.mark.value() == pytest.approx(FOOT.to_si(24.0), abs=0.051)
    assert helm.bottom.value() == pytest.approx(FOOT.to_si(30.0), abs=0.051)
    preferences.set_length("feet")
    assert (helm.mark.value(), helm.bottom.value()) == (24.0, 30.0)
    assert live.document.setup is before
    assert live.document.undo_stack.count() == 0


def test_that_a_depth_in_meters_is_taken_as_meters(
    live: Live, helm: Helm, preferences: Preferences
) -> None:
    preferences.set_length("meters")
    type_number(helm.mark, "5.5")
    assert live.document.mark_depth() == pytest.approx(5.5)


def test_that_speeds_and_depth_under_the_sounder_are_shown(live: Live, helm: Helm) -> None:
    live.sail(1.0)
    assert helm.through_water.text() == "7.5 kn"
    assert helm.over_ground.text() == "7.5 kn to 030°"
    assert helm.under.text() == "30 ft"


@pytest.mark.parametrize(("spokes", "side"), [(-2, "port"), (2, "starboard")])
def test_that_the_side_she_turns_to_is_told(live: Live, helm: Helm, spokes: int, side: str) -> None:
    live.sail(1.0)
    helm.step_wheel(spokes)
    radius = FOOT.text(1.0 / (2 * SPOKE), 0)
    assert helm.turning.text() == f"To {side}, {radius}"
    before = live.live_run.run.boat(live.live_run.now).heading
    live.sail(2.0)
    turned = live.live_run.run.boat(live.live_run.now).heading - before
    assert (turned > 0.0) == (side == "starboard")


def test_that_the_seconds_left_of_an_automatic_wait_are_told(live: Live, helm: Helm) -> None:
    live.live_run.auto_hold.set(False, 20.0)
    live.sail(2.0)
    live.live_run.drop_mark()
    live.live_run.auto_wait.set(True, 10.0)
    live.sail(3.0)
    helm.refresh()
    assert helm.plan.text() == "out of gear by itself in 7 s"


def test_that_the_depth_under_the_sounder_is_that_where_the_boat_is(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup
) -> None:
    slope = Bottom(((0.0, 20.0), (100.0, 10.0)), math.pi / 2)
    live = make_live(replace(demo, heading=0.0, water=replace(demo.water, bottom=slope)))
    helm = make_window(live).page.helm
    live.sail(8.0)
    helm.refresh()
    assert live.live_run.picture.boat.y > 25.0
    assert helm.under.text() == "66 ft", "northward along a slope that falls to the west"


def test_that_a_prescribed_motion_takes_the_helm_away(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup
) -> None:
    motion = PrescribedMotion(((0.0, 3.0, 0.0), (10.0, 1.0, 0.0)))
    window = make_window(make_live(replace(demo, motion=motion, hold=None, speed=3.0)))
    helm = window.page.helm
    for control in (helm.lever, helm.throttle, helm.engines, helm.auto, helm.hold):
        assert not control.isEnabled()
    assert not window.page.mark.isEnabled()
    assert helm.plan.text() == "the boat follows the motion in the file"
    QTest.keyClick(window, Qt.Key.Key_Space)
    QTest.keyClick(window, Qt.Key.Key_M)
    QTest.keyClick(window, Qt.Key.Key_Up)
    QTest.keyClick(window, Qt.Key.Key_E)
    assert [o.action for o in window.live_run.run.track().orders if o.action != "mark"] == []


def test_that_every_control_has_a_name_for_screen_readers(helm: Helm) -> None:
    for control in (helm.lever, helm.throttle, helm.engines, helm.hold, helm.mark, helm.bottom,
                    helm.count):  # fmt: skip
        assert control.accessibleName()


def test_that_the_speed_buttons_set_and_show_the_speed(live: Live, window: Window) -> None:
    buttons = {b.text(): b for b in window.page.findChildren(QPushButton) if b.text()[-1:] == "x"}
    assert list(buttons) == ["1x", "2x", "4x", "8x"]
    for times in (8, 4, 2, 1):
        buttons[f"{times}x"].click()
        assert live.live_run.clock.speed == times
        assert [text for text, b in buttons.items() if b.isChecked()] == [f"{times}x"]
