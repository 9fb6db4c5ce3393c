"""An exception nobody expected is told and written down, and the window goes on."""

from __future__ import annotations

import logging
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import shiboken6
from PySide6.QtCore import QCoreApplication, QEvent, QEventLoop, Qt, QTimer
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.common.log_file import LOG, LogFile, log_file
from app.shell.mishap_panel import MishapPanel
from app.shell.mishaps import page_of
from app.shell.page_stack import PAGES
from app.shell.window import Window
from tests.app.by_hand import Live
from tests.app.shell.window.hands import rename, unsaved


@pytest.fixture
def caught(
    window: Window, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> Iterator[Window]:
    """The window as the program runs it: its hook in place of the one that fails tests."""
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    # what is logged is meant here
    caplog.handler.addFilter(elsewhere)
    end = window.mishaps.catch()
    yield window
    end()
    caplog.handler.removeFilter(elsewhere)


def elsewhere(record: logging.LogRecord) -> bool:
    """Whether a line is of no mishap."""
    return record.name != LOG.name


class Broken(QWidget):
    """Fails while it paints."""

    painted = 0

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.drawLine(0, 0, 5, 5)
        self.painted += 1
        raise ZeroDivisionError("while it paints")


def told(window: Window) -> MishapPanel:
    """The panel of mishaps, which must be there and hinder nothing."""
    QApplication.processEvents()
    panel = window.mishap_panel
    assert panel is not None
    assert panel.isVisible()
    assert not panel.isModal()
    return panel


def written() -> str:
    return log_file().read_text(encoding="utf-8")


def goes_on(window: Window, live: Live) -> None:
    """Keys and pages still work, and time goes by."""
    before = live.live_run.now
    live.sail(1.0)
    window.activateWindow()
    QApplication.processEvents()
    assert live.live_run.now > before
    QTest.keyClick(window, Qt.Key.Key_F3)
    assert window.page_row.front == "timing"
    QTest.keyClick(window, Qt.Key.Key_F2)
    assert window.page_row.front == "rehearse"


def test_that_an_exception_in_a_slot_is_told_and_written_down_and_loses_nothing(
    caught: Window, live: Live, home: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    rename(caught, "Mine")

    def fails() -> None:
        raise ValueError("a slot of no use")

    caught.page.pause.clicked.connect(fails)
    caught.page.pause.click()
    panel = told(caught)
    assert panel.head.text() == (
        "Something went wrong in the Rehearse page; nothing you made is lost."
    )
    assert panel.what.text() == "ValueError: a slot of no use"
    kept = unsaved(home)
    assert kept is not None
    assert "Mine" in kept.read_text("utf-8")
    assert "Traceback" in written()
    assert 'raise ValueError("a slot of no use")' in written()
    panel.copy.click()
    copied = QApplication.clipboard().text()
    assert copied.startswith("Leadfall ")
    assert "Rehearse page\n" in copied
    assert 'raise ValueError("a slot of no use")' in copied
    assert "ValueError: a slot of no use" in capsys.readouterr().err
    panel.close()
    caught.page.pause.click()
    goes_on(caught, live)


def test_that_an_exception_in_a_paint_event_is_told_once_and_the_page_can_be_opened_anew(
    caught: Window, live: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = Broken(caught.page)
    broken.resize(50, 50)
    broken.show()
    loop, timer = QEventLoop(), QTimer(interval=10)
    timer.timeout.connect(broken.update)
    timer.timeout.connect(lambda: broken.painted > 4 and loop.quit())
    timer.start()
    # as in the program: what is painted out of Python's own call is raised by that
    loop.exec()
    timer.stop()
    panel = told(caught)
    assert "Rehearse" in panel.head.text()
    assert written().count("Traceback") == 1
    old = caught.page
    panel.anew.click()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert not panel.isVisible()
    assert caught.page is not old
    assert not shiboken6.isValid(old)
    assert caught.page.isVisible()
    QTest.keyClick(caught, Qt.Key.Key_F)
    goes_on(caught, live)
    assert not panel.isVisible()


def test_that_what_fails_in_a_timer_every_frame_is_told_once(
    caught: Window, live: Live, qapp: QApplication
) -> None:
    calls = []

    def fails() -> None:
        calls.append(len(calls))
        raise KeyError(f"frame {len(calls)}")

    timer = QTimer(interval=0)
    timer.timeout.connect(fails)
    timer.start()
    while len(calls) < 120:
        QApplication.processEvents()
    panel = told(caught)
    panel.close()
    until = len(calls) + 20
    while len(calls) < until:
        QApplication.processEvents()
    timer.stop()
    assert not panel.isVisible(), "nobody is asked again for the same"
    text = written()
    assert text.count("Traceback") == 1
    assert text.count("times by now") == 2
    assert "100 times by now" in text
    goes_on(caught, live)


def test_that_the_same_is_told_again_once_it_has_been_quiet(
    caught: Window, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = [0.0]
    monkeypatch.setattr("app.shell.mishaps.time.monotonic", lambda: now[0])

    def fails() -> None:
        raise ValueError("again")

    caught.page.pause.clicked.connect(fails)
    caught.page.pause.click()
    told(caught).close()
    now[0] = 9.0
    caught.page.pause.click()
    QApplication.processEvents()
    assert caught.mishap_panel is not None
    assert not caught.mishap_panel.isVisible()
    now[0] = 20.0
    caught.page.pause.click()
    told(caught)


def test_that_an_exception_in_a_thread_is_told_by_the_window(caught: Window) -> None:
    def fails() -> None:
        raise OSError("in a thread")

    thread = threading.Thread(target=fails)
    thread.start()
    thread.join()
    assert told(caught).what.text() == "OSError: in a thread"


def test_that_the_page_is_that_of_the_code_that_failed() -> None:
    assert page_of(["__main__", "app.timing.model", "app.planning.plan", "physics.line"]) == (
        "timing"
    )
    assert page_of(["app.session.live_run", "physics.line"]) == ""


def test_that_a_folder_that_cannot_be_written_hinders_no_telling(caught: Window) -> None:
    log_file().parent.parent.mkdir(parents=True, exist_ok=True)
    log_file().parent.write_text("a file where the folder should be")

    def fails() -> None:
        raise ValueError("and no log")

    caught.page.pause.clicked.connect(fails)
    caught.page.pause.click()
    assert told(caught).what.text() == "ValueError: and no log"


def test_that_every_page_can_be_opened_anew_and_goes_on_with_what_was_entered(
    window: Window, live: Live
) -> None:
    setup = rename(window, "Mine")
    for name, _, _ in PAGES:
        window.show_page(name)
        QApplication.processEvents()
        old: QWidget = window.pages.currentWidget()
        window.reopen_page(name)
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        QApplication.processEvents()
        assert not shiboken6.isValid(old), name
        assert window.pages.currentWidget() is getattr(window.pages, name)
        assert window.pages.currentWidget().isVisible()
    # nothing of the old pages is called any more
    window.preferences.set_look("dark")
    window.preferences.set_length("meters")
    rename(window, "Another")
    window.shelf.changed.emit()
    for name, _, _ in PAGES:
        window.show_page(name)
        QApplication.processEvents()
    live.sail(0.5)
    window.document.undo_stack.undo()
    assert window.document.setup == setup


def test_that_the_log_rotates_and_keeps_a_few(home: Path, make_log: Callable[[], LogFile]) -> None:
    one, two = make_log(), make_log()
    line = logging.LogRecord("leadfall", logging.ERROR, "", 0, "x" * 100_000, None, None)
    for _ in range(15):
        one.emit(line)
        two.emit(line)
    names = sorted(path.name for path in home.iterdir())
    assert names == ["leadfall.log", *(f"leadfall.log.{n}" for n in (1, 2, 3))]
    assert all(path.stat().st_size < 600_000 for path in home.iterdir())


@pytest.fixture
def make_log() -> Callable[[], LogFile]:
    """The log as each of several windows has it."""
    return lambda: LogFile(log_file())
