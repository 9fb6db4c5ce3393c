"""Run a setup without a screen, and write or print what it did."""

from __future__ import annotations

from pathlib import Path

from app.common.bad_input import BadInput
from app.common.files import write_safely
from app.common.version import version
from app.gear.catalog import Catalog
from app.scenario.setup import Setup
from app.shell.outputs import as_csv, as_json, as_table
from app.shell.report import report
from physics.checks import InvalidValue
from physics.line.march import ConvergenceError
from physics.progress import ProgressCallback
from physics.simulation.advance import advance_reporting
from physics.simulation.cost import require_affordable
from physics.simulation.events import find_events
from physics.simulation.run import Run
from physics.simulation.scenario import cut_for_orders
from physics.simulation.trajectory import sample


def run_setup(
    setup: Setup,
    catalog: Catalog,
    file: str,
    csv: Path | None,
    json: Path | None,
    step: float,
    progress: ProgressCallback | None = None,
) -> str:
    """Run it, write the files asked for (samples every ``step`` s), and return the table.

    ``progress`` hears the share done. Raises BadInput for a file that cannot be written, a run
    that cannot be solved, and one that would take too long or too much memory.
    """
    scenario = cut_for_orders(setup.scenario(catalog))
    try:
        require_affordable(scenario)
    except InvalidValue as error:
        raise BadInput(file, "", None, error.allowed, f"would take {error.value}") from error
    try:
        run = Run([scenario])
        advance_reporting(run, scenario.duration, progress)
        trajectory = run.trajectory()
        del run
    except ConvergenceError as error:
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
    return as_table(scenario, events, reports, setup.speed_unit)
