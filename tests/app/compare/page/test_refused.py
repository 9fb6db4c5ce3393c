"""What the Compare page refuses, and where it says so."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from tests.app.compare.page.desk import JIG, PLUG, Desk


def test_that_a_hold_of_nothing_stays_in_its_field_with_the_reason(shown: Desk) -> None:
    shown.type_number(shown.page.inputs.hold.box, "0")
    field = shown.page.inputs.hold
    assert field.error.isVisible()
    assert "0.5 to 120 s" in field.error.text()
    assert shown.comparison.lineup.hold == 20.0
    assert not shown.worker.waiting
    shown.type_number(field.box, "14")
    assert not field.error.isVisible()
    assert shown.comparison.lineup.hold == 14.0


def test_that_a_depth_of_nothing_is_refused_in_the_units_on_screen(shown: Desk) -> None:
    shown.type_number(shown.page.inputs.deep.box, "0")
    assert "0.4 to 590.5 ft" in shown.page.inputs.deep.error.text()


def test_that_a_negative_number_cannot_be_typed(shown: Desk) -> None:
    shown.type_number(shown.page.editor.colors.box, "-4")
    assert shown.comparison.candidate.line_out > 0.0
    shown.type_number(shown.page.editor.length.box, "-3")
    assert shown.comparison.candidate.leader_length > 0.0


def test_that_a_name_given_twice_is_refused_where_it_was_typed(shown: Desk) -> None:
    name = shown.page.editor.name
    name.setFocus()
    name.selectAll()
    QTest.keyClicks(name, "starboard")
    QTest.keyClick(name, Qt.Key.Key_Return)
    assert shown.names()[0] == "port"
    assert "different name" in shown.page.editor.error.text()
    assert shown.page.editor.error.isVisible()


def test_that_a_lure_that_has_gone_is_named_shown_and_not_computed(desk: Desk) -> None:
    desk.set_lineup(PLUG, replace(JIG, lure="a lure of old"))
    desk.settle()
    said = "The lure “a lure of old” is not in the tackle any more."
    assert desk.cells(0) == ["plug", "jig"]
    assert desk.cells("alone")[1] == said
    assert [len(plot.curves) for plot in desk.page.plots] == [1, 1, 1]
    desk.comparison.choose(1)
    assert desk.page.editor.error.text() == said
    assert desk.page.editor.lure.currentText() == "a lure of old"
    desk.page.editor.lure.textActivated.emit("light jig, 1 oz")
    assert not desk.page.editor.error.isVisible()
    desk.settle()
    assert [len(plot.curves) for plot in desk.page.plots] == [2, 2, 2]


def test_that_a_drop_that_fails_is_told_in_its_row(desk: Desk) -> None:
    answer, _ = desk.worker.waiting.pop("drop 0")
    answer(ValueError("no way down"))
    desk.settle()
    tips = [desk.page.table.item(row, 0).toolTip() for row in range(5)]
    assert "no way down" in tips[0]
    assert "no way down" not in tips[1]
    assert len(desk.page.drops.curves) == 2
