"""Use the window and print what it takes."""

from __future__ import annotations

import argparse
import math
import multiprocessing
import os
import random
import statistics
import sys
import tempfile
import threading
import time
import traceback
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication

from app.common.free_memory import keep_little
from app.scenario import file as scenario_file
from app.shell.collecting import Collecting
from app.shell.start import build_window
from app.shell.window import Window
from app.ui.settings import Settings
from tests.benchmarks.soak import memory
from tests.benchmarks.soak.hand import Hand
from tests.benchmarks.soak.troubles import Troubles

EVERY = 0.2
"""About so many seconds between two actions."""

LOOK = 2.0
"""Seconds between looks at memory."""

HEADING = "min   actions  window MB  workers MB  handles  threads  workers (most)  raised  said"

GONE = 1.0
"""Seconds after which an ended process counts as left behind."""


class Soak(QObject):
    """Actions one after another in the program's own event loop, and a look every few seconds.

    Under the loop and not between calls of ``processEvents``, which never deletes what was
    given to ``deleteLater`` outside a loop: replaced widgets would pile up here alone.
    """

    def __init__(self, window: Window, minutes: float, seed: int) -> None:
        super().__init__()
        self.troubles, self.dice = Troubles(), random.Random(seed)
        self.hand = Hand(window, self.dice)
        self.own: list[float] = []
        self.each: list[float] = []
        self._minutes, self._begun = minutes, time.monotonic()
        self._done, self._most = 0, 0
        self._windows: list[float] = []
        self._workers: list[list[float]] = []
        self._acting = QTimer(self)
        self._acting.setSingleShot(True)
        self._acting.timeout.connect(self._act)
        self._looking = QTimer(self)
        self._looking.timeout.connect(self._look)
        print(HEADING)
        self._acting.start(0)
        self._looking.start(round(1000 * LOOK))

    def _act(self) -> None:
        try:
            self.hand.act()
        except Exception:
            self.troubles.raised.append(traceback.format_exc())
        self._done += 1
        self._most = max(self._most, len(multiprocessing.active_children()))
        self._acting.start(round(1000 * self.dice.uniform(0.5, 1.5) * EVERY))

    def _look(self) -> None:
        self._windows.append(memory.resident("self"))
        self._workers.append(memory.workers())
        spent = time.monotonic() - self._begun
        if spent >= 60.0 * (len(self.own) + 1):
            self._tell()
        if spent >= 60.0 * self._minutes:
            QApplication.exit()

    def _tell(self) -> None:
        # the middle of the minute's: what a run or a job has while it lasts comes and goes
        self.own.append(statistics.median(self._windows))
        self.each.append(statistics.median(max(few, default=math.nan) for few in self._workers))
        workers = statistics.median(sum(few) for few in self._workers)
        self._windows.clear()
        self._workers.clear()
        print(
            f"{len(self.own):3d} {self._done:9d} {self.own[-1]:10.0f} {workers:11.0f}"
            f" {memory.handles():8.0f} {threading.active_count():8d}"
            f" {len(multiprocessing.active_children()):8d} ({self._most})"
            f" {len(self.troubles.raised):10d} {len(self.troubles.said):5d}",
            flush=True,
        )


def soak(minutes: float, seed: int) -> int:
    """Use the window; the exit code."""
    keep_little()
    application = QApplication([])
    application.setStyle("Fusion")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_DATA_HOME"] = folder
        settings = Settings(Path(folder) / "settings.json")
        window = build_window(scenario_file.demos()[0], settings)
        collecting = Collecting(window)
        window.show()
        window.live_run.start()
        soaking = Soak(window, minutes, seed)
        application.exec()
        collecting.end()
        window.document.saved = window.document.setup
        before = time.perf_counter()
        window.close()
        closed = time.perf_counter() - before
        # what is ended needs a moment to be gone
        time.sleep(GONE)
        left = multiprocessing.active_children()
    for text in {*soaking.troubles.raised, *soaking.troubles.said}:
        print(text)
    if soaking.own:
        print(
            f"memory from the second quarter to the last: window {memory.grown(soaking.own)}, "
            f"the largest worker {memory.grown(soaking.each)}"
        )
    print(f"closing took {closed:.2f} s; processes left: {len(left)}")
    return 1 if soaking.troubles.raised or left else 0


def main() -> int:
    """Read the command line."""
    parser = argparse.ArgumentParser(description="Use the window at random for a long time.")
    parser.add_argument("--minutes", type=float, default=20.0)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    return soak(given.minutes, given.seed)


if __name__ == "__main__":
    sys.exit(main())
