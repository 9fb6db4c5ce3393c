"""How soon a drill begins, and how soon its debrief is there.

Run ``python -m tests.benchmarks.drill_speed`` (offscreen by default). For a
round of every level: from Enter to the first frame, when the best answer was
there (the round is played by it, at eight times life), from the round's end to
its score on screen, and the longest the event loop was kept during the round
and at its end. Nothing is asserted.
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import platformdirs
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.window import build_window
from tests.benchmarks.timing_page import Probe


def until(done: Callable[[], bool], longest: float = 60.0) -> float:
    """Turn the event loop until something is done; seconds it took."""
    start = time.perf_counter()
    while not done() and time.perf_counter() - start < longest:
        QApplication.processEvents()
        time.sleep(0.0005)
    return time.perf_counter() - start


def main() -> None:
    folder = tempfile.mkdtemp()
    platformdirs.user_data_dir = lambda *_args, **_words: folder
    application = QApplication([])
    application.setStyle("Fusion")
    settings = QSettings(str(Path(folder) / "s.ini"), QSettings.Format.IniFormat)
    window = build_window(None, settings)
    window.show()
    window.rehearsal.start()
    until(lambda: False, 1.0)
    start = time.perf_counter()
    QTest.keyClick(window, Qt.Key.Key_F7)
    print(f"page after F7: {1e3 * (time.perf_counter() - start):.0f} ms")
    drill = window.drill._drill
    probe = Probe()
    for level in range(1, 6):
        QTest.keyClick(window, getattr(Qt.Key, f"Key_{level}"))
        begun = time.perf_counter()
        QTest.keyClick(window, Qt.Key.Key_Return)
        rehearsal = drill.rehearsal
        assert rehearsal is not None
        until(lambda r=rehearsal: not r.settling and 0.0 < r.now < 5.0)
        first = time.perf_counter() - begun
        until(lambda: drill.best is not None)
        best = time.perf_counter() - begun
        assert drill.best is not None
        assert drill.round is not None
        wait, hold = drill.best.plan.point
        rehearsal.set_speed(8)
        probe.begin()
        for at in (wait, wait + hold):
            moment = drill.round.mark.time + at
            until(lambda r=rehearsal, m=moment: r.now >= m)
            rehearsal.shift()
        until(lambda: drill.stage == "debrief")
        playing = probe.text()
        probe.begin()
        score = until(lambda: drill.score is not None, 20.0)
        until(lambda: False, 0.2)
        assert drill.score is not None
        print(
            f"level {level}: first frame {1e3 * first:.0f} ms, best {best:.1f} s, "
            f"debrief {1e3 * score:.0f} ms after the end, {drill.score.points:.0f} points; "
            f"playing {playing}; at the end {probe.text()}"
        )
        rehearsal.set_speed(1)
        QTest.keyClick(window, Qt.Key.Key_Escape)
    window.close()


if __name__ == "__main__":
    main()
