"""Unsaved changes after a crash: back again, or set aside, never lost."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from app import autosave, files, scenario_file
from app.catalog import Catalog
from app.window import Window
from tests.app.conftest import put_away
from tests.app.window.hands import put_by, rename, said, unsaved, warning


def crash(window: Window, home: Path) -> None:
    """End without closing: what was put by is still there for the next start."""
    kept = {path: path.read_bytes() for path in home.iterdir()}
    put_away(window)
    for path, content in kept.items():
        path.write_bytes(content)


def test_that_unsaved_changes_come_back_after_a_crash(
    start: Callable[..., Window], own: Path, home: Path
) -> None:
    window = start(own)
    setup = rename(window, "Mine")
    put_by(window)
    crash(window, home)
    again = start()
    assert scenario_file.nearly_equal(again.rehearsal.setup, setup)
    assert again.path == own
    assert again.changed
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
    assert again.rehearsal.setup.name == "Mine"
    assert again.path is None


def test_that_a_file_asked_for_comes_before_what_was_put_by(
    start: Callable[..., Window], own: Path, home: Path
) -> None:
    window = start()
    rename(window, "Mine")
    put_by(window)
    crash(window, home)
    content = unsaved(home).read_bytes()
    again = start(own)
    assert again.rehearsal.setup.name == "Two rods, level bottom"
    aside = home / "unsaved.earlier.toml"
    assert str(aside) in warning(again)
    rename(again, "Another")
    put_by(again)
    assert aside.read_bytes() == content, "what is changed now does not go over it"


def test_that_damaged_unsaved_changes_are_set_aside_not_lost(
    start: Callable[..., Window], home: Path
) -> None:
    home.mkdir()
    unsaved(home).write_bytes(b"name = \xff\x00 [[")
    (home / "unsaved.damaged.toml").write_text("an earlier one")
    window = start()
    told = warning(window)
    assert window.rehearsal.setup.name == "Two rods, level bottom"
    assert not unsaved(home).exists()
    assert (home / "unsaved.damaged-2.toml").read_bytes() == b"name = \xff\x00 [["
    assert (home / "unsaved.damaged.toml").read_text() == "an earlier one"
    for words in ("unsaved.toml", "line 1 is not UTF-8", "unsaved.damaged-2.toml"):
        assert words in told


def test_that_damaged_unsaved_changes_that_cannot_be_moved_are_not_written_over(
    start: Callable[..., Window], home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home.mkdir()
    unsaved(home).write_text("half a")
    monkeypatch.setattr(files, "set_aside", lambda _path: None)
    window = start()
    assert "changes are not kept" in warning(window)
    rename(window, "Mine")
    put_by(window)
    window.rehearsal.undo_stack.undo()
    window._forget_put_by()
    assert unsaved(home).read_text() == "half a"


def test_that_a_change_undone_is_no_longer_put_by(start: Callable[..., Window], home: Path) -> None:
    window = start()
    rename(window, "Mine")
    put_by(window)
    window.rehearsal.undo_stack.undo()
    put_by(window)
    assert not unsaved(home).exists()


def test_that_a_folder_that_cannot_be_written_is_told_once_per_change(
    start: Callable[..., Window], home: Path
) -> None:
    home.write_text("a file where the folder should be", encoding="utf-8")
    window = start()
    rename(window, "Mine")
    put_by(window)
    assert said(window).startswith("Your changes could not be put by:")
    assert window.changed


def test_that_nothing_put_by_is_kept_when_there_is_nothing(home: Path, catalog: Catalog) -> None:
    autosave.forget()
    assert autosave.kept(catalog) is None
