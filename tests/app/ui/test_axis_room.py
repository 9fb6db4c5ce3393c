"""Room beside a plot for the numbers and names on its axes."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication

from app.shell.window import Window
from app.ui.canvas import PaintedPlot
from app.ui.text_size import set_text_size

LARGER = 1.25


def room(plot: PaintedPlot) -> tuple[float, float]:
    """Width of the left axis and height of the bottom one, px."""
    return plot.getAxis("left").width(), plot.getAxis("bottom").height()


@pytest.mark.usefixtures("usual_text")
@pytest.mark.parametrize("name", ["rehearse", "timing", "ground"])
def test_that_axes_have_as_much_more_room_as_text_is_larger(window: Window, name: str) -> None:
    window.show_page(name)
    window.live_run.timer.stop()
    window.resize(1920, 1080)
    QApplication.processEvents()
    plots = getattr(window.pages, name).findChildren(PaintedPlot)
    assert plots
    before = [room(plot) for plot in plots]
    set_text_size(LARGER)
    QApplication.processEvents()
    for plot, usual in zip(plots, before, strict=True):
        assert room(plot) == pytest.approx([LARGER * size for size in usual], abs=1.0), plot.about


@pytest.mark.usefixtures("usual_text")
@pytest.mark.parametrize("scale", [1.0, LARGER, 1.5])
def test_that_the_highest_number_of_an_axis_is_whole(window: Window, scale: float) -> None:
    set_text_size(scale)
    window.resize(1280, 692)
    QApplication.processEvents()
    strip = window.page.depth_strip
    image = strip.grab().toImage()
    wide = round(strip.getAxis("left").width())
    assert {image.pixelColor(x, 0).name() for x in range(wide)} == {strip.look.panel}
    tall = strip.height() // 4
    assert any(
        image.pixelColor(x, y).name() != strip.look.panel
        for x in range(wide - 8)
        for y in range(tall)
    )
