"""Pages fit: no text is cut, nothing lies over something else, no control is out of reach.

At every size of the window, with text of the usual size and larger; what finds no
room is scrolled to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QAbstractSpinBox,
    QApplication,
    QCheckBox,
    QComboBox,
    QLabel,
    QLineEdit,
    QRubberBand,
    QScrollArea,
    QScrollBar,
    QSizeGrip,
    QSplitterHandle,
    QTableView,
    QWidget,
)

from app.live.line_overlay import LineOverlay
from app.shell.page_row import Elided
from app.shell.page_stack import PAGES
from app.shell.place import within
from app.shell.window import Window
from app.ui.axis_names import CRAMPED
from app.ui.columns import MARGIN
from app.ui.panel import Note
from app.ui.scroll import Column, Whole
from app.ui.text_size import set_text_size
from tests.app.by_hand import Live, lower_panel
from tests.app.live.stages import lines

SIZES = ((1180, 660), (1280, 720), (1366, 768), (1920, 1080), (2560, 1440))

LARGER = 1.25
"""Text that much larger needs a window of at least LEAST_LARGER."""

LARGEST = 1.5

LEAST_LARGER = (1280, 720)

KNOWN: dict[float, dict[str, str]] = {1.0: {}, LARGER: {}}
"""Pages that do not fit yet, by size of text, with what is wrong; one that fits must go."""

SLACK = 1
"""Rounding of layouts, px."""


def told(widget: QWidget) -> str:
    """Which widget, for a person."""
    words = widget.accessibleName() or getattr(widget, "text", lambda: "")()
    return f"{type(widget).__name__} “{words[:40]}”"


def parts(page: QWidget) -> Iterator[QWidget]:
    """All in sight on a page, but for the parts Qt makes its widgets of."""
    for widget in page.findChildren(QWidget):
        inner = isinstance(
            widget.parent(), QAbstractSpinBox | QComboBox | QAbstractItemView | QLineEdit
        )
        own = isinstance(widget, QScrollBar | QSplitterHandle | QSizeGrip | QRubberBand)
        if widget.isVisible() and widget.window() is page.window() and not (inner or own):
            yield widget


def cut(widget: QWidget) -> str:
    """What of a widget's own text has no room, or nothing."""
    metrics = widget.fontMetrics()
    if isinstance(widget, QLabel) and widget.text() and not isinstance(widget, Elided):
        if widget.textFormat() == Qt.TextFormat.RichText:
            return ""
        wide = widget.contentsRect().width() - 2 * widget.margin()
        if widget.wordWrap():
            must = widget.heightForWidth(widget.width())
            return (
                f"needs {must} px, has {widget.height()}" if must > widget.height() + SLACK else ""
            )
        must = max(metrics.horizontalAdvance(line) for line in widget.text().split("\n"))
        if must > wide + SLACK or metrics.height() > widget.height() + SLACK:
            return f"needs {must}x{metrics.height()} px, has {wide}x{widget.height()}"
    if isinstance(widget, QAbstractButton) and widget.text():
        mark = 20 if isinstance(widget, QCheckBox) else 4
        must = metrics.horizontalAdvance(widget.text().replace("&", "")) + mark
        if must > widget.width() + SLACK or metrics.height() > widget.height() + SLACK:
            return f"needs {must}x{metrics.height()} px, has {widget.width()}x{widget.height()}"
    if isinstance(widget, QAbstractSpinBox):
        must = metrics.horizontalAdvance(widget.text())
        edit = widget.findChild(QLineEdit)
        assert edit is not None
        if must > edit.width() + SLACK:
            return f"needs {must} px, has {edit.width()}"
    return ""


def cut_headings(table: QTableView) -> Iterator[str]:
    """Headings of a table, over columns and beside rows, that have no room."""
    across, model = Qt.Orientation.Horizontal, table.model()
    for way, header in (
        (across, table.horizontalHeader()), (Qt.Orientation.Vertical, table.verticalHeader())
    ):  # fmt: skip
        metrics = QFontMetrics(header.font())
        for part in range(0 if header.isHidden() else header.count()):
            words = str(model.headerData(part, way) or "").split("\n")
            must = (
                max(metrics.horizontalAdvance(line) for line in words) + 2 * MARGIN,
                metrics.height() * len(words),
            )
            has = (header.sectionSize(part), header.height())
            if way != across:
                has = (header.width(), header.sectionSize(part))
            if (
                header.isSectionHidden(part)
                or header.textElideMode() == Qt.TextElideMode.ElideMiddle
            ):
                continue
            if must[0] > has[0] + SLACK or must[1] > has[1] + SLACK:
                yield f"heading “{' '.join(words)}” needs {must}, has {has} px"


def askew(table: QTableView) -> Iterator[str]:
    """Headings that stand to another side than what is under them."""
    model, role = table.model(), Qt.ItemDataRole.TextAlignmentRole
    for column in range(model.columnCount() if model.rowCount() else 0):
        words = model.headerData(column, Qt.Orientation.Horizontal)
        head = model.headerData(column, Qt.Orientation.Horizontal, role)
        under = model.index(0, column).data(role)
        sides = [
            Qt.AlignmentFlag(usual if side is None else side)
            & Qt.AlignmentFlag.AlignHorizontal_Mask
            for side, usual in (
                (head, table.horizontalHeader().defaultAlignment()),
                (under, Qt.AlignmentFlag.AlignLeft),
            )
        ]
        if words and not table.isColumnHidden(column) and sides[0] != sides[1]:
            yield f"heading “{words}” stands to the {sides[0]}, its column to the {sides[1]}"


def every_page(window: Window) -> Iterator[tuple[str, QWidget]]:
    """Each page in front, and laid out, by its name."""
    for name, _, _ in PAGES:
        window.show_page(name)
        window.live_run.timer.stop()
        # what is laid out may ask for another layout
        for _ in range(3):
            QApplication.processEvents()
        yield name, getattr(window.pages, name)


def scrolls_to_the_side(page: QWidget) -> bool:
    """Whether a page has less room across than it needs."""
    holder = page.parentWidget()
    held = None if holder is None else holder.parentWidget()
    assert isinstance(held, Whole)
    return held.horizontalScrollBar().isVisible()


def wrong(page: QWidget) -> list[str]:
    """Everything that does not fit on a page as it is now."""
    out: list[str] = []
    seen: dict[int, list[QWidget]] = {}
    for widget in parts(page):
        if words := cut(widget):
            out.append(f"cut: {told(widget)} {words}")
        if isinstance(widget, QTableView):
            out.extend(f"cut: {told(widget)} {words}" for words in cut_headings(widget))
            out.extend(f"askew: {told(widget)} {words}" for words in askew(widget))
        parent = widget.parentWidget()
        assert parent is not None
        floats = isinstance(widget, LineOverlay)
        if not floats and not isinstance(parent, QAbstractScrollArea):
            for other in seen.setdefault(id(parent), []):
                both = widget.geometry() & other.geometry()
                if both.width() > SLACK and both.height() > SLACK:
                    out.append(f"over each other: {told(widget)} and {told(other)}")
            seen[id(parent)].append(widget)
        outer = parent.parentWidget()
        scrolled = isinstance(outer, QAbstractScrollArea) and outer.viewport() is parent
        if not scrolled and not parent.rect().adjusted(-SLACK, -SLACK, SLACK, SLACK).contains(
            widget.geometry()
        ):
            out.append(f"out of its frame: {told(widget)}")
    return out


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
                # what is laid out may ask for another layout
                for _ in range(3):
                    QApplication.processEvents()
                assert window.size().toTuple() == size, f"{name} makes the window larger"
                page: QWidget = getattr(window.pages, name)
                problems = [*wrong(page), *wrong(window.page_row)]
                found.setdefault(name, []).extend(f"{size}: {text}" for text in problems)
        failed = {name: texts for name, texts in found.items() if texts}
        shown = "\n".join(f"{name} {text}" for name, texts in failed.items() for text in texts)
        assert failed.keys() == KNOWN[scale].keys(), f"text {scale:g} times as large:\n{shown}"


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
        # what is laid out may ask for another layout
        for _ in range(3):
            QApplication.processEvents()
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
                # what is laid out may ask for another layout
                for _ in range(3):
                    QApplication.processEvents()
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
        # what is laid out may ask for another layout
        for _ in range(3):
            QApplication.processEvents()
        assert len({card.y() for card in window.page.cards}) == rows
        assert all(card.width() >= card.minimumSizeHint().width() for card in window.page.cards)
        assert not scrolls_to_the_side(window.page)
        assert window.page.side_view.height() >= CRAMPED
        assert wrong(window.page) == []


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
    # what is laid out may ask for another layout
    for _ in range(3):
        QApplication.processEvents()
    assert len(page.handling.controls.rows) == len(setup.rods) + 1
    assert wrong(page.handling) == []


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
