"""Make the README's pictures: the first demo in the middle of a drop, the second in a turn.

Run ``python -m tests.benchmarks.pictures``. Time is moved by hand, so the same
program makes the same pictures, down to the fonts of the machine.
"""

from __future__ import annotations

import os
import random
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path
from unittest.mock import patch

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtWidgets import QApplication

from app.common.resources import asset
from app.common.units import FOOT, KNOT
from app.gear.catalog import Catalog
from app.log.entry import Entry, new_id
from app.log.from_setup import from_setup
from app.measure.file import Line, Sheet
from app.scenario import file as scenario_file
from app.session.clock import Clock
from app.session.document import Document
from app.session.live_run import LiveRun
from app.shell.window import Window
from app.ui.preferences import Preferences
from app.ui.settings import Settings
from tests.app.by_hand import WORKING, HandBackground, HandTime, Live

SIZE = (1280, 800)
SPREAD_WIDE = 1250

NAMES = (
    "rehearse-light.png",
    "rehearse-dark.png",
    "spread.png",
    "timing-light.png",
    "timing-dark.png",
    "compare-light.png",
    "measure-light.png",
    "ground-light.png",
    "log-light.png",
)

OUT_AT = 10.0
"""The boat goes out of gear as the demo's mark passes under the sounder, s."""

MORNING = datetime(2026, 6, 6, 5, 40, tzinfo=timezone(timedelta(hours=-4)))
"""When the first drop of the log was done."""

MEASURED = (
    *(Line("dock", seconds=s, depth=FOOT.to_si(10.0)) for s in (7.9, 8.3, 8.1)),
    *(
        Line("tow", speed=KNOT.to_si(knots), depth=FOOT.to_si(feet))
        for knots, feet in ((5.0, 19.5), (6.5, 15.0), (7.5, 12.5))
    ),
)
"""Measurements made up for the picture."""

SHOWN_AT = 25.01
"""Rehearsal time of the pictures, s: the lures are falling, the mark is well astern."""


TURNED_AT, TURN_RADIUS, TURN_SHOWN_AT = 12.0, 30.0, 27.0
"""When she turns, s, how tightly, m, and when the picture of it is taken, s."""


@contextmanager
def window_by_hand(folder: Path, demo: int) -> Iterator[tuple[Window, Live]]:
    """The real window over a demo, its clock and its workers moved by hand."""
    screen, time = HandTime(), HandTime()
    catalog = Catalog.load(None)
    setup = scenario_file.load(scenario_file.demos()[demo], catalog)
    with (
        ExitStack() as stack,
        patch("app.session.live_run.wall", screen),
        patch("app.session.outlook.wall", screen),
        patch("platformdirs.user_data_dir", lambda *_args, **_words: str(folder / "home")),
    ):
        for module in WORKING:
            stack.enter_context(patch(f"app.{module}.Background", HandBackground))
        live = Live(LiveRun(Document(catalog, setup), Clock(time)), time, screen)
        settings = Settings(folder / "settings.json")
        window = Window(live.live_run, Preferences(), settings)
        window.resize(*SIZE)
        window.show()
        yield window, live
        window.close()
        window.deleteLater()


@contextmanager
def window_in_a_drop(folder: Path) -> Iterator[Window]:
    """At the chosen moment of a drop."""
    with window_by_hand(folder, 0) as (window, live):
        live.sail(OUT_AT)
        live.live_run.shift()
        live.sail(SHOWN_AT - OUT_AT)
        live.look()
        QApplication.processEvents()
        # a card a frame is read, and no more frames come
        window.page.card_row.read()
        window.page.side_view.fit()
        yield window


def made_up(window: Window) -> Iterator[Entry]:
    """The drops of a morning, made up for the picture."""
    lot = random.Random(3)
    for number in range(14):
        told = from_setup(window.document.setup)
        lines = [replace(line, outcome="drop", fish="bluefish", landed=True)
                 if lot.random() < 0.2 else line for line in told["lines"]]  # fmt: skip
        told |= {
            "wait": 12.0 + number % 4, "hold": lot.choice([18.0, 20.0, 22.0]), "tide": "into",
            "stage": "flood", "part": "early", "place": (30.0, -40.5), "lines": tuple(lines),
        }  # fmt: skip
        yield Entry(new_id(), MORNING + timedelta(minutes=22 * number), rehearsal=False, **told)


def settle(worker: object) -> None:
    """Have everything done that is waiting, and what follows from it."""
    assert isinstance(worker, HandBackground)
    while worker.waiting:
        worker.deliver()
    QApplication.processEvents()


def make(folder: Path) -> None:
    """Write all pictures into ``folder``."""
    with tempfile.TemporaryDirectory() as home, window_in_a_drop(Path(home)) as window:
        for name in ("light", "dark"):
            window.preferences.set_look(name)
            QApplication.processEvents()
            window.grab().save(str(folder / f"rehearse-{name}.png"))
        window.preferences.set_look("light")
        window.edit_spread()
        QApplication.processEvents()
        assert window.editor is not None
        # as wide as it is on a small screen; that of no screen is smaller
        window.editor.resize(SPREAD_WIDE, window.editor.height())
        QApplication.processEvents()
        window.editor.grab().save(str(folder / "spread.png"))
        window.editor.close()
        window.show_page("timing")
        settle(window.planner.background)
        for name in ("light", "dark"):
            window.preferences.set_look(name)
            QApplication.processEvents()
            window.grab().save(str(folder / f"timing-{name}.png"))
        window.preferences.set_look("light")
        window.show_page("compare")
        comparison = window.pages.comparison
        settle(comparison.background)
        window.grab().save(str(folder / "compare-light.png"))
        window.show_page("measure")
        window.pages.measuring.set_sheet(Sheet(MEASURED), "measured")
        window.pages.measure.choose_kind("dock")
        window.pages.measuring.fit()
        settle(window.pages.measuring.background)
        window.grab().save(str(folder / "measure-light.png"))
        log = window.pages.entries
        log.edit((), tuple(made_up(window)), "made up")
        window.show_page("log")
        window.pages.log.table.selectRow(2)
        QApplication.processEvents()
        window.grab().save(str(folder / "log-light.png"))
    with tempfile.TemporaryDirectory() as home, window_by_hand(Path(home), 1) as (window, live):
        window.show_page("ground")
        live.live_run.timer.stop()
        live.sail(TURNED_AT)
        live.live_run.set_wheel(1.0 / TURN_RADIUS)
        live.sail(TURN_SHOWN_AT - TURNED_AT)
        live.look()
        live.look()
        QApplication.processEvents()
        window.grab().save(str(folder / "ground-light.png"))


def main() -> None:
    """Make them where the README looks for them."""
    application = QApplication([])
    application.setStyle("Fusion")
    folder = asset("pictures")
    folder.mkdir(exist_ok=True)
    make(folder)
    for name in NAMES:
        print(folder / name)


if __name__ == "__main__":
    main()
