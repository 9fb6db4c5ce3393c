"""What is half typed when a person saves, quits or opens another: it is taken as it stands."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from app.common.units import FOOT
from app.gear.catalog import Catalog
from app.log.store import Store
from app.scenario import file as scenario_file
from app.shell.window import Window
from tests.app.shell.window.hands import Button, unsaved

KEY = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier


def half_type(window: Window, feet: str) -> QLineEdit:
    """Type a depth of the mark and leave the hand on it."""
    field = window.page.helm.mark
    field.setFocus()
    field.selectAll()
    QTest.keyClicks(field, feet)
    assert field.lineEdit().isModified()
    return field.lineEdit()


def with_entry(start: Callable[..., Window]) -> Window:
    """A window with a new entry of the log in hand."""
    window = start()
    window.show_page("log")
    window.pages.log.begin()
    return window


def mark_of(path: Path, catalog: Catalog) -> float:
    mark = scenario_file.load(path, catalog).mark
    assert mark is not None
    return FOOT.from_si(mark.depth)


def test_that_saving_takes_a_half_typed_number_and_leaves_the_hand_there(
    start: Callable[..., Window], own: Path, catalog: Catalog
) -> None:
    window = start(own)
    field = half_type(window, "21")
    QTest.keyClick(window, KEY.Key_S, CONTROL)
    assert mark_of(own, catalog) == pytest.approx(21.0)
    assert window.focusWidget() in (field, field.parent())


@pytest.mark.parametrize("do", ["quit", "new", "open"])
def test_that_who_leaves_with_a_half_typed_number_is_asked(
    do: str, start: Callable[..., Window], own: Path, catalog: Catalog, answers: list[Button]
) -> None:
    window = start(own)
    half_type(window, "21")
    answers.append(Button.Save)
    if do == "quit":
        assert window.close()
    elif do == "new":
        assert window.files.new()
    else:
        assert window.files.open_file(own)
    assert not answers
    assert mark_of(own, catalog) == pytest.approx(21.0)


def test_that_a_half_typed_number_is_put_by_when_the_window_is_ended(
    start: Callable[..., Window], own: Path, catalog: Catalog, home: Path
) -> None:
    window = start(own)
    half_type(window, "21")
    window.leave()
    left = unsaved(home)
    assert left is not None
    assert mark_of(left, catalog) == pytest.approx(21.0)


@pytest.mark.parametrize("end", ["close", "leave"])
def test_that_a_half_typed_note_of_the_log_is_kept(
    end: str, start: Callable[..., Window], home: Path
) -> None:
    window = with_entry(start)
    note = window.pages.log.form.note
    note.setFocus()
    QTest.keyClicks(note, "birds to the west")
    getattr(window, end)()
    log = Store()
    assert [entry.note for entry in log.entries()] == ["birds to the west"]
    log.close()


def test_that_saving_takes_a_half_typed_cell_and_leaves_the_hand_in_the_table(
    start: Callable[..., Window], own: Path
) -> None:
    window = start(own)
    window.show_page("log")
    window.pages.log.begin()
    lines = window.pages.log.form.lines
    lines.setFocus()
    lines.setCurrentCell(0, 4)
    lines.editItem(lines.item(0, 4))
    QTest.keyClicks(lines.findChild(QLineEdit), "bluefish")
    QTest.keyClick(lines.findChild(QLineEdit), KEY.Key_S, CONTROL)
    assert [entry.lines[0].fish for entry in window.pages.entries.store.entries()] == ["bluefish"]
    assert lines.hasFocus()


def test_that_a_half_typed_cell_of_the_log_is_kept(
    start: Callable[..., Window], home: Path
) -> None:
    window = with_entry(start)
    lines = window.pages.log.form.lines
    lines.setFocus()
    lines.setCurrentCell(0, 4)
    lines.editItem(lines.item(0, 4))
    QTest.keyClicks(lines.findChild(QLineEdit), "bluefish")
    assert window.close()
    log = Store()
    assert [entry.lines[0].fish for entry in log.entries()] == ["bluefish"]
    log.close()


def test_that_a_note_too_long_to_be_kept_is_not_left_unasked(
    start: Callable[..., Window], answers: list[Button]
) -> None:
    window = with_entry(start)
    note = window.pages.log.form.note
    note.setFocus()
    note.insertPlainText("x" * 4001)
    answers.append(Button.Cancel)
    assert not window.close()
    assert not answers
    assert len(note.toPlainText()) == 4001
    note.setPlainText("x")
    assert window.close()


def test_that_the_spread_is_saved_out_of_its_own_window(
    start: Callable[..., Window], own: Path, catalog: Catalog, answers: list[Button]
) -> None:
    window = start(own)
    window.edit_spread()
    editor = window.editor
    assert editor is not None
    editor.activateWindow()
    QApplication.processEvents()
    assert QApplication.activeWindow() is editor
    name = editor.rows[0].name
    name.setFocus()
    name.selectAll()
    QTest.keyClicks(name, "near")
    QTest.keyClick(name, KEY.Key_S, CONTROL)
    assert scenario_file.load(own, catalog).rods[0].name == "near"
    QTest.keyClicks(name, "est")
    answers.append(Button.Save)
    assert window.close()
    assert not answers
    assert scenario_file.load(own, catalog).rods[0].name == "nearest"
