"""Every field of the spread, the boat and the current: taken, refused, put back."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox

from app.common import units
from app.common.units import COLOR, FOOT, KNOT
from app.rehearse.spread_editor import OWN, SpreadEditor
from app.scenario.setup import Setup
from app.shell.window import Window
from app.ui.preferences import Preferences
from physics.line.tackle import LineSection
from physics.simulation.scenario import MOST_RODS
from tests.app.by_hand import Live
from tests.app.live.stages import lines
from tests.app.rehearse.spread_by_hand import choose, first, opened, type_text


def test_that_all_of_a_rod_is_in_sight_on_a_small_screen(editor: SpreadEditor) -> None:
    editor.resize(1250, editor.height())
    QApplication.processEvents()
    for widget in editor.rows[0].widgets:
        right = widget.mapTo(editor, widget.rect().topRight()).x()
        assert right < editor.width(), widget.accessibleName()
    assert editor.rows[0].lure.shown_text() == editor.rows[0].lure.currentText()


NUMBERS = {
    "colors": ("7.5", "line_out", COLOR.to_si(7.5)),
    "on_reel": ("6", "on_reel", COLOR.to_si(6.0)),
    "leader_length": ("12", "leader_length", FOOT.to_si(12.0)),
    "astern": ("3.5", "astern", FOOT.to_si(3.5)),
    "abeam": ("-4", "abeam", FOOT.to_si(-4.0)),
    "height": ("9", "height", FOOT.to_si(9.0)),
}


@pytest.mark.parametrize("field", NUMBERS)
def test_that_a_number_changes_its_own_value_and_nothing_else(
    live: Live, editor: SpreadEditor, field: str
) -> None:
    before = live.document.setup
    text, attribute, value = NUMBERS[field]
    type_text(getattr(editor.rows[0], field), text)
    live.settle()
    assert getattr(first(live), attribute) == pytest.approx(value, rel=1e-12)
    changed = replace(before.rods[0], **{attribute: getattr(first(live), attribute)})
    assert live.document.setup == replace(before, rods=(changed, *before.rods[1:]))


def test_that_meters_are_taken_as_meters(
    live: Live, editor: SpreadEditor, preferences: Preferences
) -> None:
    preferences.set_length("meters")
    row = editor.rows[0]
    assert row.leader_length.suffix() == " m"
    type_text(row.leader_length, "4.5")
    live.settle()
    assert first(live).leader_length == pytest.approx(4.5)


def test_that_changing_units_changes_no_setup(
    live: Live, editor: SpreadEditor, preferences: Preferences
) -> None:
    before = live.document.setup
    preferences.set_length("meters")
    preferences.set_length("feet")
    assert live.document.setup is before
    assert live.document.undo_stack.count() == 0


@pytest.mark.parametrize("field", ["line", "leader", "lure"])
def test_that_tackle_is_chosen_from_the_catalog(
    live: Live, editor: SpreadEditor, field: str
) -> None:
    box: QComboBox = getattr(editor.rows[0], field)
    other = next(
        box.itemText(k) for k in range(box.count()) if box.itemText(k) != box.currentText()
    )
    choose(box, other)
    live.settle()
    assert getattr(first(live), field) == other
    assert live.document.undo_stack.undoText().endswith(field)


def test_that_a_name_is_taken_when_finished_and_trimmed(live: Live, editor: SpreadEditor) -> None:
    type_text(editor.rows[0].name, "  long rod ")
    assert first(live).name == "long rod"
    assert editor.rows[0].name.text() == "long rod"


@pytest.mark.parametrize("name", ["starboard", "", "   "])
def test_that_a_name_twice_or_blank_is_refused_with_words_and_put_back(
    live: Live, editor: SpreadEditor, name: str
) -> None:
    type_text(editor.rows[0].name, name or " ")
    assert first(live).name == "port"
    assert editor.rows[0].name.text() == "port"
    assert "name" in editor.message.text()
    assert live.document.undo_stack.count() == 0


def test_that_the_words_of_a_refusal_give_way_to_the_next_change(
    live: Live, editor: SpreadEditor
) -> None:
    type_text(editor.rows[0].name, "starboard")
    type_text(editor.rows[0].name, "long rod")
    assert editor.message.text().startswith("Changes start the tow over")


def test_that_lines_are_added_up_to_the_most_and_no_further(
    live: Live, editor: SpreadEditor
) -> None:
    while editor.add.isEnabled():
        editor.add.click()
        live.settle()
    assert len(editor.rows) == len(live.document.setup.rods) == MOST_RODS
    names = [rod.name for rod in live.document.setup.rods]
    assert len(set(names)) == MOST_RODS
    live.document.undo_stack.undo()
    live.settle()
    assert len(editor.rows) == MOST_RODS - 1
    assert editor.add.isEnabled()


def test_that_lines_are_removed_but_never_the_last(live: Live, editor: SpreadEditor) -> None:
    editor.rows[0].drop.click()
    live.settle()
    assert [rod.name for rod in live.document.setup.rods] == ["starboard"]
    assert [row.name.text() for row in editor.rows] == ["starboard"]
    assert not editor.rows[0].drop.isEnabled()
    editor.remove(0)
    assert len(live.document.setup.rods) == 1
    live.document.undo_stack.undo()
    live.settle()
    assert [row.name.text() for row in editor.rows] == ["port", "starboard"]


def test_that_the_page_shows_as_many_cards_as_the_spread_has_lines(
    live: Live, window: Window, editor: SpreadEditor
) -> None:
    editor.add.click()
    live.settle()
    assert len(window.page.cards) == 3
    editor.rows[1].drop.click()
    live.settle()
    assert len(window.page.cards) == 2


def test_that_the_boat_is_chosen_from_the_catalog(live: Live, editor: SpreadEditor) -> None:
    choose(editor.boat, "skiff, 18 ft, one engine")
    live.settle()
    assert live.document.setup.boat == "skiff, 18 ft, one engine"
    live.document.undo_stack.undo()
    assert editor.boat.currentText() == "center console, 26 ft, twin engines"


def test_that_the_current_is_given_as_drift_and_set(live: Live, editor: SpreadEditor) -> None:
    type_text(editor.set_bearing, "90")
    assert live.document.undo_stack.count() == 0
    type_text(editor.drift, "1.5")
    live.settle()
    east, north = live.document.setup.water.current
    assert (east, north) == pytest.approx((KNOT.to_si(1.5), 0.0), abs=1e-12)
    type_text(editor.set_bearing, "180")
    live.settle()
    east, north = live.document.setup.water.current
    assert (east, north) == pytest.approx((0.0, -KNOT.to_si(1.5)), abs=1e-12)
    assert (editor.drift.value(), editor.set_bearing.value()) == (1.5, 180.0)


def test_that_a_current_from_a_file_is_shown(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup
) -> None:
    way = math.radians(225.0)
    flow = (KNOT.to_si(2.0) * math.sin(way), KNOT.to_si(2.0) * math.cos(way))
    live = make_live(replace(demo, water=replace(demo.water, current=flow)))
    editor = opened(make_window(live))
    assert (editor.drift.value(), editor.set_bearing.value()) == (2.0, 225.0)


def test_that_changing_the_drift_leaves_the_set_as_exact_as_it_was(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup
) -> None:
    way = math.radians(123.456789)
    flow = (math.sin(way), math.cos(way))
    live = make_live(replace(demo, water=replace(demo.water, current=flow)))
    editor = opened(make_window(live))
    editor.drift.setValue(1.25)
    east, north = live.document.setup.water.current
    assert math.atan2(east, north) == pytest.approx(way, abs=1e-12)
    assert math.hypot(east, north) == pytest.approx(KNOT.to_si(1.25), abs=1e-12)


def test_that_showing_a_setup_never_changes_it(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup
) -> None:
    odd = replace(
        demo,
        rods=(replace(demo.rods[0], line_out=61.23456, leader_length=0.05, abeam=-29.9),),
        water=replace(demo.water, current=(0.123456, 0.2)),
    )
    live = make_live(odd)
    editor = opened(make_window(live))
    editor.rebuild()
    editor.refresh()
    assert live.document.setup is odd


def own_tackle(demo: Setup, catalog_lure: object) -> Setup:
    """A setup whose rod has its sections and lure written out."""
    wire = LineSection("wire", 60.0, 8e-4, 3e-3, 4e4)
    return replace(demo, rods=(replace(demo.rods[0], sections=(wire,), lure=catalog_lure),))


def test_that_tackle_written_out_in_a_file_is_shown_as_such_and_not_overwritten(
    make_live: Callable[[Setup], Live], make_window: Callable[[Live], Window], demo: Setup,
    catalog: object,
) -> None:  # fmt: skip
    lure = replace(catalog.lures["heavy jig, 3 oz"], mass=0.1)  # type: ignore[attr-defined]
    live = make_live(own_tackle(demo, lure))
    row = opened(make_window(live)).rows[0]
    assert row.line.currentText() == row.leader.currentText() == row.lure.currentText() == OWN
    for control in (row.line, row.leader, row.colors, row.leader_length):
        assert not control.isEnabled()
    choose(row.lure, "heavy jig, 3 oz")
    live.settle()
    assert first(live).lure == "heavy jig, 3 oz"
    assert first(live).sections == live.document.setup.rods[0].sections
    choose(row.lure, OWN)
    assert row.lure.currentText() == "heavy jig, 3 oz"


def test_that_undo_from_the_window_reaches_the_editor(
    live: Live, window: Window, editor: SpreadEditor
) -> None:
    type_text(editor.rows[0].colors, "5")
    live.settle()
    assert editor.rows[0].colors.value() == 5.0
    live.document.undo_stack.undo()
    assert editor.rows[0].colors.value() == 10.0


def test_that_ctrl_z_in_a_field_takes_a_finished_number_back(
    live: Live, editor: SpreadEditor
) -> None:
    box = editor.rows[0].colors
    type_text(box, "5")
    live.settle()
    QTest.keyClick(box, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert live.document.undo_stack.index() == 0
    assert box.value() == 10.0
    QTest.keyClick(
        box, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    )
    assert box.value() == 5.0


def test_that_ctrl_z_in_half_a_number_takes_only_the_typing_back(
    live: Live, editor: SpreadEditor
) -> None:
    box = editor.rows[0].colors
    type_text(box, "5")
    live.settle()
    box.selectAll()
    QTest.keyClicks(box, "7")
    QTest.keyClick(box, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert live.document.undo_stack.index() == 1
    assert box.value() == 5.0


def test_that_the_keys_of_the_helm_rest_while_the_editor_is_in_front(
    live: Live, editor: SpreadEditor
) -> None:
    live.sail(1.0)
    for key in (Qt.Key.Key_M, Qt.Key.Key_P, Qt.Key.Key_8):
        QTest.keyClick(editor.rows[0].lure, key)
    assert live.live_run.mark() is None
    assert not live.live_run.clock.paused
    assert live.live_run.clock.speed == 1


def test_that_a_spread_opened_from_a_file_fills_the_editor(
    live: Live, editor: SpreadEditor, demo: Setup
) -> None:
    live.document.open(lines(demo, 5))
    live.settle()
    assert [row.name.text() for row in editor.rows] == [f"line {k}" for k in range(1, 6)]


def test_that_every_field_has_a_name_for_screen_readers(editor: SpreadEditor) -> None:
    fields = [*editor.rows[0].widgets, editor.boat, editor.drift, editor.set_bearing]
    names = [field.accessibleName() for field in fields]
    assert all(names)
    assert len(set(names)) == len(names)


def test_that_the_editor_opens_once_and_comes_forward(window: Window) -> None:
    window.edit_spread()
    editor = window.editor
    assert editor is not None
    editor.close()
    window.edit_spread()
    assert window.editor is editor
    assert editor.isVisible()


def test_that_shown_units_are_the_trades(editor: SpreadEditor, live: Live) -> None:
    row = editor.rows[0]
    assert row.colors.value() == pytest.approx(units.colors(first(live).line_out))
    assert row.height.suffix() == " ft"
    assert editor.drift.suffix() == " kn"


def test_that_enter_presses_the_button_in_focus_once(editor: SpreadEditor, live: Live) -> None:
    before = len(live.document.setup.rods)
    editor.add.setFocus()
    QTest.keyClick(editor.add, Qt.Key.Key_Return)
    assert len(live.document.setup.rods) == before + 1
