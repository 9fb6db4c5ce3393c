"""Exceptions nobody expected: caught, written down and told, once each; the program goes on."""

from __future__ import annotations

import platform
import sys
import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from types import TracebackType

from PySide6.QtCore import QObject, Qt, Signal, qVersion

from app.common.error_line import in_a_line
from app.common.log_file import LOG, begin_log, end_log
from app.common.version import stepper, version
from app.shell.page_stack import PAGES

QUIET = 10.0
"""What goes wrong at the same place again is a new mishap after so long without it, s."""

MOST_PLACES = 100
"""Places remembered; more than that are told each time."""

LONGEST = 300
"""Characters of its one line."""

TITLES = {name: title for name, title, _ in PAGES}


@dataclass(frozen=True, slots=True)
class Mishap:
    """What went wrong: the page's name, one line, and all there is to tell; ``times`` so far."""

    page: str
    line: str
    details: str
    times: int = 1


@dataclass(slots=True)
class _Seen:
    times: int
    last: float


class Mishaps(QObject):
    """``front`` gives the name of the page in front. ``happened`` (Mishap) comes on the GUI thread
    once the event in which it went wrong is over, and for the same place not again before it has
    been QUIET."""

    happened = Signal(object)
    _caught = Signal(object)

    def __init__(self, front: Callable[[], str], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._front = front
        self._seen: dict[tuple[str, str, int], _Seen] = {}
        # never within a paint event, and from no other thread
        self._caught.connect(self.happened, Qt.ConnectionType.QueuedConnection)

    def catch(self) -> Callable[[], None]:
        """Take what Python would only print, from slots, timers, paint events and threads; returns
        what ends that."""
        log = begin_log()
        before = sys.excepthook, threading.excepthook
        sys.excepthook = self.take
        threading.excepthook = self._take_of_thread

        def end() -> None:
            sys.excepthook, threading.excepthook = before
            end_log(log)

        return end

    def take(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        """An exception that nobody handled."""
        if not issubclass(kind, Exception):
            sys.__excepthook__(kind, error, trace)
            return
        frames = list(traceback.walk_tb(trace))
        last, number = frames[-1] if frames else (None, 0)
        place = (kind.__name__, last.f_code.co_filename if last else "", number)
        seen, line = self._again(place), in_a_line(error)[:LONGEST]
        if seen.times == 1:
            page = page_of([frame.f_globals.get("__name__", "") for frame, _ in frames])
            text = "".join(traceback.format_exception(kind, error, trace))
            mishap = Mishap(page or self._front(), line, text)
            LOG.error("on the %s page\n%s", TITLES[mishap.page], text.rstrip())
            if sys.stderr is not None:
                sys.stderr.write(text)
            self._caught.emit(mishap)
        elif is_round(seen.times):
            LOG.error("%s, %d times by now", line, seen.times)
        # its frames may hold a painter, which must end with its paint event
        traceback.clear_frames(trace)

    def _take_of_thread(self, given: threading.ExceptHookArgs) -> None:
        if given.exc_value is not None:
            self.take(given.exc_type, given.exc_value, given.exc_traceback)

    def _again(self, place: tuple[str, str, int]) -> _Seen:
        now = time.monotonic()
        seen = self._seen.get(place)
        if seen is None or now - seen.last > QUIET:
            seen = _Seen(0, now)
            if len(self._seen) < MOST_PLACES:
                self._seen[place] = seen
        seen.times, seen.last = seen.times + 1, now
        return seen

    def forget(self) -> None:
        """Tell of everything anew: a page was opened anew."""
        self._seen.clear()


def page_of(modules: list[str]) -> str:
    """Name of the page whose code failed, by the modules on the way there, or ""."""
    for module in reversed(modules):
        parts = module.split(".")
        if parts[0] == "app" and len(parts) > 1 and parts[1] in TITLES:
            return parts[1]
    return ""


def is_round(number: int) -> bool:
    """Whether it is 1, 10, 100 and so on."""
    return str(number).strip("0") == "1"


def with_versions(mishap: Mishap) -> str:
    """What a helper wants to have."""
    return (
        f"Leadfall {version()} ({stepper()}), Python {platform.python_version()}, "
        f"Qt {qVersion()}, {platform.platform()}\n"
        f"{TITLES[mishap.page]} page\n\n{mishap.details}"
    )
