"""A whole drop from the keyboard, in the real window."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDoubleSpinBox
from pytestqt.qtbot import QtBot

from app.common.units import KNOT
from app.shell.window import Window
from tests.app.by_hand import Live

Key = Qt.Key


def orders(live: Live) -> list[tuple[str, float]]:
    """What was ordered by hand, and when."""
    given = live.live_run.run.track().orders
    return [(o.action, round(o.time, 6)) for o in given if (o.action, o.time) != ("mark", 10.0)]


def test_that_a_whole_drop_can_be_sailed_with_keys_alone(
    live: Live, window: Window, qtbot: QtBot
) -> None:
    live_run, view = live.live_run, window.page.side_view
    qtbot.keyClick(window, Key.Key_A)
    assert not live_run.auto_hold.on
    live.sail(2.0)
    qtbot.keyClick(window, Key.Key_M)
    assert live_run.mark() is not None
    live.sail(1.0)
    qtbot.keyClick(window, Key.Key_Space)
    assert not live_run.in_gear
    qtbot.keyClick(window, Key.Key_4)
    assert live_run.clock.speed == 4
    live.sail(12.0)
    live.look()
    ahead = live_run.ahead
    assert ahead is not None
    assert ahead.in_gear
    qtbot.keyClick(window, Key.Key_P)
    at = live_run.now
    live.frame(0.05)
    assert live_run.now == at
    qtbot.keyClick(window, Key.Key_P)
    qtbot.keyClick(window, Key.Key_Space)
    assert live_run.in_gear
    live.sail(25.0)
    live.look()
    assert live_run.last_hold() == pytest.approx(12.0, abs=1e-6)
    assert {e.kind for e in live_run.events} >= {"out of gear", "in gear", "deepest"}
    qtbot.keyClick(window, Key.Key_Up)
    qtbot.keyClick(window, Key.Key_Up)
    assert live_run.throttle()[0] == pytest.approx(KNOT.to_si(8.5))
    qtbot.keyClick(window, Key.Key_Down)
    assert live_run.throttle()[0] == pytest.approx(KNOT.to_si(8.0))
    qtbot.keyClick(window, Key.Key_E)
    assert live_run.throttle()[1] == 1
    qtbot.keyClick(window, Key.Key_E)
    assert live_run.throttle()[1] == 2
    view.view.scaleBy((0.5, 0.5))
    view._moved_by_hand()
    qtbot.keyClick(window, Key.Key_F)
    assert view.fitted
    assert orders(live) == [
        ("mark", 2.0), ("out of gear", 3.0), ("in gear", 15.0),
        ("throttle", 40.0), ("throttle", 40.0), ("throttle", 40.0),
        ("engines", 40.0), ("engines", 40.0),
    ]  # fmt: skip
    qtbot.keyClick(window, Key.Key_R)
    live.settle()
    assert live_run.now == 0.0
    assert orders(live) == []
    assert live_run.clock.speed == 4
    assert live.said == []


def test_that_each_digit_sets_that_speed(live: Live, window: Window, qtbot: QtBot) -> None:
    for digit in (8, 7, 6, 5, 4, 3, 2, 1):
        qtbot.keyClick(window, Key(Key.Key_0 + digit))
        assert live.live_run.clock.speed == digit


def fields(window: Window) -> list[QDoubleSpinBox]:
    helm = window.page.helm
    return [helm.hold, helm.mark, helm.bottom]


def test_that_typing_in_a_number_field_is_no_key_of_the_helm(
    live: Live, window: Window, qtbot: QtBot
) -> None:
    live_run = live.live_run
    live.sail(1.0)
    for field in (window.page.helm.throttle, *fields(window)):
        field.setFocus()
        qtbot.keyClicks(field, "8mpreaf2")
        assert live_run.clock.speed == 1
        assert not live_run.clock.paused
        assert not live_run.settling
        assert live_run.auto_hold.on
        assert orders(live) == []


def test_that_up_and_down_in_a_number_field_step_that_field_only(
    live: Live, window: Window, qtbot: QtBot
) -> None:
    for field in fields(window):
        before = field.value()
        field.setFocus()
        qtbot.keyClick(field, Key.Key_Up)
        assert field.value() == before + 1.0, field.accessibleName()
        qtbot.keyClick(field, Key.Key_Down)
        qtbot.keyClick(field, Key.Key_Down)
        assert field.value() == before - 1.0, field.accessibleName()
    assert orders(live) == []


def test_that_enter_in_a_number_field_gives_the_keys_back(
    live: Live, window: Window, qtbot: QtBot
) -> None:
    hold = window.page.helm.hold
    hold.setFocus()
    hold.selectAll()
    qtbot.keyClicks(hold, "12")
    qtbot.keyClick(hold, Key.Key_Return)
    assert live.live_run.auto_hold.seconds == 12.0
    focused = window.focusWidget()
    assert focused is window.page.side_view
    qtbot.keyClick(focused, Key.Key_Space)
    assert not live.live_run.in_gear


def test_that_space_shifts_even_right_after_a_button_was_clicked(
    live: Live, window: Window, qtbot: QtBot
) -> None:
    for button in (window.page.helm.lever, window.page.mark, window.page.pause):
        before = live.live_run.in_gear
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
        after = live.live_run.in_gear
        qtbot.keyClick(window.focusWidget(), Key.Key_Space)
        assert live.live_run.in_gear != after, button.text()
        assert (before == after) == (button is not window.page.helm.lever)
