"""What tests of the program share: a home of their own, hand-driven time, nothing left behind."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import shiboken6
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication

from app.gear.catalog import Catalog
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.session.clock import Clock
from app.session.document import Document
from app.session.live_run import LiveRun
from app.shell.window import Window
from app.ui import look
from app.ui.preferences import Preferences
from app.ui.settings import Settings
from app.ui.text_size import set_text_size
from tests.app.by_hand import WORKING, HandBackground, HandTime, Live
from tests.app.left_behind import Watch


@pytest.fixture(autouse=True)
def nothing_left_behind(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """A test that leaves a timer, thread, process, window or log line behind fails."""
    with pytest.MonkeyPatch.context() as patch:
        watch = Watch(patch)
        yield
        left = watch.left()
    lines = [r.getMessage() for r in caplog.get_records("call") if r.levelno >= logging.WARNING]
    assert not left, "left behind: " + "; ".join(left)
    assert not lines, "logged: " + "; ".join(lines)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's own folder, empty, in place of the real one."""
    folder = tmp_path / "home"
    for kind in ("data", "config"):
        monkeypatch.setattr(f"platformdirs.user_{kind}_dir", lambda *_args, **_words: str(folder))
    return folder


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Settings in a file of the test's own."""
    return Settings(tmp_path / "settings.json")


@pytest.fixture(scope="session")
def catalog() -> Catalog:
    """The shipped tackle and boats."""
    return Catalog.load(None)


@pytest.fixture(scope="session")
def demo(catalog: Catalog) -> Setup:
    """The first demo: two rods over a level bottom."""
    return scenario_file.load(scenario_file.demos()[0], catalog)


@pytest.fixture
def preferences() -> Preferences:
    """Feet, light."""
    return Preferences()


@pytest.fixture
def make_live(
    qapp: QApplication, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Callable[[Setup], Live]]:
    """Begin a hand-driven live run of a setup."""
    screen = HandTime()
    for reads_it in ("live_run", "outlook"):
        monkeypatch.setattr(f"app.session.{reads_it}.wall", screen)
    for module in WORKING:
        monkeypatch.setattr(f"app.{module}.Background", HandBackground)
    made: list[Live] = []

    def make(setup: Setup) -> Live:
        time = HandTime()
        made.append(Live(LiveRun(Document(catalog, setup), Clock(time)), time, screen))
        return made[-1]

    yield make
    for live in made:
        live.live_run.close()
        # before their stack: the collector would delete commands and stack in any order
        live.live_run.document.undo_stack.clear()


@pytest.fixture
def shoal(catalog: Catalog) -> Setup:
    """The second demo: four rods over a shoal in a current."""
    return scenario_file.load(scenario_file.demos()[1], catalog)


@pytest.fixture
def live(make_live: Callable[[Setup], Live], demo: Setup) -> Live:
    """A hand-driven live run of the first demo."""
    return make_live(demo)


@pytest.fixture
def dressed(qapp: QApplication) -> Iterator[QApplication]:
    """The application, undressed again afterwards."""
    qapp.setStyle("Fusion")
    yield qapp
    set_text_size(1.0)
    qapp.setStyleSheet("")
    look.font.cache_clear()


@pytest.fixture
def usual_text() -> Iterator[None]:
    """Text of the usual size again afterwards."""
    yield
    set_text_size(1.0)


@pytest.fixture
def make_window(
    dressed: QApplication, preferences: Preferences, settings: Settings
) -> Iterator[Callable[[Live], Window]]:
    """Show a window over a live run; it closes without asking."""
    made: list[Window] = []

    def make(live: Live) -> Window:
        window = Window(live.live_run, preferences, settings)
        made.append(window)
        show(window)
        return window

    yield make
    for window in made:
        put_away(window)


@pytest.fixture
def window(make_window: Callable[[Live], Window], live: Live) -> Window:
    """The window over the first demo, shown and active."""
    return make_window(live)


def show(window: Window) -> None:
    """Show and activate, so that keys reach it."""
    window.show()
    window.activateWindow()
    QApplication.processEvents()
    assert window.isActiveWindow()


def put_away(window: Window) -> None:
    """Close a window without asking about changes, and let it go; again is harmless."""
    if not shiboken6.isValid(window):
        return
    window.files.may_leave = window._may_lose = lambda: True  # type: ignore[method-assign]
    window.close()
    stack = window.document.undo_stack
    window.deleteLater()
    QCoreApplication.sendPostedEvents(window, QEvent.Type.DeferredDelete)
    # as make_live does
    stack.clear()
