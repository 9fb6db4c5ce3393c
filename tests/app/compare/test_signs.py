"""Eight candidates can be told apart by dash and symbol, and seen on every ground."""

import pytest
from PySide6.QtWidgets import QApplication

from app.compare.candidates import MOST
from app.compare.signs import COUNT, color_of, dash_of, pen_of, sign_icon, sign_path
from app.ui.look import LOOKS, Look
from tests.app.ui.test_look import GRAPHICS, TEXT, contrast

every_look = pytest.mark.parametrize("look", LOOKS.values(), ids=lambda look: look.name)


def outline(number: int) -> tuple[tuple[float, float], ...]:
    path = sign_path(number, 20.0)
    return tuple((e.x, e.y) for e in (path.elementAt(k) for k in range(path.elementCount())))


def test_that_every_candidate_has_a_dash_and_a_symbol_of_its_own(qapp: QApplication) -> None:
    assert COUNT == MOST
    assert len({dash_of(number) for number in range(MOST)}) == MOST
    assert len({outline(number) for number in range(MOST)}) == MOST


@every_look
def test_that_every_candidate_has_a_color_of_its_own_that_can_be_seen(look: Look) -> None:
    colors = [color_of(number, look).name() for number in range(MOST)]
    assert len(set(colors)) == MOST
    for color in colors:
        assert contrast(color, look.panel) >= TEXT, color
        assert contrast(color, look.out_of_gear) >= GRAPHICS, color


@every_look
def test_that_the_first_six_are_those_of_the_lines_everywhere(look: Look) -> None:
    for number in range(6):
        assert pen_of(number, look) == look.line_pen(number)


@every_look
def test_that_icons_show_the_same_in_a_chosen_row(qapp: QApplication, look: Look) -> None:
    for number in range(MOST):
        icon = sign_icon(number, look)
        plain = icon.pixmap(44, 14).toImage()
        chosen = icon.pixmap(44, 14, icon.Mode.Selected).toImage()
        assert plain == chosen
