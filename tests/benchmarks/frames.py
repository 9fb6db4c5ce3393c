"""How long a frame takes: compute, then paint plots, count and cards. Nothing is asserted.

Run ``python -m tests.benchmarks.frames`` (offscreen by default). Prints the
median and 99th percentile of the work of a frame (processor time of the window's thread:
computing and painting all of the window that changed), and of its time on the wall,
which a busy machine adds to, with the look-ahead running beside it, the same
with the largest spread, and the Ground page with that spread turning over a
shoal in a current that fades toward the bottom.
"""

from __future__ import annotations

import gc
import os
import tempfile
import time
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import numpy as np
from PySide6.QtWidgets import QApplication

from app.scenario import file as scenario_file
from app.scenario.bottom_shapes import shaped
from app.shell.start import build_window
from app.shell.window import Window
from app.ui.settings import Settings
from physics.environment.current import PowerLaw

FRAME = 1.0 / 60.0

TURN_RADIUS = 60.0
"""m, less than the longest line."""


def measure(window: Window, speed: int, seconds: float) -> tuple[np.ndarray, np.ndarray, float]:
    """Frame times and work in ms over a drop, and look-aheads a second while out of gear."""
    live_run = window.live_run
    live_run.set_speed(speed)
    count, out_for = 0, 0.0

    def counted() -> None:
        nonlocal count
        count += live_run.ahead is not None and live_run.ahead.in_gear

    live_run.ahead_changed.connect(counted)
    times, work, shifted = [], [], False
    end = time.perf_counter() + seconds
    while time.perf_counter() < end:
        start, worked = time.perf_counter(), time.thread_time()
        live_run.tick()
        QApplication.processEvents()
        spent = time.perf_counter() - start
        work.append((time.thread_time() - worked) * 1e3)
        times.append(spent * 1e3)
        if not shifted and len(times) > 60:
            shifted = True
            live_run.shift()
        time.sleep(max(FRAME - spent, 0.0))
        out_for += 0.0 if live_run.in_gear else time.perf_counter() - start
    live_run.ahead_changed.disconnect(counted)
    return np.array(times[10:]), np.array(work[10:]), count / max(out_for, 1e-9)


def report(name: str, times: np.ndarray, work: np.ndarray, ahead: float, seconds: float) -> None:
    print(
        f"{name:34s} work: median {np.median(work):5.2f} ms  p99 {np.percentile(work, 99):5.2f} ms"
        f"  wall: median {np.median(times):5.2f} ms  p99 {np.percentile(times, 99):6.2f} ms  "
        f"{len(times) / seconds:3.0f} frames/s  look-aheads {ahead:.1f}/s out of gear"
    )


def main() -> None:
    """Two rods and six on the Rehearse page, six turning over a shoal on the Ground page."""
    application = QApplication([])
    application.setStyle("Fusion")
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(Path(folder) / "s.json")
        window = build_window(scenario_file.demos()[0], settings)
        window.resize(1280, 800)
        gc.collect()
        gc.freeze()
        window.show()
        setup = window.document.setup
        six = tuple(
            replace(setup.rods[k % 2], name=f"line {k + 1}", abeam=1.2 * k - 3.0) for k in range(6)
        )
        for name, rods, speed, seconds in (
            ("two rods, 1x", setup.rods, 1, 15.0),
            ("two rods, 8x", setup.rods, 8, 10.0),
            ("six rods, 1x", six, 1, 10.0),
            ("six rods, 8x", six, 8, 10.0),
        ):
            window.document.open(replace(setup, rods=rods))
            window.live_run.start_over()
            while window.live_run.settling:
                QApplication.processEvents()
            report(name, *measure(window, speed, seconds), seconds)
        window.show_page("ground")
        shoal = shaped("rip", setup.water.bottom.deepest, 0.0)
        sheared = replace(setup.water, bottom=shoal, current=(0.6, 0.0), profile=PowerLaw())
        for name, water, speed in (
            ("Ground, six, level, still, 1x", setup.water, 1),
            ("Ground, six turning, sheared, 1x", sheared, 1),
            ("Ground, six turning, sheared, 4x", sheared, 4),
            ("the same, two lines handled, 4x", sheared, 4),
        ):
            window.document.open(replace(setup, rods=six, water=water))
            window.live_run.start_over()
            while window.live_run.settling:
                QApplication.processEvents()
            if water is sheared:
                window.live_run.set_wheel(1.0 / TURN_RADIUS)
            if "handled" in name:
                window.live_run.order_line("line 1", "fish on", 5.0)
                window.live_run.order_line("line 1", "line to", 5.0, 0.6)
                window.live_run.order_line("line 6", "line to", 90.0, 0.6)
            report(name, *measure(window, speed, 10.0), 10.0)
        window.document.saved = window.document.setup
        window.close()


if __name__ == "__main__":
    main()
