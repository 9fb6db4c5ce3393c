"""A log that becomes damaged while it is open: told, set aside, and what can be read is saved."""

from __future__ import annotations

from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.log import backups
from app.log.entry import Entry
from app.log.model import Log
from app.log.opening import in_memory
from app.log.rescue import saved_from
from app.log.store import Store
from app.shell.window import Window
from app.ui.plain import Message
from tests.app.log.made import a_drop, season

PAGE = 4096


@pytest.fixture
def filled(home: Path) -> Store:
    """A log whose file has some dozen pages, and a copy of it from before its last entry."""
    log = Store()
    log.merge(season(200))
    backups.back_up(log.path, "2026-05-01")
    log.merge([a_drop("last", setup="x" * 30_000)])
    return log


def harm(log: Store, first: float, last: float) -> bytes:
    """Overwrite a part of the file, from one share of it to another, behind the log's back."""
    log._db.execute("pragma wal_checkpoint(truncate)").fetchall()
    log._db.execute("pragma cache_size = 1")
    log._db.execute("pragma shrink_memory")
    log._seen.clear()
    data = bytearray(log.path.read_bytes())
    pages = len(data) // PAGE
    for page in range(round(first * pages), round(last * pages)):
        data[page * PAGE : (page + 1) * PAGE] = b"\x0d" + b"\xff" * (PAGE - 1)
    log.path.write_bytes(data)
    return bytes(data)


def test_that_what_can_be_read_is_saved_and_the_newest_copy_offered_for_the_rest(
    filled: Store, home: Path
) -> None:
    log = filled
    before = {log.number(entry.id): entry for entry in log.entries()}
    told: list[str] = []
    log.on_rescue = lambda: told.append(log.told)
    harm(log, 0.35, 0.5)
    found = list(log.entries())
    assert len(told) == 1
    assert "became damaged" in log.told
    (aside,) = home.glob("log.damaged.sqlite")
    assert aside.stat().st_size > 10 * PAGE
    assert 0 < len(found) < len(before)
    lost = len(before) - len(found)
    assert f"{len(found):,} entries in it could be saved, {lost:,} at most could not" in log.told
    # what was saved is whole, under its number
    for entry in found:
        assert before[log.number(entry.id)] == entry
    # and the rest comes from the copy
    assert log.offer is not None
    assert log.merge_file(log.offer).added + len(found) in (len(before), len(before) - 1)
    log.close()
    log = Store()
    assert not log.told
    assert len(list(log.entries())) >= len(before) - 1
    log.close()


@pytest.mark.parametrize("part", [0.05, 0.2, 0.4, 0.6, 0.8, 0.95])
def test_that_no_harm_to_the_file_raises_and_all_that_is_done_afterwards_is_kept(
    filled: Store, part: float
) -> None:
    log = filled
    harm(log, part, part + 0.06)
    new = a_drop("new")
    log.change([(None, new)])
    log.days()
    for _ in log.entries():
        pass
    there = log.entry(new.id)
    assert there is not None
    log.change([(there, replace(there, note="changed"))])
    log.close()
    log = Store()
    now = log.entry(new.id)
    assert now is not None
    assert now.note == "changed"
    log.close()


def test_that_a_file_that_is_no_log_any_more_is_told_and_the_copy_offered(filled: Store) -> None:
    log = filled
    harm(log, 0.0, 1.0)
    assert list(log.entries()) == []
    assert "None of its entries can be read" in log.told
    assert log.offer is not None
    assert log.merge_file(log.offer).added == 200
    log.close()


def test_that_the_other_window_goes_on_with_the_file_that_the_first_began_anew(
    filled: Store, home: Path
) -> None:
    one, two = filled, Store()
    harm(two, 0.35, 0.5)
    harm(one, 0.35, 0.5)
    assert list(one.entries())
    assert one.offer is not None
    one.merge_file(one.offer)
    whole = {entry.id for entry in one.entries()}
    two.change([(None, a_drop("of the other"))])
    assert {entry.id for entry in two.entries()} > whole
    assert "by another window" in two.told
    assert len(list(home.glob("log.damaged*.sqlite"))) == 1
    one.close()
    two.close()


def test_that_a_person_is_told_and_the_page_shows_what_is_there(window: Window, log: Log) -> None:
    entries = list(season(200))
    log.merge(entries)
    QTest.keyClick(window, Qt.Key.Key_F10)
    page = window.pages.log
    harm(log.store, 0.35, 0.5)
    page.filters.show_day("2020-05-05")
    page.table.selectRow(3)
    QApplication.processEvents()
    kept: list[Entry] = list(log.store.entries())
    assert 0 < len(kept) < 200
    (box,) = window.findChildren(Message)
    assert "became damaged" in box.text()
    assert len(log.found.numbers) == sum(e.at.date().isoformat() == "2020-05-05" for e in kept)
    box.close()


@pytest.mark.parametrize("number", [2**62, -5])
def test_that_a_number_no_file_has_room_for_does_not_send_the_rescue_on_for_ever(
    number: int,
) -> None:
    with closing(in_memory()) as db:
        db.execute("insert into sought values (?, '')", (number,))
        db.commit()
        saved = saved_from(db)
    assert (saved.kept, saved.gone, saved.lost) == ({}, {}, 1)
