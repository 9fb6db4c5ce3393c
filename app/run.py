"""Run a setup without a screen, and write or print what it did.

Depends on: outputs, report, files, setup, catalog; physics.drop, physics.events.
"""

from __future__ import annotations

from pathlib import Path

from app.bad_input import BadInput
from app.catalog import Catalog
from app.files import write_safely
from app.outputs import as_csv, as_json, as_table
from app.report import report
from app.setup import Setup
from app.version import version
from physics.drop import simulate
from physics.events import find_events
from physics.march import Stuck
from physics.trajectory import sample


def run_setup(
    setup: Setup, catalog: Catalog, file: str, csv: Path | None, json: Path | None, step: float
) -> str:
    """Run it, write the files asked for (samples every ``step`` s), and return the table.

    Raises BadInput for a file that cannot be written or a run that cannot be solved.
    """
    scenario = setup.scenario(catalog)
    try:
        trajectory = simulate(scenario)
    except Stuck as error:
        allowed = "tackle and helm orders a line can follow"
        raise BadInput(file, "", None, allowed, f"could not be run ({error})") from error
    events = [event for event in find_events(trajectory) if event.time <= scenario.duration]
    reports = report(trajectory, events)
    if csv is not None or json is not None:
        sampled = sample(trajectory, step, until=scenario.duration)
        if csv is not None:
            write_safely(csv, as_csv(sampled, [rod.name for rod in scenario.rods]))
        if json is not None:
            write_safely(json, as_json(sampled, scenario, events, reports, version()))
    return as_table(scenario, events, reports)
