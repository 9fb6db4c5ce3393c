"""Scenario files saved, and what is asked before changes are left."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from app.gear.catalog import Catalog
from app.scenario import file as scenario_file
from app.shell.window import Window
from tests.app.by_hand import Live
from tests.app.conftest import put_away
from tests.app.shell.window.hands import DEMO, Button, put_by, rename, said, unsaved, warning


def test_that_saving_keeps_comments_and_layout(
    start: Callable[..., Window], own: Path, catalog: Catalog
) -> None:
    window = start(own)
    before = own.read_text(encoding="utf-8")
    rename(window, "Mine")
    assert window.document.changed
    assert window.windowTitle() == "Mine* – my drop.toml – Leadfall"
    assert window.files.save()
    assert not window.document.changed
    assert window.windowTitle() == "Mine – my drop.toml – Leadfall"
    assert own.read_text(encoding="utf-8") == before.replace(
        'name = "Two rods, level bottom"', 'name = "Mine"'
    )
    assert said(window) == "Saved as my drop.toml"


def test_that_saving_a_demo_asks_where_and_leaves_the_demo_alone(
    start: Callable[..., Window], tmp_path: Path, pick: Callable[[Path | None], None],
    catalog: Catalog,
) -> None:  # fmt: skip
    before = DEMO.read_text(encoding="utf-8")
    window = start()
    setup = rename(window, "Mine")
    pick(None)
    assert not window.files.save()
    assert window.document.changed
    pick(tmp_path / "mine")
    assert window.files.save()
    assert window.document.path == tmp_path / "mine.toml"
    assert scenario_file.load(tmp_path / "mine.toml", catalog) == setup
    assert DEMO.read_text(encoding="utf-8") == before


def test_that_saving_over_another_file_keeps_its_comments(
    start: Callable[..., Window], own: Path, pick: Callable[[Path | None], None], catalog: Catalog
) -> None:
    window = start()
    setup = rename(window, "Mine")
    pick(own)
    assert window.files.save_as()
    text = own.read_text(encoding="utf-8")
    assert text.startswith("# mine\n")
    assert "# by the chart, low water" in text
    assert scenario_file.nearly_equal(scenario_file.load(own, catalog), setup)


def test_that_a_folder_that_is_not_there_is_told_and_the_change_kept(
    start: Callable[..., Window], tmp_path: Path, pick: Callable[[Path | None], None]
) -> None:
    window = start()
    rename(window, "Mine")
    pick(tmp_path / "nowhere" / "mine.toml")
    assert not window.files.save_as()
    assert "mine.toml" in warning(window)
    assert window.document.changed
    assert window.document.path is None


def test_that_closing_without_changes_asks_nothing(
    start: Callable[..., Window], answers: list[Button]
) -> None:
    assert start().close()


def test_that_cancel_keeps_the_window_open(
    start: Callable[..., Window], answers: list[Button]
) -> None:
    window = start()
    rename(window, "Mine")
    answers.append(Button.Cancel)
    assert not window.close()
    assert window.isVisible()
    assert not window.live_run.background.closed  # type: ignore[attr-defined]


def test_that_discard_closes_and_forgets(
    start: Callable[..., Window], answers: list[Button], home: Path
) -> None:
    window = start()
    rename(window, "Mine")
    put_by(window)
    assert unsaved(home)
    answers.append(Button.Discard)
    assert window.close()
    assert not unsaved(home)
    assert start().document.setup.name == "Two rods, level bottom"


def test_that_save_on_closing_saves(
    start: Callable[..., Window], answers: list[Button], own: Path, catalog: Catalog
) -> None:
    window = start(own)
    setup = rename(window, "Mine")
    answers.append(Button.Save)
    assert window.close()
    assert scenario_file.load(own, catalog) == setup


def test_that_save_on_closing_that_fails_keeps_the_window_open(
    start: Callable[..., Window], answers: list[Button], pick: Callable[[Path | None], None]
) -> None:
    window = start()
    rename(window, "Mine")
    answers.append(Button.Save)
    pick(None)
    assert not window.close()
    assert window.isVisible()


def test_that_opening_another_file_asks_about_changes_first(
    live: Live, window: Window, own: Path, answers: list[Button]
) -> None:
    changed = rename(window, "Mine")
    answers.append(Button.Cancel)
    assert not window.files.open_file(own)
    assert live.document.setup == changed
    answers.append(Button.Discard)
    assert window.files.open_file(own)
    assert answers == []


def test_that_undoing_every_change_leaves_nothing_to_save(window: Window) -> None:
    rename(window, "Mine")
    window.document.undo_stack.undo()
    assert not window.document.changed
    assert "*" not in window.windowTitle()


def test_that_a_file_with_the_ending_added_is_not_replaced_unasked(
    start: Callable[..., Window], own: Path, pick: Callable[[Path | None], None],
    answers: list[Button],
) -> None:  # fmt: skip
    before = own.read_bytes()
    window = start()
    rename(window, "Mine")
    pick(own.with_suffix(""))
    answers.append(Button.Cancel)
    assert not window.files.save_as()
    assert answers == []
    assert own.read_bytes() == before
    answers.append(Button.Yes)
    pick(own.with_suffix(""))
    assert window.files.save_as()
    assert b"Mine" in own.read_bytes()


def test_that_a_file_changed_by_hand_meanwhile_is_not_replaced_unasked(
    start: Callable[..., Window], own: Path, answers: list[Button]
) -> None:
    window = start(own)
    rename(window, "Mine")
    by_hand = own.read_text("utf-8").replace("bottom_ft   =  30", "bottom_ft = 41")
    own.write_text(by_hand, encoding="utf-8")
    answers.append(Button.Cancel)
    assert not window.files.save()
    assert answers == []
    assert own.read_text("utf-8") == by_hand
    assert window.document.changed
    answers.append(Button.Yes)
    assert window.files.save()
    rename(window, "Again")
    assert window.files.save(), "and it is not asked about our own writing"


def test_that_a_scenario_saved_in_another_window_is_not_replaced_unasked(
    start: Callable[..., Window], own: Path, answers: list[Button]
) -> None:
    one, two = start(own), start(own)
    rename(one, "One")
    rename(two, "Two")
    assert one.files.save()
    answers.append(Button.Cancel)
    assert not two.files.save()
    assert answers == []
    assert 'name = "One"' in own.read_text("utf-8")


def test_that_a_change_by_hand_is_asked_about_after_a_crash_too(
    start: Callable[..., Window], own: Path, home: Path, answers: list[Button]
) -> None:
    window = start(own)
    rename(window, "Mine")
    put_by(window)
    left = unsaved(home)
    assert left is not None
    text = left.read_bytes()
    put_away(window)
    left.write_bytes(text)
    own.write_text(own.read_text("utf-8") + "# by hand", encoding="utf-8")
    again = start()
    answers.append(Button.Cancel)
    assert not again.files.save()
    assert answers == []
    assert own.read_text("utf-8").endswith("# by hand")
