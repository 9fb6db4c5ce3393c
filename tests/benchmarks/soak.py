"""The window used at random for a long time: what it takes of the machine, minute by minute.

Run ``python -m tests.benchmarks.soak --minutes 20 --seed 1`` (offscreen by default). Legal
actions on all pages, one every fifth of a second or so, in the real window with its real
worker processes. Every minute: memory of the window and of its workers, open handles,
threads, processes, exceptions and Qt messages so far; at the end how much the memory grew
since the first quarter, how long closing took and what was left. Asserts nothing about time;
ends with code 1 if anything was raised or a process was left. Memory and handles are read
from /proc, elsewhere they are told as ``nan``.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import random
import sys
import tempfile
import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import Qt, qInstallMessageHandler
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.drill.file import Planned
from app.drill.round import LEVELS
from app.scenario import file as scenario_file
from app.session.clock import SPEEDS
from app.shell.page_stack import PAGES
from app.shell.window import Window, build_window
from app.ui.settings import Settings
from physics.answers.fights import Fight
from physics.environment.water import Bottom

EVERY = 0.2
"""About so many seconds between two actions."""

GONE = 1.0
"""Seconds after which an ended process counts as left behind."""

QUIET = "This plugin does not support"
"""How messages begin that the offscreen platform always gives."""

Action = Callable[[], object]


def resident(pid: int | str) -> float:
    """Resident memory of a process, MB."""
    try:
        pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    except OSError:
        return float("nan")
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def handles() -> float:
    """Open files, pipes and the like of this process."""
    try:
        return float(len(os.listdir("/proc/self/fd")))
    except OSError:
        return float("nan")


class Hand:
    """Somebody who tries everything."""

    def __init__(self, window: Window, dice: random.Random) -> None:
        self.window, self.dice, self.pages = window, dice, window.pages
        self.live_run = window.live_run

    def act(self) -> str:
        """Do one thing; its name."""
        page = self.window.pages.currentWidget()
        name = next(n for n, _, _ in PAGES if self.pages.made(n) is page)
        if self.dice.random() < 0.12:
            return self._do({"show": self._show})
        common: dict[str, Action] = {"edit": self._edit, "undo": self._undo, "open": self._open}
        own: dict[str, Action] = getattr(self, f"_{name}")()
        return self._do(own if self.dice.random() < 0.75 else common)

    def _do(self, actions: dict[str, Action]) -> str:
        name = self.dice.choice(list(actions))
        actions[name]()
        return name

    # ---- anywhere

    def _show(self) -> None:
        self.window.show_page(self.dice.choice(PAGES)[0])

    def _undo(self) -> None:
        stack = self.live_run.document.undo_stack
        self.dice.choice((stack.undo, stack.redo))()

    def _open(self) -> None:
        if self.dice.random() < 0.2:
            demo = self.dice.choice(scenario_file.demos())
            self.window.document.saved = self.live_run.document.setup
            self.window.files.open_file(demo, demo=True)

    def _edit(self) -> None:
        setup, dice = self.live_run.document.setup, self.dice
        what = dice.randrange(3)
        if what == 0:
            setup = replace(setup, speed=dice.uniform(1.5, 4.0))
        elif what == 1:
            number = dice.randrange(len(setup.rods))
            rods = list(setup.rods)
            rods[number] = replace(rods[number], line_out=dice.uniform(20.0, 90.0))
            setup = replace(setup, rods=tuple(rods))
        elif setup.water.bottom.is_level:
            bottom = Bottom.level(dice.uniform(9.0, 25.0))
            setup = replace(setup, water=replace(setup.water, bottom=bottom))
        self.live_run.document.edit(setup, "soak")

    def _key(self, *keys: Qt.Key) -> Action:
        return lambda: QTest.keyClick(self.window, self.dice.choice(keys))

    # ---- by page

    def _rehearse(self) -> dict[str, Action]:
        live_run, dice, key = self.live_run, self.dice, Qt.Key
        names = [rod.name for rod in live_run.document.setup.rods]
        return {
            "shift": self._key(key.Key_Space),
            "shift again": self._key(key.Key_Space),
            "mark": self._key(key.Key_M),
            "helm": self._key(key.Key_Up, key.Key_Down, key.Key_Left, key.Key_Right, key.Key_C),
            "engines": self._key(key.Key_E),
            "by itself": self._key(key.Key_W, key.Key_A),
            "start over": self._key(*[key.Key_R] * 1 + [key.Key_F] * 3),
            "speed": lambda: live_run.set_speed(dice.choice(list(SPEEDS))),
            "go on": lambda: live_run.clock.paused and live_run.pause(),
            "line": lambda: live_run.order_line(
                dice.choice(names), "line to", dice.uniform(20.0, 90.0), dice.uniform(0.3, 2.0)
            ),
        }

    def _timing(self) -> dict[str, Action]:
        planner, dice = self.pages.planner, self.dice
        return {
            "point": lambda: planner.choose(dice.uniform(0.0, 60.0), dice.uniform(0.0, 50.0)),
            "follow": planner.follow,
            "stop": planner.stop,
            "replan": planner.replan,
        }

    def _compare(self) -> dict[str, Action]:
        comparison, dice = self.pages.comparison, self.dice

        def add() -> None:
            if len(comparison.lineup.candidates) < 6:
                comparison.add()

        def remove() -> None:
            if len(comparison.lineup.candidates) > 2:
                comparison.remove()

        return {
            "choose": lambda: comparison.choose(dice.randrange(8)),
            "hold": lambda: comparison.edit(
                replace(comparison.lineup, hold=dice.uniform(5.0, 40.0)), "soak"
            ),
            "add": add,
            "remove": remove,
            "usual": comparison.back_to_usual,
        }

    def _tackle(self) -> dict[str, Action]:
        tryout, catalog, dice = self.pages.tryout, self.live_run.document.catalog, self.dice
        return {"lure": lambda: tryout.take(dice.choice(list(catalog.lures.values())))}

    def _measure(self) -> dict[str, Action]:
        measuring = self.pages.measuring
        return {
            "fit": measuring.fit,
            "rod": lambda: measuring.choose_gear(rod=self.dice.randrange(len(measuring.rods))),
        }

    def _drill(self) -> dict[str, Action]:
        drill, dice = self.pages.drilling, self.dice

        def begin() -> None:
            drill.begin_set([Planned(dice.choice(list(LEVELS)), dice.randrange(1000))])
            if drill.live_run is not None:
                drill.live_run.set_speed(8)

        def fast() -> None:
            if drill.live_run is not None and drill.stage == "play":
                drill.live_run.shift()

        return {"begin": begin, "shift": fast, "shift again": fast, "leave": drill.leave}

    def _ground(self) -> dict[str, Action]:
        pages, dice = self.pages, self.dice
        names = [rod.name for rod in self.live_run.document.setup.rods]

        def fish() -> None:
            pages.fish.choose(Fight(dice.choice(names), fish=dice.uniform(2.0, 15.0)))
            pages.fish.run()

        return {
            **self._rehearse(),
            "ways": lambda: pages.ways.choose(dice.uniform(0.0, 20.0), dice.uniform(5.0, 30.0)),
            "pass": pages.passing.run,
            "stop the pass": pages.passing.stop,
            "fish": fish,
            "stop the fish": pages.fish.stop,
            "lower": lambda: pages.ground.show_lower(dice.randrange(3)),
        }


class Troubles:
    """What was raised in a slot, and what Qt said."""

    def __init__(self) -> None:
        self.raised: list[str] = []
        self.said: list[str] = []
        sys.excepthook = lambda *error: self.raised.append(
            "".join(traceback.format_exception(*error))
        )
        threading.excepthook = lambda error: self.raised.append(repr(error.exc_value))
        qInstallMessageHandler(self._message)

    def _message(self, _kind: object, _where: object, text: str) -> None:
        if not text.startswith(QUIET):
            self.said.append(text)


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
            if spent >= 60.0 * (minute + 1):
                minute += 1
                own.append(resident("self"))
                workers = [resident(p.pid or 0) for p in multiprocessing.active_children()]
                print(
                    f"{minute:3d} {done:9d} {own[-1]:10.0f} {sum(workers):11.0f} {handles():8.0f}"
                    f" {threading.active_count():8d} {len(workers):8d} ({most})"
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
        warm = own[max(len(own) // 4 - 1, 0)]
        print(
            f"the window's memory since the first quarter: {100.0 * (own[-1] / warm - 1.0):+.1f} %"
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
