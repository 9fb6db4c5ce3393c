"""The Timing page as a person works it: answer, map, fields, rehearsing a plan, the card."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDoubleSpinBox, QFileDialog, QMessageBox

from app.look import LOOKS
from app.plan_words import answer_sentence
from app.planner import Planner
from app.setup import Setup
from app.units import FOOT, KNOT
from app.views.plan_tables import REHEARSED
from app.views.wait_hold_map import picture
from app.window import Window
from physics.water import Bottom
from tests.app.by_hand import HandBackground, Live, hover, worker_of

MEMORY: dict[bytes, Any] = {}
"""What this file's tests have had computed already."""

RUNS = ("first", "half 0", "half 1", "finish")


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch) -> None:
    """Few holds, waits and samples: what they are is tested elsewhere."""
    monkeypatch.setattr(Planner, "holds", (0.0, 10.0, 20.0, 30.0))
    monkeypatch.setattr(Planner, "waits", tuple(4.0 * n for n in range(8)))
    monkeypatch.setattr(Planner, "samples", 8)
    monkeypatch.setattr(HandBackground, "memory", MEMORY)


class Desk:
    """A window on its Timing page, its planner's worker in a test's hands."""

    def __init__(self, window: Window, live: Live) -> None:
        self.window, self.live = window, live
        self.planner, self.page = window.planner, window.pages.timing

    @property
    def worker(self) -> HandBackground:
        return worker_of(self.planner)

    def plan(self) -> None:
        """Let the whole plan be found, but for how sure it is and the card."""
        for kind in RUNS:
            if self.worker.busy(kind):
                self.worker.deliver(kind)

    def pixel(self, wait: float, hold: float) -> QPoint:
        """Where on the map a wait and hold is."""
        page_map = self.page.map
        return page_map.mapFromScene(page_map.view.mapViewToScene(QPointF(wait, hold)))

    def field(self, key: str) -> QDoubleSpinBox:
        return self.page.fields.fields[key].box

    def said_at(self, key: str) -> str:
        """What stands under a field."""
        field = self.page.fields.fields[key]
        return field.error.text() if field.error.isVisible() else ""

    def type_number(self, key: str, text: str) -> None:
        box = self.field(key)
        box.setFocus()
        box.selectAll()
        QTest.keyClicks(box, text)
        QTest.keyClick(box, Qt.Key.Key_Return)

    def words(self) -> str:
        return self.page.answer.words.text()

    def cell(self, row: int, column: int) -> str:
        item = self.page.lines.item(row, column)
        assert item is not None
        return item.text()


@pytest.fixture
def desk(window: Window, live: Live) -> Desk:
    """The Timing page just opened on the first demo: nothing computed yet."""
    QTest.keyClick(window, Qt.Key.Key_F3)
    return Desk(window, live)


@pytest.fixture
def planned(desk: Desk) -> Desk:
    """The Timing page with its full plan."""
    desk.plan()
    return desk


def test_that_the_page_opens_with_its_key_and_asks_for_a_plan(desk: Desk) -> None:
    assert desk.window.pages.currentWidget() is desk.page
    assert desk.window.page_row.buttons["timing"].isChecked()
    assert set(desk.worker.waiting) == {"first"}
    assert "Working" in desk.words()
    assert not desk.page.rehearse.isEnabled()
    assert desk.page.answer.bar.isVisible()
    assert desk.page.answer.doing.text() == "A first answer…"


def test_that_a_first_answer_is_shown_dim_and_the_full_one_not(desk: Desk) -> None:
    desk.worker.deliver("first")
    plan = desk.planner.plan
    assert plan is not None
    assert plan.coarse
    assert desk.page.answer.wait.dim
    assert answer_sentence(plan) in desk.words()
    desk.plan()
    assert not desk.page.answer.wait.dim
    assert desk.planner.plan is not None
    assert not desk.planner.plan.coarse
    assert desk.page.answer.hold.text == f"{desk.planner.plan.answer.hold:g}"  # type: ignore[union-attr]


def test_that_the_long_work_begins_once_the_first_answer_is_there(desk: Desk) -> None:
    desk.worker.deliver("first")
    assert set(desk.worker.waiting) == {"half 0", "half 1"}
    assert desk.planner.fresh


def test_that_progress_is_shown_and_the_work_can_be_stopped_and_taken_up_again(desk: Desk) -> None:
    desk.worker.pulse("first", 0.5)
    before = desk.planner.progress
    assert desk.page.answer.bar.value() == round(1000 * before)
    desk.worker.deliver("first")
    assert 0.0 < before < desk.planner.progress < 1.0
    assert desk.page.answer.bar.value() == round(1000 * desk.planner.progress)
    desk.page.answer.stop.click()
    assert not desk.worker.waiting
    assert not desk.page.answer.bar.isVisible()
    assert desk.page.answer.stop.text() == "Go on"
    desk.page.answer.stop.click()
    assert set(desk.worker.waiting) == {"first"}


def test_that_the_drop_stands_still_while_it_is_out_of_sight(desk: Desk) -> None:
    assert not desk.live.rehearsal.timer.isActive()
    QTest.keyClick(desk.window, Qt.Key.Key_F2)
    assert desk.live.rehearsal.timer.isActive()
    desk.live.rehearsal.timer.stop()


def test_that_the_keys_of_the_drop_do_nothing_here(planned: Desk) -> None:
    rehearsal = planned.live.rehearsal
    for key in (Qt.Key.Key_Space, Qt.Key.Key_M, Qt.Key.Key_P, Qt.Key.Key_8):
        QTest.keyClick(planned.window, key)
    assert rehearsal.in_gear
    assert not rehearsal.clock.paused
    assert rehearsal.clock.speed == 1
    assert rehearsal.mark() is None


def test_that_leaving_the_page_gives_up_the_work_and_coming_back_takes_it_up(desk: Desk) -> None:
    desk.window.show_page("rehearse")
    desk.live.rehearsal.timer.stop()
    assert not desk.worker.waiting
    desk.window.show_page("timing")
    assert "first" in desk.worker.waiting


def test_that_a_setup_changed_elsewhere_is_planned_on_return(planned: Desk) -> None:
    planned.worker.waiting.clear()
    planned.window.show_page("rehearse")
    planned.live.rehearsal.timer.stop()
    setup = planned.live.rehearsal.setup
    planned.live.rehearsal.edit(replace(setup, speed=setup.speed - 0.5), "slower")
    assert not planned.worker.waiting
    planned.window.show_page("timing")
    assert "first" in planned.worker.waiting
    assert not planned.planner.fresh


# ---- the point


def test_that_the_point_is_dragged_with_the_mouse_and_the_rest_follows(planned: Desk) -> None:
    port = planned.page.map.viewport()
    button, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    deepest = planned.cell(0, 4)
    QTest.mousePress(port, button, none, planned.pixel(8.0, 5.0))
    QTest.mouseMove(port, planned.pixel(12.0, 6.0))
    QTest.mouseRelease(port, button, none, planned.pixel(12.0, 6.0))
    wait, hold = planned.planner.point
    assert (wait, hold) == pytest.approx((12.0, 6.0), abs=0.5)
    assert planned.page.wait.value() == wait
    assert planned.page.hold.value() == hold
    assert planned.cell(0, 4) != deepest
    exact = planned.planner.plan.at(wait, hold)[0].deepest  # type: ignore[union-attr]
    assert planned.cell(0, 4) == f"{FOOT.from_si(exact):.1f}"


def test_that_the_point_keeps_inside_the_map(planned: Desk) -> None:
    planned.planner.choose(-20.0, 500.0)
    assert planned.planner.point == (0.0, 30.0)


def test_that_arrows_move_the_point_and_shift_moves_it_further(planned: Desk) -> None:
    planned.planner.choose(8.0, 10.0)
    planned.page.map.setFocus()
    QTest.keyClick(planned.page.map, Qt.Key.Key_Right)
    QTest.keyClick(planned.page.map, Qt.Key.Key_Up)
    assert planned.planner.point == (8.5, 10.5)
    QTest.keyClick(planned.page.map, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert planned.planner.point == (8.5, 5.5)


def test_that_wait_and_hold_can_be_typed_and_left_for_the_answer_again(planned: Desk) -> None:
    assert not planned.page.follow.isEnabled()
    planned.page.hold.setFocus()
    planned.page.hold.selectAll()
    QTest.keyClicks(planned.page.hold, "7.5")
    QTest.keyClick(planned.page.hold, Qt.Key.Key_Return)
    assert planned.planner.point[1] == 7.5
    planned.page.follow.click()
    plan = planned.planner.plan
    assert plan is not None
    assert plan.answer is not None
    assert planned.planner.point == (plan.answer.wait, plan.answer.hold)
    assert planned.planner.rods == plan.at(*planned.planner.point)


def test_that_a_point_that_touches_is_run_again_over_the_ground_once_it_rests(
    planned: Desk, qtbot: object
) -> None:
    planned.planner.choose(8.0, 30.0)
    plan = planned.planner.plan
    assert plan is not None
    assert plan.touched is None
    assert any(rod.touches for rod in planned.planner.rods)
    assert "over deeper water" not in planned.words()
    planned.planner._look_closely()
    planned.worker.deliver("finish")
    assert planned.planner.plan is not None
    assert planned.planner.plan.touched is not None
    assert planned.planner.point == (8.0, 30.0)
    assert "touches bottom on this wait and hold" in planned.words()


# ---- how sure


def test_that_bands_are_told_in_words_and_in_the_table(planned: Desk) -> None:
    planned.worker.deliver("sure 0", "sure 1")
    assert planned.planner.sure is not None
    assert planned.planner.sure.bands.shape[1] == 2
    assert "8 drops of 10" in planned.words()
    assert planned.cell(1, 2) == "…"
    planned.worker.deliver("spread 0", "spread 1")
    bands = planned.planner.hold_bands
    assert bands is not None
    assert planned.cell(1, 2) == f"{bands[0, 1]:.0f}–{bands[2, 1]:.0f}"
    assert bands[0, 1] <= planned.planner.plan.reach[1] <= bands[2, 1]  # type: ignore[union-attr,operator]


def test_that_the_band_of_holds_is_the_same_at_every_point(planned: Desk) -> None:
    planned.worker.deliver("sure 0", "sure 1", "spread 0", "spread 1")
    bands = planned.planner.hold_bands
    planned.planner.choose(4.0, 6.0)
    planned.planner._look_closely()
    planned.worker.deliver("finish")
    assert set(planned.worker.waiting) == {"sure 0", "sure 1", "card"}
    assert planned.planner.hold_bands is bands


def test_that_other_doubts_ask_for_the_bands_alone(planned: Desk) -> None:
    planned.worker.waiting.clear()
    planned.page.fields.doubts["speed"].setValue(12.0)
    assert set(planned.worker.waiting) == {"sure 0", "sure 1", "spread 0", "spread 1"}
    assert planned.live.rehearsal.setup.doubt.speed == pytest.approx(0.12)
    assert planned.planner.sure is None


# ---- fields


def test_that_another_mark_needs_no_new_runs(planned: Desk) -> None:
    planned.worker.waiting.clear()
    planned.type_number("mark_top", "20")
    assert set(planned.worker.waiting) == {"finish"}
    mark = planned.live.rehearsal.setup.mark
    assert mark is not None
    assert mark.depth - mark.band == pytest.approx(FOOT.to_si(20.0), abs=1e-6)


@pytest.mark.parametrize(
    ("key", "text", "read"),
    [
        ("speed", "6.5", lambda s: KNOT.from_si(s.speed)),
        ("bottom", "35", lambda s: FOOT.from_si(s.water.bottom.deepest)),
        ("mark_top", "19", lambda s: FOOT.from_si(s.mark.depth - s.mark.band)),
        ("mark_low", "28", lambda s: FOOT.from_si(s.mark.depth + s.mark.band)),
        ("radius", "40", lambda s: FOOT.from_si(s.timing.radius)),
        ("clearance", "4", lambda s: FOOT.from_si(s.timing.clearance)),
    ],
)
def test_that_a_field_changes_the_setup_undoably_and_nothing_else(
    planned: Desk, key: str, text: str, read: Callable[[Setup], float]
) -> None:
    rehearsal = planned.live.rehearsal
    before = rehearsal.setup
    others = {k: b.box.value() for k, b in planned.page.fields.fields.items() if k != key}
    planned.type_number(key, text)
    assert read(rehearsal.setup) == pytest.approx(float(text), abs=1e-6)
    assert {k: planned.field(k).value() for k in others} == others
    assert planned.worker.waiting
    rehearsal.undo_stack.undo()
    assert rehearsal.setup == before


@pytest.mark.parametrize(
    ("key", "text", "field", "words"),
    [
        ("mark_low", "33", "mark_top", "below the bottom, which is 30.0 ft"),
        ("mark_top", "28", "mark_low", "deeper than the mark's top, 28.0 ft"),
        ("clearance", "30", "clearance", "less than the water is deep, 30.0 ft"),
        ("bottom", "20", "mark_top", "below the bottom, which is 20.0 ft"),
    ],
)
def test_that_nonsense_is_told_at_the_field_and_nothing_is_computed_from_it(
    planned: Desk, key: str, text: str, field: str, words: str
) -> None:
    before, plan = planned.live.rehearsal.setup, planned.planner.plan
    planned.worker.waiting.clear()
    if key == "mark_low":
        # the middle of the mark has to lie under the bottom
        planned.type_number("mark_top", "29")
    planned.type_number(key, text)
    assert words in planned.said_at(field)
    assert planned.field(key).value() == float(text)
    assert planned.live.rehearsal.setup == before
    assert planned.planner.plan is plan
    assert not planned.worker.waiting


def test_that_two_numbers_that_make_sense_only_together_are_taken_together(planned: Desk) -> None:
    planned.type_number("mark_top", "28")
    assert planned.said_at("mark_low")
    planned.type_number("mark_low", "29.5")
    assert not planned.said_at("mark_low")
    assert not planned.said_at("mark_top")
    mark = planned.live.rehearsal.setup.mark
    assert mark is not None
    assert FOOT.from_si(mark.depth) == pytest.approx(28.75)
    assert FOOT.from_si(mark.band) == pytest.approx(0.75)


def test_that_escape_from_nonsense_is_undo_or_another_number(planned: Desk) -> None:
    planned.type_number("clearance", "60")
    assert planned.said_at("clearance")
    planned.type_number("clearance", "3")
    assert not planned.said_at("clearance")
    assert FOOT.from_si(planned.live.rehearsal.setup.timing.clearance) == pytest.approx(3.0)


def test_that_a_setup_that_cannot_be_planned_says_why_and_keeps_the_program_going(
    planned: Desk,
) -> None:
    rehearsal = planned.live.rehearsal
    setup = rehearsal.setup
    shallow = replace(
        setup,
        mark=None,
        water=replace(setup.water, bottom=Bottom.level(3.0)),
        timing=replace(setup.timing, clearance=5.0),
    )
    planned.worker.waiting.clear()
    assert rehearsal.edit(shallow, "shallow")
    assert "No plan. The distance to keep off bottom" in planned.words()
    assert "9.8 ft" in planned.words()
    assert planned.said_at("clearance")
    assert not planned.worker.waiting
    assert not planned.page.rehearse.isEnabled()
    rehearsal.undo_stack.undo()
    assert "No plan" not in planned.words()
    assert planned.worker.waiting


def test_that_an_empty_spread_is_refused_in_words(planned: Desk) -> None:
    rehearsal = planned.live.rehearsal
    rehearsal._setup = replace(rehearsal.setup, rods=())
    planned.planner.replan()
    assert "rods" in planned.words()
    assert "1 to 6 rods" in planned.words()


def test_that_a_drop_that_cannot_be_computed_says_so(desk: Desk) -> None:
    desk.worker.deliver("first")
    answer, _ = desk.worker.waiting["half 0"]
    answer(RuntimeError("no step was small enough"))
    assert "could not be computed (no step was small enough)" in desk.words()
    assert not desk.page.rehearse.isEnabled()
    assert not desk.worker.waiting


def test_that_meters_are_shown_everywhere_when_asked_for(planned: Desk) -> None:
    planned.window.preferences.set_length("meters")
    assert planned.field("bottom").value() == pytest.approx(9.1, abs=0.05)
    assert planned.field("bottom").suffix() == " m"
    assert "0.6 m off bottom" not in planned.said_at("clearance")
    assert planned.page.drop.view.viewRange()[1][0] > -12.0
    assert "m off" in planned.page.mark_panel.note.text()
    assert float(planned.cell(0, 3)) == pytest.approx(planned.planner.rods[0].run_depth, abs=0.06)


# ---- rehearse it


def test_that_a_plan_sent_to_the_live_page_is_done_there_and_shown_beside(planned: Desk) -> None:
    planned.planner.choose(10.0, 12.0)
    wanted = planned.planner.rods
    planned.page.rehearse.click()
    live, window = planned.live, planned.window
    live.rehearsal.timer.stop()
    assert window.pages.currentWidget() is window.page
    live.settle()
    assert live.rehearsal.auto_wait
    assert live.rehearsal.auto_hold
    live.sail(12.0)
    assert "out of gear by itself" in window.page.helm.plan.text()
    live.sail(53.0)
    ((out, back),) = live.rehearsal.spells()
    mark = live.rehearsal.setup.mark
    assert mark is not None
    assert out == pytest.approx(mark.time + 10.0)
    assert back - out == pytest.approx(12.0)
    window.show_page("timing")
    assert planned.planner.live is not None
    assert planned.planner.live.done
    for plan, did in zip(wanted, planned.planner.live.rods, strict=True):
        assert did.deepest == pytest.approx(plan.deepest, abs=0.03)
        assert did.at_mark == pytest.approx(plan.at_mark, abs=0.06)
        assert did.lifting == pytest.approx(plan.lifting, abs=0.3)
        assert did.miss == pytest.approx(plan.miss, abs=0.1)
    assert planned.cell(1, 0) == REHEARSED
    assert "wait 10.0 s, hold 12.0 s" in planned.page.lines_panel.note.text()


def test_that_a_plan_without_a_mark_of_its_own_is_rehearsed_on_one(
    make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live], demo: Setup
) -> None:
    live = make_live(replace(demo, mark=None))
    desk = Desk(make_window(live), live)
    desk.window.show_page("timing")
    desk.plan()
    depth = desk.planner.plan.situation.aim.mark.depth  # type: ignore[union-attr]
    desk.planner.choose(2.0, 5.0)
    desk.page.rehearse.click()
    live.rehearsal.timer.stop()
    live.settle()
    live.sail(20.0)
    mark = live.rehearsal.mark()
    assert mark is not None
    assert mark.depth == pytest.approx(depth)
    assert live.rehearsal.spells() == [(pytest.approx(7.0), pytest.approx(12.0))]


def test_that_a_live_drop_of_other_tackle_is_not_shown_beside_the_plan(planned: Desk) -> None:
    planned.window.show_page("rehearse")
    live = planned.live
    live.rehearsal.timer.stop()
    live.sail(12.0)
    live.rehearsal.shift()
    live.sail(8.0)
    live.rehearsal.shift()
    live.sail(6.0)
    planned.window.show_page("timing")
    assert planned.planner.live is not None
    assert not planned.planner.live.done
    rods = planned.live.rehearsal.setup.rods
    longer = replace(rods[0], line_out=rods[0].line_out + 9.144)
    live.rehearsal.edit(replace(live.rehearsal.setup, rods=(longer, *rods[1:])), "longer")
    planned.plan()
    planned.planner.take_live()
    assert planned.planner.live is None


# ---- the card


@pytest.fixture
def carded(planned: Desk) -> Desk:
    planned.worker.deliver("card")
    return planned


def test_that_the_table_of_holds_is_the_cards(carded: Desk) -> None:
    card, table = carded.planner.card, carded.page.holds.table
    assert card is not None
    tackle = card.tackles[0]
    assert table.rowCount() == len(tackle.depths)
    assert table.columnCount() == len(tackle.line_out)
    item, head = table.item(1, 0), table.verticalHeaderItem(1)
    assert item is not None
    assert head is not None
    assert item.text() == f"{tackle.hold[1, 0]:.1f}"
    assert head.text() == f"{FOOT.from_si(tackle.depths[1]):.0f} ft"
    carded.page.holds.tackle.setCurrentIndex(1)
    assert item.text() == f"{card.tackles[1].hold[1, 0]:.1f}"


@pytest.mark.parametrize(("name", "begins"), [("c.pdf", b"%PDF"), ("c.png", b"\x89PNG"),
                                              ("c.csv", b"rods,")])  # fmt: skip
def test_that_the_card_is_saved_by_its_names_ending(
    carded: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, begins: bytes
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / name), ""))
    carded.window.card_menu.keep.trigger()
    assert (tmp_path / name).read_bytes()[:40].lower().startswith(begins.lower())
    assert name in carded.window.statusBar().currentMessage()


def test_that_a_card_that_cannot_be_saved_says_so(
    carded: Desk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "no such folder" / "c.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    carded.window.card_menu.keep.trigger()
    (box,) = [b for b in carded.window.findChildren(QMessageBox) if b.isVisible()]
    assert "could not be saved" in box.text()
    box.close()


def test_that_there_is_no_card_to_print_before_it_is_worked_out(planned: Desk) -> None:
    assert not planned.window.card_menu.preview.isEnabled()
    assert not planned.window.card_menu.keep.isEnabled()
    planned.worker.deliver("card")
    assert planned.window.card_menu.preview.isEnabled()


def test_that_the_preview_shows_the_card(carded: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    shown = []
    monkeypatch.setattr(
        "app.views.card_menu.print_preview",
        lambda card, _parent, paper: shown.append((card, paper)),
    )
    menu = carded.window.card_menu
    menu._choose("half letter")
    menu.preview.trigger()
    ((card, paper),) = shown
    assert card.numbers is carded.planner.card
    assert paper.name == "half letter"


def test_that_hovering_the_map_and_the_plot_tells_values(planned: Desk) -> None:
    planned.page.map.resize(400, 300)
    hover(planned.page.map.viewport(), planned.pixel(8.0, 10.0))
    assert "wait 8 s, hold 10 s" in planned.page.map.hover_text
    drop = planned.page.drop
    at = drop.mapFromScene(drop.view.mapViewToScene(QPointF(5.0, -10.0)))
    hover(drop.viewport(), at)
    QApplication.processEvents()
    drop.grab()
    assert any("down" in line for line in drop.hover_lines)


def test_that_the_map_shows_where_there_is_a_window_and_follows_a_point_beyond(
    planned: Desk,
) -> None:
    page_map, plan = planned.page.map, planned.planner.plan
    assert plan is not None
    shown = page_map.view.viewRange()
    waits, holds = np.nonzero(plan.map.total > 0.0)
    assert shown[0][1] >= plan.map.waits[waits].max()
    assert shown[1][1] >= plan.map.holds[holds].max()
    planned.planner.choose(28.0, 30.0)
    assert page_map.view.viewRange()[0][1] >= 28.0
    assert page_map.view.viewRange()[1][1] >= 30.0


def test_that_the_map_is_darkest_where_the_window_is_longest_and_hatched_where_it_fouls() -> None:
    look = LOOKS["light"]
    waits, holds = np.arange(0.0, 40.0, 10.0), np.arange(0.0, 30.0, 10.0)
    window = np.zeros((4, 3))
    window[3, 0] = 5.0
    allowance = np.ones((4, 3))
    allowance[:, 2] = -1.0
    image = picture(waits, holds, window, allowance, (90, 60), look)
    assert image.pixelColor(89, 59).name() == look.accent
    assert image.pixelColor(0, 59).name() == look.water_top
    # the limit lies midway between a hold that is clear and one that fouls
    limit = [y for y in range(60) if image.pixelColor(45, y).name() == look.alarm]
    assert limit
    assert all(abs(y - 14.75) < 2.0 for y in limit)
