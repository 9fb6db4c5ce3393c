"""A process that writes to a store again and again, and says what is surely written.

``python -m tests.app.savers KIND FOLDER WHO COUNT`` says a number after each write that
returned. KIND all has one kind after another write, each in a folder of its own. COUNT 0 has a
process of its own go on writing for every line of input, until that is ended from outside: it
starts at once, since everything is imported by then (POSIX).
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from itertools import count, islice
from pathlib import Path

import platformdirs

from app.common.bad_input import BadInput
from app.common.files import make_folder
from app.common.log_file import LOG, begin_log, end_log
from app.compare import file as compare_file
from app.compare.candidates import Candidate, Lineup
from app.drill.store import Result
from app.drill.store import Store as Results
from app.gear import own_tackle
from app.gear.catalog import Catalog
from app.gear.own_tackle import Item
from app.log.store import Store as Log
from app.measure import file as sheet
from app.measure.file import Line, Sheet
from app.scenario import autosave
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from app.ui.settings import Settings
from tests.app.log.made import a_drop

ROUNDS = 3
"""Candidates a process names before it begins again: eight fit the file."""

PAUSE_S = 0.02
"""Between writes: a lock let go and taken at once is never anybody else's."""

Write = Callable[[int], None]


def own_writer(who: str) -> Write:
    """A lure more with each number, as a window adds them."""
    lure = next(iter(Catalog.load(None).lures.values()))
    path = user_folder() / "tackle" / own_tackle.OWN_FILE
    known: list[Item] = []

    def write(number: int) -> None:
        item = Item("lure", replace(lure, name=f"{who} {number}"))
        made = own_tackle.update(path, known, [*known, item], known)
        known[:] = made.after

    return write


def sheet_writer(who: str) -> Write:
    """A measurement more with each number."""
    known = Sheet()
    depth = 1.0 + 0.25 * int(who)

    def write(number: int) -> None:
        nonlocal known
        line = Line("dock", seconds=float(number + 1), depth=depth)
        known, _ = sheet.update(known, replace(known, lines=(*known.lines, line)))

    return write


def compare_writer(who: str) -> Write:
    """Candidates of its own beside those of another process, their lines longer each time."""
    usual = Lineup((Candidate("usual", "sinking plug, 5 in"),))
    known = usual

    def write(number: int) -> None:
        nonlocal known
        name = f"{who} {number % ROUNDS}"
        mine = Candidate(name, "sinking plug, 5 in", line_out=10.0 + number % 100)
        others = tuple(c for c in known.candidates if c.name != name)
        lineup = replace(known, candidates=(*others, mine))
        known, _ = compare_file.update(compare_file.place(), known, lineup, usual)

    return write


def numbered(number: int) -> Setup:
    """The first demo under another name."""
    setup = scenario_file.load(scenario_file.demos()[0], Catalog.load(None))
    return replace(setup, name=f"drop {number}")


def unsaved_writer(who: str) -> Write:
    """Unsaved changes put by, after something went wrong that was written down."""
    log_file = begin_log()
    LOG.error("at the start")
    end_log(log_file)
    unsaved, setup = autosave.Unsaved(), numbered(0)
    return lambda number: unsaved.keep(replace(setup, name=f"drop {number}"), None)


def scenario_writer(who: str) -> Write:
    """A scenario file saved over and over."""
    path, setup = user_folder() / "mine.toml", numbered(0)
    make_folder(path.parent)
    return lambda number: scenario_file.save(replace(setup, name=f"drop {number}"), path)


WRITERS: dict[str, Callable[[str], Write]] = {
    "own": own_writer,
    "sheet": sheet_writer,
    "compare": compare_writer,
    "unsaved": unsaved_writer,
    "scenario": scenario_writer,
}


def settings_writer(who: str) -> Write:
    """The last scenario, set to another each time."""
    settings = Settings(user_folder() / "settings.json")

    def write(number: int) -> None:
        settings.set("scenario", f"drop {number}")
        if not settings.keep():
            raise BadInput(str(settings.path), "", None, "a folder", "cannot be written now")

    return write


def drill_writer(who: str) -> Write:
    """A round begun and done."""
    results = Results()
    trainee = results.add(who)

    def write(number: int) -> None:
        done = Result("", 1, number, "scored", points=50.0)
        results.finish(results.begin(trainee, 1, number), done)
        results.flush()

    return write


def log_writer(who: str) -> Write:
    """A drop more in the log."""
    log = Log()

    def write(number: int) -> None:
        log.change([(None, replace(a_drop(), id=f"{who}-{number}", note=str(number)))])
        log.flush()

    return write


MORE: dict[str, Callable[[str], Write]] = {
    "settings": settings_writer,
    "drill": drill_writer,
    "log": log_writer,
}


def user_folder() -> Path:
    """The user's folder as the program asks for it."""
    return Path(platformdirs.user_data_dir())


def written(write: Write, number: int) -> bool:
    """Whether a write went through; one refused because another process writes is tried again."""
    try:
        write(number)
    except BadInput as error:
        if "another window" not in error.problem:
            raise
        return False
    return True


def say(what: object) -> None:
    sys.stdout.write(f"{what}\n")
    sys.stdout.flush()


def main() -> None:
    kind, folder, who, most = sys.argv[1:]
    platformdirs.user_data_dir = lambda *_args, **_words: folder  # type: ignore[assignment]
    say("ready")
    if kind == "all":
        for each in (*WRITERS, *MORE):
            folder = f"{sys.argv[2]}/{each}/leadfall"
            say(f"begin {each}")
            save(each, who, int(most))
    elif int(most):
        sys.stdin.readline()
        save(kind, who, int(most))
    elif sys.platform != "win32":
        for _ in sys.stdin:
            child = os.fork()
            if not child:
                say(os.getpid())
                save(kind, who, None)
            os.waitpid(child, 0)
            say("ended")


def save(kind: str, who: str, most: int | None) -> None:
    """Write so often, or for ever."""
    write = (WRITERS | MORE)[kind](who)
    for number in islice(count(), most):
        while not written(write, number):
            pass
        say(number)
        time.sleep(PAUSE_S)


if __name__ == "__main__":
    main()
