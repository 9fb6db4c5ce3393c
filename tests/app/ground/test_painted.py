"""What the Ground page paints lies where it is: shoals from above, the boat along the profile."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF
from PySide6.QtGui import QColor, QImage, QPainter

from app.common.units import FOOT
from app.ground.compass_axis import WAYS
from app.ground.contours import contours, spacing
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.canvas import PaintedPlot
from physics.environment.water import Bottom, compass_vector
from tests.app.by_hand import Live, lower_panel

BEARING = 1.0
"""Of the bottom, rad: neither with the boat's heading nor across it."""


@pytest.fixture
def live(make_live: Callable[[Setup], Live], demo: Setup) -> Live:
    """A boat northward over a ridge that lies across BEARING."""
    ridge = Bottom(((-60.0, 20.0), (0.0, 8.0), (60.0, 20.0)), BEARING)
    return make_live(replace(demo, heading=0.0, water=replace(demo.water, bottom=ridge)))


def pixel(plot: PaintedPlot, x: float, y: float) -> QPoint:
    """Where a place is, m."""
    at = QPointF(FOOT.from_si(x), FOOT.from_si(y))
    return plot.mapFromScene(plot.view.mapViewToScene(at))


def near(color: QColor, other: QColor) -> int:
    return sum(abs(a - b) for a, b in zip(color.getRgb(), other.getRgb(), strict=True))  # type: ignore[arg-type]


@pytest.mark.parametrize("side", [-50.0, 50.0])
def test_that_a_ridge_is_shaded_as_a_shoal_across_its_bearing(window: Window, side: float) -> None:
    page = lower_panel(window, 0)
    page.top.view.setRange(xRange=(-300.0, 300.0), yRange=(-300.0, 300.0), padding=0.0)
    image = page.top.grab().toImage()
    east, north = compass_vector(BEARING)

    deep = QColor(page.top.look.water_deep)

    def light(along: float) -> float:
        """How far from the deep's color a line across the bearing is, in the main: words lie on
        some of it."""
        away = []
        for across in np.linspace(0.6, 1.2, 9) * side:
            x, y = along * east + across * north, along * north - across * east
            at = pixel(page.top, x, y)
            assert image.rect().contains(at)
            away.append(near(image.pixelColor(at), deep))
        return float(np.median(away))

    assert light(-55.0) < light(-3.0)
    assert light(55.0) < light(-3.0)


@pytest.mark.parametrize("feet", [0.0, 1200.0, -1500.0, 21_000.0])
def test_that_both_axes_from_above_are_labeled_however_far_she_went(
    window: Window, feet: float
) -> None:
    page = lower_panel(window, 0)
    page.top.view.setRange(
        xRange=(feet - 300.0, feet + 300.0), yRange=(feet - 300.0, feet + 300.0), padding=0.0
    )
    page.top.grab()
    for side, (ahead, back) in WAYS.items():
        axis = page.top.getAxis(side)
        image = QImage(page.top.size(), QImage.Format.Format_RGB32)
        painter = QPainter(image)
        specs = axis.generateDrawSpecs(painter)
        painter.end()
        assert specs is not None
        told = [text for _, _, text in specs[2]]
        assert len(told) >= 3, side
        letters = {text[-1] for text in told if text != "0"}
        assert letters == ({ahead, back} if not feet else {ahead if feet > 0.0 else back})
        assert axis.labelText.endswith(", ft")


def test_that_the_profile_follows_a_boat_that_leaves_it(window: Window, live: Live) -> None:
    page = lower_panel(window, 0)
    first = page.profile.view.viewRange()[0]
    live.live_run.set_speed(8)
    live.sail(120.0)
    live.frame(0.1)
    boat = live.live_run.picture.boat
    along = FOOT.from_si(boat.x * math.sin(BEARING) + boat.y * math.cos(BEARING))
    assert along > first[1]
    left, right = page.profile.view.viewRange()[0]
    assert left < along < right
    assert right - left < 1.5 * (first[1] - first[0])


def test_that_contours_are_told_by_a_legend_and_lie_where_the_bottom_is_so_deep(
    window: Window,
) -> None:
    page = lower_panel(window, 0)
    bottom = page._live_run.scenario.water.bottom
    drawn = contours(bottom, FOOT)
    assert spacing(bottom, FOOT) == 5.0
    assert len(drawn) == 16
    east, north = compass_vector(bottom.bearing)
    for feet, along in drawn:
        here = float(bottom.depth_at(along * east, along * north))  # type: ignore[arg-type]
        assert here == pytest.approx(FOOT.to_si(feet))


def test_that_the_boat_on_the_profile_is_as_far_along_the_bearing_as_she_is(
    window: Window, live: Live
) -> None:
    page = lower_panel(window, 0)
    live.sail(8.0)
    boat = live.live_run.picture.boat
    assert boat.y > 25.0
    along = boat.x * math.sin(BEARING) + boat.y * math.cos(BEARING)
    plot = page.profile
    at = pixel(plot, along, 0.0) - QPoint(0, 4)
    image = plot.grab().toImage()
    assert image.pixelColor(at) == QColor(plot.look.boat)
