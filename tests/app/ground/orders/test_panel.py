"""Timed orders on the Ground page: edited in place, kept from a run, pointed out while obeyed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit

from app.common.units import COLOR, FOOT, FOOT_PER_SECOND, KNOT, POUND
from app.gear.catalog import Catalog
from app.ground.orders.panel import OrderPanel
from app.ground.orders.rows import rows
from app.ground.orders.table import AT, FAST, NOW, NOW_WORDS, TASK, TO, WHO
from app.ground.page import LOWER
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.text_size import set_text_size
from physics.line.line_orders import LineOrder
from physics.vessel.boat import Leg, Order
from physics.vessel.motion import PrescribedMotion
from tests.app.by_hand import Live
from tests.app.live.stages import lines


@pytest.fixture
def setup(catalog: Catalog) -> Setup:
    """The demo with a fish on: five orders."""
    return scenario_file.load(scenario_file.demos()[3], catalog)


@pytest.fixture
def live(make_live: Callable[[Setup], Live], setup: Setup) -> Live:
    return make_live(setup)


def opened(window: Window) -> OrderPanel:
    QTest.keyClick(window, Qt.Key.Key_F8)
    window.live_run.timer.stop()
    page = window.pages.ground
    page.show_lower(list(LOWER).index("Timed orders"))
    assert page.orders.isVisible()
    return page.orders


@pytest.fixture
def panel(window: Window) -> OrderPanel:
    return opened(window)


def cell(panel: OrderPanel, row: int, column: int) -> str:
    item = panel.table.item(row, column)
    assert item is not None
    return item.text()


def column(panel: OrderPanel, number: int) -> list[str]:
    return [cell(panel, row, number) for row in range(panel.table.rowCount())]


def type_in(panel: OrderPanel, row: int, number: int, text: str) -> None:
    """Edit a cell as a person does: choose it, Enter, type over, Enter."""
    table = panel.table
    table.setFocus()
    table.setCurrentCell(row, number)
    QTest.keyClick(table, Qt.Key.Key_Return)
    fields = [f for f in table.viewport().findChildren(QLineEdit) if f.isVisible()]
    assert len(fields) == 1
    fields[0].selectAll()
    QTest.keyClicks(fields[0], text)
    QTest.keyClick(fields[0], Qt.Key.Key_Return)
    QApplication.processEvents()


def choose_in(panel: OrderPanel, row: int, number: int, words: str) -> None:
    """Choose from the list a cell opens."""
    table = panel.table
    table.setCurrentCell(row, number)
    QTest.keyClick(table, Qt.Key.Key_Return)
    (box,) = (b for b in table.viewport().findChildren(QComboBox) if b.isVisible())
    at = box.findText(words)
    assert at >= 0, words
    box.setCurrentIndex(at)
    box.activated.emit(at)
    QApplication.processEvents()


def test_that_all_orders_are_shown_in_time_in_words_and_units(panel: OrderPanel) -> None:
    assert column(panel, AT) == ["34.0", "38.0", "42.0", "99.0", "108.0"]
    assert column(panel, WHO) == ["port long", "helm", "port long", "port long", "helm"]
    assert column(panel, TASK) == ["fish on", "engines", "reel in to", "fish off", "engines"]
    assert column(panel, TO) == ["18.0 lb", "one", "0.5 colors", "", "two"]
    assert column(panel, FAST) == ["", "", "4.50 ft/s", "", ""]


def test_that_units_follow_what_is_preferred(panel: OrderPanel, window: Window) -> None:
    window.preferences.set_length("meters")
    assert column(panel, TO)[0] == "8.2 kg"
    assert column(panel, FAST)[2] == "1.37 m/s"


def test_that_a_time_is_typed_in_place_and_the_row_goes_where_it_belongs(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    type_in(panel, 0, AT, "40")
    assert column(panel, AT) == ["38.0", "40.0", "42.0", "99.0", "108.0"]
    assert live.document.setup.line_orders[0] == replace(setup.line_orders[0], time=40.0)
    assert panel.table.currentRow() == 1
    live.document.undo_stack.undo()
    assert live.document.setup == setup
    assert column(panel, AT)[0] == "34.0"


def test_that_a_value_and_a_rate_are_typed_in_place(panel: OrderPanel, live: Live) -> None:
    type_in(panel, 2, TO, "60 ft")
    type_in(panel, 2, FAST, "2")
    order = live.document.setup.line_orders[1]
    assert order.value == pytest.approx(FOOT.to_si(60.0))
    assert order.rate == pytest.approx(FOOT_PER_SECOND.to_si(2.0))
    assert cell(panel, 2, TO) == "2.0 colors"


def test_that_a_cell_left_as_it_was_keeps_what_rounding_hides(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    exact = replace(setup, orders=(Order(1.0, "throttle", KNOT.to_si(5.04)),))
    assert live.document.edit(exact, "exact")
    type_in(panel, 0, TO, "5.0 kn")
    assert live.document.setup == exact


def test_that_what_makes_no_sense_is_refused_at_its_cell_and_nothing_changes(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    type_in(panel, 1, AT, "soon")
    assert panel.said.isVisible()
    assert panel.said.text() == "Order 2, at: “soon” is not a number."
    assert cell(panel, 1, AT) == "38.0"
    item = panel.table.item(1, AT)
    assert item is not None
    assert item.toolTip() == "“soon” is not a number."
    assert live.document.setup == setup
    type_in(panel, 1, AT, "39")
    assert not panel.said.isVisible()


def test_that_what_the_scenario_refuses_is_told_here(panel: OrderPanel, live: Live) -> None:
    table = PrescribedMotion(((0.0, 3.0, 0.0), (9.0, 1.0, 0.3)))
    bad = replace(live.document.setup, motion=table)
    assert not panel.change(bad, "motion")
    assert "no helm orders with a prescribed motion" in panel.said.text()


def test_that_action_and_line_are_chosen_in_place(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    choose_in(panel, 1, TASK, "throttle")
    assert live.document.setup.orders[0] == Order(38.0, "throttle", setup.speed)
    choose_in(panel, 0, WHO, "starboard long")
    assert live.document.setup.line_orders[0].rod == "starboard long"
    assert live.document.setup.line_orders[0].value == POUND.to_si(18.0)
    live.document.undo_stack.undo()
    live.document.undo_stack.undo()
    assert live.document.setup == setup


def test_that_the_gear_has_no_value_and_a_course_only_a_time(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    course = Order(5.0, "course", legs=(Leg(100.0), Leg(50.0, 0.02)))
    assert live.document.edit(replace(setup, orders=(course, Order(9.0, "in gear"))), "orders")
    assert cell(panel, 0, TO) == "2 legs, 492 ft"
    editable = Qt.ItemFlag.ItemIsEditable

    def may(row: int) -> list[int]:
        items = [(n, panel.table.item(row, n)) for n in range(panel.table.columnCount())]
        return [n for n, item in items if item is not None and item.flags() & editable]

    assert may(0) == [AT]
    assert may(1) == [AT, TASK]
    assert may(2) == [AT, WHO, TASK, TO]
    type_in(panel, 0, AT, "6")
    assert live.document.setup.orders[0] == replace(course, time=6.0)


def test_that_orders_are_added_for_the_helm_and_every_line(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    menu = panel.add.menu()
    menu.aboutToShow.emit()
    told = {action.text(): action.menu() for action in menu.actions()}
    assert list(told) == ["To the helm", *(rod.name for rod in setup.rods)]
    offered = [action.text() for action in told["To the helm"].actions()]  # type: ignore[attr-defined]
    assert "course" not in offered
    assert "out of gear" in offered
    panel.add_order("starboard long", "fish on")
    new = live.document.setup.line_orders[-1]
    assert (new.rod, new.time) == ("starboard long", 113.0)
    assert panel.table.chosen() == [5]
    panel.table.selectRow(1)
    panel.add_order("helm", "throttle")
    assert live.document.setup.orders[1] == Order(38.0, "throttle", setup.speed)
    assert panel.table.chosen() == [2]


def test_that_chosen_orders_are_duplicated_and_removed_and_undone(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    assert not panel.drop.isEnabled()
    panel.table.selectRow(2)
    panel.double.click()
    assert column(panel, AT) == ["34.0", "38.0", "42.0", "42.0", "99.0", "108.0"]
    assert panel.table.chosen() == [3]
    QTest.keyClick(panel.table, Qt.Key.Key_Delete)
    assert live.document.setup == setup
    panel.table.selectRow(0)
    panel.drop.click()
    assert column(panel, AT) == ["38.0", "42.0", "99.0", "108.0"]
    live.document.undo_stack.undo()
    assert live.document.setup == setup


def test_that_all_shift_together_or_the_refusal_says_which_cannot(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    panel.by.setValue(-4.0)
    panel.move_all.click()
    assert column(panel, AT) == ["30.0", "34.0", "38.0", "95.0", "104.0"]
    panel.by.setValue(-31.0)
    panel.move_all.click()
    assert panel.said.text() == "Shift all: The order at 30.0 s would come before the start."
    live.document.undo_stack.undo()
    assert live.document.setup == setup
    assert not panel.said.isVisible()


@pytest.mark.usefixtures("usual_text")
def test_that_an_order_obeyed_is_bold_and_no_larger_than_the_others(
    panel: OrderPanel, live: Live
) -> None:
    set_text_size(1.5)
    before = panel.table.sizeHintForRow(0)
    live.live_run.set_speed(8)
    live.sail(43.0)
    live.look()
    item = panel.table.item(0, AT)
    assert item is not None
    assert item.font().bold()
    assert panel.table.sizeHintForRow(0) == pytest.approx(before, abs=1)


def test_that_the_live_run_obeys_the_list_and_what_is_obeyed_is_pointed_out(
    panel: OrderPanel, live: Live
) -> None:
    live.live_run.set_speed(8)
    live.sail(43.0)
    live.look()
    assert live.live_run.throttle()[1] == 1
    assert column(panel, NOW)[:3] == [NOW_WORDS] * 3
    assert column(panel, NOW)[3].startswith("in 5")
    bold = [panel.table.item(row, AT).font().bold() for row in range(5)]  # type: ignore[union-attr]
    assert bold == [True, True, True, False, False]
    live.sail(107.5 - live.live_run.now)
    live.look()
    assert column(panel, NOW) == ["done", NOW_WORDS, "done", "done", "in 1 s"]


def test_that_an_order_by_hand_takes_over_from_the_list(panel: OrderPanel, live: Live) -> None:
    live.live_run.set_speed(8)
    live.sail(40.0)
    live.live_run.set_engines(2)
    live.look()
    assert column(panel, NOW)[1] == "done"


def test_that_nothing_is_pointed_out_while_the_tow_settles(panel: OrderPanel, live: Live) -> None:
    type_in(panel, 0, AT, "0")
    assert live.live_run.settling
    assert set(column(panel, NOW)) == {""}
    live.settle()
    assert column(panel, NOW)[0] == NOW_WORDS


def test_that_what_was_ordered_by_hand_is_kept_and_done_again(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    assert not panel.keep.isEnabled()
    live.live_run.auto_hold.set(False, 20.0)
    live.sail(4.0)
    live.live_run.shift()
    live.sail(3.0)
    live.live_run.set_throttle(2.0)
    live.look()
    assert panel.note.text().startswith("2 orders given by hand since the start")
    panel.keep.click()
    new = live.document.setup
    assert [(o.time, o.action) for o in new.orders[:2]] == [(4.0, "out of gear"), (7.0, "throttle")]
    assert new.orders[2:] == setup.orders
    assert new.line_orders == setup.line_orders
    live.settle()
    live.sail(4.5)
    assert not live.live_run.in_gear
    live.look()
    assert not panel.keep.isEnabled()
    live.document.undo_stack.undo()
    assert live.document.setup == setup


def test_that_it_runs_from_the_start_on_the_button(panel: OrderPanel, live: Live) -> None:
    live.sail(5.0)
    panel.again.click()
    live.settle()
    assert live.live_run.now == 0.0


def test_that_no_orders_say_what_to_do_and_a_first_one_shows_the_table(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    assert live.document.edit(replace(setup, orders=(), line_orders=()), "none")
    assert panel.stack.currentWidget() is panel.empty
    assert "Save what I just did" in panel.empty.text()
    assert not panel.move_all.isEnabled()
    panel.add_order("helm", "out of gear")
    assert panel.stack.currentWidget() is panel.table
    assert live.document.setup.orders == (Order(10.0, "out of gear"),)


def test_that_a_hold_goes_into_the_list_on_request(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    assert not panel.write_hold.isVisible()
    own = replace(setup, hold=12.0, orders=(), line_orders=())
    assert live.document.edit(own, "hold")
    assert panel.write_hold.isVisible()
    assert "hold of 12 s is not in the list" in panel.note.text()
    panel.write_hold.click()
    assert live.document.setup == own.dropped()
    assert not panel.write_hold.isVisible()


def test_that_digits_and_arrows_belong_to_the_table_and_space_to_the_lever(
    panel: OrderPanel, window: Window, live: Live
) -> None:
    panel.table.setFocus()
    panel.table.setCurrentCell(0, AT)
    QTest.keyClick(panel.table, Qt.Key.Key_Down)
    assert panel.table.currentRow() == 1
    assert live.live_run.throttle()[0] == live.document.setup.speed
    QTest.keyClick(panel.table, Qt.Key.Key_4)
    assert live.live_run.clock.speed != 4
    fields = [f for f in panel.table.viewport().findChildren(QLineEdit) if f.isVisible()]
    assert [field.text() for field in fields] == ["4"]
    QTest.keyClick(fields[0], Qt.Key.Key_Escape)
    QTest.keyClick(panel.table, Qt.Key.Key_Space)
    assert not live.live_run.in_gear


def test_that_names_with_an_ampersand_are_offered_as_they_are(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    rod = replace(setup.rods[0], name="you & me")
    assert live.document.edit(setup.with_rod(0, rod), "name")
    panel.add.menu().aboutToShow.emit()
    assert panel.add.menu().actions()[1].text() == "you && me"
    assert cell(panel, 0, WHO) == "you & me"


def test_that_six_long_names_and_two_hundred_orders_stay_within_the_panel(
    panel: OrderPanel, live: Live, setup: Setup
) -> None:
    six = lines(replace(setup, orders=(), line_orders=()), 6, "line {} with a " + "long " * 9)
    told = tuple(
        LineOrder(float(k), six.rods[k % 6].name, "line to", COLOR.to_si(1.0 + k % 3))
        for k in range(200)
    )
    assert live.document.edit(replace(six, line_orders=told), "many")
    table = panel.table
    assert table.rowCount() == 200
    assert sum(table.columnWidth(n) for n in range(table.columnCount())) <= table.viewport().width()
    assert table.columnWidth(FAST) > 60
    assert rows(live.document.setup) == told
