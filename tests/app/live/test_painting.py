"""Every moment can be painted, in every look, and every line is in the picture."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication, QWidget

from app.gear.catalog import Catalog
from app.live.line_card import LineCard
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.canvas import polygon
from app.ui.look import LOOKS
from app.ui.preferences import Preferences
from tests.app.by_hand import Live
from tests.app.live.stages import STAGES


def pixels(widget: QWidget) -> NDArray[np.uint32]:
    """What a widget paints, (height, width) of 0xffrrggbb."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    # a copy: the image's own memory goes with it
    return np.array(image.constBits(), np.uint8).view(np.uint32).reshape(image.height(), -1)


def count(picture: NDArray[np.uint32], color: QColor) -> int:
    """Pixels of exactly this color."""
    return int((picture == color.rgb()).sum())


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
    assert len(page.cards) == len(live.live_run.scenario.rods)
    views = pixels(page.side_view), pixels(page.depth_strip)
    for number, card in enumerate(page.cards):
        color = preferences.look.line_color(number)
        for view in (*views, pixels(card)):
            assert count(view, color) > 10, number


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
    assert picture.shape == (window.height(), window.width())
    assert len(np.unique(picture)) > 50


def test_that_a_line_without_points_is_drawn_as_nothing() -> None:
    none = np.zeros(0)
    assert polygon(none, none).size() == 0
    line = polygon(np.array([1.0, 2.0]), np.array([3.0, 4.0]))
    assert [(p.x(), p.y()) for p in line] == [(1.0, 3.0), (2.0, 4.0)]


def test_that_a_long_name_on_a_card_takes_the_place_of_the_dash(
    dressed: QApplication, preferences: Preferences
) -> None:
    card = LineCard(0, preferences)
    short, kept = card.named("port", 140.0)
    place, shown = card.named("starboard corner rod", 140.0)
    assert kept == "port"
    assert place.left() < short.left()
    assert len(shown) > 9
    assert place.right() < 140.0
