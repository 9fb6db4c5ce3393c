"""Unsaved changes after a crash: back again, or set aside, never lost."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from app.scenario import autosave
from app.scenario import file as scenario_file
from app.shell.window import Window
from tests.app.conftest import put_away
from tests.app.shell.window.hands import DEMO, Button, put_by, rename, said, unsaved, warning


def crash(window: Window, home: Path) -> None:
    """End without closing: what was put by is still there for the next start."""
    kept = {path: path.read_bytes() for path in home.glob("unsaved*.toml")}
    put_away(window)
    for path, content in kept.items():
        path.write_bytes(content)


def left_by_a_crash(home: Path, text: bytes | str, number: int = 1) -> Path:
    """A file of unsaved changes whose window is no more."""
    home.mkdir(exist_ok=True)
    path = home / f"unsaved-{number:016x}.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def offered(window: Window) -> list[str]:
    """What the menu of unsaved changes lists."""
    menu = window.files.left_menu
    if not menu.menuAction().isVisible():
        return []
    return [action.text() for action in menu.actions() if action.text().startswith("Open")]


def test_that_unsaved_changes_come_back_after_a_crash(
    start: Callable[..., Window], own: Path, home: Path
) -> None:
    window = start(own)
    setup = rename(window, "Mine")
    put_by(window)
    crash(window, home)
    again = start()
    assert scenario_file.nearly_equal(again.document.setup, setup)
    assert again.document.path == own
    assert again.document.changed
    assert said(again) == "Your unsaved changes from last time are back."
    assert "Two rods" in own.read_text(encoding="utf-8")


def test_that_a_changed_demo_comes_back_as_a_demo_after_a_crash(
    start: Callable[..., Window], home: Path
) -> None:
    window = start()
    rename(window, "Mine")
    put_by(window)
    crash(window, home)
    again = start()
    assert again.document.setup.name == "Mine"
    assert again.document.path is None


def test_that_a_file_asked_for_comes_first_and_what_was_put_by_is_offered(
    start: Callable[..., Window], own: Path, home: Path, answers: list[Button]
) -> None:
    window = start()
    rename(window, "Mine")
    put_by(window)
    crash(window, home)
    (path,) = home.glob("unsaved-*.toml")
    content = path.read_bytes()
    again = start(own)
    assert again.document.setup.name == "Two rods, level bottom"
    assert "Unsaved changes from before" in warning(again)
    assert len(offered(again)) == 1
    rename(again, "Another")
    put_by(again)
    assert path.read_bytes() == content, "what is changed now does not go over it"
    answers.append(Button.Discard)
    again.files.left_menu.actions()[0].trigger()
    assert again.document.setup.name == "Mine"
    assert again.document.path is None
    assert offered(again) == []


def test_that_unsaved_changes_are_deleted_only_when_a_person_says_so(
    start: Callable[..., Window], own: Path, home: Path, answers: list[Button]
) -> None:
    window = start()
    rename(window, "Mine")
    put_by(window)
    crash(window, home)
    put_away(start(own))
    (path,) = home.glob("unsaved-*.toml")
    again = start(own)
    answers.append(Button.Cancel)
    again.files.left_menu.actions()[-1].trigger()
    assert path.exists()
    answers.append(Button.Yes)
    again.files.left_menu.actions()[-1].trigger()
    assert not path.exists()
    assert offered(again) == []


def test_that_unsaved_changes_come_back_though_their_file_is_out_of_reach(
    start: Callable[..., Window], own: Path, home: Path
) -> None:
    window = start(own)
    assert window.files.open_file(own)
    rename(window, "Mine")
    put_by(window)
    crash(window, home)
    text = own.read_bytes()
    own.unlink()
    again = start()
    assert again.document.setup.name == "Mine"
    assert again.document.path == own
    assert "my drop.toml" in warning(again)
    crash(again, home)
    own.write_bytes(text)
    assert start().document.setup.name == "Mine"


def test_that_each_of_two_windows_has_unsaved_changes_of_its_own(
    start: Callable[..., Window], home: Path
) -> None:
    one, two = start(), start()
    rename(one, "One")
    put_by(one)
    rename(two, "Two")
    put_by(two)
    assert len(list(home.glob("unsaved-*.toml"))) == 2
    three = start()
    assert three.document.setup.name == "Two rods, level bottom"
    assert offered(three) == [], "those of a living window are nobody else's"
    put_away(two)
    crash(one, home)
    assert start().document.setup.name == "One"


def test_that_of_two_crashes_the_newer_comes_back_and_the_older_is_offered(
    start: Callable[..., Window], home: Path
) -> None:
    text = DEMO.read_text("utf-8")
    for number, age in ((1, 50), (2, 20), (3, 90)):
        named = text.replace("Two rods, level bottom", f"Crash {number}")
        path = left_by_a_crash(home, named, number)
        os.utime(path, (1e9 - age, 1e9 - age))
    window = start()
    assert window.document.setup.name == "Crash 2"
    assert len(offered(window)) == 2
    assert "more unsaved changes" in warning(window)


def test_that_unsaved_changes_of_an_earlier_version_come_back(
    start: Callable[..., Window], home: Path, own: Path
) -> None:
    home.mkdir()
    text = DEMO.read_text("utf-8").replace("Two rods, level bottom", "Mine")
    (home / "unsaved.toml").write_text(text, encoding="utf-8")
    (home / "unsaved.path").write_text(str(own), encoding="utf-8")
    window = start()
    assert window.document.setup.name == "Mine"
    assert window.document.path == own


def test_that_damaged_unsaved_changes_are_set_aside_not_lost(
    start: Callable[..., Window], home: Path
) -> None:
    path = left_by_a_crash(home, b"name = \xff\x00 [[")
    aside = path.with_name(f"{path.stem}.damaged.toml")
    aside.write_text("an earlier one")
    window = start()
    told = warning(window)
    assert window.document.setup.name == "Two rods, level bottom"
    assert not path.exists()
    now = path.with_name(f"{path.stem}.damaged-2.toml")
    assert now.read_bytes() == b"name = \xff\x00 [["
    assert aside.read_text() == "an earlier one"
    for words in (path.name, "line 1 is not UTF-8", now.name):
        assert words in told


def test_that_damaged_unsaved_changes_that_cannot_be_moved_are_not_written_over(
    start: Callable[..., Window], home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = left_by_a_crash(home, "half a")
    monkeypatch.setattr(autosave, "set_aside", lambda _path: None)
    window = start()
    assert path.name in warning(window)
    rename(window, "Mine")
    put_by(window)
    window.document.undo_stack.undo()
    put_by(window)
    assert path.read_text() == "half a"


def test_that_a_change_undone_is_no_longer_put_by(start: Callable[..., Window], home: Path) -> None:
    window = start()
    rename(window, "Mine")
    put_by(window)
    window.document.undo_stack.undo()
    put_by(window)
    assert not unsaved(home)


def test_that_a_folder_that_cannot_be_written_is_told_once_per_change(
    start: Callable[..., Window], home: Path
) -> None:
    home.write_text("a file where the folder should be", encoding="utf-8")
    window = start()
    rename(window, "Mine")
    put_by(window)
    assert said(window).startswith("Your changes could not be put by:")
    assert window.document.changed


def test_that_nothing_was_left_behind_where_nothing_was_put_by(home: Path) -> None:
    autosave.Unsaved().forget()
    assert autosave.left_behind() == []
