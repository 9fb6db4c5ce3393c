"""The side view: what is in view, how it is scaled, and who moves it."""

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.common.units import FOOT
from app.gear.catalog import Catalog
from app.live.side_view import SideView
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.preferences import Preferences
from tests.app.by_hand import Live
from tests.app.live.stages import STAGES, dropping


@pytest.fixture
def side_view(window: Window) -> SideView:
    return window.page.side_view


def wheel(view: SideView, clicks: int) -> None:
    """Turn the mouse wheel over the middle of the plot."""
    middle = QPointF(view.viewport().rect().center())
    event = QWheelEvent(
        middle, view.viewport().mapToGlobal(middle), QPoint(), QPoint(0, 120 * clicks),
        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(view.viewport(), event)


def limits(view: SideView) -> tuple[float, float, float, float]:
    """Left, right, lowest and highest in view, in the length unit."""
    (left, right), (low, high) = view.view.viewRange()
    return left, right, low, high


def scale(view: SideView) -> float:
    """How many times larger depth is drawn than length."""
    across, down = view.view.viewPixelSize()
    return float(across / down)


@pytest.mark.parametrize("name", ["steady", "six lines", "profile bottom", "short and deep"])
def test_that_fit_shows_boat_lures_and_bottom(
    make_live: Callable[[Setup], Live],
    make_window: Callable[[Live], Window],
    demo: Setup,
    catalog: Catalog,
    preferences: Preferences,
    name: str,
) -> None:
    live = make_live(STAGES[name].setup(demo, catalog))
    view = make_window(live).page.side_view
    dropping(live)
    unit, picture = preferences.length, live.live_run.picture
    left, right, low, high = limits(view)
    along = unit.from_si(picture.along(picture.lure[:, 0], picture.lure[:, 1]))
    assert left < along.min()
    assert right > unit.from_si(5.0)
    assert low < -unit.from_si(live.live_run.scenario.water.bottom.deepest)
    assert high > unit.from_si(max(rod.height for rod in picture.rods))


@pytest.mark.parametrize("name", ["steady", "profile bottom", "short and deep"])
def test_that_the_stated_exaggeration_is_the_drawn_one(
    make_live: Callable[[Setup], Live],
    make_window: Callable[[Live], Window],
    demo: Setup,
    catalog: Catalog,
    name: str,
) -> None:
    window = make_window(make_live(STAGES[name].setup(demo, catalog)))
    view, note = window.page.side_view, window.page.side_panel.note
    for size in ((1280, 800), (700, 900), (1920, 1080)):
        window.resize(*size)
        QApplication.processEvents()
        assert scale(view) == pytest.approx(view.exaggeration, rel=0.01)
        if view.exaggeration == 1.0:
            assert note.text().endswith("true to scale")
        else:
            assert note.text().endswith(f"depth drawn {view.exaggeration:g} times")


def test_that_deep_water_and_short_lines_are_drawn_true_to_scale(
    make_live: Callable[[Setup], Live],
    make_window: Callable[[Live], Window],
    demo: Setup,
    catalog: Catalog,
) -> None:
    window = make_window(make_live(STAGES["short and deep"].setup(demo, catalog)))
    assert window.page.side_view.exaggeration == 1.0


def test_that_the_wheel_zooms_and_f_fits_again(side_view: SideView, window: Window) -> None:
    side_view.fit()
    fitted = limits(side_view)
    wheel(side_view, 3)
    left, right, _, _ = limits(side_view)
    assert right - left < 0.9 * (fitted[1] - fitted[0])
    assert not side_view.fitted
    assert scale(side_view) == pytest.approx(side_view.exaggeration, rel=0.01)
    QTest.keyClick(window, Qt.Key.Key_F)
    assert side_view.fitted
    assert limits(side_view) == pytest.approx(fitted, rel=1e-6, abs=1e-6)


def test_that_dragging_moves_the_view_and_the_button_fits_again(
    side_view: SideView, window: Window
) -> None:
    side_view.fit()
    fitted = limits(side_view)
    port = side_view.viewport()
    start = port.rect().center()
    QTest.mousePress(port, Qt.MouseButton.LeftButton, pos=start)
    for step in range(1, 6):
        QTest.mouseMove(port, start + QPoint(12 * step, 0))
    QTest.mouseRelease(port, Qt.MouseButton.LeftButton, pos=start + QPoint(60, 0))
    assert not side_view.fitted
    assert limits(side_view)[0] < fitted[0]
    window.page.fit.click()
    assert limits(side_view) == pytest.approx(fitted, rel=1e-6, abs=1e-6)


def test_that_a_view_moved_by_hand_stays_there_while_the_drop_goes_on(
    live: Live, side_view: SideView
) -> None:
    wheel(side_view, 3)
    moved = limits(side_view)
    live.sail(3.0)
    assert limits(side_view) == moved


def test_that_a_new_start_fits_the_view(live: Live, side_view: SideView) -> None:
    wheel(side_view, 3)
    live.live_run.start_over()
    live.settle()
    assert side_view.fitted


def test_that_a_fitted_view_fits_again_when_the_window_grows(
    side_view: SideView, window: Window
) -> None:
    window.resize(1700, 1000)
    QApplication.processEvents()
    assert side_view.fitted
    grown = limits(side_view)
    side_view.fit()
    # the width of the axis's figures may still move it by a hair
    assert limits(side_view) == pytest.approx(grown, rel=0.03, abs=1.0)


def test_that_the_axes_are_in_the_chosen_unit(
    side_view: SideView, window: Window, preferences: Preferences
) -> None:
    side_view.fit()
    feet = limits(side_view)
    assert window.page.side_panel.note.text().startswith("feet astern of the sounder")
    preferences.set_length("meters")
    assert window.page.side_panel.note.text().startswith("meters astern of the sounder")
    assert limits(side_view)[2] == pytest.approx(FOOT.to_si(feet[2]), rel=0.02)


def test_that_heights_in_air_carry_no_depth(side_view: SideView) -> None:
    axis = side_view.getAxis("left")
    assert axis.tickStrings([-20.0, 0.0, 10.0], 1.0, 10.0) == ["20", "0", ""]
