"""New, recent, rename and revert: what a person expects of a program that keeps files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QInputDialog, QMenu

from app.scenario import file as scenario_file
from app.session.document import NEW_NAME
from app.shell.window import Window
from tests.app.shell.window.hands import Button, rename, warning


def entry(window: Window, words: str) -> QAction:
    """The one entry of the File menu that has these words."""
    found = [
        action
        for menu in window.findChildren(QMenu)
        for action in menu.actions()
        if words in action.text().replace("&", "")
    ]
    assert len(found) == 1, [action.text() for action in found]
    return found[0]


def named(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    monkeypatch.setattr(QInputDialog, "getText", lambda *_, **__: (name, True))


def test_that_a_new_scenario_is_nobodys_demo_and_in_no_file(
    start: Callable[..., Window], own: Path, answers: list[Button]
) -> None:
    window = start(own)
    entry(window, "New scenario").trigger()
    document = window.document
    assert document.setup.name == NEW_NAME
    assert document.path is None
    assert not document.changed
    assert not document.demo
    assert "demo" not in window.scenario_name.text()
    assert window.windowTitle() == f"{NEW_NAME} – Leadfall"
    rename(window, "Mine")
    answers.append(Button.Cancel)
    entry(window, "New scenario").trigger()
    assert document.setup.name == "Mine"


def test_that_a_demo_says_so_until_it_is_saved_as_ones_own(
    start: Callable[..., Window], tmp_path: Path, pick: Callable[[Path | None], None]
) -> None:
    window = start()
    assert "(demo, invented)" in window.scenario_name.text()
    pick(tmp_path / "mine.toml")
    assert window.files.save_as()
    assert "demo" not in window.scenario_name.text()
    assert window.windowTitle().endswith("– mine.toml – Leadfall")


def test_that_files_opened_and_saved_are_offered_again_the_newest_first(
    start: Callable[..., Window], own: Path, tmp_path: Path, pick: Callable[[Path | None], None]
) -> None:
    window = start(own)
    pick(tmp_path / "b & c.toml")
    assert window.files.save_as()
    pick(tmp_path / "d.toml")
    assert window.files.save_as()
    menu = entry(window, "Open recent").menu()
    assert isinstance(menu, QMenu)
    assert [action.text().partition("  (")[0] for action in menu.actions()] == ["b && c.toml"]
    menu.actions()[0].trigger()
    assert window.document.path == tmp_path / "b & c.toml"
    assert [action.text().partition("  (")[0] for action in menu.actions()] == ["d.toml"]
    # and at the next start, when one has gone meanwhile
    (tmp_path / "d.toml").unlink()
    window.close()
    again = start()
    (gone,) = [a for a in again.files._recent.actions() if a.text().startswith("d.toml")]
    gone.trigger()
    assert "d.toml" in warning(again)
    assert again.document.path == tmp_path / "b & c.toml"


def test_that_a_name_is_changed_undoably_and_a_bad_one_refused(
    start: Callable[..., Window], own: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window = start(own)
    before = window.document.setup.name
    named(monkeypatch, "  Two  rods on\tthe rip ")
    entry(window, "Rename").trigger()
    assert window.document.setup.name == "Two rods on the rip"
    assert window.document.changed
    window.document.undo_stack.undo()
    assert window.document.setup.name == before
    named(monkeypatch, "x" * 61)
    entry(window, "Rename").trigger()
    assert "1 to 60" in warning(window)
    assert window.document.setup.name == before


def test_that_revert_asks_and_goes_back_to_the_file(
    start: Callable[..., Window], own: Path, answers: list[Button]
) -> None:
    window = start(own)
    revert = entry(window, "Revert")
    saved = window.document.setup
    window.files._enable()
    assert not revert.isEnabled()
    changed = rename(window, "Mine")
    window.files._enable()
    assert revert.isEnabled()
    answers.append(Button.Cancel)
    revert.trigger()
    assert window.document.setup == changed
    answers.append(Button.Yes)
    revert.trigger()
    assert window.document.setup == saved
    assert not window.document.changed
    assert scenario_file.load(own, window.document.catalog) == saved
