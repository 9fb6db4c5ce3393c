"""The log's file moved, deleted or replaced while a window has it open: nothing is lost."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.log.entry import Entry
from app.log.model import Log
from app.log.opening import check
from app.log.store import Store
from app.shell.window import Window
from app.ui.plain import Message
from tests.app.log.made import a_drop, entries_of


def notes(path: Path | None = None) -> list[str]:
    """Of all that a log holds for who opens it now."""
    log = Store(path)
    assert not log.told
    check(log._db)
    found = sorted(entry.note for entry in log.entries())
    log.close()
    return found


@pytest.fixture
def open_log(home: Path) -> Store:
    """A log with two entries, and one that was removed."""
    log, gone = Store(), a_drop("gone")
    log.change([(None, entry) for entry in (a_drop("one"), a_drop("two"), gone)])
    log.change([(gone, None)])
    return log


def add(log: Store, note: str) -> Entry:
    entry = a_drop(note)
    log.change([(None, entry)])
    return entry


@pytest.mark.parametrize("how", ["deleted", "moved", "with its folder"])
def test_that_what_is_done_after_the_file_went_is_kept_with_all_before(
    open_log: Store, how: str, tmp_path: Path
) -> None:
    if how == "deleted":
        open_log.path.unlink()
    elif how == "moved":
        open_log.path.rename(tmp_path / "elsewhere.sqlite")
    else:
        open_log.path.parent.rename(tmp_path / "elsewhere")
    add(open_log, "three")
    assert "moved or deleted" in open_log.told
    add(open_log, "four")
    assert notes() == ["four", "one", "three", "two"]
    open_log.close()
    assert notes() == ["four", "one", "three", "two"]


def test_that_a_log_put_in_its_place_and_this_one_are_merged(
    open_log: Store, tmp_path: Path
) -> None:
    other = Store(tmp_path / "other.sqlite")
    add(other, "of another")
    other.close()
    shutil.move(tmp_path / "other.sqlite", open_log.path)
    assert open_log.changed_outside()
    assert "replaced" in open_log.told
    add(open_log, "three")
    assert sorted(entry.note for entry in open_log.entries()) == [
        "of another", "one", "three", "two",
    ]  # fmt: skip
    open_log.close()
    assert notes() == ["of another", "one", "three", "two"]


def test_that_two_windows_whose_file_went_go_on_with_one(open_log: Store) -> None:
    other = Store()
    open_log.path.unlink()
    add(open_log, "three")
    add(other, "four")
    assert open_log.changed_outside()
    for log in (open_log, other):
        assert {entry.note for entry in log.entries()} == {"one", "two", "three", "four"}
        log.close()
    assert notes() == ["four", "one", "three", "two"]


def test_that_what_is_done_where_no_file_can_be_made_waits_for_one(
    open_log: Store, tmp_path: Path
) -> None:
    folder, away = open_log.path.parent, tmp_path / "away"
    folder.rename(away)
    folder.write_text("in the way")
    add(open_log, "three")
    assert not open_log.changed_outside()
    assert {entry.note for entry in open_log.entries()} == {"one", "two", "three"}
    assert len(open_log.waiting) == 1
    folder.unlink()
    away.rename(folder)
    open_log.flush()
    assert not open_log.told
    open_log.close()
    assert notes() == ["one", "three", "two"]


def test_that_a_person_is_told_and_sees_all(window: Window, log: Log) -> None:
    log.merge([a_drop("one")])
    QTest.keyClick(window, Qt.Key.Key_F10)
    log.store.path.unlink()
    log.begin()
    QApplication.processEvents()
    (box,) = window.findChildren(Message)
    assert "moved or deleted while it was open" in box.text()
    assert "1 entry in it could be saved" in box.text()
    box.close()
    assert len(entries_of(log)) == len(log.found.numbers) == 2
