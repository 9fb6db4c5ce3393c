"""What a spread does on a pass over its ground, and what would bring a fouling line clear."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.gear.catalog import Catalog
from app.planning.remedies import Remedy, least_of_each, other_line_out, other_speed, runnable
from app.scenario.setup import Setup
from physics.answers.passes import Pass, passes
from physics.answers.together import together_or_alone
from physics.checks import InvalidValue
from physics.line.march import ConvergenceError
from physics.line.mesh import Resolution
from physics.progress import ProgressCallback, report_progress
from physics.simulation.scenario import Scenario

FEWER_COLORS = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0)
FASTER = (0.5, 1.0, 1.5, 2.0, 3.0)

TOLERANCE, LONGEST = 0.02, 2.0
RESOLUTION = Resolution(line_elements=16, leader_elements=2, grading=1.0)
"""Of the runs that try things; a pass itself is run as finely as its scenario says."""

MARGIN = 0.05
"""A change must clear by so much more than asked, m: trials are coarser than the pass."""


@dataclass(frozen=True, slots=True)
class PassPlan:
    """A pass, and for each rod that fouls the least changes that were run and clear it.

    ``cures`` by rod number; a change of speed there clears that rod, and is listed only if
    it makes no other rod foul. Nothing found is an empty tuple.
    """

    ran: Pass
    cures: dict[int, tuple[Remedy, ...]]

    @property
    def sentences(self) -> list[str]:
        """One line on the first to foul and one on each cure, or that all clear."""
        first = self.ran.first
        if first is None or first.fouls is None or first.fouls_along is None:
            return ["every line clears the ground on this pass"]
        out = [f"{first.rod} comes too near first, {first.fouls:.0f} s into the pass"]
        for number, cures in self.cures.items():
            rod = self.ran.lines[number].rod
            what = " or ".join(cure.text for cure in cures) or "nothing tried clears it"
            out.append(f"{rod}: {what}")
        return out


def plan_pass(
    setup: Setup,
    catalog: Catalog,
    needed: float | None = None,
    progress: ProgressCallback | None = None,
) -> PassPlan:
    """Run a setup over its bottom profile in gear and try what clears the lines that foul.

    ``needed`` m is the clearance asked, the setup's own by default. Raises InvalidValue,
    ConvergenceError, Cancelled.
    """
    asked = setup.timing.clearance if needed is None else needed
    towed = replace(setup, orders=(), line_orders=(), hold=None, mark=None, motion=None)
    part = None if progress is None else (lambda share: progress(0.3 * share))
    (ran,) = passes([towed.scenario(catalog)], asked, progress=part)
    fouling = [k for k, line in enumerate(ran.lines) if line.fouls is not None]
    fewer = [-colors for colors in FEWER_COLORS]
    tries = [one for k in fouling for one in other_line_out(towed, k, fewer)]
    tries += other_speed(towed, FASTER) if fouling else []
    made = runnable(tries, catalog)
    rest = None if progress is None else (lambda share: progress(0.3 + 0.7 * share))
    coarse = [replace(scenario, resolution=RESOLUTION) for _, scenario in made]
    clear = _clear(coarse, asked + MARGIN, rest)
    report_progress(progress, 1.0)
    return PassPlan(ran, least_of_each((one for one, _ in made), clear, fouling))


def _clear(
    scenarios: Sequence[Scenario], needed: float, progress: ProgressCallback | None
) -> list[bool]:
    """Whether every line clears in each of some passes; not where one cannot be run."""
    if not scenarios:
        return []

    def run(some: Sequence[Scenario]) -> list[bool]:
        found = passes(some, needed, progress=progress, tolerance=TOLERANCE, longest=LONGEST)
        return [one.clears for one in found]

    return together_or_alone(run, scenarios, lambda _: False, (ConvergenceError, InvalidValue))
