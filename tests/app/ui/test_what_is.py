"""Every large figure says what it is, and the manual says the same."""

from __future__ import annotations

import re

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.common.resources import asset
from app.live.line_card import LineCard
from app.shell.window import Window
from app.ui.figure import Figure
from app.ui.what_is import WHAT_IS


def glossary() -> dict[str, str]:
    """The manual's words and what it says of them."""
    text = asset("manual/6-words.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| (.+?) \| (.+?) \|$", text, re.MULTILINE)
    return dict(rows)


def test_that_the_manual_says_what_the_screen_says() -> None:
    said = glossary()
    for word, sentence in WHAT_IS.items():
        assert said[word] == sentence[0].lower() + sentence[1:].rstrip("."), word


def test_that_every_figure_of_the_log_says_what_it_is(window: Window) -> None:
    QTest.keyClick(window, Qt.Key.Key_F10)
    page = window.pages.log
    for widget, word in (
        (page.form.model, "by the model"), (page.works.order, "what to try next"),
        (page.works.hourly, "line-hour"), (page.works.panel, "line-drop"),
    ):  # fmt: skip
        assert widget.whatsThis() == WHAT_IS[word]


def test_that_every_large_figure_says_what_it_is(window: Window) -> None:
    for key in (Qt.Key.Key_F3, Qt.Key.Key_F5, Qt.Key.Key_F7, Qt.Key.Key_F2):
        QTest.keyClick(window, key)
    figures = window.findChildren(Figure)
    assert len(figures) >= 8
    for figure in figures:
        assert figure.whatsThis() in WHAT_IS.values(), figure.accessibleName()
        assert figure.toolTip(), figure.accessibleName()
    assert {card.whatsThis() for card in window.findChildren(LineCard)} == {WHAT_IS["line's card"]}
