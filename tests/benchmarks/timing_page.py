"""How soon the Timing page answers, and how long the window is ever kept from the person.

Run ``python -m tests.benchmarks.timing_page`` (offscreen by default). Four
lines over a level bottom: seconds from a changed number to the first answer,
the full one, how sure it is, the steady one and the card, and the longest gap between two
turns of the event loop meanwhile (and what of it was the window's own work:
the rest is waiting for a core); then the same while the point is dragged, and while
an arrow is held in the field of the speed, as the keyboard repeats it. Nothing is asserted.
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import numpy as np
from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.planning.plan import Plan
from app.scenario import file as scenario_file
from app.shell.start import build_window
from app.shell.window import Window
from app.ui.settings import Settings
from physics.environment.water import Bottom

REPEAT = 0.04
"""Seconds between the steps of a key held down."""

PULSE_MS = 2
"""The probe wants a turn of the event loop this often, ms."""


class Probe(QObject):
    """Notes how late the event loop is for a timer that is always due soon."""

    def __init__(self) -> None:
        super().__init__()
        self.gaps: list[float] = []
        self.work: list[float] = []
        self._last, self._worked = time.perf_counter(), time.thread_time()
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._beat)
        self._timer.start(PULSE_MS)

    def _beat(self) -> None:
        now, worked = time.perf_counter(), time.thread_time()
        self.gaps.append(1e3 * (now - self._last))
        self.work.append(1e3 * (worked - self._worked))
        self._last, self._worked = now, worked

    def begin(self) -> None:
        self.gaps.clear()
        self.work.clear()
        self._last, self._worked = time.perf_counter(), time.thread_time()

    def text(self) -> str:
        gaps = np.array(self.gaps)
        over = int((gaps > 50.0).sum())
        return (
            f"longest gap {gaps.max():5.1f} ms ({over} over 50), "
            f"of the window's own work {max(self.work):5.1f} ms"
        )


def wait_for(done: Callable[[], bool], longest: float = 60.0) -> float:
    """Turn the event loop until ``done``; the seconds it took."""
    start = time.perf_counter()
    while not done() and time.perf_counter() - start < longest:
        QApplication.processEvents()
        time.sleep(0.0005)
    return time.perf_counter() - start


def changed(window: Window, probe: Probe, what: str, change: Callable[[], object]) -> None:
    """Make a change and report how soon each answer is there."""
    planner = window.planner
    probe.begin()
    start = time.perf_counter()
    change()
    took: list[str] = []
    for name, done in (
        ("first", lambda: planner.fresh),
        ("full", lambda: planner.fresh and not planner.plan.coarse),  # type: ignore[union-attr]
        ("sure", lambda: planner.sure.chances is not None),
        ("steady", lambda: planner.steady.ready is not None),
        ("card", lambda: planner.card is not None),
    ):
        wait_for(done)
        took.append(f"{name} {time.perf_counter() - start:5.2f} s")
    print(f"{what:26s} {'  '.join(took)}   {probe.text()}")


def dragged(window: Window, probe: Probe, seconds: float = 4.0) -> None:
    """Drag the point about, one move a frame."""
    planner, spent = window.planner, []
    probe.begin()
    end = time.perf_counter() + seconds
    while time.perf_counter() < end:
        turn = time.perf_counter()
        start = time.perf_counter()
        window.pages.timing.map.chosen.emit(
            20.0 + 15.0 * np.sin(3.0 * turn), 20.0 + 10.0 * np.cos(2.0 * turn), False
        )
        QApplication.processEvents()
        spent.append(1e3 * (time.perf_counter() - start))
        time.sleep(max(1.0 / 60.0 - 1e-3 * spent[-1], 0.0))
        QApplication.processEvents()
    planner.follow()
    print(
        f"{'a move of the point':26s} median {np.median(spent):5.1f} ms, "
        f"p99 {np.percentile(spent, 99):5.1f} ms, with its painting   {probe.text()}"
    )


def held(window: Window, probe: Probe, seconds: float = 4.0) -> None:
    """Hold an arrow in the field of the speed, down and up again."""
    planner, box = window.planner, window.pages.timing.fields.fields["speed"].box
    plans: list[Plan] = []

    def seen() -> None:
        plan = planner.plan
        if plan is not None and (not plans or plan is not plans[-1]):
            plans.append(plan)

    planner.changed.connect(seen)
    box.setFocus()
    probe.begin()
    start = time.perf_counter()
    presses = 0
    while time.perf_counter() - start < seconds:
        down = (presses // 8) % 2
        QTest.keyPress(box, Qt.Key.Key_Down if down else Qt.Key.Key_Up)
        presses += 1
        wait_for(lambda: False, REPEAT)
    on_the_way, let_go = len(plans), time.perf_counter()
    wait_for(lambda: planner.fresh)
    first = time.perf_counter() - let_go
    wait_for(lambda: planner.fresh and not planner.plan.coarse)  # type: ignore[union-attr]
    planner.changed.disconnect(seen)
    print(
        f"{'the speed held':26s} {presses} steps, {on_the_way} answers on the way; let go: first "
        f"{first:.2f} s  full {time.perf_counter() - let_go:.2f} s   {probe.text()}"
    )


def main() -> None:
    """The second demo's four lines over a level bottom, no set."""
    application = QApplication([])
    application.setStyle("Fusion")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_DATA_HOME"] = folder
        settings = Settings(Path(folder) / "s.json")
        window = build_window(scenario_file.demos()[1], settings)
        setup = window.document.setup
        level = replace(setup.water, bottom=Bottom.level(11.0), current=(0.0, 0.0), wind=(0.0, 0.0))
        window.document.open(replace(setup, water=level))
        window.show()
        probe = Probe()
        changed(window, probe, "the page opened", lambda: window.show_page("timing"))
        edit = window.document.edit

        def with_speed(speed: float) -> None:
            edit(replace(window.document.setup, speed=speed), "speed")

        def with_depth(depth: float) -> None:
            water = replace(window.document.setup.water, bottom=Bottom.level(depth))
            edit(replace(window.document.setup, water=water), "bottom")

        for speed in (3.2, 3.4, 3.6):
            changed(window, probe, f"speed {speed} m/s", lambda s=speed: with_speed(s))
        for depth in (11.5, 12.0):
            changed(window, probe, f"bottom {depth} m", lambda d=depth: with_depth(d))
        wait_for(lambda: not window.planner.busy)
        shoal = replace(setup.water, current=(0.0, 0.0), wind=(0.0, 0.0))
        changed(window, probe, "over a shoal", lambda: edit(
            replace(window.document.setup, water=shoal), "bottom"
        ))  # fmt: skip
        dragged(window, probe)
        wait_for(lambda: not window.planner.busy)
        held(window, probe)
        wait_for(lambda: not window.planner.busy)
        window.document.saved = window.document.setup
        window.close()


if __name__ == "__main__":
    main()
