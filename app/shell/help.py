"""The keys, and what the program is, each in a box that waits to be read."""

from __future__ import annotations

from html import escape
from itertools import zip_longest

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMessageBox, QWidget

from app.common.resources import settings_file, user_folder
from app.common.version import stepper, version
from app.common.words import CAUTION
from app.shell.page_stack import PAGES
from app.ui.look import px
from app.ui.steps import TIGHT, WIDE

KEYS = (
    *((key, f"The {title} page") for _, title, key in PAGES),
    ("Space", "Out of gear, or back in gear"),
    ("M", "A mark under the sounder, now"),
    ("P", "Pause, or go on"),
    ("R", "Start over"),
    ("1 to 8", "Run that many times as fast as life"),
    ("Up, Down", "Throttle up or down by 0.5 kn or mph"),
    ("Left, Right", "Wheel a step to port or starboard"),
    ("C", "Wheel amidships"),
    ("E", "One engine, or both"),
    ("W", "Automatic wait after a mark on or off"),
    ("A", "Automatic hold on or off"),
    ("H, then 1 to 6", "A line is hit: into the log (one line out: H alone)"),
    ("L", "A drop without a hit: into the log"),
    ("F", "Fit the side view and follow the boat"),
    ("Ctrl+E", "Edit the spread"),
    ("Tab", "On to the next control"),
    ("Enter", "Press the button, or open the list, that has the focus"),
    ("Esc", "Leave a field: the keys are the page's again"),
    ("Insert, Delete", "On the Compare page: add a candidate, take one away"),
    ("Ctrl+Z, Ctrl+Shift+Z", "Undo, redo a change of the setup"),
)

KEYS_WIDE = 740
"""Width of the list of keys, px."""


def show_keys(parent: QWidget) -> None:
    """The keys, in two lists side by side: a small screen is not as high as all of them."""
    cell = f"<td style='padding:{TIGHT}px {WIDE}px {TIGHT}px 0"
    half = -(-len(KEYS) // 2)
    told = [
        f"{cell}; white-space:nowrap'><b>{key}</b></td>{cell}'>{words}</td>" for key, words in KEYS
    ]
    pairs = zip_longest(told[:half], told[half:], fillvalue="")
    rows = "".join(f"<tr>{left}{right}</tr>" for left, right in pairs)
    box = QMessageBox(QMessageBox.Icon.NoIcon, "Keys", f"<table>{rows}</table>", parent=parent)
    box.setStyleSheet(f"QLabel {{ min-width: {round(px(KEYS_WIDE))}px }}")
    box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    box.open()


def show_about(parent: QWidget) -> None:
    """What the program is, and the cautions."""
    text = (
        "<h3>Leadfall</h3><p>Rehearse the drop: lines and lures computed as a towed line "
        "in three dimensions, from the rod tip to the lure.</p>"
        f"<p><b>{CAUTION}</b></p>"
        "<p>A boat lying without way can swing beam to sea; lines drift toward propellers as "
        "she loses way: look aft before you go in gear. Wash your hands after handling lead. "
        "Watch the weather. What you measure on your own boat counts for more than any "
        "figure here.</p><p>The demo scenarios are invented.</p>"
        f"<p>Version {version()}, {stepper()}. Free software under the MIT license.</p>"
        f"<p>Your tackle, measurements, drill results and log are kept in "
        f"{escape(str(user_folder()))}, settings in {escape(str(settings_file()))}.</p>"
    )
    box = QMessageBox(QMessageBox.Icon.NoIcon, "About Leadfall", text, parent=parent)
    box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    box.open()
