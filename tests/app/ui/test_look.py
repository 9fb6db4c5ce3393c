"""What can be read and told apart, in every look.

Contrast is that of the Web Content Accessibility Guidelines 2.x (MEMORY of the
W3C text): (L1 + 0.05) / (L2 + 0.05) of the relative luminances, at least 4.5
for text and 3 for graphics that carry meaning.
"""

from dataclasses import fields
from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QDoubleSpinBox,
    QLineEdit,
    QPlainTextEdit,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.ui.glyphs import draw_turn, symbol_path
from app.ui.look import DASHES, LOOKS, SYMBOLS, Look, font, palette, set_palettes, style_sheet
from physics.simulation.scenario import MOST_RODS

TEXT, GRAPHICS = 4.5, 3.0

TEXT_ON = (
    ("text", "panel"),
    ("text", "ground"),
    ("text", "field"),
    ("faint", "field"),
    ("text", "out_of_gear"),
    ("text", "bottom"),
    ("faint", "panel"),
    ("faint", "ground"),
    ("faint", "out_of_gear"),
    ("calm", "panel"),
    ("alarm", "panel"),
    ("mark", "water_top"),
    ("on_accent", "accent"),
    ("on_choice", "choice"),
    ("on_alarm", "alarm"),
    ("panel", "text"),
)

GRAPHICS_ON = (
    ("accent", "panel"),
    ("choice", "panel"),
    ("choice", "ground"),
    ("rim", "panel"),
    ("rim", "field"),
    ("accent", "out_of_gear"),
    ("surface", "sky"),
    ("surface", "water_top"),
    ("bottom_edge", "water_deep"),
    ("bottom_edge", "panel"),
    ("boat", "sky"),
    ("boat", "water_top"),
    ("boat_trim", "sky"),
    ("mark", "water_deep"),
)

NAMES_OVER_WATER = 0.7
"""How much of ``water_top`` lies over the deep water behind a lure's name."""

EIGHT_BIT = 1.0 / 255.0

DEUTERANOPIA = (
    (0.367322, 0.860646, -0.227968),
    (0.280085, 0.672501, 0.047413),
    (-0.011820, 0.042940, 0.968881),
)
PROTANOPIA = (
    (0.152286, 1.052583, -0.204868),
    (0.114503, 0.786281, 0.099216),
    (-0.003882, -0.048116, 1.051998),
)
TRITANOPIA = (
    (1.255528, -0.076749, -0.178779),
    (-0.078411, 0.930809, 0.147602),
    (0.004733, 0.691367, 0.303900),
)
"""Machado, Oliveira & Fernandes 2009, severity 1, on linear RGB (MEMORY)."""

EYES = {"deutan": DEUTERANOPIA, "protan": PROTANOPIA, "tritan": TRITANOPIA}
every_eye = pytest.mark.parametrize("matrix", EYES.values(), ids=list(EYES))

TOLD_APART = 0.02
"""Distance in Oklab below which two colors side by side are hard to tell apart."""

every_look = pytest.mark.parametrize("look", LOOKS.values(), ids=list(LOOKS))


def linear(color: str) -> NDArray[np.float64]:
    """Linear RGB of a ``#rrggbb``, as sRGB (IEC 61966-2-1) defines it."""
    v = np.array([int(color[k : k + 2], 16) for k in (1, 3, 5)]) * EIGHT_BIT
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def over(top: str, below: str, share: float) -> str:
    """A color laid over another, letting 1 - ``share`` of it through."""
    values = [
        round(share * int(top[k : k + 2], 16) + (1.0 - share) * int(below[k : k + 2], 16))
        for k in (1, 3, 5)
    ]
    return "#" + "".join(f"{value:02x}" for value in values)


def contrast(a: str, b: str) -> float:
    low, high = sorted(float(linear(c) @ (0.2126, 0.7152, 0.0722)) for c in (a, b))
    return (high + 0.05) / (low + 0.05)


def oklab(rgb: NDArray[np.float64]) -> NDArray[np.float64]:
    """Oklab (Ottosson 2020, MEMORY) of linear RGB."""
    lms = np.array([
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]) @ np.clip(rgb, 0.0, 1.0)  # fmt: skip
    return np.array([
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]) @ np.cbrt(lms)  # fmt: skip


def test_that_contrast_of_black_on_white_is_21_and_of_a_color_on_itself_1() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0, rel=1e-12)
    assert contrast("#777777", "#777777") == 1.0
    # a published pair: the lightest gray that passes on white
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@every_look
def test_that_every_color_is_written_in_full(look: Look) -> None:
    for field in fields(look):
        value = getattr(look, field.name)
        for color in value if isinstance(value, tuple) else [value]:
            if field.name not in ("name", "title"):
                assert len(color) == 7
                assert QColor(color).isValid()


@every_look
@pytest.mark.parametrize(("front", "back"), TEXT_ON)
def test_that_text_can_be_read(look: Look, front: str, back: str) -> None:
    assert contrast(getattr(look, front), getattr(look, back)) >= TEXT


@every_look
@pytest.mark.parametrize(("front", "back"), GRAPHICS_ON)
def test_that_what_is_drawn_can_be_seen(look: Look, front: str, back: str) -> None:
    assert contrast(getattr(look, front), getattr(look, back)) >= GRAPHICS


@every_look
@pytest.mark.parametrize("name", ["primary", "lever"])
def test_that_a_large_button_that_is_off_can_be_read_and_looks_off(
    qtbot: QtBot, look: Look, name: str
) -> None:
    button = QPushButton("■■■")
    qtbot.addWidget(button)
    button.setObjectName(name)
    button.setStyleSheet(style_sheet(look))
    button.resize(200, 60)
    on, off = (middle_of(button, enabled=enabled) for enabled in (True, False))
    assert max(contrast(a, b) for a, b in combinations(sorted(off), 2)) >= TEXT
    assert on != off


def middle_of(button: QPushButton, *, enabled: bool) -> set[str]:
    """The colors across the middle of a button."""
    button.setEnabled(enabled)
    image = button.grab().toImage()
    return {image.pixelColor(x, 30).name() for x in range(20, 180)}


@every_look
def test_that_progress_can_be_seen(qtbot: QtBot, look: Look) -> None:
    bar = QProgressBar()
    qtbot.addWidget(bar)
    bar.setStyleSheet(style_sheet(look))
    bar.setTextVisible(False)
    bar.setValue(50)
    bar.resize(200, 8)
    image = bar.grab().toImage()
    done, to_come = (image.pixelColor(x, 4).name() for x in (50, 150))
    assert contrast(done, to_come) >= GRAPHICS


@every_look
def test_that_a_button_with_the_focus_has_a_frame_and_nothing_else(
    qtbot: QtBot, dressed: QApplication, look: Look
) -> None:
    page = QWidget()
    qtbot.addWidget(page)
    page.setStyleSheet(style_sheet(look))
    column = QVBoxLayout(page)
    buttons = (QPushButton("■■■"), QPushButton("■■■"))
    for button in buttons:
        column.addWidget(button)
    page.resize(300, 120)
    page.show()
    page.activateWindow()
    QApplication.processEvents()
    buttons[0].setFocus(Qt.FocusReason.TabFocusReason)
    QTest.keyClick(buttons[0], Qt.Key.Key_Tab)
    assert buttons[1].hasFocus()
    inside = buttons[1].rect().adjusted(4, 4, -4, -4)
    with_focus, without = (
        {image.pixelColor(x, y).name() for x in range(image.width()) for y in (0, 1, 2)}
        for image in (button.grab(inside).toImage() for button in reversed(buttons))
    )
    assert with_focus == without


@every_look
def test_that_all_that_takes_input_has_the_same_rim(
    qtbot: QtBot, dressed: QApplication, look: Look
) -> None:
    before = dressed.palette()
    set_palettes(dressed, look)
    page = QWidget()
    qtbot.addWidget(page)
    page.setStyleSheet(style_sheet(look))
    column = QVBoxLayout(page)
    kinds = (QLineEdit(), QComboBox(), QDoubleSpinBox(), QPlainTextEdit())
    to_read = QPlainTextEdit()
    to_read.setReadOnly(True)
    for kind in (*kinds, to_read):
        column.addWidget(kind)
    page.show()
    page.setFocus()
    image = page.grab().toImage()
    for kind in kinds:
        at = kind.geometry().center()
        assert image.pixelColor(kind.x(), at.y()).name() == look.rim, type(kind)
    middle = to_read.geometry().center()
    assert image.pixelColor(to_read.x(), middle.y()).name() == look.edge
    dressed.setPalette(before)


@every_look
def test_that_lines_can_be_seen_in_water_and_out_of_gear(look: Look) -> None:
    for color in look.lines:
        for back in (look.water_top, look.water_deep, look.panel, look.out_of_gear):
            assert contrast(color, back) >= GRAPHICS, (color, back)


@every_look
def test_that_names_in_a_lines_color_can_be_read_on_cards_and_over_water(look: Look) -> None:
    halo = over(look.water_top, look.water_deep, NAMES_OVER_WATER)
    for color in look.lines:
        assert contrast(color, look.panel) >= TEXT, color
        assert contrast(color, halo) >= TEXT, color


@every_eye
def test_that_the_color_blindness_matrices_leave_gray_gray(
    matrix: tuple[tuple[float, ...], ...],
) -> None:
    np.testing.assert_allclose(np.sum(matrix, axis=1), 1.0, rtol=0, atol=2e-6)


def test_that_every_line_has_a_dash_and_a_symbol_of_its_own(qapp: QApplication) -> None:
    assert len(set(DASHES)) == len(set(SYMBOLS)) == MOST_RODS
    outlines = [
        tuple((e.x, e.y) for e in (path.elementAt(k) for k in range(path.elementCount())))
        for path in (symbol_path(number, 20.0) for number in range(MOST_RODS))
    ]
    assert len(set(outlines)) == MOST_RODS


@every_look
def test_that_pens_carry_each_lines_dash_and_color(look: Look) -> None:
    pens = [look.line_pen(number) for number in range(MOST_RODS)]
    assert len({pen.color().name() for pen in pens}) == MOST_RODS
    assert len({tuple(pen.dashPattern()) for pen in pens}) == MOST_RODS
    assert look.line_pen(MOST_RODS).color() == pens[0].color()


@every_look
@every_eye
def test_that_every_two_lines_differ_in_color_to_color_blind_eyes(
    look: Look, matrix: tuple[tuple[float, ...], ...]
) -> None:
    seen = [oklab(np.array(matrix) @ linear(color)) for color in look.lines]
    assert len(seen) == MOST_RODS
    for one, other in combinations(range(MOST_RODS), 2):
        apart = np.linalg.norm(seen[one] - seen[other])
        # dots and bands have nothing but their color between the symbols at their ends
        assert apart > TOLD_APART, (one, other)
    # a spread of two needs neither dash nor symbol
    assert np.linalg.norm(seen[0] - seen[1]) > 5 * TOLD_APART


@every_look
def test_that_where_look_aheads_turn_lines_are_told_apart_without_color(
    qapp: QApplication, look: Look
) -> None:
    seen = set()
    for number in range(MOST_RODS):
        image = QImage(24, 24, QImage.Format.Format_RGB32)
        image.fill(QColor(look.panel))
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw_turn(painter, number, QPointF(12, 12), QColor(look.text), QColor(look.panel))
        painter.end()
        seen.add(bytes(image.constBits()))
    assert len(seen) == MOST_RODS


def test_that_a_look_dresses_palette_and_style_sheet(qapp: QApplication) -> None:
    for look in LOOKS.values():
        assert palette(look).window().color() == QColor(look.ground)
        assert look.accent in style_sheet(look)


def test_that_a_font_is_made_once_per_size(qapp: QApplication) -> None:
    assert font(9.0) is font(9.0)
    assert font(9.0, bold=True).bold()
    assert not font(9.0).bold()
