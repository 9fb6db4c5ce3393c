"""What cannot be written now is written later, and nothing is lost meanwhile."""

from __future__ import annotations

import errno
import os
import sqlite3
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMessageBox

from app.common.bad_input import BadInput
from app.common.units import FOOT
from app.drill.store import BROKEN_OFF, BUSY_MS, SCORED, Card, Result, Store
from app.measure import file as sheets
from app.measure.file import Errors, Line, Sheet
from app.measure.model import Measuring
from app.session.keeper import Keeper
from app.shell.window import Window

LINES = (Line("dock", seconds=8.0, depth=FOOT.to_si(10.0)),)

MORE = (*LINES, Line("dock", seconds=9.0, depth=FOOT.to_si(10.0)))

DONE = Result("", 2, 7, SCORED, 81.5, 3.2, 4.1, 5.0, 20.0, 4.0, 18.0, 1, 0, "long hold", "[]")

Button = QMessageBox.StandardButton


@pytest.fixture
def measuring(window: Window) -> Measuring:
    """The measurements, with the Measure page in front."""
    QTest.keyClick(window, Qt.Key.Key_F6)
    return window.pages.measuring


@pytest.fixture
def full(monkeypatch: pytest.MonkeyPatch) -> Iterator[pytest.MonkeyPatch]:
    """A disk without room, until it is undone."""

    def no_room(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr("app.common.files.os.fsync", no_room)
        yield patch


def tries_again(keeper: Keeper) -> None:
    """The timer's next beat."""
    assert keeper._timer.isActive()
    keeper._timer.timeout.emit()


# ---- measurements on a full disk


def test_that_what_was_typed_on_a_full_disk_is_written_once_there_is_room(
    measuring: Measuring, full: pytest.MonkeyPatch
) -> None:
    said: list[str] = []
    measuring.trouble.connect(said.append)
    measuring.set_sheet(Sheet(LINES), "measured")
    measuring.set_sheet(Sheet(MORE), "measured")
    tries_again(measuring.keeper)
    assert len(said) == 1
    assert os.strerror(errno.ENOSPC) in said[0]
    assert sheets.load() == Sheet()
    full.undo()
    tries_again(measuring.keeper)
    assert sheets.load() == Sheet(MORE)
    assert "are kept now" in said[1]
    assert not measuring.keeper._timer.isActive()


def test_that_closing_with_room_again_writes_what_was_typed(
    window: Window, measuring: Measuring, full: pytest.MonkeyPatch
) -> None:
    measuring.set_sheet(Sheet(LINES), "measured")
    full.undo()
    window.document.saved = window.document.setup
    assert window.close()
    assert sheets.load() == Sheet(LINES)


def test_that_closing_without_room_asks_first(
    window: Window, measuring: Measuring, full: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def cancel(box: QMessageBox) -> Button:
        asked.append(box.text())
        return Button.Cancel

    full.setattr(QMessageBox, "exec", cancel)
    measuring.set_sheet(Sheet(LINES), "measured")
    window.document.saved = window.document.setup
    assert not window.close()
    assert os.strerror(errno.ENOSPC) in asked[0]
    assert measuring.sheet == Sheet(LINES)
    full.setattr(QMessageBox, "exec", lambda _box: Button.Discard)
    assert window.close()


def test_that_a_real_full_disk_loses_nothing_typed(
    home: Path, measuring: Measuring, tmp_path: Path, small_disk: Path
) -> None:
    home.rmdir() if home.is_dir() else None
    home.symlink_to(small_disk)
    filler = small_disk / "filler"
    with pytest.raises(OSError, match="space"):
        filler.write_bytes(b"\0" * 200_000)
    measuring.set_sheet(Sheet(LINES), "measured")
    assert measuring.keeper.why
    filler.unlink()
    tries_again(measuring.keeper)
    assert sheets.load() == Sheet(LINES)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 64 KB in memory, where one may be mounted."""
    place = tmp_path / "small"
    place.mkdir()
    try:
        done = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)],
            capture_output=True,
            check=False,
        )
    except OSError:
        pytest.skip("no mount here")
    if done.returncode:
        pytest.skip("no disk can be mounted here")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


# ---- a number that is too large for its cell


@pytest.mark.parametrize("name", ["felt", "marked", "logged"])
def test_that_an_error_of_99_is_refused_at_its_cell(window: Window, name: str) -> None:
    QTest.keyClick(window, Qt.Key.Key_F6)
    page = window.pages.measure
    page.choose_kind({"felt": "drop", "marked": "dock", "logged": "tow"}[name])
    box = page.errors[name]
    box.setFocus()
    box.selectAll()
    QTest.keyClicks(box, "999")
    QTest.keyClick(box, Qt.Key.Key_Return)
    box.setValue(999.0)
    QApplication.processEvents()
    kept = getattr(window.pages.measuring.sheet.errors, name)
    assert Errors(**{name: kept}) == window.pages.measuring.sheet.errors
    assert page.errors[name].refusal


# ---- results somebody else is writing


@pytest.fixture
def held(home: Path) -> Iterator[Callable[[], sqlite3.Connection]]:
    """Another program that has the results to itself."""
    others: list[sqlite3.Connection] = []

    def hold() -> sqlite3.Connection:
        other = sqlite3.connect(home / "drill.sqlite")
        others.append(other)
        other.execute("begin exclusive")
        return other

    yield hold
    for other in others:
        other.close()


def test_that_results_wait_while_another_program_has_the_file(
    home: Path, held: Callable[[], sqlite3.Connection]
) -> None:
    store = Store()
    ann = store.add("Ann")
    store.finish(store.begin(ann, 1, 1), DONE)
    assert len(store.results(ann)) == 1
    other = held()
    store.finish(store.begin(ann, 2, 7), DONE)
    store.put_card(ann, Card("hold|30|8|7", 2, 4))
    store.break_off(store.begin(ann, 3, 8), "[]")
    with pytest.raises(BadInput, match="locked"):
        store.flush()
    assert [person.name for person in store.trainees()] == ["Ann"]
    assert len(store.results(ann)) == 1
    other.rollback()
    store.flush()
    assert [r.state for r in store.results(ann)] == [SCORED, SCORED, BROKEN_OFF]
    assert store.cards(ann) == [Card("hold|30|8|7", 2, 4)]
    store.close()


def test_that_no_call_waits_long_for_another_program(
    home: Path, held: Callable[[], sqlite3.Connection]
) -> None:
    store = Store()
    (timeout,) = store._db.execute("pragma busy_timeout").fetchone()
    assert timeout == BUSY_MS <= 100
    store.close()


def test_that_what_waits_for_somebody_deleted_is_let_go(home: Path) -> None:
    store = Store()
    ann, bo = store.add("Ann"), store.add("Bo")
    store._db.execute("pragma query_only = on")
    store.begin(ann, 1, 1)
    store.break_off(store.begin(bo, 1, 2))
    store._db.execute("pragma query_only = off")
    store._db.execute("delete from trainee where id = ?", (ann.number,))
    store.flush()
    assert len(store.results(bo)) == 1
    store.close()


def test_that_rounds_begun_at_one_moment_are_told_apart(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Store()
    ann = store.add("Ann")
    monkeypatch.setattr(time, "time_ns", lambda: 1_700_000_000_000_000_000)
    numbers = [store.begin(ann, 1, seed) for seed in range(4)]
    assert sorted(set(numbers)) == numbers
    store.close()


# ---- odd cells

ODD = (
    "insert into trainee values (50, x'ff00fe')",
    "insert into trainee values (-3, 'Below')",
    "update round set points = 'many' where seed = 1",
    "update round set level = 'deep' where seed = 2",
    "update round set errors = x'00ff' where seed = 3",
    "update round set points = 9e999 where seed = 4",
    "update round set at = x'80' where seed = 5",
    "insert into card values (1, x'ff', 'left', 3, 1)",
    "insert into card values (1, 'wait|9', -40, 3, 'often')",
    "insert into card values (1, 'hold|9', 1, 1.5, 1)",
)


def test_that_odd_cells_are_left_out_and_counted(home: Path) -> None:
    store = Store()
    ann = store.add("Ann")
    for seed in range(7):
        store.finish(store.begin(ann, 1, seed), DONE)
    store.put_card(ann, Card("hold|30|8|7", 1, 1))
    store.close()
    db = sqlite3.connect(store.path)
    for words in ODD:
        db.execute(words)
    db.execute("update trainee set name = cast(x'416eff' as text) where name = 'Ann'")
    db.commit()
    db.close()
    again = Store()
    assert again.told.endswith(f"left out: {len(ODD)}.")
    (who,) = again.trainees()
    assert who.name == "An\ufffd"
    assert len(again.results(who)) == 2
    assert again.cards(who) == [Card("hold|30|8|7", 1, 1)]
    assert again.asked(who) == 3
    again.export(who, home / "out.csv")
    again.close()
    left = sqlite3.connect(store.path)
    assert left.execute("select count(*) from round").fetchone() == (7,)
    left.close()
