"""Courses on the Ground page: planned, steered, drawn by hand; and the lines in a turn."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.common.units import FOOT
from app.ground.course_panel import CoursePanel
from app.ground.lines_panel import CLOSE, CROSSING, signed, told_change
from app.ground.page import GroundPage
from app.scenario.courses import course_now, length_of
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.steps import HAIR
from physics.vessel.boat import Leg
from physics.vessel.motion import PrescribedMotion
from tests.app.by_hand import Live, lower_panel
from tests.app.shell.fit import cut


@pytest.fixture
def live(make_live: Callable[[Setup], Live], shoal: Setup) -> Live:
    return make_live(shoal)


@pytest.fixture
def page(window: Window) -> GroundPage:
    return lower_panel(window, 0)


@pytest.fixture
def panel(page: GroundPage) -> CoursePanel:
    page.course.set_open(False)
    page.course.fold.click()
    return page.course


def stroke(page: GroundPage, *places: tuple[float, float], kind: str = "whole") -> None:
    """Draw through places over ground, m, with the left button down."""
    port, unit = page.top.viewport(), page._preferences.length

    def send(what: QEvent.Type, at: QPoint, buttons: Qt.MouseButton) -> None:
        button = Qt.MouseButton.LeftButton
        event = QMouseEvent(what, QPointF(at), QPointF(port.mapToGlobal(at)), button, buttons,
                            Qt.KeyboardModifier.NoModifier)  # fmt: skip
        QApplication.sendEvent(port, event)

    def pixel(x: float, y: float) -> QPoint:
        at = QPointF(unit.from_si(x), unit.from_si(y))
        return page.top.mapFromScene(page.top.view.mapViewToScene(at))

    left = Qt.MouseButton.LeftButton
    send(QEvent.Type.MouseButtonPress, pixel(*places[0]), left)
    for place in places[1:]:
        send(QEvent.Type.MouseMove, pixel(*place), left)
    if kind == "whole":
        send(QEvent.Type.MouseButtonRelease, pixel(*places[-1]), Qt.MouseButton.NoButton)


def test_that_a_course_is_shown_from_her_place_before_it_is_ordered(
    page: GroundPage, panel: CoursePanel, live: Live
) -> None:
    panel.shape.setCurrentText("Circle")
    panel.radius.box.setValue(100.0)
    live.sail(2.0)
    planned = page.drawing.planned
    assert planned is not None
    boat = live.live_run.picture.boat
    assert planned[0] == pytest.approx((boat.x, boat.y), abs=1.0)
    # to starboard, and carried east by the current while it is steered
    assert planned[:, 0].max() - boat.x > 2.0 * FOOT.to_si(100.0)
    assert "628 ft through the water, 200 ft wide" in panel.told.text()
    panel.side.setCurrentIndex(1)
    ported = page.drawing.planned
    assert ported is not None
    assert ported[3, 0] < planned[3, 0]
    assert course_now(live.live_run.run, live.live_run.now) is None
    page.top.grab()


def test_that_no_course_is_drawn_before_somebody_asks_for_one(page: GroundPage, live: Live) -> None:
    page.course.set_open(False)
    page.course.set_open(True)
    live.sail(1.0)
    assert page.drawing.planned is None
    assert "through the water" in page.course.told.text()
    page.course.side.setCurrentIndex(1)
    assert page.drawing.planned is not None


def test_that_a_folded_panel_plans_nothing(page: GroundPage, panel: CoursePanel) -> None:
    assert page.drawing.planned is not None
    QTest.keyClick(panel.fold, Qt.Key.Key_Return)
    assert not panel.is_open
    assert page.drawing.planned is None
    assert not panel.steer.isVisible()


def test_that_a_course_under_way_is_told_and_its_rest_drawn(
    page: GroundPage, panel: CoursePanel, live: Live
) -> None:
    live.sail(1.0)
    panel.shape.setCurrentText("Figure of eight")
    panel.radius.box.setValue(60.0)
    QTest.keyClick(panel.steer, Qt.Key.Key_Return)
    live.sail(10.0)
    assert "steering a figure of eight, " in page.state.text()
    assert " of 754 ft" in page.state.text()
    run = float(page.state.text().partition("eight, ")[2].split()[0])
    assert run == pytest.approx(FOOT.from_si(10.0 * live.live_run.picture.boat.speed), abs=3.0)
    assert page.drawing.planned is None
    rest = page.drawing.steered
    assert rest is not None
    before = len(rest)
    page.top.grab()
    live.sail(30.0)
    assert page.drawing.steered is not None
    assert len(page.drawing.steered) < before
    live.sail(60.0)
    assert "steering" not in page.state.text()
    assert page.drawing.steered is None


@pytest.mark.parametrize("how", ["button", "key", "straight"])
def test_that_amidships_ends_a_course_even_on_a_straight_leg(
    page: GroundPage, panel: CoursePanel, live: Live, window: Window, how: str
) -> None:
    first = () if how != "straight" else (Leg(500.0),)
    live.live_run.steer((*first, Leg(400.0, 0.0015)))
    live.sail(1.0)
    assert panel.amidships.isEnabled()
    if how == "button":
        panel.amidships.click()
    else:
        QTest.keyClick(window, Qt.Key.Key_C)
    assert course_now(live.live_run.run, live.live_run.now) is None
    live.sail(0.5)
    assert live.live_run.wheel() == 0.0
    assert not panel.amidships.isEnabled()


def test_that_a_way_is_drawn_and_followed(page: GroundPage, panel: CoursePanel, live: Live) -> None:
    panel.draw.click()
    assert page.drawing.drawing
    assert panel.draw.text() == "Give up"
    assert "Escape gives up" in panel.told.text()
    boat = live.live_run.picture.boat
    ways = [(boat.x + 6.0 * k, boat.y + 40.0 + 10.0 * math.sin(k / 2)) for k in range(12)]
    stroke(page, *ways)
    assert not page.drawing.drawing
    assert panel.shape.currentText() == "As drawn"
    assert not panel.radius.isEnabled()
    planned = page.drawing.planned
    assert planned is not None
    assert np.hypot(*(planned[-1] - ways[-1])) < 4.0
    # she has moved on meanwhile: it is steered from where she is then
    live.sail(3.0)
    panel.steer.click()
    course = course_now(live.live_run.run, live.live_run.now)
    assert course is not None
    live.sail(length_of(course[0]) / live.live_run.picture.boat.speed)
    boat = live.live_run.picture.boat
    assert math.dist((boat.x, boat.y), ways[-1]) < 6.0


def test_that_escape_gives_drawing_up_and_the_view_follows_again(
    page: GroundPage, panel: CoursePanel, live: Live
) -> None:
    panel.shape.setCurrentText("S-turn")
    panel.draw.click()
    stroke(page, (0.0, 0.0), (10.0, 30.0), (20.0, 30.0), kind="begun")
    assert not page.top.follows
    page.top.grab()
    QTest.keyClick(page.top, Qt.Key.Key_Escape)
    assert not page.drawing.drawing
    assert page.top.follows
    assert panel.shape.currentText() == "S-turn"
    assert panel.shape.findText("As drawn") < 0
    assert panel.draw.text() == "Draw it"


def test_that_a_slip_of_the_mouse_is_no_way(page: GroundPage, panel: CoursePanel) -> None:
    panel.draw.click()
    stroke(page, (0.0, 0.0))
    assert page.drawing.drawing
    panel.draw.click()
    assert not page.drawing.drawing


def test_that_a_prescribed_motion_has_no_course(
    page: GroundPage, panel: CoursePanel, live: Live
) -> None:
    motion = PrescribedMotion(((0.0, 3.0, 0.0), (60.0, 3.0, 0.0)))
    setup = replace(live.document.setup, motion=motion, orders=(), hold=None)
    assert live.document.edit(setup, "a table")
    live.settle()
    for widget in (panel.shape, panel.radius, panel.side, panel.steer, panel.draw,
                   panel.amidships):  # fmt: skip
        assert not widget.isEnabled()
    assert "does not answer" in panel.told.text()
    assert page.drawing.planned is None


def test_that_the_radius_keeps_its_length_in_another_unit(
    panel: CoursePanel, window: Window
) -> None:
    panel.radius.box.setValue(328.0)
    window.preferences.set_length("meters")
    assert panel.radius.box.value() == pytest.approx(100.0)
    assert panel.radius.box.suffix() == " m"
    window.preferences.set_length("feet")
    assert panel.radius.box.value() == pytest.approx(328.0)


# ---- lines


def cell(page: GroundPage, row: int, column: int) -> str:
    item = page.lines.table.item(row, column)
    assert item is not None
    return item.text()


def test_that_every_line_is_listed_as_it_is_now(page: GroundPage, live: Live) -> None:
    live.sail(1.0)
    picture = live.live_run.picture
    assert page.lines.table.rowCount() == 4
    for row, rod in enumerate(picture.rods):
        assert cell(page, row, 0) == rod.name
        assert float(cell(page, row, 1)) == pytest.approx(
            FOOT.from_si(-picture.lure[row, 2]), abs=0.06
        )
        assert cell(page, row, 2) == "0"
    assert "Nearest lines: " in page.lines.nearest.text()
    assert page.lines.warning.isHidden()
    assert not page.lines.turned.text()


def test_that_the_inside_line_is_told_deeper_and_crossing_lines_are_warned_of(
    page: GroundPage, live: Live, window: Window
) -> None:
    window.page.helm.wheel.setValue(5)
    warned = ""
    for _ in range(50):
        live.sail(0.5)
        if not page.lines.warning.isHidden():
            warned = page.lines.warning.text()
            break
    pair = page.lines.pair
    assert pair is not None
    assert warned == (CROSSING if pair.crossing else CLOSE)
    QApplication.processEvents()
    warning = page.lines.warning
    assert warning.height() >= warning.fontMetrics().height() + 2 * HAIR
    assert cut(warning) == ""
    plain = page.top.grab().toImage()
    page.lines.pair = None
    assert page.top.grab().toImage() != plain
    live.sail(25.0)
    assert page.lines.turned.text().startswith("In this turn: inside line ")
    names = [rod.name for rod in live.live_run.scenario.rods]
    inside, outside = (cell(page, names.index(n), 2) for n in ("starboard long", "port long"))
    assert float(inside) > 0.0
    assert float(inside) > float(outside.replace("−", "-"))


def test_that_a_line_with_a_fish_on_is_not_told_of_as_turned(
    page: GroundPage, live: Live, window: Window
) -> None:
    window.page.helm.wheel.setValue(5)
    for rod in live.live_run.scenario.rods:
        if rod.abeam > 0.0:
            live.live_run.order_line(rod.name, "fish on", 5.0)
    live.sail(5.0)
    said = page.lines.turned.text()
    assert "outside" in said
    assert "inside" not in said


def test_that_changes_are_told_with_their_sign() -> None:
    assert [signed(c) for c in (2.34, -0.4, 0.01)] == ["+2.3", "−0.4", "0"]
    assert told_change(2.34, "ft") == "2.3 ft deeper"
    assert told_change(-0.4, "ft") == "0.4 ft shallower"
    assert told_change(0.0, "ft") == "as deep as towed straight"


def test_that_little_room_folds_what_is_seldom_wanted_until_a_hand_opens_it(
    page: GroundPage, window: Window
) -> None:
    assert page.height() < 900
    assert page.lines.is_open
    assert not page.bottom.is_open
    assert "24 to 44 ft" in page.bottom.note.text()
    page.bottom.fold.click()
    assert page.bottom.points.isVisible()
    window.resize(1280, 790)
    QApplication.processEvents()
    assert page.bottom.is_open
