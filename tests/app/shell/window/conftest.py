"""What tests of the window share."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QFileDialog, QInputDialog, QMessageBox

from app.shell.start import build_window
from app.shell.window import Window
from app.ui.settings import Settings
from tests.app.by_hand import WORKING, HandBackground
from tests.app.conftest import put_away, show
from tests.app.shell.window.hands import DEMO


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A scenario file of the person's own, with comments and a layout of its own."""
    text = DEMO.read_text(encoding="utf-8")
    text = text.replace("bottom_ft = 30", "bottom_ft   =  30   # by the chart, low water")
    path = tmp_path / "my drop.toml"
    path.write_text("# mine\n" + text, encoding="utf-8")
    return path


@pytest.fixture
def start(
    dressed: QApplication, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[..., Window]]:
    """Start the program as the command does, on the same settings each time."""
    for module in WORKING:
        monkeypatch.setattr(f"app.{module}.Background", HandBackground)
    made: list[Window] = []

    def begin(path: Path | None = None) -> Window:
        window = build_window(path, Settings(settings.path))
        made.append(window)
        show(window)
        return window

    yield begin
    for window in made:
        put_away(window)


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> list[QMessageBox.StandardButton]:
    """What to answer when asked about unsaved changes; an unexpected question fails the test."""
    given: list[QMessageBox.StandardButton] = []
    monkeypatch.setattr(QMessageBox, "exec", lambda _box: given.pop(0))
    monkeypatch.setattr(QInputDialog, "getText", lambda *_, **__: ("", False))
    return given


@pytest.fixture
def pick(monkeypatch: pytest.MonkeyPatch) -> Callable[[Path | None], None]:
    """Choose a file in whatever file dialog comes next; None is cancel."""

    def chosen(path: Path | None) -> None:
        for name in ("getOpenFileName", "getSaveFileName"):
            monkeypatch.setattr(QFileDialog, name, lambda *_: (str(path or ""), ""))

    return chosen
