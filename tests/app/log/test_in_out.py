"""Files taken in and given out in a worker: the window goes on, all is done or nothing."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDialogButtonBox, QMessageBox

from app.common.bad_input import BadInput
from app.log.chooser import COUNTING, EntryChooser
from app.log.files import read_entries, write_entries
from app.log.files_job import Look, give_out, take_in, take_in_as
from app.log.find import Wanted
from app.log.merging import Merged
from app.log.model import Log
from app.log.page import LogPage
from app.log.store import Store
from app.shell.window import Window
from physics.progress import Cancelled
from tests.app.by_hand import worker_of
from tests.app.log.made import NOW, a_drop, entries_of, season
from tests.app.log.test_foreign import TEXT


@pytest.fixture
def page(window: Window, log: Log) -> LogPage:
    """The Log page, in front."""
    QTest.keyClick(window, Qt.Key.Key_F10)
    worker_of(log).waiting.clear()
    return window.pages.log


def told(page: LogPage) -> str:
    window = page.window()
    assert isinstance(window, Window)
    return window.statusBar().currentMessage()


def test_that_a_file_is_taken_in_by_a_worker_while_the_window_goes_on(
    page: LogPage, log: Log, tmp_path: Path
) -> None:
    path = tmp_path / "ours.csv"
    write_entries(path, season(30))
    page.in_out.take_in(path)
    assert entries_of(log) == []
    assert page.in_out.busy
    assert not page.take_in.isEnabled()
    # what is done meanwhile is kept, another file has to wait
    page.begin()
    page.in_out.take_in(path)
    assert "not done yet" in told(page)
    worker_of(log).deliver("file")
    assert told(page) == "ours.csv: 30 new."
    assert page.take_in.isEnabled()
    assert len(entries_of(log)) == 31
    page.in_out.take_in(path)
    worker_of(log).deliver("file")
    assert told(page) == "ours.csv: 0 new, 30 already here."


def test_that_stop_takes_in_nothing(page: LogPage, log: Log, tmp_path: Path) -> None:
    path = tmp_path / "ours.json"
    write_entries(path, season(30))
    page.in_out.take_in(path)
    page.stop.click()
    assert told(page) == "The import of ours.json was stopped."
    assert not page.in_out.busy
    assert worker_of(log).waiting == {}


@pytest.mark.parametrize("after", [0, 1, 2, 3, 4])
def test_that_what_is_stopped_or_fails_on_the_way_leaves_the_log_as_it_was(
    home: Path, tmp_path: Path, after: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in ("merging", "writing"):
        monkeypatch.setattr(f"app.log.{module}.AT_ONCE", 10)
    monkeypatch.setattr("app.log.csv_rows.SOME", 10)
    path, store = tmp_path / "many.csv", Store()
    store.merge([a_drop("there")])
    write_entries(path, season(30))
    shares: list[float] = []

    def progress(share: float) -> bool:
        shares.append(share)
        return len(shares) > after

    with pytest.raises(Cancelled):
        take_in(store.path, path, NOW, progress)
    assert shares == sorted(shares)
    assert [entry.note for entry in store.entries()] == ["there"]
    assert take_in(store.path, path, NOW, None) == Merged(added=30)
    store.close()


def test_that_a_table_of_others_is_taken_in_as_a_person_tells_its_columns(
    page: LogPage, log: Log, tmp_path: Path
) -> None:
    path, worker = tmp_path / "theirs.csv", worker_of(log)
    path.write_text(TEXT.replace("Colors", "Line out ft"))
    for _ in range(2):
        page.in_out.take_in(path)
        worker.deliver("file")
        (dialog,) = page.findChildren(EntryChooser)
        ok = dialog.buttons.button(QDialogButtonBox.StandardButton.Ok)
        assert dialog.told.text() == COUNTING
        assert not ok.isEnabled()
        worker.deliver("tally")
        assert dialog.told.text() == "2 entries; 0 lines left out."
        # asked about the unit first
        assert "colors" in dialog.asked.text()
        assert not ok.isEnabled()
        unit = dialog.units[6]
        unit.setCurrentIndex(unit.findText("colors"))
        unit.activated.emit(unit.currentIndex())
        assert not ok.isEnabled()
        worker.deliver("tally")
        ok.click()
        worker.deliver("file")
        dialog.setParent(None)
        dialog.deleteLater()
    assert told(page) == "theirs.csv: 0 new, 2 already here."
    assert len(entries_of(log)) == 2


def test_that_a_table_that_changed_since_it_was_looked_at_is_not_taken_in(
    home: Path, tmp_path: Path
) -> None:
    store, path = Store(), tmp_path / "theirs.csv"
    path.write_text(TEXT)
    look = take_in(store.path, path, NOW)
    assert isinstance(look, Look)
    path.write_text(TEXT.replace("20", "25"))
    with pytest.raises(BadInput, match="changed meanwhile"):
        take_in_as(store.path, path, look.digest, look.told, NOW)
    assert not list(store.entries())
    store.close()


def test_that_a_file_that_cannot_be_imported_is_told(
    page: LogPage, log: Log, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    said: list[str] = []
    monkeypatch.setattr(page, "_warn", lambda _title, text: said.append(text))
    bad, wide = tmp_path / "bad.json", tmp_path / "wide.csv"
    bad.write_text('{"leadfall_log": 1}')
    wide.write_text("date," * 101 + "\n" + "2026-05-01," * 101 + "\n")
    for path in (bad, tmp_path / "nowhere.csv", wide):
        page.in_out.take_in(path)
        worker_of(log).deliver("file")
    assert "holds no entries" in said[0]
    assert "no such file" in said[1]
    assert "at most 100 columns" in said[2]
    assert entries_of(log) == []


def test_that_what_is_given_out_has_what_waits_and_only_what_is_looked_at(
    home: Path, tmp_path: Path
) -> None:
    store, path = Store(), tmp_path / "out.csv"
    there = a_drop("there")
    store.merge([there, a_drop("other", side="deep")])
    with closing(sqlite3.connect(store.path)) as busy:
        busy.execute("begin immediate")
        store.change([(None, a_drop("waits")), (there, replace(there, note="changed"))])
        assert len(store.waiting) == 2
        wanted = Wanted(choices=(("side", ""),))
        assert give_out(store.path, store.waiting, wanted, path) == 2
        busy.rollback()
    assert {entry.note for entry in read_entries(path, NOW.replace(year=2999))} == {
        "waits", "changed",
    }  # fmt: skip
    with pytest.raises(Cancelled):
        give_out(store.path, store.waiting, Wanted(), tmp_path / "none.csv", lambda _: True)
    assert not (tmp_path / "none.csv").exists()
    store.close()


def test_that_a_worker_sets_no_log_aside(home: Path, tmp_path: Path) -> None:
    store, path = Store(), tmp_path / "in.csv"
    write_entries(path, season(3))
    store.close()
    harmed = b"no database at all " * 400
    store.path.write_bytes(harmed)
    for do in (
        lambda: take_in(store.path, path, NOW),
        lambda: give_out(store.path, (), Wanted(), tmp_path / "out.csv"),
    ):
        with pytest.raises(BadInput, match="damaged"):
            do()
    assert store.path.read_bytes() == harmed


def test_that_quitting_over_a_file_that_is_not_done_asks_first(
    page: LogPage, log: Log, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def cancel(box: QMessageBox) -> QMessageBox.StandardButton:
        asked.append(box.text())
        return QMessageBox.StandardButton.Cancel

    monkeypatch.setattr(QMessageBox, "exec", cancel)
    window, path = page.window(), tmp_path / "ours.csv"
    write_entries(path, season(3))
    page.in_out.take_in(path)
    assert not window.close()
    assert "The import of ours.csv is not done yet." in asked[0]
    worker_of(log).deliver("file")
    assert window.close()
    assert len(asked) == 1
