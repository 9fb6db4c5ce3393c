"""Look for what to put out without a screen, and write or print the answer."""

from __future__ import annotations

import signal
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.files import write_safely
from app.common.version import version
from app.gear.catalog import Catalog
from app.planning.put_out import put_out
from app.planning.put_out_grid import UNISON, fishable_lures, usual_request
from app.planning.put_out_report import as_json
from app.planning.put_out_words import as_page
from app.scenario.limits import WAIT
from app.scenario.setup import Setup
from app.shell.plan import in_trade
from physics.answers.holds import LONGEST_HOLD
from physics.checks import InvalidValue
from physics.progress import ProgressCallback

WORKERS = 2


def _deaf() -> None:
    """Ctrl+C is for the one who waits, not for the workers."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def run_put_out(
    setup: Setup,
    catalog: Catalog,
    file: str,
    *,
    hold: float | None = None,
    wait: float | None = None,
    unison: float | None = None,
    keep_speed: bool = False,
    lures: bool = False,
    json: Path | None = None,
    progress: ProgressCallback | None = None,
) -> str:
    """Search, write the file asked for, and return the page to print.

    Raises BadInput for what cannot be planned or written.
    """
    for name, value, low, high in (
        ("--hold", hold, 0.0, LONGEST_HOLD),
        ("--wait", wait, 0.0, WAIT.high),
        ("--unison", unison, UNISON.low, UNISON.high),
    ):
        if value is not None and not low <= value <= high:
            raise BadInput("command line", name, value, f"{low:g} to {high:g} s")
    request = replace(usual_request(setup, hold=hold), wait=wait)
    if unison is not None:
        request = replace(request, unison=unison)
    if keep_speed:
        request = replace(request, speeds=None)
    if lures:
        every = tuple(fishable_lures(catalog))
        request = replace(request, rods=tuple(replace(rod, lures=every) for rod in request.rods))
    try:
        with ProcessPoolExecutor(WORKERS, get_context("spawn"), _deaf) as executor:
            found = put_out(request, catalog, progress, executor)
    except InvalidValue as error:
        raise in_trade(error, setup, file, own=True) from error
    if json is not None:
        write_safely(json, as_json(found, version()))
    return as_page(found)
