"""Settings are there again at the next start, and damaged ones do no harm."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QLockFile
from PySide6.QtWidgets import QMessageBox

from app.gear.catalog import Catalog
from app.scenario import file as scenario_file
from app.shell.start import first_setup
from app.shell.window import Window
from app.ui.settings import WAIT_MS, Settings
from tests.app.shell.window.hands import warning


def test_that_look_units_size_and_scenario_are_there_again(
    start: Callable[..., Window], own: Path
) -> None:
    window = start()
    window.files.open_file(own)
    window.preferences.set_look("dark")
    window.preferences.set_length("meters")
    # the offscreen screen is 800 px square
    window.resize(window.width(), 700)
    window.page.splitter.setSizes([250, 220])
    before = window.page.splitter.sizes()
    assert window.close()
    again = start()
    assert again.document.path == own
    assert (again.preferences.look.name, again.preferences.length_name) == ("dark", "meters")
    assert again.height() == 700
    # where the page is a little too high for the screen a scroll bar takes of both
    after = again.page.splitter.sizes()
    assert after[0] / sum(after) == pytest.approx(before[0] / sum(before), abs=0.01)


def test_that_the_last_demo_is_shown_again_as_a_demo(start: Callable[..., Window]) -> None:
    window = start()
    window.files.open_file(scenario_file.demos()[2], demo=True)
    assert window.close()
    again = start()
    assert again.document.setup.name == "Slow lake tow with a floating plug"
    assert again.document.path is None


def test_that_a_last_scenario_that_has_gone_is_told_and_the_demo_shown(
    start: Callable[..., Window], own: Path
) -> None:
    start(own).files.open_file(own)
    own.unlink()
    window = start()
    assert own.name in warning(window)
    assert window.document.setup.name == "Two rods, level bottom"


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"\x00\xff\xfe garbage", "not UTF-8"),
        (b"", "not JSON"),
        (b"[General]\ngeometry=@Variant(\x00\x01)\n", "not JSON"),
        (b'["look", "dark"]', "not a JSON object"),
        (b"[" * 100_000, "not JSON"),
        (b"9" * 10_000, "not JSON"),
        (
            b'{"look": "sepia", "length": 2, "paper": null, "geometry": "non-sense", '
            b'"splitter": "\xc3\xa4", "scenario": "", "mast": ["high"]}',
            "look, length, paper, scenario, geometry, splitter, 1 unknown",
        ),
    ],
)
def test_that_damaged_settings_are_told_in_one_line_and_no_reason_not_to_start(
    start: Callable[..., Window], settings: Settings, content: bytes, told: str
) -> None:
    settings.path.write_bytes(content)
    window = start()
    assert (window.preferences.look.name, window.preferences.length_name) == ("light", "feet")
    assert window.width() >= 600
    title, line = warning(window).strip().split("\n\n")
    assert "settings" in title
    assert told in line
    assert "\n" not in line
    assert len(line) < 400
    assert window.close()
    assert Settings(settings.path).told == ""


@pytest.mark.parametrize("scenario", ["\\ud800", "~", "con:/\\n", "a/" * 2000])
def test_that_a_last_scenario_that_is_no_file_is_told_and_the_demo_shown(
    start: Callable[..., Window], settings: Settings, scenario: str
) -> None:
    settings.path.write_text(f'{{"scenario": "{scenario}"}}', encoding="utf-8")
    window = start()
    assert "could not be opened" in warning(window)
    assert window.document.setup.name == "Two rods, level bottom"


def test_that_what_is_usable_in_damaged_settings_is_used(
    start: Callable[..., Window], settings: Settings
) -> None:
    settings.path.write_text('{"look": "dark", "length": "leagues"}', encoding="utf-8")
    window = start()
    assert (window.preferences.look.name, window.preferences.length_name) == ("dark", "feet")


def test_that_a_changed_unit_is_kept_before_the_window_closes(
    start: Callable[..., Window], settings: Settings
) -> None:
    start().preferences.set_length("meters")
    assert Settings(settings.path).get("length") == "meters"


def test_that_settings_that_cannot_be_written_are_told_once_and_written_when_they_can(
    start: Callable[..., Window], settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    window = start()
    with monkeypatch.context() as patch:
        patch.setattr("app.common.files.os.fsync", full)
        window.preferences.set_look("dark")
        assert os.strerror(errno.ENOSPC) in warning(window)
        window.preferences.set_length("meters")
        assert not [box for box in window.findChildren(QMessageBox) if box.isVisible()]
    assert not settings.path.exists()
    window.card_menu._choose("A4, two to a sheet")
    kept = Settings(settings.path)
    assert [kept.get(name) for name in ("look", "length", "paper")] == [
        "dark", "meters", "A4, two to a sheet",
    ]  # fmt: skip


def test_that_a_window_that_closes_waits_once_for_another_one_that_writes_settings(
    start: Callable[..., Window], settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    waits: list[int] = []

    class Watched(QLockFile):
        def tryLock(self, timeout: int = 0) -> bool:
            waits.append(timeout)
            return super().tryLock(timeout)

    window = start()
    window.show_page("timing")
    monkeypatch.setattr("app.ui.settings.QLockFile", Watched)
    other = QLockFile(f"{settings.path}.lock")
    assert other.tryLock(0)
    assert window.close()
    other.unlock()
    assert waits == [WAIT_MS]
    assert window._settings.keep()
    kept = Settings(settings.path)
    assert kept.get("page") == "timing"
    assert kept.get("geometry")
    assert kept.get("splitter")


def test_that_a_folder_for_settings_that_cannot_be_made_is_told_at_the_start(
    start: Callable[..., Window], settings: Settings, tmp_path: Path
) -> None:
    (tmp_path / "in the way").write_text("", encoding="utf-8")
    settings.path = tmp_path / "in the way" / "settings.json"
    window = start()
    assert "in the way" in warning(window)
    window.preferences.set_look("dark")
    assert window.preferences.look.name == "dark"


def test_that_nothing_is_opened_from_an_empty_setting(settings: Settings, catalog: Catalog) -> None:
    settings.path.write_text('{"scenario": ""}', encoding="utf-8")
    settings = Settings(settings.path)
    setup, path, message = first_setup(None, settings, catalog)
    assert (setup.name, path, message) == ("Two rods, level bottom", None, "")
