"""Seconds from the command to a painted, moving window. Nothing is asserted.

Run ``python -m tests.benchmarks.startup``. Starts the program as a process of
its own five times, offscreen, and measures until the second frame is painted:
by the clock on the wall, and in processor time, which a busy machine leaves alone.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time

PROGRAM = """
import gc, sys, time
from app.shell import cli
# as the command does
gc.disable()
from app.shell import start
gc.enable()
from PySide6.QtCore import QTimer

build = start.build_window

def watched(path, settings):
    made = build(path, settings)
    painted = []
    plot = made.page.side_view
    draw = plot.canvas._draw

    def counted(painter, axes):
        draw(painter, axes)
        painted.append(made.live_run.now)
        if len(painted) == 1 or painted[-1] == painted[0]:
            return
        print(time.time(), time.process_time())
        sys.stdout.flush()
        made.document.saved = made.document.setup
        QTimer.singleShot(0, made.close)
        plot.canvas._draw = draw

    plot.canvas._draw = counted
    return made

if __name__ == "__main__":
    start.build_window = watched
    sys.exit(start.run_dashboard(None))
"""


def main() -> None:
    times, worked = [], []
    with tempfile.TemporaryDirectory() as home:
        script = os.path.join(home, "start.py")
        with open(script, "w", encoding="utf-8") as file:
            file.write(PROGRAM)
        environment = {
            **os.environ,
            "QT_QPA_PLATFORM": os.environ.get("QT_QPA_PLATFORM", "offscreen"),
            "XDG_CONFIG_HOME": home,
            "XDG_DATA_HOME": home,
            "PYTHONPATH": os.getcwd(),
        }
        for number in range(5):
            start = time.time()
            out = subprocess.run(
                [sys.executable, script],
                env=environment,
                capture_output=True,
                text=True,
                timeout=60,
                check=True,
            )
            at, work = map(float, out.stdout.split())
            times.append(at - start)
            worked.append(work)
            print(f"start {number + 1}: second frame after {at - start:.2f} s, work {work:.2f} s")
    for name, some in (("on the wall", times), ("of work", worked)):
        print(f"best {min(some):.2f} s, median {sorted(some)[2]:.2f} s {name}")


if __name__ == "__main__":
    main()
