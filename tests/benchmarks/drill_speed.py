"""How soon after a round's end its debrief is there, and how soon a round begins.

Run ``python -m tests.benchmarks.drill_speed`` (offscreen by default). Plays
the best answer of a round of each level at eight times the speed of life, in
the real window with its real worker processes. Nothing is asserted.
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtWidgets import QApplication

from app.drill.file import Planned
from app.drill.model import Drill
from app.scenario import file as scenario_file
from app.shell.start import build_window
from app.ui.settings import Settings

SPEED = 8
LEVELS = (1, 2, 3, 4)


def wait_for(done: Callable[[], bool], longest: float = 120.0) -> float:
    """Turn the event loop until ``done``; the seconds it took."""
    start = time.perf_counter()
    while not done() and time.perf_counter() - start < longest:
        QApplication.processEvents()
        time.sleep(0.001)
    return time.perf_counter() - start


def play(drill: Drill, level: int) -> None:
    """One round, played as its best answer says, and how soon everything was there."""
    began = time.perf_counter()
    drill.begin_set([Planned(level, 1)])
    live_run, round_ = drill.live_run, drill.round
    assert live_run is not None
    assert round_ is not None
    wait_for(lambda: not live_run.settling)
    started = time.perf_counter() - began
    live_run.clock.paused = True
    best = wait_for(lambda: drill.best is not None)
    assert drill.best is not None
    live_run.clock.paused = False
    live_run.set_speed(SPEED)
    wait, hold = drill.best.plan.point
    for moment in (round_.mark.time + wait, round_.mark.time + wait + hold):
        wait_for(lambda m=moment: live_run.now >= m)
        live_run.shift()
    wait_for(lambda: drill.stage == "debrief")
    debrief = wait_for(lambda: drill.score is not None)
    points = drill.score.points if drill.score is not None else float("nan")
    print(
        f"level {level}: round begins after {started:.2f} s, best known {best:.2f} s later, "
        f"debrief {debrief:.2f} s after the end, {points:.0f} points at {SPEED}x"
    )
    drill.leave()


def main() -> None:
    """A round of each level with one spread in gear all the way."""
    application = QApplication([])
    application.setStyle("Fusion")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_DATA_HOME"] = folder
        settings = Settings(Path(folder) / "s.json")
        window = build_window(scenario_file.demos()[0], settings)
        window.show()
        window.show_page("drill")
        drill = window.pages.drill._drill
        for level in LEVELS:
            play(drill, level)
        window.document.saved = window.document.setup
        window.close()


if __name__ == "__main__":
    main()
