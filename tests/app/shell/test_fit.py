"""Pages fit: no text is cut, nothing lies over something else, no control is out of reach.

At every size of the window, with text of the usual size and larger; what finds no
room is scrolled to.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QApplication,
    QScrollArea,
    QWidget,
)

from app.shell.page_stack import PAGES
from app.shell.place import within
from app.shell.window import Window
from app.ui.axis_names import CRAMPED
from app.ui.scroll import Column
from app.ui.text_size import set_text_size
from tests.app.by_hand import Live, lay_out, lower_panel
from tests.app.live.stages import lines
from tests.app.shell.fit import (
    LARGER,
    LARGEST,
    LEAST_LARGER,
    scrolls_to_the_side,
    wrong,
)

SIZES = ((1180, 660), (1280, 720), (1366, 768), (1920, 1080), (2560, 1440))


@pytest.mark.usefixtures("usual_text")
def test_that_every_page_fits_at_every_size(
    make_window: Callable[[Live], Window], live: Live
) -> None:
    window = make_window(live)
    for scale in (1.0, LARGER):
        set_text_size(scale)
        found: dict[str, list[str]] = {}
        for name, _, _ in PAGES:
            window.show_page(name)
            window.live_run.timer.stop()
            for size in SIZES:
                if scale == LARGER and size < LEAST_LARGER:
                    continue
                window.resize(*size)
                lay_out()
                assert window.size().toTuple() == size, f"{name} makes the window larger"
                page: QWidget = getattr(window.pages, name)
                problems = [*wrong(page), *wrong(window.page_row)]
                found.setdefault(name, []).extend(f"{size}: {text}" for text in problems)
        failed = {name: texts for name, texts in found.items() if texts}
        shown = "\n".join(f"{name} {text}" for name, texts in failed.items() for text in texts)
        assert not failed, f"text {scale:g} times as large:\n{shown}"


@pytest.mark.usefixtures("usual_text")
def test_that_no_tool_of_the_ground_makes_the_page_wider_once_it_was_seen(
    window: Window, live: Live
) -> None:
    live.document.edit(lines(live.document.setup, 6), "six lines")
    live.settle()
    set_text_size(LARGEST)
    window.resize(*LEAST_LARGER)
    page = lower_panel(window, 0)
    for number in range(page.tabs.count()):
        page.show_lower(number)
        lay_out()
        assert not scrolls_to_the_side(page), page.tabs.tabText(number)


@pytest.mark.usefixtures("usual_text")
def test_that_all_fields_of_all_tackle_have_room_in_a_small_window(window: Window) -> None:
    page = window.pages.tackle
    window.show_page("tackle")
    window.live_run.timer.stop()
    for size, scale in ((SIZES[0], 1.0), (LEAST_LARGER, LARGER), (LEAST_LARGER, LARGEST)):
        set_text_size(scale)
        window.resize(*size)
        for name in ("27 lb leadcore", "sinking plug, 5 in", "skiff, 18 ft, one engine"):
            page.list.choose(name)
            for seldom in (False, True):
                page.form.seldom.setChecked(seldom)
                lay_out()
                (area,) = page.form.findChildren(QScrollArea)
                assert area.widget().width() <= area.viewport().width(), (size, scale, name)
                assert not scrolls_to_the_side(page), (size, scale, name)


@pytest.mark.usefixtures("usual_text")
def test_that_cards_of_six_lines_stand_in_two_rows_where_one_has_no_room(
    window: Window, live: Live
) -> None:
    live.document.edit(lines(live.document.setup, 6), "six lines")
    live.settle()
    set_text_size(LARGER)
    for width, rows in ((1280, 2), (1920, 1)):
        window.resize(width, 720)
        lay_out()
        assert len({card.y() for card in window.page.cards}) == rows
        assert all(card.width() >= card.minimumSizeHint().width() for card in window.page.cards)
        assert not scrolls_to_the_side(window.page)
        assert window.page.side_view.height() >= CRAMPED
        assert wrong(window.page) == []


def test_that_what_is_said_moves_nothing_and_goes_at_a_click(window: Window) -> None:
    before = window.pages.geometry()
    window.say("something was done")
    QApplication.processEvents()
    said = window.statusBar()
    assert said.isVisible()
    assert window.pages.geometry() == before
    window.say("something else that takes a good many more words to tell " * 9)
    assert window.rect().contains(said.geometry())
    QTest.mouseClick(said, Qt.MouseButton.LeftButton)
    assert not said.isVisible()


def test_that_the_menus_are_all_there_in_a_narrow_window(window: Window) -> None:
    window.scenario_name.setText("a scenario with a name that has no room " * 4)
    window.resize(1180, 660)
    QApplication.processEvents()
    bar = window.menuBar()
    rights = [bar.actionGeometry(action).right() for action in bar.actions()]
    assert all(0 < right <= bar.width() for right in rights)
    assert window.width() == 1180


@pytest.mark.parametrize(
    ("frame", "kept"),
    [
        (QRect(100, 50, 1280, 830), QRect(86, 0, 1280, 728)),
        (QRect(-30, -10, 900, 700), QRect(0, 0, 900, 700)),
        (QRect(200, 10, 900, 700), QRect(200, 10, 900, 700)),
        (QRect(3000, 2000, 2000, 900), QRect(0, 0, 1366, 728)),
    ],
)
def test_that_the_window_lies_within_what_the_screen_has_to_give(frame: QRect, kept: QRect) -> None:
    room = QRect(0, 0, 1366, 728)
    assert within(frame, room) == kept
    assert room.contains(kept)


def test_that_a_page_asks_nothing_of_the_window(window: Window) -> None:
    least = window.minimumSizeHint()
    for name, _, _ in PAGES:
        window.show_page(name)
        window.live_run.timer.stop()
    assert window.minimumSizeHint() == least
    assert window.page.mapTo(window, QPoint(0, 0)).y() < 60


def test_that_the_helm_of_two_lines_needs_no_scroll_bar_on_a_small_screen(window: Window) -> None:
    window.resize(1280, 692)
    QApplication.processEvents()
    area = window.page.helm.parent().parent()
    assert isinstance(area, Column)
    assert not area.verticalScrollBar().isVisible()


@pytest.mark.parametrize("size", [(1920, 1052), (2560, 1412)])
def test_that_cards_fill_their_row(window: Window, live: Live, size: tuple[int, int]) -> None:
    window.resize(*size)
    QApplication.processEvents()
    for count in (2, 1):
        live.document.edit(lines(live.document.setup, count), "lines")
        live.settle()
        QApplication.processEvents()
        cards = window.page.cards
        row = cards[0].parentWidget()
        assert len(cards) == count
        assert row is not None
        assert sum(card.width() for card in cards) > 0.97 * row.width()
