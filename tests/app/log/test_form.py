"""The form of an entry: what is typed into it is kept, refused in its place, or stays in hand."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.common.units import KNOT
from app.log.entry import LONGEST_TEXT
from app.log.model import Log
from app.log.page import LogPage
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from tests.app.by_hand import Live, worker_of
from tests.app.log.made import LATE, a_drop, entries_of

KEY = Qt.Key


def test_that_every_field_of_the_form_is_kept_and_undone(page: LogPage, log: Log) -> None:
    page.begin()
    form, stack = page.form, page._log._document.undo_stack
    steps = stack.index()
    for name, text in (
        ("day", "2026-05-19"), ("clock", "6:42 pm -05:00"), ("hold", "21.5"), ("wait", "9"),
        ("speed", "3.25"),
        ("heading", "270"), ("wind_speed", "12"), ("wind_from", "225"),
        ("lasted", "20"), ("tags", "rip, dawn"), ("latitude", "30 21.0 N"),
        ("longitude", "40 31.2 W"),
    ):  # fmt: skip
        field = form.fields[name]
        field.setFocus()
        QTest.keyClick(field, KEY.Key_A, Qt.KeyboardModifier.ControlModifier)
        QTest.keyClicks(field, text)
        QTest.keyClick(field, KEY.Key_Return)
    (entry,) = entries_of(log)
    assert entry.at.isoformat() == "2026-05-19T18:42:00-05:00"
    assert (entry.hold, entry.wait, entry.lasted, entry.tags) == (
        21.5,
        9.0,
        1200.0,
        ("rip", "dawn"),
    )
    assert entry.speed == KNOT.to_si(3.25)
    assert entry.place == pytest.approx((30.35, -40.52))
    while stack.index() > steps:
        stack.undo()
    (entry,) = entries_of(log)
    assert (entry.at, entry.place, entry.tags) == (LATE, None, ())


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("clock", "25:00", "no such time"),
        ("clock", "soon", "6:42"),
        ("day", "2026-02-30", "no such day"),
        ("day", "2026-06-30", "to now"),
        ("day", "tomorrow", "2026-05-01"),
        ("hold", "ten", "not a number"),
        ("hold", "900", "0 to 600 s"),
        ("speed", "50", "0 to 23.3 kn"),
        ("latitude", "95", "-90 to 90"),
    ],
)
def test_that_what_makes_no_sense_is_refused_in_its_place(
    page: LogPage, log: Log, name: str, text: str, said: str
) -> None:
    page.begin()
    before = entries_of(log)
    field = page.form.fields[name]
    field.setFocus()
    QTest.keyClick(field, KEY.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClicks(field, text)
    QTest.keyClick(field, KEY.Key_Return)
    assert said in page.form.wrong.text()
    assert entries_of(log) == before
    QTest.keyClick(field, KEY.Key_Escape)
    assert not page.form.wrong.text()


def test_that_lines_are_filled_added_and_taken_away_by_keys(page: LogPage, log: Log) -> None:
    log.merge([a_drop()])
    page.table.selectRow(0)
    lines = page.form.lines
    lines.setFocus()
    lines.setCurrentCell(0, 3)
    for key in ("l", "u"):
        QTest.keyClick(lines, key)
    assert [line.outcome for line in entries_of(log)[0].lines] == ["lift", "turn"]
    lines.setCurrentCell(0, 3)
    QTest.keyClick(lines, KEY.Key_Delete)
    (line, _) = entries_of(log)[0].lines
    assert (line.outcome, line.landed, line.fish, line.after) == ("nothing", None, "", None)
    last = lines.item(2, 0)
    assert last is not None
    last.setText("middle")
    assert [line.rod for line in entries_of(log)[0].lines] == ["port", "starboard", "middle"]
    lines.setCurrentCell(0, 0)
    QTest.keyClick(lines, KEY.Key_Delete, Qt.KeyboardModifier.ControlModifier)
    assert [line.rod for line in entries_of(log)[0].lines] == ["starboard", "middle"]


def test_that_a_name_cannot_be_taken_from_a_line(page: LogPage, log: Log) -> None:
    log.merge([a_drop()])
    page.table.selectRow(0)
    lines, before = page.form.lines, entries_of(log)
    lines.setFocus()
    lines.setCurrentCell(0, 0)
    QTest.keyClick(lines, KEY.Key_Delete)
    assert page.form.wrong.text() == "Line: allowed is a name."
    assert entries_of(log) == before
    assert lines.item(0, 0).text() == "port"  # type: ignore[union-attr]


def test_that_a_note_that_is_too_long_stays_and_is_told(page: LogPage, log: Log) -> None:
    log.merge([a_drop("short")])
    page.table.selectRow(0)
    note, text = page.form.note, "x" * (LONGEST_TEXT + 1)
    note.setFocus()
    note.selectAll()
    note.insertPlainText(text)
    page.table.setFocus()
    assert page.form.wrong.text() == f"Note: allowed is at most {LONGEST_TEXT}."
    page.form.refresh()
    assert note.toPlainText() == text
    note.setFocus()
    note.textCursor().deletePreviousChar()
    page.table.setFocus()
    assert entries_of(log)[0].note == text[:-1]


def test_that_a_note_that_is_too_long_keeps_its_entry_in_hand_until_it_is_mended(
    page: LogPage, log: Log
) -> None:
    log.merge([a_drop("one"), a_drop("other", at=LATE - timedelta(hours=3))])
    page.table.selectRow(1)
    note, text = page.form.note, "x" * (LONGEST_TEXT + 1)
    note.setFocus()
    note.selectAll()
    note.insertPlainText(text)
    held = page.form.entry
    page.table.setFocus()
    for leave in (lambda: page.table.selectRow(0), page.table.selectAll, page.begin,
                  lambda: page.filters.show_day(LATE.date().isoformat())):  # fmt: skip
        leave()
        assert page.form.entry == held
        assert note.toPlainText() == text
        assert page.form.wrong.text() == f"Note: allowed is at most {LONGEST_TEXT}."
        assert not page.form.wrong.isHidden()
        assert len(entries_of(log)) == 2
    page.filters.show_day("")
    note.textCursor().deletePreviousChar()
    page.table.selectRow(0)
    assert page.form.entry != held
    assert {len(entry.note) for entry in entries_of(log)} == {LONGEST_TEXT, 5}


def test_that_the_model_is_asked_anew_from_the_setup(
    page: LogPage, log: Log, make_live: Callable[[Setup], Live], demo: Setup
) -> None:
    rod = demo.rods[0].name
    line = replace(a_drop().lines[0], rod=rod)
    drop = a_drop(setup=scenario_file.plain_text(demo), lines=(line,), hold=15.0)
    log.merge([drop])
    page.table.selectRow(0)
    assert "not asked" in page.form.model.text()
    page.anew.click()
    worker_of(log).deliver("anew")
    (entry,) = entries_of(log)
    said = entry.lines[0].said
    assert said is not None
    assert (said.phase, said.fell > 5.0, said.lifted > 1.0) == ("falling", True, True)
    # nobody knows how long it fished: none of what the model ran beside the drop is told
    assert said.ran == 0.0
    assert "off bottom, falling" in page.form.model.text()
    assert said.lift_off_bottom is not None
    assert re.search(
        r"It started to lift [\d.]+ ft off bottom at [\d.]+ kn\.", page.form.model.text()
    )
