"""The Ground page: from above, the profile to drag, current and wind, the wheel."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.common.units import FOOT, KNOT, POUND
from app.ground.contours import label_place
from app.ground.fields import EVEN, FADING, OWN, against
from app.ground.orders.rows import new_order
from app.ground.page import LOWER, GroundPage
from app.ground.top_view import DOT_GAP
from app.rehearse.helm import SPOKE
from app.scenario.bottom_shapes import SHAPES, shaped, with_new_point, with_point, without_point
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.canvas import Array, Axes
from physics.checks import InvalidValue
from physics.environment.current import UNIFORM, PowerLaw
from physics.environment.water import Bottom
from physics.line.line_orders import LineOrder
from tests.app.by_hand import Live


@pytest.fixture
def live(make_live: Callable[[Setup], Live], shoal: Setup) -> Live:
    return make_live(shoal)


@pytest.fixture
def page(window: Window) -> GroundPage:
    QTest.keyClick(window, Qt.Key.Key_F8)
    window.live_run.timer.stop()
    assert window.pages.currentWidget() is window.pages.ground
    return window.pages.ground


def spot(page: GroundPage, along: float, depth: float) -> QPoint:
    """Where on the profile a place is, ft."""
    plot = page.profile
    return plot.mapFromScene(plot.view.mapViewToScene(QPointF(along, -depth)))


# ---- shapes


@pytest.mark.parametrize("shape", SHAPES)
def test_that_every_shape_is_as_deep_as_asked_where_the_boat_starts(shape: str) -> None:
    bottom = shaped(shape, 12.0, 0.5)
    assert float(bottom.depth_at(0.0, 0.0)) == pytest.approx(12.0)  # type: ignore[arg-type]
    assert bottom.is_level == (shape == "level")
    assert bottom.shallowest >= 1.5


def test_that_a_dragged_point_stays_between_its_neighbors() -> None:
    bottom = Bottom(((0.0, 10.0), (50.0, 5.0), (90.0, 12.0)))
    assert with_point(bottom, 1, 500.0, 6.0).points[1] == (89.5, 6.0)
    assert with_point(bottom, 1, -500.0, 6.0).points[1] == (0.5, 6.0)
    with pytest.raises(InvalidValue):
        with_point(bottom, 1, 20.0, 0.0)


def test_that_points_come_and_go_and_the_last_one_stays() -> None:
    bottom = with_new_point(Bottom.level(9.0), 40.0, 5.0)
    assert bottom.points == ((0.0, 9.0), (40.0, 5.0))
    with pytest.raises(InvalidValue):
        with_new_point(bottom, 40.0, 6.0)
    level = without_point(bottom, 1)
    assert level.is_level
    assert without_point(level, 0) == level


@pytest.mark.parametrize(
    ("degrees", "words"),
    [(0.0, "from astern"), (180.0, "from ahead"), (90.0, "port to starboard"),
     (-90.0, "starboard to port"), (270.0, "starboard to port"), (30.0, "from astern, port"),
     (-150.0, "from ahead, starboard")],
)  # fmt: skip
def test_that_a_flow_is_told_as_it_meets_the_boat(degrees: float, words: str) -> None:
    assert words in against(degrees)


def test_that_a_label_lies_on_the_part_of_a_line_in_view() -> None:
    area = QRectF(0, 0, 200, 100)
    size = 20.0, 14.0
    box = label_place(QPointF(-5000, 50), QPointF(5000, 50), area, size)
    assert box is not None
    assert area.contains(box)
    assert label_place(QPointF(-50, 500), QPointF(500, 500), area, size) is None


def test_that_a_label_makes_way_for_what_is_there_and_stays_away_where_nothing_is_free() -> None:
    area, line = QRectF(0, 0, 200, 100), (QPointF(-5000, 50), QPointF(5000, 50))
    first = label_place(*line, area, (20.0, 14.0))
    assert first is not None
    second = label_place(*line, area, (20.0, 14.0), [first])
    assert second is not None
    assert not second.intersects(first)
    assert label_place(*line, area, (20.0, 14.0), [area]) is None


# ---- the page


def test_that_the_dots_of_a_look_ahead_stand_apart_however_far_the_view_is_out(
    page: GroundPage, live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    live.sail(2.0)
    live.worker.deliver()
    assert live.live_run.ahead is not None
    gaps: list[float] = []

    def record(axes: Axes, _painter: object, x: Array, y: Array, _color: object) -> None:
        away = np.hypot(np.diff(axes.kx * x), np.diff(axes.ky * y))
        # the last dot is the place the future ends at
        gaps.extend(away[:-1])

    monkeypatch.setattr(Axes, "dots", record)
    page.top.grab()
    assert len(gaps) > 20
    assert min(gaps) > 0.7 * DOT_GAP


def test_that_the_drop_goes_on_here_and_the_keys_of_the_helm_work(
    page: GroundPage, live: Live, window: Window
) -> None:
    live.sail(1.0)
    QTest.keyClick(window, Qt.Key.Key_Space)
    live.sail(0.5)
    assert not live.live_run.in_gear
    assert "Go in gear" in page.lever.text()
    page.lever.click()
    live.sail(0.5)
    assert live.live_run.in_gear


def test_that_the_wheel_turns_the_boat_and_c_puts_it_amidships(
    page: GroundPage, live: Live, window: Window
) -> None:
    live.sail(1.0)
    for _ in range(2):
        QTest.keyClick(window, Qt.Key.Key_Right)
    assert live.live_run.wheel() == pytest.approx(2 * SPOKE)
    assert window.page.helm.wheel.value() == 2
    before = live.live_run.picture.boat
    live.sail(2.0)
    after = live.live_run.picture.boat
    turned = after.heading - before.heading
    assert turned == pytest.approx(2 * SPOKE * before.speed * 2.0, rel=0.03)
    assert "To starboard" in window.page.helm.turning.text()
    QTest.keyClick(window, Qt.Key.Key_C)
    assert live.live_run.wheel() == 0.0
    live.sail(0.5)
    heading = live.live_run.picture.boat.heading
    live.sail(1.0)
    assert live.live_run.picture.boat.heading == pytest.approx(heading)
    assert window.page.helm.turning.text() == "Wheel"


def test_that_inside_lines_sink_in_a_turn(page: GroundPage, live: Live, window: Window) -> None:
    # turning to starboard the starboard lines tow slower than the port ones
    window.page.helm.wheel.setValue(3)
    live.sail(25.0)
    names = [rod.name for rod in live.live_run.scenario.rods]
    depth = {name: -float(z) for name, z in zip(names, live.live_run.picture.lure[:, 2],
                                                 strict=True)}  # fmt: skip
    ran = {name: live.live_run.run_depth(k) for k, name in enumerate(names)}
    gained = {name: depth[name] - ran[name] for name in names}
    assert gained["starboard long"] > gained["port long"]
    assert max(gained.values()) > 0.1


def test_that_the_track_of_the_boat_is_kept(page: GroundPage, live: Live) -> None:
    live.sail(3.0)
    track = live.live_run.track
    boat = live.live_run.picture.boat
    assert track.boat.shape == (len(track.time), 2)
    assert track.boat[-1] == pytest.approx([boat.x, boat.y], abs=0.5)
    page.top.grab()
    page.profile.grab()
    QApplication.processEvents()


def test_that_a_point_is_dragged_and_the_change_undone(page: GroundPage, live: Live) -> None:
    before = live.document.setup
    port, none = page.profile.viewport(), Qt.KeyboardModifier.NoModifier
    left = Qt.MouseButton.LeftButton
    QTest.mousePress(port, left, none, spot(page, 400.0, 24.0))
    assert page.profile.number == 2
    assert page.bottom.points.currentRow() == 2
    QTest.mouseMove(port, spot(page, 380.0, 30.0))
    assert live.document.setup == before
    QTest.mouseRelease(port, left, none, spot(page, 380.0, 30.0))
    along, depth = live.document.setup.water.bottom.points[2]
    assert FOOT.from_si(along) == pytest.approx(380.0, abs=4.0)
    assert FOOT.from_si(depth) == pytest.approx(30.0, abs=0.5)
    live.document.undo_stack.undo()
    assert live.document.setup == before


def test_that_a_point_is_added_with_a_double_click_and_taken_away_with_delete(
    page: GroundPage, live: Live
) -> None:
    count = len(live.document.setup.water.bottom.points)
    QTest.mouseDClick(page.profile.viewport(), Qt.MouseButton.LeftButton,
                      Qt.KeyboardModifier.NoModifier, spot(page, 640.0, 20.0))  # fmt: skip
    points = live.document.setup.water.bottom.points
    assert len(points) == count + 1
    assert page.profile.number == 4
    QTest.keyClick(page.profile, Qt.Key.Key_Delete)
    assert len(live.document.setup.water.bottom.points) == count


def test_that_a_level_bottom_gets_a_slope_along_the_heading(page: GroundPage, live: Live) -> None:
    setup = live.document.setup
    level = replace(setup, water=replace(setup.water, bottom=Bottom.level(10.0)), heading=1.0)
    assert live.document.edit(level, "level")
    QTest.mouseDClick(page.profile.viewport(), Qt.MouseButton.LeftButton,
                      Qt.KeyboardModifier.NoModifier, spot(page, 100.0, 20.0))  # fmt: skip
    bottom = live.document.setup.water.bottom
    assert len(bottom.points) == 2
    assert bottom.bearing == 1.0


def test_that_points_are_typed_and_nonsense_is_told(page: GroundPage, live: Live) -> None:
    item = page.bottom.points.item(2, 1)
    assert item is not None
    item.setText("26.5")
    assert live.document.setup.water.bottom.points[2][1] == pytest.approx(FOOT.to_si(26.5))
    before = live.document.setup
    for column, text, words in ((1, "deep", "is not a number"), (0, "900", "rise from point"),
                                (1, "-3", "allowed is")):  # fmt: skip
        cell = page.bottom.points.item(2, column)
        assert cell is not None
        cell.setText(text)
        assert words in page.bottom.wrong.text()
        assert page.bottom.wrong.isVisible()
        assert live.document.setup == before


def test_that_a_shape_is_begun_from(page: GroundPage, live: Live) -> None:
    at = page.bottom.shape.findData("hole")
    page.bottom.shape.activated.emit(at)
    bottom = live.document.setup.water.bottom
    assert bottom.deepest == pytest.approx(1.5 * FOOT.to_si(42.0))
    page.bottom.bearing.box.setValue(90.0)
    assert live.document.setup.water.bottom.bearing == pytest.approx(math.pi / 2)


def test_that_current_and_wind_are_set_in_the_skippers_terms(page: GroundPage, live: Live) -> None:
    page.water.drift.box.setValue(2.0)
    page.water.set.box.setValue(180.0)
    east, north = live.document.setup.water.current
    assert KNOT.from_si(math.hypot(east, north)) == pytest.approx(2.0)
    assert north == pytest.approx(-KNOT.to_si(2.0))
    assert "against her, from ahead" in page.water.relative.text()
    page.water.wind.box.setValue(15.0)
    page.water.source.box.setValue(270.0)
    wind = live.document.setup.water.wind
    assert wind[0] == pytest.approx(KNOT.to_si(15.0))
    assert wind[1] == pytest.approx(0.0, abs=1e-9)
    page.water.drift.box.setValue(0.0)
    assert live.document.setup.water.current == pytest.approx((0.0, 0.0))
    page.water.drift.box.setValue(1.0)
    # the direction was not forgotten while nothing ran
    assert live.document.setup.water.current[1] == pytest.approx(-KNOT.to_si(1.0))


def test_that_the_view_follows_until_moved_by_hand(page: GroundPage, live: Live) -> None:
    live.sail(5.0)
    first = page.top.view.viewRange()
    live.sail(5.0)
    assert page.top.view.viewRange() != first
    page.top.view.sigRangeChangedManually.emit(page.top.view.state["mouseEnabled"])
    held = page.top.view.viewRange()
    live.sail(5.0)
    assert page.top.view.viewRange() == held
    page.fit.click()
    assert page.top.view.viewRange() != held


def test_that_the_current_may_fade_toward_the_bottom(page: GroundPage, live: Live) -> None:
    fields = page.water
    assert fields.profile.currentText() == EVEN
    at = fields.profile.findText(FADING)
    fields.profile.activated.emit(at)
    assert live.document.setup.water.profile == PowerLaw()
    assert fields.profile.currentText() == FADING
    own = replace(live.document.setup.water, profile=PowerLaw(root=9.0))
    assert live.document.edit(replace(live.document.setup, water=own), "own")
    assert fields.profile.currentText() == OWN
    live.document.undo_stack.undo()
    live.document.undo_stack.undo()
    assert live.document.setup.water.profile == UNIFORM


def test_that_a_fish_weighs_the_same_wherever_one_is_offered(page: GroundPage, live: Live) -> None:
    rod = live.live_run.scenario.rods[0].name
    order = new_order(live.document.setup, rod, "fish on", 5.0, 5.0)
    assert isinstance(order, LineOrder)
    fields = page.handling.controls.rows[0].mass, page.fish.fields.weight
    assert {field.text() for field in fields} == {POUND.text(order.value, 1)} == {"10.0 lb"}


def test_that_every_tool_of_the_ground_is_a_tab_in_sight(page: GroundPage, window: Window) -> None:
    window.resize(1180, 660)
    QApplication.processEvents()
    tabs = page.tabs
    for number in range(tabs.count()):
        box = tabs.tabRect(number)
        assert tabs.rect().contains(box.center())
        QTest.mouseClick(tabs, Qt.MouseButton.LeftButton, pos=box.center())
        assert page.stack.currentIndex() == number
        assert page.lower_panel.note.text() == LOWER[tabs.tabText(number)]
