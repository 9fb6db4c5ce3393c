"""Figures of a plan: the answer, each line's row, the heights at the mark, the holds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QFontMetricsF, QImage, QPainter
from PySide6.QtWidgets import QApplication

from app.common.units import FOOT, FOOT_PER_SECOND
from app.planning.words import risk_figure
from app.timing.answer import WORDS, Stated
from app.timing.tables import _figures, _hold
from app.ui.look import font
from app.ui.steps import LOUD
from app.ui.text_size import set_text_size
from tests.app.by_hand import lay_out
from tests.app.shell.fit import cut_headings
from tests.app.timing.page.desk import Desk


def about(stated: Stated) -> list[str]:
    return [line.text() for line in stated.about]


def test_that_wait_hold_seconds_and_risk_stand_beside_each_other(planned: Desk) -> None:
    planner, panel = planned.planner, planned.page.answer
    wait, hold = planner.point
    assert wait != hold
    assert (panel.wait.figure.text, panel.wait.figure.word) == (f"{wait:g}", "s")
    assert (panel.hold.figure.text, panel.hold.figure.word) == (f"{hold:g}", "s")
    low, high = sorted(rod.lifting for rod in planner.rods)
    assert panel.lifts.figure.text == f"{low:.1f}–{high:.1f}"
    assert about(panel.lifts) == [
        "each line, through the mark", f"all lines added up: {low + high:.1f} s"
    ]  # fmt: skip
    assert panel.risk.figure.text == "…"
    planned.worker.deliver("sure 0", "sure 1")
    sure = planner.sure.chances
    assert sure is not None
    percent, give_or_take = risk_figure(sure)
    assert panel.risk.figure.text == percent
    assert about(panel.risk)[1] == give_or_take
    assert len({stated.figure.height() for stated in panel.figures}) == 1


def test_that_the_figures_are_of_the_point_looked_at(planned: Desk) -> None:
    planner, panel = planned.planner, planned.page.answer
    planned.worker.deliver("sure 0", "sure 1")
    answered = panel.lifts.figure.text
    planner.choose(4.0, 6.0)
    assert panel.title.text() == "The point chosen"
    assert (panel.wait.figure.text, panel.hold.figure.text) == ("4", "6")
    assert panel.lifts.figure.text != answered
    assert panel.risk.figure.text == "…", "that of the answer is not that of this point"
    planner.follow()
    assert panel.title.text() == "The answer"
    assert panel.lifts.figure.text == answered


def test_that_a_lines_row_has_its_own_figures_in_the_units_on_screen(planned: Desk) -> None:
    for row, rod in enumerate(planned.planner.rods):
        assert rod.at_mark is not None
        assert rod.at_mark_rate is not None
        expected = {
            3: f"{FOOT.from_si(rod.run_depth):.1f}",
            4: f"{FOOT.from_si(rod.deepest):.1f}",
            6: f"{FOOT.from_si(rod.least_height):.1f}",
            7: f"{FOOT.from_si(rod.at_mark):.1f}",
            8: f"{FOOT_PER_SECOND.from_si(rod.at_mark_rate):+.1f}",
            9: f"{rod.lifting:.1f}",
            10: f"{FOOT.from_si(rod.miss):.0f}",
        }
        assert {column: planned.cell(row, column) for column in expected} == expected


def test_that_heights_at_the_mark_are_told_as_rising_or_falling(planned: Desk) -> None:
    planner, view = planned.planner, planned.page.at_mark
    one, two = planner.rods
    up = replace(one, at_mark=2.0, at_mark_rate=0.3)
    down = replace(two, at_mark=3.0, at_mark_rate=-0.6)
    planner.rods = (up, down)
    assert view.words() == [
        f"{up.name} passes the mark 6.6 ft off bottom, rising 1.0 ft/s",
        f"{down.name} passes the mark 9.8 ft off bottom, falling 2.0 ft/s",
    ]
    planner.rods = (replace(up, at_mark=None), down)
    assert view.words()[0] == f"{up.name} does not come by the mark"


@pytest.mark.parametrize("height", [0.3, 0.5, 1.0, 1.15, 1.3, 1.6, 2.0, 2.6, 2.8, 3.0, 3.4])
def test_that_no_number_stands_on_the_word_for_the_mark(planned: Desk, height: float) -> None:
    planner, view = planned.planner, planned.page.at_mark
    assert planner.plan is not None
    planner.rods = tuple(replace(rod, at_mark=height, at_mark_rate=0.0) for rod in planner.rods)
    image = QImage(view.size(), QImage.Format.Format_ARGB32)
    painter = QPainter(image)
    floor, scale = view.height() - 20.0, 40.0
    taken = view.symbols(floor, scale, planner.rods)
    for number, rod in enumerate(planner.rods):
        x = view._place(number, len(planner.rods))
        taken.append(view._lure(painter, x, floor, scale, rod, taken))
    painter.end()
    at = view.mark_label(floor, scale, taken)
    numbers = taken[len(planner.rods) :]
    assert not numbers[0].intersects(numbers[1])
    metrics = QFontMetricsF(font(8.5))
    own = QRectF(at.x(), at.y() - metrics.ascent(), metrics.horizontalAdvance("mark"), 8.0)
    assert len(taken) == 2 * len(planner.rods)
    assert not any(own.intersects(other) for other in taken)


def test_that_the_holds_for_the_depth_on_screen_are_bold(planned: Desk) -> None:
    planned.worker.deliver("card")
    card, table = planned.planner.card, planned.page.holds.table
    assert card is not None
    depths = card.tackles[0].depths
    here = int(np.abs(depths - planned.live.document.setup.water.bottom.deepest).argmin())
    items = [table.item(row, 0) for row in range(table.rowCount())]
    bold = [row for row, item in enumerate(items) if item is not None and item.font().bold()]
    assert bold == [here]


@pytest.mark.usefixtures("usual_text")
@pytest.mark.parametrize(
    ("scale", "width", "shown"),
    [(1.0, 1180, 4), (1.0, 1280, 4), (1.25, 1280, 3), (1.5, 1280, 3), (1.5, 1920, 4)],
)
def test_that_sentences_of_the_answer_have_room_before_large_figures(
    planned: Desk, scale: float, width: int, shown: int
) -> None:
    set_text_size(scale)
    planned.window.resize(width, 720)
    lay_out()
    answer = planned.page.answer
    assert [stated.isVisible() for stated in answer.figures].count(True) == shown
    assert answer.wait.isVisible()
    assert answer.hold.isVisible()
    assert answer.area.width() >= WORDS * scale
    assert f"font-size:{LOUD * scale:g}pt" in answer.words.text()


@pytest.mark.usefixtures("usual_text")
def test_that_holds_on_screen_grow_with_the_text(planned: Desk) -> None:
    planned.worker.deliver("sure 0", "sure 1", "card")
    QApplication.processEvents()
    item = planned.page.holds.table.item(0, 0)
    assert item is not None
    before = item.font().pointSizeF()
    set_text_size(1.5)
    QApplication.processEvents()
    assert item.font().pointSizeF() == pytest.approx(1.5 * before, abs=0.6)


@pytest.mark.parametrize(("width", "both"), [(1180, False), (1280, True), (1920, True)])
def test_that_no_column_is_cut_or_out_of_reach(planned: Desk, width: int, both: bool) -> None:
    planned.worker.deliver("sure 0", "sure 1", "card")
    page, beside = planned.page, planned.page.tables
    planned.window.resize(width, 720)
    for front in (0, 1):
        lay_out()
        shown = [not panel.isHidden() for panel in beside.panels]
        assert shown == ([True, True] if both else [front == 0, front == 1])
        assert page.mark_panel.isVisible()
        for table in (page.lines, page.holds.table):
            if table.isVisible():
                assert list(cut_headings(table)) == []
                header = table.horizontalHeader()
                assert header.length() == table.viewport().width()
                narrow = [
                    column for column in range(table.columnCount())
                    if table.sizeHintForColumn(column) > header.sectionSize(column)
                ]  # fmt: skip
                assert narrow == []
        if not both:
            beside.buttons[beside.front].click()
            assert planned.window.focusWidget() is beside.buttons[beside.front]


@pytest.mark.parametrize("width", [1180, 1280])
def test_that_no_table_goes_or_moves_as_what_takes_longer_comes(planned: Desk, width: int) -> None:
    planned.window.resize(width, 720)
    places = []
    for kinds in ((), ("sure 0", "sure 1"), ("card",)):
        planned.worker.deliver(*kinds) if kinds else None
        lay_out()
        page = planned.page
        assert page.holds.working.isVisible() == (page.holds.isVisible() and kinds != ("card",))
        shown = [p for p in page.tables.panels if not p.isHidden()]
        places.append([(p.title.text(), p.geometry()) for p in shown])
    assert places[0] == places[1] == places[2]


def test_that_what_rounds_to_nothing_has_no_minus(planned: Desk) -> None:
    rod = replace(planned.planner.rods[0], run_depth=-0.01, deepest=-0.01, at_mark_rate=-0.01)
    run, deep, *_, rate, _, _ = _figures(rod, FOOT, FOOT_PER_SECOND)
    assert (run, deep, rate) == ("0.0", "0.0", "+0.0")


def test_that_figures_of_each_line_grow_with_the_room(planned: Desk) -> None:
    planned.worker.deliver("sure 0", "sure 1", "card")
    table = planned.page.lines
    sizes = []
    for width, height in ((1280, 720), (2560, 1440), (1280, 720)):
        planned.window.resize(width, height)
        lay_out()
        sizes.append((table.font().pointSizeF(), table.rowHeight(0)))
        assert not any(panel.isHidden() for panel in planned.page.tables.panels)
        assert list(cut_headings(table)) == []
        assert table.horizontalHeader().length() == table.viewport().width()
    assert sizes[1] == (LOUD, 30)
    assert sizes[0] == sizes[2] < sizes[1]


def test_that_a_hold_of_none_is_short_enough_for_its_cell() -> None:
    assert [_hold(s) for s in (0.0, 4.25, float("nan"))] == ["0", "4.2", "–"]
