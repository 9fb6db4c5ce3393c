"""How fast the Compare page answers with eight candidates, and whether the window ever freezes.

Run ``python -m tests.benchmarks.compare_speed``. Two processes compute, as on the
page; a probe asks the event loop for a turn every few milliseconds meanwhile. Wall
seconds on a quiet machine are the claim; CPU seconds of the jobs alone are beside them.
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtWidgets import QApplication

from app.common.units import COLOR, FOOT, KNOT
from app.compare.candidates import Candidate, Lineup
from app.compare.job import drops, falls, tows
from app.compare.model import Comparison
from app.scenario import file as scenario_file
from app.shell.start import build_window
from app.shell.window import Window
from app.ui.settings import Settings
from tests.benchmarks.timing_page import Probe, wait_for

EIGHT = (
    Candidate("seven-inch plug", "sinking plug, 7 in"),
    Candidate("heavy jig", "heavy jig, 3 oz", leader="50 lb fluorocarbon leader"),
    Candidate("float, plain", "floating lipped plug, 6 in", line=None, line_out=COLOR.to_si(5.0)),
    Candidate("float, leadcore", "floating lipped plug, 6 in"),
    Candidate("45 lb core", "sinking plug, 5 in", line="45 lb leadcore", line_out=COLOR.to_si(7.5)),
    Candidate("spoon", "light spoon, 4 in", line="18 lb leadcore", leader_length=FOOT.to_si(30.0)),
    Candidate("four-inch plug", "sinking plug, 4 in", leader="80 lb mono leader"),
    Candidate("bucktail", "bucktail jig, 2 oz", line="60 lb leadcore", line_out=COLOR.to_si(12.0)),
)
"""Eight on a line; invented."""


def changed(window: Window, probe: Probe, what: str, change: Callable[[], object]) -> None:
    """Make a change and report how soon all three views have all of it, painted."""
    comparison = window.pages.comparison
    probe.begin()
    start = time.perf_counter()
    change()
    wait_for(lambda: not comparison.busy)
    window.pages.compare.refresh_now()
    QApplication.processEvents()
    assert full(comparison)
    print(f"{what:30s} {time.perf_counter() - start:5.2f} s   {probe.text()}", flush=True)


def full(comparison: Comparison) -> bool:
    """Whether everything of every candidate is known."""
    return all(
        row.fall is not None and (row.candidate.alone or (row.drop is not None and row.tow))
        for row in comparison.rows()
    )


def alone(comparison: Comparison) -> None:
    """CPU seconds of the jobs by themselves, in this process."""
    setup, catalog = comparison.document.setup, comparison.document.catalog
    rods = [c.rod(catalog) for c in EIGHT]
    longest = [replace(c, line_out=comparison.most_out).rod(catalog)
               for c in EIGHT]  # fmt: skip
    boat = catalog.boats[str(setup.boat)]
    for name, job in (
        ("8 free falls", lambda: falls([rod.lure for rod in rods], setup.water)),
        ("8 drops", lambda: drops(rods, setup.water, boat, setup.speed, 20.0)),
        ("8 lines towed", lambda: tows(longest, setup.water, comparison.speeds)),
        (
            "4 drops: one process's half",
            lambda: drops(rods[::2], setup.water, boat, setup.speed, 20.0),
        ),
        ("1 drop", lambda: drops(rods[:1], setup.water, boat, setup.speed, 20.0)),
        ("1 line towed", lambda: tows(longest[:1], setup.water, comparison.speeds)),
    ):
        start = time.process_time()
        job()
        print(f"{name:30s} {time.process_time() - start:5.2f} s of CPU, one process")


def main() -> None:
    """The first demo's boat and water with eight candidates on a line."""
    application = QApplication([])
    application.setStyle("Fusion")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_DATA_HOME"] = folder
        settings = Settings(Path(folder) / "s.json")
        window = build_window(scenario_file.demos()[0], settings)
        window.show()
        # as in use: the live page's own process is up before the page is opened
        window.live_run.start()
        wait_for(lambda: window.live_run.ahead is not None)
        probe = Probe()
        window.show_page("compare")
        comparison = window.pages.comparison
        changed(window, probe, "the page opened, usual set", lambda: None)
        changed(window, probe, "eight others", lambda: comparison.edit(Lineup(EIGHT), "eight"))
        for hold in (16.0, 24.0, 12.0):
            lineup = replace(comparison.lineup, hold=hold)
            changed(window, probe, f"hold {hold:g} s", lambda n=lineup: comparison.edit(n, "hold"))
        for knots in (6.0, 5.0, 8.0):
            setup = replace(window.document.setup, speed=KNOT.to_si(knots))
            changed(window, probe, f"speed {knots:g} kn",
                    lambda n=setup: window.document.edit(n, "speed"))  # fmt: skip
        for number, colors in ((0, 8.0), (4, 9.0), (7, 10.0)):
            comparison.choose(number)
            changed(window, probe, f"{colors:g} colors out for one",
                    lambda c=colors: comparison.change("c", line_out=COLOR.to_si(c)))  # fmt: skip
        for number, lure in ((1, "heavy spoon, 5 in"), (6, "ball sinker, 4 oz")):
            comparison.choose(number)
            changed(window, probe, f"{lure} for one",
                    lambda n=lure: comparison.change("l", lure=n))  # fmt: skip
        changed(window, probe, "undone", window.document.undo_stack.undo)
        alone(comparison)
        window.document.saved = window.document.setup
        window.close()


if __name__ == "__main__":
    main()
