"""The map of waits and holds: values under the pointer, its shades, and the point on it."""

from __future__ import annotations

import numpy as np
import pytest
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.common.units import FOOT
from app.timing.map_picture import picture
from app.ui.look import LOOKS, font
from app.ui.steps import SMALL
from tests.app.by_hand import hover, lay_out
from tests.app.timing.page.desk import Desk


def test_that_the_point_is_dragged_with_the_mouse_and_the_rest_follows(planned: Desk) -> None:
    port = planned.page.map.viewport()
    button, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    deepest = planned.cell(0, 4)
    QTest.mousePress(port, button, none, planned.pixel(8.0, 5.0))
    QTest.mouseMove(port, planned.pixel(12.0, 6.0))
    QTest.mouseRelease(port, button, none, planned.pixel(12.0, 6.0))
    wait, hold = planned.planner.point
    assert (wait, hold) == pytest.approx((12.0, 6.0), abs=0.5)
    assert planned.page.wait.value() == wait
    assert planned.page.hold.value() == hold
    assert planned.cell(0, 4) != deepest
    exact = planned.planner.plan.at(wait, hold)[0].deepest  # type: ignore[union-attr]
    assert planned.cell(0, 4) == f"{FOOT.from_si(exact):.1f}"


def test_that_axes_have_numbers_only_once_there_is_a_plan(desk: Desk) -> None:
    axes = [plot.getAxis(side) for plot in (desk.page.map, desk.page.drop)
            for side in ("left", "bottom")]  # fmt: skip
    assert not any(axis.style["showValues"] for axis in axes)
    desk.plan()
    assert all(axis.style["showValues"] for axis in axes)


def test_that_the_point_keeps_inside_the_map(planned: Desk) -> None:
    planned.planner.choose(-20.0, 500.0)
    assert planned.planner.point == (0.0, 30.0)


def test_that_arrows_move_the_point_and_shift_moves_it_further(planned: Desk) -> None:
    planned.planner.choose(8.0, 10.0)
    planned.page.map.setFocus()
    QTest.keyClick(planned.page.map, Qt.Key.Key_Right)
    QTest.keyClick(planned.page.map, Qt.Key.Key_Up)
    assert planned.planner.point == (8.5, 10.5)
    QTest.keyClick(planned.page.map, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert planned.planner.point == (8.5, 5.5)


def test_that_a_wait_typed_is_the_wait_looked_at_to_the_tenth(planned: Desk) -> None:
    hold = planned.planner.point[1]
    planned.page.wait.setFocus()
    planned.page.wait.selectAll()
    QTest.keyClicks(planned.page.wait, "12.3")
    QTest.keyClick(planned.page.wait, Qt.Key.Key_Return)
    assert planned.planner.point == (12.3, hold)
    planned.window.preferences.set_length("meters")
    planned.window.preferences.set_length("feet")
    assert planned.planner.point == (12.3, hold)
    planned.page.hold.selectAll()
    QTest.keyClicks(planned.page.hold, "99")
    QTest.keyClick(planned.page.hold, Qt.Key.Key_Return)
    assert planned.page.hold.refusal == "Allowed is 0 to 30 s."
    assert planned.planner.point == (12.3, hold)


def test_that_wait_and_hold_can_be_typed_and_left_for_the_answer_again(planned: Desk) -> None:
    assert not planned.page.follow.isEnabled()
    planned.page.hold.setFocus()
    planned.page.hold.selectAll()
    QTest.keyClicks(planned.page.hold, "7.5")
    QTest.keyClick(planned.page.hold, Qt.Key.Key_Return)
    assert planned.planner.point[1] == 7.5
    planned.page.follow.click()
    plan = planned.planner.plan
    assert plan is not None
    assert plan.answer is not None
    assert planned.planner.point == (plan.answer.wait, plan.answer.hold)
    assert planned.planner.rods == plan.at(*planned.planner.point)


def test_that_a_point_that_touches_is_run_again_over_the_ground_once_it_rests(
    planned: Desk, qtbot: object
) -> None:
    planned.planner.choose(8.0, 30.0)
    plan = planned.planner.plan
    assert plan is not None
    assert plan.touched is None
    assert any(rod.touches for rod in planned.planner.rods)
    assert "over deeper water" not in planned.words()
    planned.planner._look_closely()
    planned.worker.deliver("finish")
    assert planned.planner.plan is not None
    assert planned.planner.plan.touched is not None
    assert planned.planner.point == (8.0, 30.0)
    assert "On this wait and hold " in planned.words()


def test_that_hovering_the_map_and_the_plot_tells_values(planned: Desk) -> None:
    planned.page.map.resize(400, 300)
    hover(planned.page.map.viewport(), planned.pixel(8.0, 10.0))
    assert "wait 8 s, hold 10 s" in planned.page.map.hover_text
    drop = planned.page.drop
    at = drop.mapFromScene(drop.view.mapViewToScene(QPointF(5.0, -10.0)))
    hover(drop.viewport(), at)
    QApplication.processEvents()
    drop.grab()
    assert any("down" in line for line in drop.hover_lines)


def test_that_the_map_shows_where_there_is_a_window_and_follows_a_point_beyond(
    planned: Desk,
) -> None:
    page_map, plan = planned.page.map, planned.planner.plan
    assert plan is not None
    shown = page_map.view.viewRange()
    waits, holds = np.nonzero(plan.map.total > 0.0)
    assert shown[0][1] >= plan.map.waits[waits].max()
    assert shown[1][1] >= plan.map.holds[holds].max()
    planned.planner.choose(28.0, 30.0)
    assert page_map.view.viewRange()[0][1] >= 28.0
    assert page_map.view.viewRange()[1][1] >= 30.0


def test_that_the_map_is_darkest_where_the_window_is_longest_and_hatched_where_it_fouls() -> None:
    look = LOOKS["light"]
    waits, holds = np.arange(0.0, 40.0, 10.0), np.arange(0.0, 30.0, 10.0)
    window = np.zeros((4, 3))
    window[3, 0] = 5.0
    allowance = np.ones((4, 3))
    allowance[:, 2] = -1.0
    image = picture(waits, holds, window, allowance, (90, 60), look)
    assert image.pixelColor(89, 59).name() == look.accent
    assert image.pixelColor(0, 59).name() == look.water_top
    # the limit lies midway between a hold that is clear and one that fouls
    limit = [y for y in range(60) if image.pixelColor(45, y).name() == look.alarm]
    assert limit
    assert all(abs(y - 14.75) < 2.0 for y in limit)


def test_that_what_shades_stand_for_has_room_in_a_narrow_window(planned: Desk) -> None:
    planned.window.resize(1180, 660)
    key, wide = planned.page.key, set()
    for seconds in (0.0, 188.8):
        key.show_most(seconds)
        lay_out()
        wide.add(planned.page.map_panel.width())
        assert key.isVisible() == (seconds > 0.0)
    assert key.width() >= key.sizeHint().width()
    assert len(wide) == 1


def test_that_words_wider_than_the_map_are_wrapped_in_it(
    planned: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[QRectF] = []
    monkeypatch.setattr(QPainter, "drawRoundedRect", lambda _self, box, *_: drawn.append(box))
    image = QImage(400, 300, QImage.Format.Format_ARGB32)
    painter = QPainter(image)
    place = QRectF(0.0, 0.0, 120.0, 200.0)
    planned.page.map._tag(painter, "no lure lifts through the mark", 60, 100, place, QColor())
    painter.end()
    assert place.contains(drawn[0])
    assert drawn[0].height() > 2 * QFontMetricsF(font(SMALL)).height()
