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

from PySide6.QtWidgets import QApplication

from app.scenario import file as scenario_file
from app.shell.start import build_window
from app.ui.settings import Settings
from tests.benchmarks.soak import memory
from tests.benchmarks.soak.hand import Hand
from tests.benchmarks.soak.troubles import Troubles

EVERY = 0.2
"""About so many seconds between two actions."""

LOOK = 2.0
"""Seconds between looks at the workers' memory."""

GONE = 1.0
"""Seconds after which an ended process counts as left behind."""


def soak(minutes: float, seed: int) -> int:
    """Use the window; the exit code."""
    application = QApplication([])
    application.setStyle("Fusion")
    troubles, dice = Troubles(), random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_DATA_HOME"] = folder
        settings = Settings(Path(folder) / "settings.json")
        window = build_window(scenario_file.demos()[0], settings)
        window.show()
        window.live_run.start()
        hand = Hand(window, dice)
        begun, minute, done, most = time.monotonic(), 0, 0, 0
        own: list[float] = []
        each: list[float] = []
        seen: list[list[float]] = []
        look = begun
        print(
            "min   actions  window MB  workers MB  handles  threads  workers (most)  raised  said"
        )
        while (spent := time.monotonic() - begun) < 60.0 * minutes + 1.0:
            try:
                hand.act()
            except Exception:
                troubles.raised.append(traceback.format_exc())
            done += 1
            until = time.monotonic() + dice.uniform(0.5, 1.5) * EVERY
            while time.monotonic() < until:
                application.processEvents()
                time.sleep(0.002)
            most = max(most, len(multiprocessing.active_children()))
            if time.monotonic() >= look:
                look += LOOK
                seen.append(memory.workers())
            if spent >= 60.0 * (minute + 1):
                minute += 1
                own.append(memory.resident("self"))
                # the middle of the minute's: what a job has while it runs comes and goes
                each.append(statistics.median(max(few, default=math.nan) for few in seen))
                workers = statistics.median(sum(few) for few in seen)
                seen.clear()
                print(
                    f"{minute:3d} {done:9d} {own[-1]:10.0f} {workers:11.0f}"
                    f" {memory.handles():8.0f} {threading.active_count():8d}"
                    f" {len(multiprocessing.active_children()):8d} ({most})"
                    f" {len(troubles.raised):10d} {len(troubles.said):5d}",
                    flush=True,
                )
        window.document.saved = window.document.setup
        before = time.perf_counter()
        window.close()
        closed = time.perf_counter() - before
        # what is ended needs a moment to be gone
        time.sleep(GONE)
        left = multiprocessing.active_children()
    for text in {*troubles.raised, *troubles.said}:
        print(text)
    if own:
        print(
            f"memory since the first quarter: window {memory.grown(own)}, "
            f"the largest worker {memory.grown(each)}"
        )
    print(f"closing took {closed:.2f} s; processes left: {len(left)}")
    return 1 if troubles.raised or left else 0


def main() -> int:
    """Read the command line."""
    parser = argparse.ArgumentParser(description="Use the window at random for a long time.")
    parser.add_argument("--minutes", type=float, default=20.0)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    return soak(given.minutes, given.seed)


if __name__ == "__main__":
    sys.exit(main())
