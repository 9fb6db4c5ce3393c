"""Names from files are shown as they are written, wherever they stand."""

from __future__ import annotations

import ast
from collections.abc import Callable
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import Qt as Text
from PySide6.QtWidgets import (
    QApplication,
    QLabel,
    QTableWidget,
    QTreeWidget,
    QTreeWidgetItem,
    QWidget,
)

from app.common.units import FOOT
from app.compare.candidates import Candidate, Lineup
from app.gear.catalog import GROUPS
from app.gear.own_tackle import Item
from app.scenario.setup import Setup
from app.shell.page_stack import PAGES
from app.shell.window import Window
from app.ui.plain import Label, Message, as_tip
from tests.app.by_hand import Live

ROOT = Path(__file__).parents[3]

TAG = '<img src="x" width=99999> &amp; <b>y'
"""What Qt would take for HTML wherever it may guess."""

OWN_HTML = {"answer.py"}
"""Views that write HTML of their own, with every name escaped."""

SOURCES = {
    path: ast.parse(path.read_text(encoding="utf-8"), path.name)
    for path in sorted((ROOT / "app").rglob("*.py"))
    if "_assets" not in path.parts
}


def tagged(setup: Setup) -> Setup:
    """Everything with a name in a setup named with a tag."""
    return replace(
        setup,
        name=f"0 {TAG}",
        rods=tuple(replace(r, name=f"{k} {TAG}") for k, r in enumerate(setup.rods)),
        line_orders=tuple(
            replace(o, rod=f"{[r.name for r in setup.rods].index(o.rod)} {TAG}")
            for o in setup.line_orders
        ),
    )


def shown_tips(widget: QWidget) -> list[str]:
    """The tips of a widget and of its cells and headings."""
    tips = [widget.toolTip()]
    if isinstance(widget, QTableWidget):
        cells = [
            widget.item(row, column)
            for row in range(widget.rowCount())
            for column in range(widget.columnCount())
        ]
        cells += [widget.horizontalHeaderItem(c) for c in range(widget.columnCount())]
        cells += [widget.verticalHeaderItem(r) for r in range(widget.rowCount())]
        tips += [cell.toolTip() for cell in cells if cell is not None]
    if isinstance(widget, QTreeWidget):
        waiting: list[QTreeWidgetItem | None] = [widget.invisibleRootItem()]
        while waiting:
            item = waiting.pop()
            assert item is not None
            tips += [item.toolTip(c) for c in range(widget.columnCount())]
            waiting += [item.child(k) for k in range(item.childCount())]
    return tips


def rich(window: QWidget) -> list[str]:
    """Every text of a window in which a tag from a file would be followed."""
    found = []
    for widget in (window, *window.findChildren(QWidget)):
        if isinstance(widget, QLabel):
            guesses = widget.textFormat() == Qt.TextFormat.AutoText
            is_rich = widget.textFormat() == Qt.TextFormat.RichText
            guessed = guesses and Text.mightBeRichText(widget.text())
            if "<img" in widget.text() and (is_rich or guessed):
                found.append(f"label: {widget.text()[:80]}")
        found += [
            f"tip of {type(widget).__name__}: {tip[:80]}"
            for tip in shown_tips(widget)
            if "<img" in tip and Text.mightBeRichText(tip)
        ]
    return found


def plain_labels(window: QWidget) -> int:
    """How many labels, tips and cells have the tag's letters at all."""
    widgets = window.findChildren(QWidget)
    texts = [w.text() for w in widgets if isinstance(w, QLabel)]
    texts += [tip for w in widgets for tip in shown_tips(w)]
    return sum("img" in text for text in texts)


@pytest.fixture
def hostile(
    make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live], shoal: Setup
) -> Window:
    """The window over a scenario in which every name holds a tag."""
    return make_window(make_live(tagged(shoal)))


@pytest.mark.parametrize("page", [name for name, _, _ in PAGES])
def test_that_no_label_or_tip_of_a_page_follows_a_tag_in_a_name(hostile: Window, page: str) -> None:
    hostile.show_page(page)
    hostile.live_run.timer.stop()
    QApplication.processEvents()
    for background in {m.background for m in models(hostile)}:
        if page in ("timing", "compare") and hasattr(background, "deliver"):
            background.deliver()
    hostile.grab()
    assert rich(hostile) == []


def models(window: Window) -> list[Any]:
    """View-models with a worker, of the pages made so far."""
    pages = window.pages
    made = [window.live_run, window.planner, *vars(pages).values()]
    return [m for m in made if hasattr(m, "background")]


def test_that_names_with_tags_stand_on_the_pages_at_all(hostile: Window) -> None:
    assert TAG in hostile.scenario_name.text()
    assert TAG in hostile.windowTitle()
    assert plain_labels(hostile) >= 4


def test_that_candidates_with_tags_are_shown_as_written(hostile: Window) -> None:
    hostile.show_page("compare")
    comparison: Any = hostile.pages.comparison
    lineup: Lineup = comparison.lineup
    first: Candidate = lineup.candidates[0]
    named = replace(first, name=TAG)
    comparison.edit(replace(lineup, candidates=(named, *lineup.candidates[1:])), "name")
    QApplication.processEvents()
    assert rich(hostile) == []


def test_that_trainees_and_tackle_with_tags_are_shown_as_written(hostile: Window) -> None:
    hostile.show_page("drill")
    drill: Any = hostile.pages.drilling
    assert drill.rename('<img src="x"> <b>y')
    hostile.show_page("tackle")
    shelf = hostile.shelf
    for number, group in enumerate(GROUPS):
        entry = next(e for e in shelf.entries() if e.group == group)
        item = Item(group, entry.thing, {"default": TAG}).named(f"{number} {TAG}")
        assert shelf.add(item, "copy")
    hostile.show_page("measure")
    QApplication.processEvents()
    assert plain_labels(hostile) >= 4
    assert rich(hostile) == []


def test_that_what_is_to_be_undone_is_named_as_written(hostile: Window) -> None:
    rod = replace(hostile.document.setup.rods[0], line_out=FOOT.to_si(60.0))
    setup = replace(hostile.document.setup, rods=(rod, *hostile.document.setup.rods[1:]))
    assert hostile.document.edit(setup, "reel & line")
    assert hostile.document.undo_stack.undoText() == "reel && line"


def test_that_a_place_for_a_star_in_a_name_stays_in_the_title(
    make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live], demo: Setup
) -> None:
    window = make_window(make_live(replace(demo, name="tide[*]rip")))
    assert window.windowTitle().startswith("tide[*][*]rip")


@pytest.mark.parametrize("text", [TAG, "a < b & c", "&lt;", "5 > 3", "two\nlines <i>", "plain"])
def test_that_a_tip_reads_as_it_was_written(text: str) -> None:
    tip = as_tip(text)
    if Text.mightBeRichText(tip):
        inside = tip.removeprefix("<qt>").removesuffix("</qt>")
        assert unescape(inside.replace("<br>", "\n")) == text
        assert "<" not in inside.replace("<br>", "")
    else:
        assert tip == text


def test_that_labels_and_messages_are_plain(qapp: QApplication) -> None:
    assert Label(TAG).textFormat() == Qt.TextFormat.PlainText
    message = Message(TAG)
    assert message.textFormat() == Qt.TextFormat.PlainText
    assert message.text() == TAG


def test_that_no_view_makes_a_label_that_guesses() -> None:
    for path, tree in SOURCES.items():
        if path.name in {"plain.py", *OWN_HTML}:
            continue
        names = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
        assert "QLabel" not in names, f"{path.name}: use plain.Label"


def test_that_no_tip_is_set_but_a_literal_or_one_made_plain() -> None:
    for path, tree in SOURCES.items():
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
                continue
            if node.func.attr == "setToolTip":
                words = node.args[-1]
                ok = isinstance(words, ast.Constant) or (
                    isinstance(words, ast.Call) and getattr(words.func, "id", "") == "as_tip"
                )
                assert ok, f"{path.name}, line {node.lineno}: use plain.as_tip"


def test_that_every_message_box_says_how_its_text_is_meant() -> None:
    """A function that makes a QMessageBox sets its format, or has no names in it at all."""
    for path, tree in SOURCES.items():
        if path.name == "plain.py":
            continue
        for function in ast.walk(tree):
            if not isinstance(function, ast.FunctionDef):
                continue
            if function.name in ("show_keys", "show_about"):
                continue
            calls = [n for n in ast.walk(function) if isinstance(n, ast.Call)]
            made = any(getattr(c.func, "id", "") == "QMessageBox" for c in calls)
            formatted = any(getattr(c.func, "attr", "") == "setTextFormat" for c in calls)
            quick = [
                c.func.attr
                for c in calls
                if isinstance(c.func, ast.Attribute)
                and getattr(c.func.value, "id", "") == "QMessageBox"
            ]
            assert not made or formatted, f"{path.name}, {function.name}: use plain.Message"
            assert not quick, f"{path.name}, {function.name}: use plain.Message"
