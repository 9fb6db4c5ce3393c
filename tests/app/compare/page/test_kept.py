"""Candidates of the Compare page kept between starts."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtWidgets import QMessageBox

from app.common import files
from app.compare import file as compare_file
from app.compare.job import Drop
from app.compare.model import KEPT
from app.scenario.setup import Setup
from app.shell.window import Window
from tests.app.by_hand import Live
from tests.app.compare.page.desk import Desk


def test_that_the_candidates_are_there_again_at_the_next_start(
    shown: Desk, make_window: Callable[[Live], Window], make_live: Callable[[Setup], Live],
    demo: Setup, home: Path,
) -> None:  # fmt: skip
    assert not (home / "compare.toml").exists()
    shown.comparison.add()
    shown.type_number(shown.page.inputs.hold.box, "9")
    kept = shown.comparison.lineup
    shown.window.document.saved = shown.live.document.setup
    shown.window.close()
    assert (home / "compare.toml").is_file()
    live = make_live(demo)
    again = Desk(make_window(live), live)
    assert again.comparison.lineup == kept
    assert again.comparison.damaged == ""


def test_that_the_usual_set_leaves_no_file(shown: Desk, home: Path) -> None:
    shown.comparison.add()
    shown.comparison._save()
    assert (home / "compare.toml").is_file()
    shown.stack.undo()
    shown.comparison._save()
    assert not (home / "compare.toml").exists()


def test_that_a_damaged_file_is_told_and_kept_aside_and_the_usual_set_shown(
    window: Window, live: Live, home: Path
) -> None:
    home.mkdir(parents=True, exist_ok=True)
    (home / "compare.toml").write_text("compare = 1\nhold_s = -2\n")
    desk = Desk(window, live)
    (box,) = window.findChildren(QMessageBox)
    for words in ("compare.toml", "hold_s", "-2", "0.5 to 120 s", "compare.damaged.toml"):
        assert words in box.text()
    assert desk.names()[:2] == ["port", "starboard"]
    assert (home / "compare.damaged.toml").read_text() == "compare = 1\nhold_s = -2\n"
    desk.comparison.add()
    desk.comparison._save()
    assert compare_file.load(home / "compare.toml") == desk.comparison.lineup
    box.close()


def test_that_a_damaged_file_that_cannot_be_moved_is_not_written_over(
    window: Window, live: Live, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home.mkdir(parents=True, exist_ok=True)
    (home / "compare.toml").write_text("damaged")
    monkeypatch.setattr(files, "set_aside", lambda _path: None)
    desk = Desk(window, live)
    desk.comparison.add()
    desk.comparison._save()
    assert (home / "compare.toml").read_text() == "damaged"
    (box,) = window.findChildren(QMessageBox)
    assert "not kept" in box.text()
    box.close()


def test_that_a_folder_that_cannot_be_written_is_told_and_the_page_goes_on(
    shown: Desk, home: Path
) -> None:
    home.write_text("in the way")
    shown.comparison.add()
    assert not shown.comparison.keeper.keep()
    assert "could not be kept" in shown.window.statusBar().currentMessage()
    assert len(shown.names()) == 6


def test_that_candidates_that_could_not_be_written_are_written_later(
    shown: Desk, home: Path
) -> None:
    home.write_text("in the way")
    shown.comparison.add()
    assert not shown.comparison.keeper.keep()
    shown.comparison._save_soon.stop()
    home.unlink()
    shown.comparison.keeper._timer.timeout.emit()
    assert (home / "compare.toml").exists()
    assert "are kept now" in shown.window.statusBar().currentMessage()


def test_that_what_is_known_of_very_many_candidates_is_not_all_kept(desk: Desk) -> None:
    time = np.linspace(0.0, 135.0, 1351)
    for number in range(10 * KEPT):
        drop = Drop(60.0, time.copy(), time.copy(), time.copy())
        desk.comparison._got({("drop", number): []}, [drop])
    kept = [one for one in desk.comparison._known.values() if isinstance(one, Drop)]
    assert sum(one.time.nbytes + one.depth.nbytes + one.tension.nbytes for one in kept) < 5e6
    assert kept[-1] is drop
