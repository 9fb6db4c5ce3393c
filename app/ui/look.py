"""Palette, pens and fonts for the three looks, made once per look.

The line colors are those of Okabe & Ito's color-blind-safe set (jfly, 2002,
values from memory), lightened or darkened for the background; every line also
has a dash and a symbol of its own, so color is never needed to tell them apart.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QPalette, QPen
from PySide6.QtWidgets import QApplication

from app.common.resources import asset

DASHES: tuple[tuple[float, ...], ...] = (
    (),
    (7.0, 3.5),
    (9.0, 3.0, 1.5, 3.0),
    (3.0, 2.0),
    (13.0, 3.0),
    (7.0, 2.5, 1.5, 2.5, 1.5, 2.5),
)
"""Dash pattern of each line of the spread, in pen widths; none is a solid line."""

SYMBOLS = ("circle", "square", "triangle", "diamond", "pentagon", "star")
"""Symbol of each line of the spread, in order."""


@dataclass(frozen=True, slots=True)
class Look:
    """One color scheme; every field a ``#rrggbb``.

    The ``accent`` is the gear lever's and what it did; the quieter ``choice`` is what is chosen,
    ticked, in front or has the focus. The ``rim`` is about what can be typed into or chosen from.
    """

    name: str
    title: str
    ground: str
    panel: str
    field: str
    edge: str
    rim: str
    text: str
    faint: str
    accent: str
    on_accent: str
    choice: str
    on_choice: str
    sky: str
    water_top: str
    water_deep: str
    surface: str
    bottom: str
    bottom_edge: str
    out_of_gear: str
    alarm: str
    on_alarm: str
    calm: str
    mark: str
    boat: str
    boat_trim: str
    lines: tuple[str, ...]

    def line_color(self, number: int) -> QColor:
        """Color of the number-th line of the spread."""
        return QColor(self.lines[number % len(self.lines)])

    def line_pen(self, number: int, width: float = 2.0) -> QPen:
        """Pen of the number-th line: its color and dash."""
        pen = QPen(self.line_color(number), width)
        dashes = DASHES[number % len(DASHES)]
        if dashes:
            pen.setDashPattern(list(dashes))
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        return pen

    def track_pen(self, number: int) -> QPen:
        """Pen of where a lure has been: the line's color, thin and pale."""
        color = self.line_color(number)
        color.setAlphaF(0.5)
        return QPen(color, 1.0)


LIGHT = Look(
    name="light",
    title="Light",
    ground="#f3f1ea",
    panel="#fffefb",
    field="#ffffff",
    edge="#d9d4c7",
    rim="#8795a1",
    text="#1b2733",
    faint="#56636f",
    accent="#a85c00",
    on_accent="#ffffff",
    choice="#3f5a68",
    on_choice="#ffffff",
    sky="#fffefb",
    water_top="#e4eff1",
    water_deep="#bfd6da",
    surface="#5c7a86",
    bottom="#cdb98f",
    bottom_edge="#7d683c",
    out_of_gear="#f6dfb6",
    alarm="#b3261e",
    on_alarm="#ffffff",
    calm="#2f6b45",
    mark="#1b2733",
    boat="#24313d",
    boat_trim="#8795a1",
    lines=("#006ba7", "#ac4609", "#007454", "#a63f7e", "#5b4db5", "#7a6200"),
)

DARK = Look(
    name="dark",
    title="Dark",
    ground="#10161b",
    panel="#182128",
    field="#2a3742",
    edge="#2c3842",
    rim="#7d8891",
    text="#e8e3d6",
    faint="#a3adb5",
    accent="#f0a53a",
    on_accent="#171207",
    choice="#9db4c0",
    on_choice="#10161b",
    sky="#182128",
    water_top="#173440",
    water_deep="#0e232d",
    surface="#8fb0bd",
    bottom="#4a402d",
    bottom_edge="#a99262",
    out_of_gear="#3d2f14",
    alarm="#ff7b6e",
    on_alarm="#2a0602",
    calm="#7fd09b",
    mark="#f4efe2",
    boat="#d8d3c6",
    boat_trim="#7d8891",
    lines=("#56b4e9", "#ff9d5c", "#3ecf9f", "#e78bc0", "#b3a7ff", "#e3cc4a"),
)

SUN = Look(
    name="sun",
    title="Bright sun",
    ground="#ffffff",
    panel="#ffffff",
    field="#ffffff",
    edge="#000000",
    rim="#000000",
    text="#000000",
    faint="#202020",
    accent="#000000",
    on_accent="#ffffff",
    choice="#404a52",
    on_choice="#ffffff",
    sky="#ffffff",
    water_top="#ffffff",
    water_deep="#f0f6f8",
    surface="#000000",
    bottom="#d8d8d8",
    bottom_edge="#000000",
    out_of_gear="#ffe08a",
    alarm="#c00000",
    on_alarm="#ffffff",
    calm="#00572c",
    mark="#000000",
    boat="#000000",
    boat_trim="#606060",
    lines=("#0050a0", "#b03a00", "#006244", "#8a1f63", "#3d2aa0", "#5a4700"),
)

LOOKS = {look.name: look for look in (LIGHT, DARK, SUN)}


_text = {"scale": 1.0}


def text_scale() -> float:
    """How many times as large as usual text is shown."""
    return _text["scale"]


def set_text_scale(scale: float) -> None:
    """Show text so many times as large as usual; ``text_size.set_text_size`` sees to the rest."""
    _text["scale"] = scale
    font.cache_clear()


def px(size: float) -> float:
    """A size in px that goes with the text."""
    return size * _text["scale"]


def tabular(face: QFont) -> QFont:
    """The face with figures of equal width, where it has them: numbers that change do not dance."""
    out = QFont(face)
    out.setFeature(QFont.Tag("tnum"), 1)
    return out


@cache
def font(points: float, *, bold: bool = False) -> QFont:
    """The application's font at a size, with figures of equal width."""
    out = tabular(QApplication.font())
    out.setPointSizeF(points * _text["scale"])
    out.setBold(bold)
    return out


def weight(*, bold: bool) -> QFont:
    """A weight alone, for a part of a table: its size is the table's, whatever that becomes."""
    out = QFont()
    out.setBold(bold)
    return out


def palette(look: Look) -> QPalette:
    """Qt's palette for a look."""
    out = QPalette()
    role = QPalette.ColorRole
    for key, value in (
        (role.Window, look.ground),
        (role.WindowText, look.text),
        (role.Base, look.field),
        (role.AlternateBase, look.ground),
        (role.Text, look.text),
        (role.Button, look.panel),
        (role.ButtonText, look.text),
        (role.ToolTipBase, look.panel),
        (role.ToolTipText, look.text),
        (role.PlaceholderText, look.faint),
        (role.Highlight, look.choice),
        (role.HighlightedText, look.on_choice),
        (role.Link, look.choice),
        (role.Accent, look.choice),
        (role.Light, look.panel),
        (role.Midlight, look.edge),
        (role.Mid, look.edge),
        (role.Dark, look.boat_trim),
        (role.Shadow, look.edge),
    ):
        out.setColor(key, QColor(value))
    disabled = QPalette.ColorGroup.Disabled
    for key in (role.WindowText, role.Text, role.ButtonText):
        faded = QColor(look.faint)
        faded.setAlphaF(0.6)
        out.setColor(disabled, key, faded)
    return out


RIMMED = ("QAbstractSpinBox", "QComboBox")
"""Kinds of widgets whose rim the style draws by itself."""

RIM_DARKER = 140
"""How much darker than the window the style draws a rim, per cent."""


def set_palettes(application: QApplication, look: Look) -> None:
    """Take a look's colors where its style sheet does not reach."""
    application.setPalette(palette(look))
    rimmed = palette(look)
    # the style makes a rim of the window's color
    rimmed.setColor(QPalette.ColorRole.Window, QColor(look.rim).lighter(RIM_DARKER))
    for kind in RIMMED:
        # the stubs ask for bytes, the library takes none
        application.setPalette(rimmed, kind)  # type: ignore[arg-type]


def style_sheet(look: Look) -> str:
    """The window's style sheet for a look."""
    tick = "tick-light.svg" if QColor(look.on_choice).lightnessF() > 0.5 else "tick-dark.svg"
    return f"""
    QWidget {{ color: {look.text}; }}
    QMainWindow, QDialog {{ background: {look.ground}; }}
    QFrame#panel {{ background: {look.panel}; border: 1px solid {look.edge};
        border-radius: 8px; }}
    QLabel {{ background: transparent; }}
    QDialogButtonBox {{ dialogbuttonbox-buttons-have-icons: 0; }}
    QLabel[quiet="true"] {{ color: {look.faint}; }}
    QLabel[alarm="true"] {{ color: {look.on_alarm}; background: {look.alarm};
        border-radius: 4px; padding: 2px 8px; font-weight: bold; }}
    QLabel[calm="true"] {{ color: {look.faint}; padding: 2px 8px; }}
    QPushButton, QToolButton {{ background: {look.panel}; border: 1px solid {look.edge};
        border-radius: 6px; padding: 5px 12px; outline: none; }}
    QPushButton:hover, QToolButton:hover {{ border-color: {look.choice}; }}
    QPushButton:focus, QToolButton:focus {{ border: 2px solid {look.choice}; padding: 4px 11px; }}
    QPushButton:checked, QToolButton:checked {{ background: {look.choice};
        color: {look.on_choice}; border-color: {look.choice}; }}
    QPushButton:checked:focus, QToolButton:checked:focus {{
        border: 3px double {look.on_choice}; padding: 3px 10px; }}
    QPushButton[small="true"] {{ padding: 2px 4px; }}
    QPushButton[small="true"]:focus {{ padding: 1px 3px; }}
    QPushButton[small="true"]:checked:focus {{ padding: 0 2px; }}
    QPushButton:disabled, QToolButton:disabled {{ color: {look.faint};
        border: 1px dashed {look.edge}; }}
    QPushButton#lever {{ background: {look.accent}; color: {look.on_accent}; border: none;
        border-radius: 8px; padding: 12px; font-weight: bold; }}
    QPushButton#lever:hover {{ border: 2px solid {look.text}; padding: 10px; }}
    QPushButton#lever:focus {{ border: 3px double {look.on_accent}; padding: 9px; }}
    QPushButton#lever[out="true"] {{ background: {look.text}; color: {look.panel}; }}
    QPushButton#lever[out="true"]:focus {{ border-color: {look.panel}; }}
    QPushButton#primary {{ background: {look.choice}; color: {look.on_choice}; border: none;
        border-radius: 8px; padding: 12px; font-weight: bold; }}
    QPushButton#primary:hover {{ border: 2px solid {look.text}; padding: 10px; }}
    QPushButton#primary:focus {{ border: 3px double {look.on_choice}; padding: 9px; }}
    QPushButton#primary[row="true"] {{ border-radius: 6px; padding: 5px 13px; }}
    QPushButton#primary[row="true"]:hover {{ padding: 3px 11px; }}
    QPushButton#primary[row="true"]:focus {{ padding: 2px 10px; }}
    QPushButton#primary:disabled, QPushButton#lever:disabled {{
        background: {look.ground}; color: {look.faint}; border: 1px dashed {look.edge};
        padding: 11px; }}
    QPushButton#primary[row="true"]:disabled {{ padding: 4px 12px; }}
    QLineEdit, QPlainTextEdit {{ background: {look.field}; border: 1px solid {look.rim};
        border-radius: 4px; padding: 3px 6px; }}
    QPlainTextEdit[readOnly="true"] {{ background: {look.panel}; border-color: {look.edge}; }}
    QLineEdit:focus, QPlainTextEdit:focus {{ border: 1px solid {look.choice}; }}
    QLineEdit:disabled, QPlainTextEdit:disabled {{ color: {look.faint};
        border: 1px dashed {look.rim}; }}
    QComboBox:disabled {{ color: {look.faint}; }}
    QAbstractSpinBox QLineEdit {{ border: none; background: transparent; padding: 0; }}
    QComboBox QAbstractItemView {{ background: {look.panel}; border: 1px solid {look.edge};
        selection-background-color: {look.choice}; selection-color: {look.on_choice}; }}
    QWidget#pageRow {{ background: {look.ground}; }}
    QToolButton#page {{ background: transparent; border: none; border-bottom: 3px solid transparent;
        border-radius: 0; padding: 4px 14px 3px 14px; }}
    QToolButton#page:hover {{ border-bottom-color: {look.edge}; }}
    QToolButton#page:focus {{ border: none; border-bottom: 3px solid {look.text};
        padding: 4px 14px 3px 14px; }}
    QToolButton#page:checked {{ background: transparent; color: {look.text};
        border-bottom-color: {look.choice}; font-weight: bold; }}
    QToolButton#page:checked:focus {{ background: {look.choice}; color: {look.on_choice};
        border: none; border-bottom: 3px solid {look.choice}; padding: 4px 14px 3px 14px; }}
    QTabBar::tab {{ background: transparent; color: {look.faint}; border: none;
        border-bottom: 3px solid transparent; padding: 4px 10px 3px 10px; }}
    QTabBar::tab:hover {{ border-bottom-color: {look.edge}; }}
    QTabBar::tab:selected {{ color: {look.text}; border-bottom-color: {look.choice}; }}
    QTabBar::tab:selected:focus {{ border-bottom-color: {look.text}; }}
    QTabBar QToolButton {{ padding: 0; border-radius: 0; }}
    QProgressBar {{ background: {look.ground}; border: 1px solid {look.edge};
        border-radius: 4px; }}
    QProgressBar::chunk {{ background: {look.choice}; border-radius: 4px; }}
    QToolButton#fold {{ background: transparent; border: none; padding: 1px 0;
        margin-left: -5px; font-weight: bold; }}
    QToolButton#why {{ padding: 2px 8px; }}
    QToolButton#why:focus {{ padding: 1px 7px; }}
    QToolButton#why:checked:focus {{ padding: 0 6px; }}
    QToolButton#fold:focus {{ border: none; text-decoration: underline; padding: 1px 0; }}
    QToolButton#fold:checked {{ background: transparent; color: {look.text}; }}
    QLabel#scenario {{ color: {look.faint}; padding: 4px 12px; }}
    QStatusBar {{ color: {look.text}; background: {look.panel}; border: 1px solid {look.choice};
        border-radius: 6px; }}
    QStatusBar::item {{ border: none; }}
    QCheckBox {{ background: transparent; spacing: 6px; }}
    QCheckBox::indicator {{ width: 13px; height: 13px; border: 1px solid {look.faint};
        border-radius: 3px; background: {look.panel}; }}
    QCheckBox::indicator:checked {{ background: {look.choice}; border: 1px solid {look.choice};
        image: url("{asset(tick).as_posix()}"); }}
    QCheckBox::indicator:focus {{ border-color: {look.choice}; }}
    QTreeWidget {{ background: {look.panel}; border: 1px solid {look.edge}; border-radius: 4px; }}
    QMenuBar {{ background: {look.ground}; }}
    QMenuBar::item {{ background: transparent; padding: 5px 10px; }}
    QMenuBar::item:selected {{ background: {look.edge}; border-radius: 4px; }}
    QMenu {{ background: {look.panel}; border: 1px solid {look.edge}; padding: 4px; }}
    QMenu::item {{ padding: 5px 26px 5px 22px; border-radius: 4px; }}
    QMenu::item:selected {{ background: {look.choice}; color: {look.on_choice}; }}
    QMenu::item:disabled {{ color: {look.faint}; }}
    QMenu::separator {{ height: 1px; background: {look.edge}; margin: 4px 8px; }}
    QToolTip {{ background: {look.panel}; color: {look.text}; border: 1px solid {look.edge};
        padding: 4px; }}
    QScrollArea {{ background: transparent; border: none; }}
    QSplitter::handle {{ background: transparent; }}
    QHeaderView::section {{ background: {look.ground}; color: {look.faint}; border: none;
        padding: 4px 3px; }}
    QTableView {{ background: {look.panel}; border: 1px solid {look.edge};
        gridline-color: {look.edge}; }}
    QTableView[bare="true"] {{ border: none; }}
    QTableView[bare="true"] QHeaderView {{ background: transparent; border: none; }}
    QTableView[bare="true"] QTableCornerButton::section {{ background: {look.ground};
        border: none; }}
    """
