"""The command line: the dashboard, a run or a plan without a screen, the list of demos."""

from __future__ import annotations

import argparse
import gc
import io
import math
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from app.common.bad_input import BadInput
from app.common.files import check_place, is_there
from app.common.interrupts import raise_on_interrupt
from app.common.version import stepper, version
from app.gear.catalog import Catalog
from app.scenario import file as scenario_file
from app.shell.progress import telling
from app.shell.simulate import run_setup

MOST_ROWS = 1_000_000
"""Rows a run may be sampled into: two hours at 0.01 s are 720,000."""

USAGE_ERROR, STOPPED = 2, 130

COMMANDS = """\
commands:
  leadfall [FILE]                 open the dashboard, on a scenario file if one is given
  leadfall simulate FILE [...]    run a scenario without a screen
  leadfall plan FILE [...]        how long to wait, how long to hold, and the helm card
  leadfall put-out FILE [...]     what to put out for the mark: speed, line, wait and hold
  leadfall log [...]              export the log, or take entries in
  leadfall demos                  list the demo scenarios that come with the program
  leadfall --desktop install      put it into the menu (Linux); remove takes it out
  leadfall --check [--json]       tell whether all that Leadfall needs works here

A file named like a command is opened as ./simulate, ./plan, ./put-out,
./log or ./demos.
"""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        self.exit(USAGE_ERROR, f"{self.prog}: {message} (see {self.prog} --help)\n")


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line and return the exit code: 0, 2 for input that cannot be used, 130
    if stopped by Ctrl+C."""
    words = list(sys.argv[1:] if argv is None else argv)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # a name may hold letters that this terminal has not
            stream.reconfigure(errors="replace")
    try:
        try:
            return _command(words)
        finally:
            # here and not at exit, where nobody could catch what goes wrong
            _show("")
    except BadInput as error:
        if isinstance(error.__cause__, BrokenPipeError):
            return _unread()
        if sys.stderr is not None:
            print(f"leadfall: {error}", file=sys.stderr)
        return USAGE_ERROR
    except BrokenPipeError:
        return _unread()
    except KeyboardInterrupt:
        print("leadfall: stopped", file=sys.stderr)
        return STOPPED


def _command(words: Sequence[str]) -> int:
    commands = {
        "simulate": _simulate, "plan": _plan, "put-out": _put_out, "log": _log, "demos": _demos,
    }  # fmt: skip
    if words and words[0] in commands:
        raise_on_interrupt()
        return commands[words[0]](words[1:])
    return _dashboard(words)


def _show(text: str) -> None:
    """Print a text, now. Raises BadInput where it cannot be written."""
    if sys.stdout is None:
        return
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except OSError as error:
        _give_up_output()
        problem = f"cannot be written ({error.strerror or 'unknown reason'})"
        raise BadInput("output", "", None, "a screen, a pipe or a file", problem) from error


def _unread() -> int:
    """The reader of our output has all it wanted, and has gone."""
    _give_up_output()
    return 0


def _give_up_output() -> None:
    """Keep Python from writing at exit what could not be written before."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _dashboard(words: Sequence[str]) -> int:
    parser = _Parser(
        prog="leadfall",
        description="Rehearse the drop: what your lures do when the boat goes out of gear.",
        epilog=COMMANDS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "--version", action="version", version=f"leadfall {version()} ({stepper()})"
    )
    parser.add_argument("file", nargs="?", type=Path, metavar="FILE", help="a scenario file")
    parser.add_argument(
        "--desktop", choices=("install", "remove"),
        help="put Leadfall into this desktop's menu, or take it out (Linux)",
    )  # fmt: skip
    given = parser.parse_args(words)
    if given.desktop:
        from app.shell.desktop import run_desktop

        _show(run_desktop(given.desktop))
        return 0
    # nothing of what is loaded now will go: to look for garbage meanwhile is a tenth of the start
    gc.disable()
    from app.shell.start import run_dashboard

    gc.enable()
    return run_dashboard(given.file)


def _demos(words: Sequence[str]) -> int:
    _Parser(prog="leadfall demos", description="List the demo scenarios.").parse_args(words)
    catalog = Catalog.load(None)
    for path in scenario_file.demos():
        _show(f"{path}  {scenario_file.load(path, catalog).name}\n")
    return 0


def _simulate(words: Sequence[str]) -> int:
    parser = _Parser(
        prog="leadfall simulate",
        description="Run a scenario without a screen. Without --csv or --json, print a table.",
    )
    parser.add_argument("file", type=Path, metavar="FILE", help="a scenario file")
    parser.add_argument("--csv", type=Path, metavar="OUT.csv", help="write a table of samples, SI")
    parser.add_argument("--json", type=Path, metavar="OUT.json", help="write the whole run, SI")
    parser.add_argument(
        "--step", type=float, default=0.25, metavar="S", help="seconds between samples (0.25)"
    )
    given = parser.parse_args(words)
    outputs = [path for path in (given.csv, given.json) if path is not None]
    _check_outputs(given.file, outputs)
    catalog = Catalog.load()
    setup = scenario_file.load(given.file, catalog).dropped()
    _check_step(given.step, setup.duration)
    with telling(given.file.name) as progress:
        table = run_setup(
            setup, catalog, str(given.file), given.csv, given.json, given.step, progress
        )
    if not outputs:
        _show(table)
    return 0


def _plan(words: Sequence[str]) -> int:
    parser = _Parser(
        prog="leadfall plan",
        description="How long to wait after the mark and how long to hold, for the whole spread.",
    )
    parser.add_argument("file", type=Path, metavar="FILE", help="a scenario file")
    parser.add_argument("--json", type=Path, metavar="OUT.json", help="write the whole plan, SI")
    parser.add_argument(
        "--card", type=Path, metavar="OUT", help="write the helm card: .pdf, .png or .csv"
    )
    parser.add_argument(
        "--clearance",
        type=float,
        metavar="FT",
        help="keep every line this far off bottom, instead of what the scenario says",
    )
    parser.add_argument("--bands", action="store_true", help="also tell how sure it is")
    parser.add_argument(
        "--steady",
        action="store_true",
        help="also tell which answer is right most often, what matters, and have the card's "
        "holds touch no more often than may be",
    )
    given = parser.parse_args(words)
    outputs = [path for path in (given.json, given.card) if path is not None]
    _check_outputs(given.file, outputs)
    # only a plan needs these, and they take a while to load
    from app.shell.plan import CARDS, run_plan

    if given.card is not None and given.card.suffix.lower() not in CARDS:
        allowed = "a name that ends in .pdf, .png or .csv"
        raise BadInput("command line", "--card", str(given.card), allowed)
    catalog = Catalog.load()
    setup = scenario_file.load(given.file, catalog)
    with telling(given.file.name) as progress:
        page = run_plan(
            setup, catalog, str(given.file), json=given.json, card=given.card,
            bands=given.bands, steady=given.steady, clearance=given.clearance, progress=progress,
        )  # fmt: skip
    _show(page)
    return 0


def _put_out(words: Sequence[str]) -> int:
    parser = _Parser(
        prog="leadfall put-out",
        description="What to put out for this mark: how much line, how fast, how long to wait and "
        "to hold, so that all lures come off the bottom through it together.",
    )
    parser.add_argument("file", type=Path, metavar="FILE", help="a scenario file")
    parser.add_argument("--hold", type=float, metavar="S", help="hold just this long")
    parser.add_argument("--wait", type=float, metavar="S", help="wait just this long")
    parser.add_argument(
        "--unison", type=float, metavar="S", help="all lures to lift within so many seconds (3)"
    )
    parser.add_argument("--keep-speed", action="store_true", help="the speed stays as it is")
    parser.add_argument("--lures", action="store_true", help="try all other lures of the tackle")
    parser.add_argument("--json", type=Path, metavar="OUT.json", help="write the answer, SI")
    given = parser.parse_args(words)
    _check_outputs(given.file, [path for path in (given.json,) if path is not None])
    from app.shell.put_out import run_put_out

    catalog = Catalog.load()
    setup = scenario_file.load(given.file, catalog)
    with telling(given.file.name) as progress:
        page = run_put_out(
            setup, catalog, str(given.file), hold=given.hold, wait=given.wait,
            unison=given.unison, keep_speed=given.keep_speed, lures=given.lures,
            json=given.json, progress=progress,
        )  # fmt: skip
    _show(page)
    return 0


def _log(words: Sequence[str]) -> int:
    parser = _Parser(
        prog="leadfall log",
        description="Export the log, or take entries in. Without any of these, tell what is kept.",
    )
    parser.add_argument("--csv", type=Path, metavar="OUT.csv", help="write all entries as CSV")
    parser.add_argument("--json", type=Path, metavar="OUT.json", help="write all entries as JSON")
    parser.add_argument(
        "--add", type=Path, metavar="FILE", help="import entries from CSV, JSON or another log"
    )
    given = parser.parse_args(words)
    # the log loads what only it needs
    from app.log.job import run_log

    _show(run_log(given.csv, given.json, given.add))
    return 0


def _check_outputs(file: Path, outputs: list[Path]) -> None:
    """Refuse a place that cannot be written, the scenario itself, and two outputs in one file."""
    taken = [file.absolute()]
    there = is_there(file)
    for path in outputs:
        check_place(path)
        if path.absolute() in taken or (there and is_there(path) and path.samefile(file)):
            raise BadInput(str(path), "", None, "another file name", "is already in use here")
        taken.append(path.absolute())


def _check_step(step: float, duration: float) -> None:
    least = duration / MOST_ROWS
    if not math.isfinite(step) or not least <= step <= duration:
        allowed = f"{least:.3g} to {duration:g} s (at most {MOST_ROWS:,} rows)"
        raise BadInput("command line", "--step", step, allowed)
