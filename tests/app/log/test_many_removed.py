"""Many entries removed at once: none is read, and none that another window changed is lost."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest

from app.log.entry import Entry
from app.log.files import read_entries
from app.log.files_job import give_out
from app.log.find import Wanted
from app.log.model import Log
from app.log.stepping import Marking
from app.log.store import Store
from tests.app.log.made import NOW, entries_of, season


@pytest.fixture(params=["whole", "marked"])
def log(request: pytest.FixtureRequest, log: Log, monkeypatch: pytest.MonkeyPatch) -> Log:
    """A log whose few entries are removed as few are, or as many."""
    monkeypatch.setattr("app.log.model.AT_ONCE", 20 if request.param == "whole" else 2)
    log.merge(list(season(5)))
    return log


def notes(entries: list[Entry]) -> list[str]:
    return sorted(entry.note for entry in entries)


def test_that_many_are_marked_unread_and_each_is_sought_by_itself(
    log: Log, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("app.log.model.AT_ONCE", 2)
    asked: list[str] = []
    stack = log._document.undo_stack
    log.store._db.set_trace_callback(asked.append)
    log.remove(log.found.numbers)
    assert not log.found.numbers
    stack.undo()
    log.store._db.set_trace_callback(None)
    assert len(log.found.numbers) == 5
    assert not [words for words in asked if "from lines" in words]
    sought = [words for words in asked if " id in (" in words]
    assert sought
    for words in sought:
        plan = [row[3] for row in log.store._db.execute(f"explain query plan {words}")]
        assert "(id=?)" in plan[0], plan


def test_that_an_entry_is_sought_by_its_id_where_it_is_changed(log: Log) -> None:
    asked: list[str] = []
    (first, *_) = entries_of(log)
    log.store._db.set_trace_callback(asked.append)
    log.edit((first,), (replace(first, note="changed"),), "note")
    log.store._db.set_trace_callback(None)
    (words,) = [words for words in asked if " id in (" in words and "select number" in words]
    plan = [row[3] for row in log.store._db.execute(f"explain query plan {words}")]
    assert "(id=?)" in plan[0], plan


def test_that_what_another_window_made_of_an_entry_meanwhile_stays(log: Log) -> None:
    before, stack = entries_of(log), log._document.undo_stack
    with closing(Store()) as other:
        log.remove(log.found.numbers)
        assert not entries_of(log)
        # they had it in hand
        other.change([(before[0], replace(before[0], note="theirs"))])
        stack.undo()
        assert notes(entries_of(log)) == notes([replace(before[0], note="theirs"), *before[1:]])
        stack.redo()
        assert notes(entries_of(log)) == ["theirs"]
        stack.undo()
        assert len(entries_of(log)) == 5


def test_that_what_this_window_did_before_does_not_keep_them_from_being_removed_again(
    log: Log,
) -> None:
    stack, first = log._document.undo_stack, entries_of(log)[0]
    log.edit((first,), (replace(first, note="changed"),), "note")
    log.remove(log.found.numbers)
    for _ in range(2):
        stack.undo()
    assert notes(entries_of(log))[0] == first.note
    for _ in range(2):
        stack.redo()
    assert entries_of(log) == []
    stack.undo()
    assert "changed" in notes(entries_of(log))


def test_that_they_are_seen_to_go_where_nothing_can_be_written_and_go_later(
    log: Log, tmp_path: Path
) -> None:
    before, stack = notes(entries_of(log)), log._document.undo_stack
    first, out = entries_of(log)[0], tmp_path / "out.csv"
    with closing(sqlite3.connect(log.store.path)) as busy:
        busy.execute("begin immediate")
        log.edit((first,), (replace(first, note="changed"),), "note")
        log.remove(log.found.numbers)
        assert entries_of(log) == []
        assert log.found.numbers == []
        stack.undo()
        assert notes(entries_of(log)) == ["changed", *before[1:]]
        assert [len(entry.lines) for entry in entries_of(log)] == [4] * 5
        assert len(log.store.find(Wanted(text="changed")).numbers) == 1
        stack.redo()
        assert give_out(log.store.path, log.store.waiting, Wanted(), out) == 0
        assert read_entries(out, NOW) == []
        busy.rollback()
    assert log.keeper.keep()
    assert not log.store.waiting
    with closing(Store()) as other:
        assert list(other.entries()) == []
    stack.undo()
    with closing(Store()) as other:
        assert notes(list(other.entries())) == ["changed", *before[1:]]


def test_that_what_waits_to_be_removed_stays_where_another_changes_it_first(log: Log) -> None:
    first, others = entries_of(log)[0], entries_of(log)[1:]
    with closing(Store()) as other:
        seen = log.store.last_changed(log.found.numbers)
        other.change([(first, replace(first, note="theirs"))])
        log.store.change([Marking(seen, gone=True)])
    assert notes(entries_of(log)) == ["theirs"]
    log.store.change([Marking(seen, gone=False)])
    assert notes(entries_of(log)) == notes([replace(first, note="theirs"), *others])
