"""The check that nothing is left behind sees what is, and says where it began."""

import threading

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QDialog

from tests.app.left_behind import Watch


def test_that_a_running_timer_is_seen_and_its_start_told(
    qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    watch = Watch(monkeypatch)
    timer = QTimer()
    timer.start(5000)
    (told,) = watch.left()
    assert told.startswith("a timer of 5000 ms")
    assert "test_that_a_running_timer_is_seen_and_its_start_told" in told
    timer.stop()
    assert watch.left() == []


def test_that_a_running_thread_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    watch = Watch(monkeypatch)
    gate = threading.Event()
    thread = threading.Thread(target=gate.wait, name="lookout")
    thread.start()
    (told,) = watch.left()
    assert told.startswith("the thread lookout, started in test_that_a_running_thread_is_seen")
    gate.set()
    thread.join()
    assert watch.left() == []


def test_that_a_forgotten_window_is_seen(
    qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    watch = Watch(monkeypatch)
    dialog = QDialog()
    dialog.setWindowTitle("Spread")
    dialog.show()
    assert watch.left() == ["the QDialog “Spread”"]
    dialog.close()
    dialog.deleteLater()
    assert watch.left() == []
