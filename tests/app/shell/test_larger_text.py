"""Larger text is larger everywhere, and there is room for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtWidgets import (
    QApplication,
)

from app.shell.window import Window
from app.ui.panel import Note
from app.ui.text_size import set_text_size
from tests.app.by_hand import Live, lay_out, lower_panel
from tests.app.shell.fit import (
    LARGER,
    LARGEST,
    LEAST_LARGER,
    cut_headings,
    every_page,
    scrolls_to_the_side,
    wrong,
)


@pytest.mark.usefixtures("usual_text")
def test_that_pages_made_while_text_is_larger_fit_without_scrolling_to_the_side(
    make_window: Callable[[Live], Window], live: Live
) -> None:
    set_text_size(LARGER)
    window = make_window(live)
    window.resize(*LEAST_LARGER)
    for name, page in every_page(window):
        assert wrong(page) == [], name
        assert not scrolls_to_the_side(page), name


@pytest.mark.usefixtures("usual_text")
def test_that_the_largest_text_needs_no_scrolling_to_the_side_in_a_small_window(
    window: Window,
) -> None:
    set_text_size(LARGEST)
    window.resize(*LEAST_LARGER)
    for name, page in every_page(window):
        assert not scrolls_to_the_side(page), name
    table = window.pages.compare.table
    window.show_page("compare")
    for column in range(table.columnCount()):
        table.rank(column)
        assert table.horizontalHeader().length() == table.viewport().width()
        assert list(cut_headings(table)) == []


@pytest.mark.usefixtures("usual_text")
def test_that_a_run_that_is_late_pushes_nothing_aside_however_large_the_text(
    window: Window, live: Live
) -> None:
    set_text_size(LARGEST)
    window.resize(*LEAST_LARGER)
    for _ in range(2):
        live.frame(1.0)
        QApplication.processEvents()
    assert "running late" in window.page.side_panel.right.text()
    assert not scrolls_to_the_side(window.page)
    note = window.page.side_panel.note
    assert isinstance(note, Note)
    assert note.shown_text().endswith("…")
    window.resize(1920, 1080)
    QApplication.processEvents()
    assert note.shown_text() == note.text()


@pytest.mark.usefixtures("usual_text")
def test_that_larger_text_is_larger_everywhere_at_once(window: Window) -> None:
    window.show_page("log")
    water = window.pages.log.today.water
    widgets = (window.menuBar(), window.page_row, window.page.helm.auto, water)
    before = [widget.font().pointSizeF() for widget in widgets]
    set_text_size(LARGER)
    QApplication.processEvents()
    assert [widget.font().pointSizeF() for widget in widgets] == [LARGER * x for x in before]


@pytest.mark.usefixtures("usual_text")
def test_that_columns_grow_with_the_text_and_room_left_goes_to_the_lure(window: Window) -> None:
    window.show_page("log")
    window.resize(2560, 1440)
    QApplication.processEvents()
    entries, lines = window.pages.log.table, window.pages.log.form.lines
    before = entries.columnWidth(0), lines.columnWidth(0)
    assert lines.horizontalHeader().length() == lines.viewport().width()
    assert lines.columnWidth(1) > 2 * lines.columnWidth(0)
    set_text_size(LARGER)
    QApplication.processEvents()
    assert entries.columnWidth(0) == round(LARGER * before[0])
    assert lines.columnWidth(0) == round(LARGER * before[1])


@pytest.mark.usefixtures("usual_text")
def test_that_rows_of_tackle_are_as_high_as_larger_text(window: Window) -> None:
    window.show_page("tackle")
    window.live_run.timer.stop()
    tree = window.pages.tackle.list.tree
    set_text_size(LARGEST)
    QApplication.processEvents()
    head = tree.topLevelItem(0)
    assert head is not None
    for item in (head, head.child(0)):
        assert item is not None
        assert tree.visualItemRect(item).height() >= tree.fontMetrics().height()


@pytest.mark.usefixtures("usual_text")
@pytest.mark.parametrize("scale", [1.0, LARGER])
def test_that_the_controls_of_a_line_fit_over_the_page(window: Window, scale: float) -> None:
    set_text_size(scale)
    window.resize(1280, 692)
    QApplication.processEvents()
    page = window.page
    page.overlay.open(0, page.cards[0])
    QApplication.processEvents()
    assert wrong(page.overlay) == []
    assert page.rect().contains(page.overlay.geometry())
    set_text_size(1.0 if scale == LARGER else LARGER)
    assert not page.overlay.isVisible()


@pytest.mark.usefixtures("usual_text")
def test_that_lines_added_later_have_controls_as_large(window: Window, live: Live) -> None:
    set_text_size(LARGER)
    page = lower_panel(window, 4)
    setup = live.document.setup
    more = replace(setup.rods[0], name="third", abeam=0.5)
    live.document.edit(replace(setup, rods=(*setup.rods, more)), "a line")
    live.settle()
    lay_out()
    assert len(page.handling.controls.rows) == len(setup.rods) + 1
    assert wrong(page.handling) == []
