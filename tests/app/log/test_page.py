"""The Log page and the keys that keep a drop: by keys alone, undone by one undo, never lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QStyle, QStyleOptionComboBox, QWidget

from app.common.units import BOAT_SPEEDS, KNOT
from app.log import columns
from app.log.columns import COLUMNS
from app.log.model import Log
from app.log.page import LEFT_OUT, LogPage
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.shell.window import Window
from tests.app.log.made import LATE, a_drop, entries_of, season

KEY = Qt.Key
WIND = [column.key for column in columns.COLUMNS].index("wind")


class Hands:
    """Presses keys where the focus is, and counts them."""

    def __init__(self) -> None:
        self.count = 0

    def press(self, *keys: Qt.Key | str) -> None:
        for key in keys:
            for each in key if isinstance(key, str) else (key,):
                self.count += 1
                focus = QApplication.focusWidget()
                assert isinstance(focus, QWidget)
                QTest.keyClick(focus, each)

    def next_entry(self) -> None:
        self.count += 1
        focus = QApplication.focusWidget()
        assert isinstance(focus, QWidget)
        QTest.keyClick(focus, KEY.Key_Return, Qt.KeyboardModifier.ControlModifier)


TWENTY = [(6 + n // 3, 20 * (n % 3), (15, 20, 25)[n % 3], 8 + n, "dst"[n % 3], "iwa"[n % 3],
           ("nothing", "drop", "lift", "troll")[n % 4]) for n in range(20)]  # fmt: skip


@pytest.mark.parametrize("speed", BOAT_SPEEDS)
def test_that_every_heading_has_room_for_its_words_and_the_arrow(
    page: LogPage, window: Window, speed: str
) -> None:
    window.preferences.set_speed(speed)
    head = page.table.horizontalHeader()
    for column in range(head.count()):
        assert head.sectionSizeHint(column) <= head.sectionSize(column), COLUMNS[column].key


@pytest.mark.parametrize("size", ["100", "125"])
def test_that_every_filter_has_room_for_its_words(
    page: LogPage, window: Window, size: str, qapp: QApplication
) -> None:
    window.resize(1280, 720)
    window._set_text_size(size)
    try:
        qapp.processEvents()
        for box in (page.filters.kind, *page.filters.choices.values()):
            option = QStyleOptionComboBox()
            box.initStyleOption(option)
            room = box.style().subControlRect(
                QStyle.ComplexControl.CC_ComboBox, option,
                QStyle.SubControl.SC_ComboBoxEditField, box,
            )  # fmt: skip
            words = box.fontMetrics().horizontalAdvance(box.currentText())
            assert room.width() >= words, box.currentText()
    finally:
        window._set_text_size("100")


def test_that_on_a_wide_window_the_table_and_the_rods_names_have_the_room(
    page: LogPage, window: Window, log: Log, qapp: QApplication
) -> None:
    drop = a_drop()
    long = replace(drop.lines[0], rod="starboard, the long one")
    log.merge([replace(drop, lines=(long, drop.lines[1]))])
    page.table.selectRow(0)
    window.resize(1920, 1080)
    qapp.processEvents()
    lines = page.form.lines
    assert lines.columnWidth(0) >= lines.sizeHintForColumn(0)
    assert page.table.width() > 1.4 * page.form.width()


def test_that_a_day_of_twenty_drops_is_typed_by_keys_alone(page: LogPage, log: Log) -> None:
    hands, enter = Hands(), KEY.Key_Return
    letters = {"nothing": "n", "drop": "d", "lift": "l", "troll": "t"}
    for hour, minute, hold, wait, side, tide, came in TWENTY:
        hands.next_entry()
        hands.press(f"{hour:02d}{minute:02d}", enter, f"{hold}", enter, f"{wait}", enter)
        # side and heading go on by themselves; light is left to the sun
        hands.press(side, tide, KEY.Key_Tab, letters[came])
    typed = [(e.at.hour, e.at.minute, e.hold, e.wait, e.side[0], e.tide[0], e.lines[0].outcome)
             for e in sorted(entries_of(log), key=lambda e: e.at)]  # fmt: skip
    assert typed == TWENTY
    # at two keys a second that is under four minutes
    assert hands.count < 2 * 5 * 60, f"{hands.count} keys for twenty drops"


def test_that_bring_back_is_one_action_and_one_undo(
    page: LogPage, log: Log, window: Window, shoal: Setup
) -> None:
    drop = a_drop(setup=scenario_file.plain_text(shoal), hold=17.0)
    log.merge([drop])
    page.table.selectRow(0)
    before = window.document.setup
    page.back.click()
    now = window.document.setup
    assert scenario_file.nearly_equal(now, replace(shoal, hold=17.0))
    window.document.undo_stack.undo()
    assert window.document.setup == before


def test_that_bring_back_brings_the_doubt_that_was_left_of_the_tackle_then(
    log: Log, window: Window, demo: Setup
) -> None:
    document, sure = window.document, replace(demo.doubt, line_drag=0.05, coast_down=0.1)
    for then, now in ((sure, demo.doubt), (demo.doubt, sure)):
        document.edit(replace(demo, doubt=now, hold=None), "other tackle")
        assert log.bring_back(a_drop(setup=scenario_file.plain_text(replace(demo, doubt=then))))
        assert document.setup.doubt == then


def test_that_an_entry_without_a_setup_or_with_strange_tackle_is_told(
    page: LogPage, log: Log, window: Window, demo: Setup
) -> None:
    said: list[str] = []
    log.trouble.connect(said.append)
    text = scenario_file.plain_text(demo).replace("sinking plug", "vanished plug")
    for setup in ("", text, "not a scenario at all"):
        assert not log.bring_back(a_drop(setup=setup))
    assert "without a setup" in said[0]
    assert "vanished plug" in said[1]
    assert len(said) == 3


def test_that_two_entries_side_by_side_tell_what_differed(page: LogPage, log: Log) -> None:
    first = a_drop("one")
    second = replace(a_drop("one"), at=first.at + timedelta(minutes=20), hold=25.0, tide="with")
    log.merge([first, second])
    page.table.selectAll()
    table = page.beside.table
    told = [[table.item(row, column).text() for column in range(3)]
            for row in range(table.rowCount())]  # fmt: skip
    assert told == [
        ["Time", "06:50 -04:00", "06:30 -04:00"],
        ["Hold", "25 s", "20 s"],
        ["Heading", "with the tide", "into the tide"],
    ]


def test_that_an_earlier_version_is_shown_beside_the_entry(page: LogPage, log: Log) -> None:
    drop = a_drop("first")
    log.merge([drop])
    page.table.selectRow(0)
    assert page.earlier.isHidden()
    log.merge([replace(drop, note="by hand")])
    assert not page.earlier.isHidden()
    page.earlier.click()
    table = page.beside.table
    assert [table.item(0, column).text() for column in range(3)] == ["Note", "by hand", "first"]


def test_that_the_entry_in_hand_stays_in_hand_where_its_time_sorts_it_elsewhere(
    page: LogPage, log: Log
) -> None:
    log.merge([a_drop("other", at=LATE - timedelta(hours=3))])
    page.begin()
    clock, before = page.form.fields["clock"], page.form.entry
    assert before is not None
    clock.setFocus()
    QTest.keyClicks(clock, "0642")
    QTest.keyClick(clock, KEY.Key_Return)
    now = page.form.entry
    assert now is not None
    assert (now.id, now.at.hour) == (before.id, 6)
    assert [entry.id for entry in page.chosen()] == [now.id]


def test_that_the_newest_entry_is_in_hand_when_the_page_comes_forward(
    window: Window, log: Log
) -> None:
    log.merge(list(season(3)))
    QTest.keyClick(window, KEY.Key_F10)
    (entry,) = window.pages.log.chosen()
    assert entry.note == "drop 2 of day 0"


def test_that_the_table_is_filtered_sorted_and_searched(page: LogPage, log: Log) -> None:
    made = list(season(40))
    log.merge(made)
    assert page.table.rows.rowCount() == 40
    page.filters.hits.setChecked(True)
    assert page.table.rows.rowCount() == sum(bool(e.hits) for e in made)
    page.filters.hits.setChecked(False)
    page.filters.text.setText("MADE up 39 Drop")
    assert page.filters.pending.filtered
    assert page.table.rows.rowCount() == 0
    page.filters.text.setText("DAY 19 Drop")
    assert page.filters.pending.filtered
    assert page.table.rows.rowCount() == 2
    page.filters.text.setText("nothing like it")
    assert page.filters.pending.filtered
    assert not page.empty.isHidden()
    page.filters.show_day("2020-05-02")
    page.table.horizontalHeader().setSortIndicator(4, Qt.SortOrder.AscendingOrder)
    holds = [page.table.rows.text(row, 4) for row in range(20)]
    assert holds == sorted(holds)
    assert page.count.text().startswith("20 entries")


def test_that_entries_are_deleted_and_come_back(page: LogPage, log: Log) -> None:
    log.merge(list(season(3)))
    page.table.setFocus()
    page.table.selectAll()
    QTest.keyClick(page.table, KEY.Key_Delete)
    assert entries_of(log) == []
    log._document.undo_stack.undo()
    assert len(entries_of(log)) == 3


def test_that_many_entries_are_deleted_with_few_questions_to_the_file(
    page: LogPage, log: Log
) -> None:
    log.merge(list(season(1200)))
    table, stack = page.table, page._log._document.undo_stack
    count, all_of_them = log.store.count(), list(table.rows.numbers)
    table.choose(all_of_them[::-1])
    assert len(table.selectionModel().selection()) == 1
    assert table.numbers() == all_of_them
    asked: list[str] = []
    log.store._db.set_trace_callback(asked.append)
    page.delete.click()
    assert log.store.count() == 0
    stack.undo()
    log.store._db.set_trace_callback(None)
    assert len([words for words in asked if "from entries where" in words]) < 60
    assert log.store.count() == count
    table.choose(all_of_them[::2])
    assert table.numbers() == all_of_them[::2]


def test_that_an_entry_of_tomorrow_can_be_changed_when_the_clock_was_set_back(
    page: LogPage, log: Log
) -> None:
    log.merge([a_drop()])
    page.table.selectRow(0)
    log.now = lambda: LATE - timedelta(days=365)
    page.form.fields["side"].setFocus()
    QTest.keyClick(page.form.fields["side"], "d")
    page.form.lines.setCurrentCell(1, 3)
    QTest.keyClick(page.form.lines, "l")
    (entry,) = entries_of(log)
    assert (entry.side, entry.lines[1].outcome) == ("deep", "lift")
    # but none can be moved there
    page.form.fields["day"].setText("2026-05-02")
    page.form.fields["day"].setModified(True)
    QTest.keyClick(page.form.fields["day"], KEY.Key_Return)
    assert "to now" in page.form.wrong.text()


def test_that_a_day_stays_looked_at_when_its_last_entry_goes(page: LogPage, log: Log) -> None:
    log.merge([a_drop()])
    page.filters.show_day("2026-05-01")
    assert page.filters.day.currentText() == "2026-05-01: 1 entry, 1 hit"
    page.table.selectRow(0)
    page.delete.click()
    assert page.filters.day.currentText() == "2026-05-01: no entries"
    assert page.empty.text() == LEFT_OUT
    assert not page.sheet.isEnabled()
    log._document.undo_stack.undo()
    assert page.table.rows.rowCount() == 1
    assert page.filters.day.count() == 2


def test_that_on_the_water_is_seen_to_end_at_midnight(page: LogPage, log: Log) -> None:
    page.today.water.click()
    assert log.today.told.on_water
    log.now = lambda: LATE + timedelta(hours=5)
    log._look()
    assert not page.today.water.isChecked()
    page.today.water.click()
    assert log.today.told.on_water


def test_that_winds_and_speeds_are_told_in_the_unit_in_use(
    page: LogPage, log: Log, window: Window
) -> None:
    log.merge([a_drop(wind_speed=KNOT.to_si(10.0), wind_from=0.0)])
    page.table.selectRow(0)
    window.preferences.set_speed("mph")
    form = page.form
    assert (form.names["Wind"].text(), form.fields["wind_speed"].text()) == ("Wind, mph", "12")
    assert page.table.rows.text(0, WIND) == "12 mph from 0°"
    for name in ("speed", "wind_speed"):
        assert " mph, or nothing" in form.fields[name].toolTip()
