"""The log under hard use: ``python -m tests.benchmarks.log_store [COUNT]``. Nothing is asserted.

Its writer is killed at random points of 200 writes, many times over; then a log of a hundred
thousand entries, or COUNT, is opened, shown, filtered and searched, in seconds of the processor's
time and by the clock on the wall; all are chosen, copied, deleted and brought back; and all of it
is given out and taken in.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtWidgets import QApplication

from app.log.page import LogPage
from app.log.store import Store
from tests.app.log.killed import confirmed
from tests.app.log.made import season

KILLS = 20
ENTRIES = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000

AFTER = datetime(2040, 1, 1, tzinfo=UTC)
"""Later than the last of so many entries."""


def took(words: str, do: Callable[[], object]) -> None:
    wall, own = time.perf_counter(), time.process_time()
    do()
    wall, own = time.perf_counter() - wall, time.process_time() - own
    print(f"{words:40s} {own:7.3f} s of the processor, {wall:7.3f} s by the clock")


def killed() -> None:
    """How many confirmed entries a killed writer lost."""
    lost = told = 0
    for seed in range(KILLS):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "log.sqlite"
            ids, _ = confirmed(path, seed)
            store = Store(path)
            there = {entry.id for entry in store.entries()}
            assert not store.told, store.told
            store.close()
            told += len(ids)
            lost += len(ids - there)
    print(f"{KILLS} writers killed: {told} entries confirmed, {lost} lost")


def large() -> None:
    """The page over a log of a hundred thousand entries."""
    from app.gear.catalog import Catalog
    from app.log.in_out import InOut
    from app.log.model import Log
    from app.log.works_model import Works
    from app.scenario import file as scenario_file
    from app.session.document import Document
    from app.ui.preferences import Preferences

    application = QApplication.instance() or QApplication([])
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.sqlite"
        store = Store(path)
        took(f"writing {ENTRIES:,} entries", lambda: store.merge(season(ENTRIES)))
        store.close()
        catalog = Catalog.load(None)
        document = Document(catalog, scenario_file.load(scenario_file.demos()[0], catalog))
        made: list[LogPage] = []
        logs: list[Log] = []

        def open_page() -> None:
            logs.append(Log(document, store=Store(path), now=lambda: AFTER))
            works = Works(logs[0], document, logs[0].background)
            made.append(LogPage(logs[0], works, InOut(logs[0]), Preferences(), print, print))
            made[0].resize(1280, 800)
            made[0].show()
            application.processEvents()

        took("opening the page", open_page)
        page, log = made[0], logs[0]

        def filtered(do: Callable[[], object]) -> Callable[[], None]:
            def both() -> None:
                do()
                _ = page.filters.pending
                application.processEvents()

            return both

        took("filter: with a hit", filtered(lambda: page.filters.hits.setChecked(True)))
        took("filter: off again", filtered(lambda: page.filters.hits.setChecked(False)))
        box = page.filters.choices["tide"]
        took("filter: into the tide", filtered(lambda: box.setCurrentIndex(1)))
        took("search: one word", filtered(lambda: page.filters.text.setText("turn")))
        took("search: none found", filtered(lambda: page.filters.text.setText("nowhere")))
        took("all again", filtered(lambda: page.filters.show_day("")))
        head = page.table.horizontalHeader()
        for place in (3, 5):
            took(f"sort by column {place + 1}", lambda place=place: head.setSortIndicator(
                place, head.sortIndicatorOrder()))  # fmt: skip
        took("choose all", page.table.selectAll)
        took("copy them", page.table.copy)
        took("delete them", lambda: page.delete.click())
        took("undo", document.undo_stack.undo)
        took("redo", document.undo_stack.redo)
        took("undo", document.undo_stack.undo)
        took("one new entry", page.begin)
        for name in ("log.csv", "log.json"):
            files(page, Path(folder) / name, application)
        log.close()
        page.close()
        document.undo_stack.clear()


def files(page: LogPage, path: Path, application: QApplication) -> None:
    """Give everything out and take it in, into an empty log and again, by the worker; the longest
    the window stood still meanwhile."""
    in_out, log = page.in_out, page._log

    def done(words: str, ask: Callable[[], object]) -> None:
        longest, began = 0.0, time.perf_counter()
        ask()
        while in_out.busy:
            turn = time.perf_counter()
            application.processEvents()
            longest = max(longest, time.perf_counter() - turn)
            time.sleep(0.005)
        whole = time.perf_counter() - began
        print(f"{words:40s} {whole:7.1f} s by the clock, stood still {longest:6.3f} s at most")

    page.filters.show_day("")
    done(f"export, {path.suffix}", lambda: in_out.give_out(path))
    done(f"import of what is there, {path.suffix}", lambda: in_out.take_in(path))
    log.store.close()
    log.store.path.unlink()
    log.store = Store(log.store.path)
    log.renew()
    done(f"import of what is new, {path.suffix}", lambda: in_out.take_in(path))


if __name__ == "__main__":
    killed()
    large()
    sys.exit(0)
