"""Hours at the helm, and pages opened and closed a thousand times: memory, exceptions, processes.

``python -m tests.benchmarks.endurance helm [--hours H]`` mashes the helm of six lines over a shoal
at 8x, as fast as the computer goes: shift, throttle, engines, wheel, marks, line in and out, fish
on and off, start over. ``... pages [--times N]`` makes a page anew N times, all in turn. Exit code
1 for anything raised or said, a process left, or memory that in the mean grew more than 5 %
from the second quarter to the last.
"""

from __future__ import annotations

import argparse
import gc
import multiprocessing
import os
import random
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import mean

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from app.common.free_memory import give_back, keep_little
from app.gear.catalog import Catalog
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.session import live_run as live
from app.session.clock import MOST_CATCH_UP, Clock
from app.session.document import Document
from app.session.live_run import LiveRun
from app.shell.collecting import Collecting
from app.shell.start import build_window
from app.ui.settings import PAGES, Settings
from tests.app.by_hand import HandTime
from tests.benchmarks.soak import memory
from tests.benchmarks.soak.troubles import Troubles

FASTER = 8

GROWTH = 0.05
"""Share by which memory may grow from the second quarter to the last."""

LOOKS, TOLD = 200, 20
"""How often memory is looked at, and told of: a single look depends on what a past holds then."""


def six_lines(catalog: Catalog) -> Setup:
    """The demo over a shoal, with two rods more."""
    setup = scenario_file.load(scenario_file.demos()[1], catalog)
    more = [
        replace(rod, name=f"{rod.name} {number}", line_out=0.8 * rod.line_out)
        for number, rod in enumerate(setup.rods[:2])
    ]
    return replace(setup, rods=(*setup.rods, *more), hold=None)


def mash(run: LiveRun, dice: random.Random) -> None:
    """One order to the helm or of a line, whether it makes sense or not."""
    rod = dice.choice([rod.name for rod in run.document.setup.rods])
    shift: Callable[[], object] = run.shift
    orders: list[Callable[[], object]] = [
        shift, shift, shift,
        lambda: run.set_throttle(dice.uniform(0.0, 4.5)),
        lambda: run.set_engines(dice.choice((1, 2))),
        lambda: run.set_wheel(dice.uniform(-0.05, 0.05)),
        run.drop_mark,
        lambda: run.order_line(rod, "line to", dice.uniform(20.0, 90.0), dice.uniform(0.3, 2.0)),
        lambda: run.order_line(rod, "fish on", dice.uniform(2.0, 15.0)),
        lambda: run.order_line(rod, "fish off"),
    ]  # fmt: skip
    dice.choice(orders)()


class Watched:
    """Memory as it goes, and what it came to."""

    def __init__(self, whole: float, unit: str) -> None:
        self.whole, self.unit, self.seen = whole, unit, list[float]()
        self.most, self.begun = 0, time.monotonic()
        self.troubles = Troubles()

    def look(self, done: float) -> None:
        """Look at memory when it is time to, and tell of every tenth look."""
        self.most = max(self.most, len(multiprocessing.active_children()))
        if done * LOOKS < (len(self.seen) + 1) * self.whole:
            return
        # as a window does every few seconds, and once a minute
        gc.collect()
        give_back()
        self.seen.append(memory.resident("self"))
        if len(self.seen) % (LOOKS // TOLD):
            return
        print(f"{done:8.2f} {self.unit} {self.seen[-1]:6.0f} MB"
              f" {time.monotonic() - self.begun:8.0f} s", flush=True)  # fmt: skip

    def ended(self) -> int:
        """The last line, and the exit code."""
        time.sleep(1.0)
        left = len(multiprocessing.active_children())
        wrong = {*self.troubles.raised, *self.troubles.said}
        print(*wrong, sep="\n", end="\n" if wrong else "")
        quarter = len(self.seen) // 4
        before, after = mean(self.seen[quarter : 2 * quarter]), mean(self.seen[3 * quarter :])
        grown = after / before - 1.0
        print(f"{min(self.seen):.0f} to {max(self.seen):.0f} MB, the last quarter in the mean "
              f"{after:.0f}, {100.0 * grown:+.1f} % from the second, raised or said "
              f"{len(self.troubles.raised) + len(self.troubles.said)}, "
              f"workers {self.most} at most, {left} left")  # fmt: skip
        return int(bool(wrong) or bool(left) or grown > GROWTH)


def helm(hours: float, seed: int) -> int:
    """Mash the helm so many hours of rehearsal."""
    application = QApplication([])
    catalog, dice, hand = Catalog.load(None), random.Random(seed), HandTime()
    live.wall = hand  # type: ignore[assignment]
    run = LiveRun(Document(catalog, six_lines(catalog)), Clock(hand))
    run.set_speed(FASTER)
    watched, done = Watched(hours, "h"), 0.0
    while done < hours:
        before = run.clock.now
        hand.go_by(MOST_CATCH_UP)
        run.tick()
        application.processEvents()
        done += max(run.clock.now - before, 0.0) / 3600.0
        if run.clock.paused:
            # what cannot be computed is told, and paused: begin again as a person would
            run.start_over()
            run.pause()
        if dice.random() < 0.1:
            mash(run, dice)
        if dice.random() < 0.0002:
            run.start_over()
        watched.look(done)
    run.close()
    return watched.ended()


def pages(times: int) -> int:
    """Make pages anew, so many in all, in Qt's loop: what is to be deleted goes only there."""
    application = QApplication([])
    application.setStyle("Fusion")
    watched = Watched(float(times), "pages")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_DATA_HOME"] = folder
        window = build_window(scenario_file.demos()[0], Settings(Path(folder) / "settings.json"))
        collecting = Collecting(window)
        window.show()
        window.live_run.start()
        numbers = iter(range(times))

        def one_more() -> None:
            number = next(numbers, None)
            if number is None:
                application.quit()
                return
            name = PAGES[number % len(PAGES)]
            window.show_page(name)
            window.reopen_page(name)
            if number % len(PAGES) == 0:
                # as the program does once a minute, in which nobody makes so many pages
                gc.collect()
            watched.look(number + 1.0)

        timer = QTimer(window)
        timer.timeout.connect(one_more)
        timer.start(0)
        application.exec()
        timer.stop()
        collecting.end()
        window.document.saved = window.document.setup
        window.close()
    return watched.ended()


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.endurance")
    parser.add_argument("what", choices=("helm", "pages"))
    parser.add_argument("--hours", type=float, default=10.0, help="of rehearsal (10)")
    parser.add_argument("--times", type=int, default=1000, help="pages made (1000)")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    keep_little()
    return helm(given.hours, given.seed) if given.what == "helm" else pages(given.times)


if __name__ == "__main__":
    raise SystemExit(main())
