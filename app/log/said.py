"""What the model says of a drop that is kept: from a run that is there, or of a setup anew."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import replace

from app.common.version import version
from app.gear.catalog import Catalog
from app.log.entry import Entry, Said
from app.scenario import file as scenario_file
from app.scenario.setup import Setup
from physics.progress import ProgressCallback
from physics.simulation.advance import advance_reporting
from physics.simulation.lure_facts import lure_facts
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario, cut_for_orders
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Order

OUT_AT = 10.0
"""Worked out anew a drop goes out of gear so long after the start, s."""

AFTER = 60.0
"""And is looked at for so long after it is in gear again, s."""

MARKS = 12
"""Hexadecimal digits of a fingerprint."""


def tackle_of(scenario: Scenario) -> str:
    """A fingerprint of boat and spread: another number anywhere in them gives another one."""
    return hashlib.sha256(repr((scenario.boat, scenario.rods)).encode()).hexdigest()[:MARKS]


def said_of(
    run: Trajectory, start: float, end: float, hits: Mapping[int, float], tackle: str = ""
) -> tuple[Said, ...]:
    """What each line did from ``start`` to ``end`` s; ``hits`` are their instants by line."""
    tackle, program = tackle or tackle_of(run.scenario), version()
    out = []
    for number in range(len(run.lines)):
        at = hits.get(number)
        facts = lure_facts(run, number, start, end, None if at is None else min(at, end))
        out.append(Said(
            facts.depth, facts.off_bottom, facts.speed, facts.phase, facts.least_off,
            facts.fell, facts.lifted, facts.ran, program, tackle, facts.lift_off_bottom,
            facts.lift_speed,
        ))  # fmt: skip
    return tuple(out)


def setup_of(entry: Entry, catalog: Catalog) -> Setup:
    """The setup of an entry, as it was kept. Raises BadInput."""
    return scenario_file.loads(entry.setup, "the setup of this entry", catalog)


def said_anew(
    entry: Entry, catalog: Catalog, progress: ProgressCallback | None = None
) -> tuple[Said | None, ...]:
    """What the model says by now of each line of an entry, None for one its setup has not.

    The drop is run from a steady tow, straight ahead. Raises BadInput, InvalidValue,
    ConvergenceError and Cancelled.
    """
    setup = setup_of(entry, catalog)
    hold = entry.hold or 0.0
    orders = (Order(OUT_AT, "out of gear"), Order(OUT_AT + hold, "in gear")) if hold else ()
    setup = replace(setup, orders=orders, line_orders=(), mark=None, hold=None, motion=None)
    scenario = setup.scenario(catalog)
    names = [rod.name for rod in scenario.rods]
    hits = {
        names.index(line.rod): OUT_AT + line.after
        for line in entry.lines
        if line.hit and line.after is not None and line.rod in names
    }
    end = max([OUT_AT + hold + AFTER, *(at + 1.0 for at in hits.values())])
    run = Run([cut_for_orders(scenario)])
    advance_reporting(run, end, progress)
    found = said_of(run.trajectory(), 0.0, end, _within(hits), tackle_of(scenario))
    by_name = dict(zip(names, (_lasting(said, entry.lasted) for said in found), strict=True))
    return tuple(by_name.get(line.rod) for line in entry.lines)


def _within(hits: Mapping[int, float]) -> dict[int, float]:
    """A hit long before out of gear came in the steady tow, as at the start."""
    return {number: max(at, 0.0) for number, at in hits.items()}


def _lasting(said: Said, lasted: float | None) -> Said:
    """With the time it ran that the entry knows of: that of the run is the model's alone."""
    return replace(said, ran=max((lasted or 0.0) - said.fell - said.lifted, 0.0))


def with_said(entry: Entry, said: Sequence[Said | None]) -> Entry:
    """The entry with what the model says of its lines; what it says nothing of keeps its own."""
    lines = tuple(
        line if new is None else replace(line, said=new)
        for line, new in zip(entry.lines, said, strict=True)
    )
    return replace(entry, lines=lines)
