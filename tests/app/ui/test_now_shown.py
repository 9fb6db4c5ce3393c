"""What screen readers are told of a plot is what is on screen now."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.live.side_view import SideView
from app.shell.window import Window
from app.ui.canvas import PaintedPlot
from app.ui.preferences import Preferences
from tests.app.by_hand import Live, hover


@pytest.mark.parametrize("key", [Qt.Key.Key_F2, Qt.Key.Key_F3, Qt.Key.Key_F8])
def test_that_plots_in_front_say_what_they_show(window: Window, key: Qt.Key) -> None:
    QTest.keyClick(window, key)
    QApplication.processEvents()
    plots = [plot for plot in window.findChildren(PaintedPlot) if plot.isVisible()]
    assert plots
    for plot in plots:
        # where painting all of them takes longer, the first have said it by now
        said = plot.now_shown() and plot.now_shown() in plot.accessibleDescription()
        assert plot._saying.isActive() or said, plot.accessibleName()
        plot.say()
        assert plot.accessibleDescription().startswith(plot.about)
        assert plot.now_shown() in plot.accessibleDescription()


def test_that_what_is_said_follows_the_drop_and_the_unit(
    window: Window, live: Live, preferences: Preferences
) -> None:
    strip = window.page.depth_strip
    strip.say()
    before = strip.accessibleDescription()
    rod = live.live_run.scenario.rods[0].name
    assert f"{rod}: " in before
    assert "holding" in before
    live.live_run.shift()
    live.sail(6.0)
    strip.say()
    assert "falling" in strip.accessibleDescription()
    assert strip.accessibleDescription() != before
    preferences.set_length("meters")
    strip.say()
    assert " m down" in strip.accessibleDescription()
    assert " ft " not in strip.accessibleDescription()


def test_that_the_side_view_says_how_far_the_mark_is(window: Window, live: Live) -> None:
    view = window.page.side_view
    assert "mark" not in view.now_shown()
    live.live_run.drop_mark()
    live.sail(2.0)
    assert "mark" in view.now_shown()


@pytest.fixture
def view(window: Window) -> SideView:
    return window.page.side_view


def pixel(view: SideView, along: float, up: float) -> QPoint:
    """Where a place in the unit on screen is."""
    return view.mapFromScene(view.view.mapViewToScene(QPointF(along, up)))


def told(view: SideView, along: float, up: float) -> list[str]:
    hover(view.viewport(), pixel(view, along, up))
    view.grab()
    return view.hover_lines


def test_that_a_cross_stands_where_the_values_are_of(view: SideView) -> None:
    place = pixel(view, -60.0, -12.0)
    arm = (place - QPoint(4, 0), place + QPoint(4, 0))
    before = [view.grab().toImage().pixelColor(at) for at in arm]
    told(view, -60.0, -12.0)
    after = [view.grab().toImage().pixelColor(at) for at in arm]
    for old, new in zip(before, after, strict=True):
        assert new.lightness() < old.lightness() - 60


def test_that_a_place_under_the_pointer_is_told_in_the_unit_on_screen(
    view: SideView, live: Live, preferences: Preferences
) -> None:
    bottom = preferences.length.from_si(live.live_run.scenario.water.bottom.deepest)
    distance, down, off = told(view, -60.0, -12.0)
    assert distance in ("59 ft astern", "60 ft astern", "61 ft astern")
    assert down.endswith(" ft down")
    assert off.endswith(" ft off bottom")
    assert float(down.split()[0]) == pytest.approx(12.0, abs=0.4)
    assert float(down.split()[0]) + float(off.split()[0]) == pytest.approx(bottom, abs=0.11)
    assert told(view, -60.0, 2.0)[1].endswith("over the water")
    assert told(view, -60.0, -bottom * 1.05)[1] == f"bottom {bottom:.1f} ft down"
    preferences.set_length("meters")
    assert told(view, -20.0, -4.0)[0].endswith(" m astern")


def test_that_the_value_copied_from_the_side_view_is_the_one_told(view: SideView) -> None:
    lines = told(view, -60.0, -12.0)
    assert view.value_at(pixel(view, -60.0, -12.0)) == "\n".join(lines)


def test_that_the_side_view_still_moves_under_the_hand(view: SideView) -> None:
    assert view.view.state["mouseEnabled"] == [True, True]
