"""Line in and out and a fish on, from the Ground page and from a line's card."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.common.units import COLOR, FOOT, POUND
from app.live.line_controls import LineControls, LineRow
from app.live.readout import line_words
from app.shell.window import Window
from physics.line.line_orders import LineOrder


@pytest.fixture
def controls(window: Window) -> LineControls:
    QTest.keyClick(window, Qt.Key.Key_F8)
    window.live_run.timer.stop()
    ground = window.pages.ground
    ground.show_lower(ground.stack.indexOf(ground.handling))
    return ground.handling.controls


def on(window: Window, seconds: float) -> None:
    """Let the drop go on by hand."""
    live_run = window.live_run
    until = live_run.now + seconds
    live_run.run.advance(until)
    live_run.clock.now = until
    live_run._paint()
    live_run.figures.emit()


def orders(window: Window) -> tuple[LineOrder, ...]:
    return window.live_run.run.line_orders()


def test_that_line_is_paid_out_at_the_rate_asked_and_the_words_say_so(
    controls: LineControls, window: Window
) -> None:
    row = controls.rows[0]
    start = float(window.live_run.picture.out[0])
    assert row.now.text() == f"{COLOR.text(start)} out"
    row.out.setValue(COLOR.from_si(start) + 1.0)
    row.rate.setValue(3.0)
    row.go.click()
    (order,) = orders(window)
    assert order.rod == window.live_run.scenario.rods[0].name
    assert order.value == pytest.approx(start + COLOR.to_si(1.0), abs=0.46)
    assert order.rate == pytest.approx(FOOT.to_si(3.0))
    on(window, 2.0)
    assert row.now.text().endswith("going out")
    assert row.stop.isEnabled()
    on(window, 30.0)
    assert row.now.text() == f"{COLOR.text(order.value)} out"
    assert not row.stop.isEnabled()


def test_that_stop_holds_the_line_where_it_comes_to_rest(
    controls: LineControls, window: Window
) -> None:
    row = controls.rows[0]
    row.out.setValue(2.0)
    row.go.click()
    on(window, 5.0)
    row.stop.click()
    on(window, 3.0)
    at_rest = float(window.live_run.picture.out[0])
    on(window, 10.0)
    assert float(window.live_run.picture.out[0]) == pytest.approx(at_rest)
    assert COLOR.to_si(2.0) < at_rest < float(window.live_run.run.lines_out(0.0)[0])


def test_that_a_fish_is_hooked_swims_and_is_lost(controls: LineControls, window: Window) -> None:
    row = controls.rows[1]
    assert not row.dive.isEnabled(), "there is none yet"
    row.mass.setValue(12.0)
    row.hook.click()
    on(window, 1.0)
    assert window.live_run.picture.fish == (0.0, pytest.approx(POUND.to_si(12.0)))
    assert line_words(window.live_run.picture, 1).startswith("fish on, ")
    assert row.hook.text() == "Fish off"
    row.depth.setValue(5.0)
    row.dive.click()
    on(window, 40.0)
    assert -float(window.live_run.picture.lure[1, 2]) == pytest.approx(FOOT.to_si(5.0), abs=0.1)
    row.hook.click()
    on(window, 1.0)
    assert row.hook.text() == "Fish on"
    assert [order.action for order in orders(window)] == ["fish on", "fish end to", "fish off"]


def test_that_numbers_follow_the_units_preferred_and_keep_their_meaning(
    controls: LineControls, window: Window
) -> None:
    row = controls.rows[0]
    row.mass.setValue(10.0)
    window.preferences.set_length("meters")
    assert row.mass.suffix() == " kg"
    assert row.mass.value() == pytest.approx(POUND.to_si(10.0), abs=0.05)
    assert row.rate.suffix() == " m/s"
    row.hook.click()
    assert orders(window)[0].value == pytest.approx(POUND.to_si(10.0))


def test_that_starting_over_offers_what_is_out_again(
    controls: LineControls, window: Window
) -> None:
    row = controls.rows[0]
    start = row.out.value()
    row.out.setValue(start - 3.0)
    row.go.click()
    on(window, 5.0)
    window.live_run._begin(type(window.live_run.run)([window.live_run.scenario]))
    assert row.out.value() == start
    assert orders(window) == ()


def test_that_a_card_opens_the_controls_of_its_line_and_puts_them_away(window: Window) -> None:
    page = window.pages.rehearse
    QTest.mouseClick(page.cards[1], Qt.MouseButton.LeftButton)
    overlay = page.overlay
    assert overlay.isVisible()
    assert overlay.controls is not None
    (row,) = overlay.controls.rows
    assert row.rod == window.live_run.scenario.rods[1].name
    row.hook.click()
    assert orders(window)[0].rod == row.rod
    QTest.mouseClick(page.cards[1], Qt.MouseButton.LeftButton)
    assert not overlay.isVisible()


def test_that_the_controls_go_with_escape_done_or_when_the_keys_go_elsewhere(
    window: Window,
) -> None:
    page = window.pages.rehearse
    overlay = page.overlay
    for away in (
        lambda: QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape),
        overlay.done.click,
        page.side_view.setFocus,
    ):
        page.cards[0].setFocus()
        QTest.keyClick(page.cards[0], Qt.Key.Key_Return)
        assert overlay.isVisible()
        assert overlay.isAncestorOf(QApplication.focusWidget())
        away()
        assert not overlay.isVisible()


def test_that_a_hooked_fish_is_drawn_from_above_and_from_the_side(
    controls: LineControls, window: Window
) -> None:
    pages = window.pages
    for plot in (pages.ground.top, pages.rehearse.side_view):
        page = "ground" if plot is pages.ground.top else "rehearse"
        window.show_page(page)
        window.live_run.timer.stop()
        QApplication.processEvents()
        before = plot.grab().toImage()
        window.live_run.order_line(controls.rows[1].rod, "fish on", 5.0)
        window.live_run._take_picture()
        after = plot.grab().toImage()
        assert after != before
        window.live_run.order_line(controls.rows[1].rod, "fish off")
        window.live_run._take_picture()


def test_that_every_control_has_a_name_of_its_own(controls: LineControls) -> None:
    names = [
        widget.accessibleName()
        for row in controls.rows
        for widget in _named(row)
    ]  # fmt: skip
    assert all(names)
    assert len(set(names)) == len(names)


def _named(row: LineRow) -> tuple:
    return (row.out, row.rate, row.mass, row.depth, row.swim, row.go, row.stop, row.hook, row.dive)


def test_that_nothing_is_ordered_while_a_number_is_refused(
    controls: LineControls, window: Window
) -> None:
    row = controls.rows[0]
    row.rate.selectAll()
    QTest.keyClicks(row.rate, "99")
    QTest.keyClick(row.rate, Qt.Key.Key_Return)
    assert row.refusal.text() == "Allowed is 0.1 to 16.4 ft/s."
    assert row.refusal.isVisible()
    row.go.click()
    assert orders(window) == ()
    row.rate.setValue(2.0)
    row.go.click()
    assert len(orders(window)) == 1
