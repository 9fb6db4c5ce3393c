"""Every moment can be painted, in every look, and every line is in the picture."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QWidget

from app.catalog import Catalog
from app.look import LOOKS
from app.preferences import Preferences
from app.setup import Setup
from app.window import Window
from tests.app.by_hand import Live
from tests.app.stages import STAGES


def pixels(widget: QWidget) -> NDArray[np.uint8]:
    """What a widget paints, (height, width, 3)."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB888)
    # a copy: the image's own memory goes with it
    rows = np.array(image.constBits(), np.uint8).reshape(image.height(), -1)
    return rows[:, : 3 * image.width()].reshape(image.height(), image.width(), 3)


def count(picture: NDArray[np.uint8], color: QColor) -> int:
    """Pixels of exactly this color."""
    return int((picture == (color.red(), color.green(), color.blue())).all(axis=2).sum())


@pytest.mark.parametrize("name", STAGES)
def test_that_a_moment_is_painted_with_every_line_in_it(
    make_live: Callable[[Setup], Live],
    make_window: Callable[[Live], Window],
    demo: Setup,
    catalog: Catalog,
    preferences: Preferences,
    name: str,
) -> None:
    stage = STAGES[name]
    live = make_live(stage.setup(demo, catalog))
    page = make_window(live).page
    stage.play(live)
    assert len(page.cards) == len(live.rehearsal.scenario.rods)
    for number, card in enumerate(page.cards):
        color = preferences.look.line_color(number)
        for view in (page.side_view, page.depth_strip, card):
            assert count(pixels(view), color) > 10, (type(view).__name__, number)


@pytest.mark.parametrize("look", LOOKS)
def test_that_changing_the_look_repaints_everything(
    live: Live, window: Window, preferences: Preferences, look: str
) -> None:
    STAGES["lifting"].play(live)
    preferences.set_look("dark" if look == "light" else "light")
    preferences.set_look(look)
    for view in (window.page.side_view, window.page.depth_strip, *window.page.cards):
        picture = pixels(view)
        assert count(picture, QColor(LOOKS[look].panel)) > 100
        assert count(picture, LOOKS[look].line_color(0)) + count(picture, LOOKS[look].line_color(1))


@pytest.mark.parametrize("size", [(640, 480), (1280, 800), (2560, 1440)])
def test_that_small_and_large_windows_paint(
    live: Live, window: Window, size: tuple[int, int]
) -> None:
    STAGES["dropping"].play(live)
    window.resize(*size)
    picture = pixels(window)
    assert picture.shape == (window.height(), window.width(), 3)
    assert len(np.unique(picture.astype(np.int64) @ (65536, 256, 1))) > 50
