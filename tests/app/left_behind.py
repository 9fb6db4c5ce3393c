"""What a test may leave running: timers, threads, processes, windows; and where each began."""

from __future__ import annotations

import multiprocessing
import threading
import time
import traceback
from collections.abc import Callable
from multiprocessing.process import BaseProcess
from typing import Any
from weakref import WeakKeyDictionary

import pytest
import shiboken6
from PySide6.QtCore import QCoreApplication, QEvent, QTimer
from PySide6.QtWidgets import QApplication, QDialog, QMainWindow, QWidget

GRACE = 2.0
"""Seconds after which an ended process or thread counts as left behind."""

OURS = ("tests", "app")
"""Folders whose lines are worth showing when something is left behind."""


class Watch:
    """Notes where timers, threads and processes start, and tells which still run."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self._begun: WeakKeyDictionary[Any, str] = WeakKeyDictionary()
        self._threads = set(threading.enumerate())
        self._windows = _windows()
        for owner in (QTimer, threading.Thread, BaseProcess):
            patch.setattr(owner, "start", self._noting(owner.start))

    def _noting(self, start: Callable[..., None]) -> Callable[..., None]:
        def noted(thing: Any, *args: Any) -> None:
            self._begun[thing] = _here()
            start(thing, *args)

        return noted

    def left(self) -> list[str]:
        """A line for everything that still runs or still is on screen."""
        _let_go()
        self._wait_for_what_is_ending()
        out = []
        for thing, where in list(self._begun.items()):
            if isinstance(thing, QTimer):
                if shiboken6.isValid(thing) and thing.isActive():
                    out.append(f"a timer of {thing.interval()} ms, started in {where}")
            elif isinstance(thing, BaseProcess) and thing.is_alive():
                out.append(f"the process {thing.name}, started in {where}")
        out += [
            f"the thread {thread.name}, started in {self._begun.get(thread, '?')}"
            for thread in set(threading.enumerate()) - self._threads
        ]
        known = {thing for thing in self._begun if isinstance(thing, BaseProcess)}
        out += [f"the process {p.name}" for p in multiprocessing.active_children()
                if p not in known]  # fmt: skip
        return out + [_called(widget) for widget in _windows() if widget not in self._windows]

    def _wait_for_what_is_ending(self) -> None:
        """A process that was ended takes some time to be gone where cores are busy."""
        end = time.monotonic() + GRACE
        while time.monotonic() < end and (
            multiprocessing.active_children() or set(threading.enumerate()) - self._threads
        ):
            time.sleep(0.01)


def _here() -> str:
    """The innermost lines of ours on the way to where something is started."""
    frames = [
        frame for frame in traceback.extract_stack()[:-2]
        if any(f"/{folder}/" in frame.filename.replace("\\", "/") for folder in OURS)
    ]  # fmt: skip
    return " > ".join(f"{frame.name}:{frame.lineno}" for frame in frames[-4:]) or "?"


def _let_go() -> None:
    """Let deferred deletions happen."""
    if QCoreApplication.instance() is not None:
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        QCoreApplication.processEvents()


def _windows() -> list[QWidget]:
    if not isinstance(QApplication.instance(), QApplication):
        return []
    return [
        widget for widget in QApplication.topLevelWidgets()
        if widget.isVisible() or isinstance(widget, QMainWindow | QDialog)
    ]  # fmt: skip


def _called(widget: QWidget) -> str:
    return f"the {type(widget).__name__} “{widget.windowTitle() or widget.objectName()}”"
