"""Scenario files opened: the first start, files asked for, files that will not do."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtGui import QAction

from app.scenario import file as scenario_file
from app.shell.window import Window
from tests.app.by_hand import Live
from tests.app.shell.window.hands import DEMO, warning


def test_that_the_first_start_shows_the_first_demo(start: Callable[..., Window]) -> None:
    window = start()
    assert window.document.setup.name == "Two rods, level bottom"
    assert window.document.path is None
    assert "demo, invented" in window.scenario_name.text()
    assert not window.document.changed


def test_that_a_file_named_on_the_command_line_is_opened(
    start: Callable[..., Window], own: Path
) -> None:
    window = start(own)
    assert window.document.path == own
    assert "demo" not in window.scenario_name.text()


@pytest.mark.parametrize(
    ("line", "key"),
    [("bottom_ft = -5", "bottom_ft"), ("bottom_fet = 30", "bottom_fet"), ("bottom_ft = =", "")],
)
def test_that_a_bad_file_is_refused_by_name_and_key_and_the_old_drop_goes_on(
    live: Live, window: Window, own: Path, line: str, key: str
) -> None:
    before = live.document.setup
    live.sail(1.0)
    text = DEMO.read_text(encoding="utf-8").replace("bottom_ft = 30", line)
    own.write_text(text, encoding="utf-8")
    assert not window.files.open_file(own)
    told = warning(window)
    assert own.name in told
    assert key in told
    live.sail(1.0)
    assert live.document.setup is before
    assert live.live_run.now == pytest.approx(2.0)
    assert window.document.path is None


def test_that_a_file_that_is_not_there_is_told(window: Window, tmp_path: Path) -> None:
    assert not window.files.open_file(tmp_path / "gone.toml")
    assert "gone.toml" in warning(window)


def test_that_a_good_file_replaces_the_drop(live: Live, window: Window, own: Path) -> None:
    live.sail(1.0)
    assert window.files.open_file(own)
    live.settle()
    assert window.document.path == own
    assert live.live_run.now == 0.0
    assert not window.document.changed


def test_that_choosing_a_file_opens_it_and_cancel_opens_nothing(
    live: Live, window: Window, own: Path, pick: Callable[[Path | None], None]
) -> None:
    pick(None)
    window.files.choose_file()
    assert window.document.path is None
    pick(own)
    window.files.choose_file()
    assert window.document.path == own


@pytest.mark.parametrize("number", range(len(scenario_file.demos())))
def test_that_each_demo_opens_from_the_menu(live: Live, window: Window, number: int) -> None:
    demo = scenario_file.demos()[number]
    title = demo.stem.partition("-")[2].replace("-", " ").capitalize()
    (action,) = [a for a in window.findChildren(QAction) if a.text() == title]
    action.trigger()
    assert live.document.setup == scenario_file.load(demo, live.document.catalog)
    assert window.document.path is None
