"""What a spread does on a pass over its ground, and what would bring a fouling line clear.

Depends on: setup, catalog, remedies, units; physics.checks, physics.holds, physics.march,
physics.mesh, physics.passes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from app.catalog import Catalog
from app.remedies import Remedy
from app.setup import LINES_OUT, Setup
from app.units import COLOR, KNOT
from physics.checks import Unusable
from physics.holds import Tell, pulse
from physics.march import Stuck
from physics.mesh import Resolution
from physics.passes import Pass, passes
from physics.scenario import Scenario

FEWER_COLORS = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0)
FASTER_KNOTS = (0.5, 1.0, 1.5, 2.0, 3.0)

FASTEST = KNOT.to_si(12.0)

TOLERANCE, LONGEST = 0.02, 2.0
RESOLUTION = Resolution(line_elements=16, leader_elements=2)
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
        out = [f"{first.rod} fouls first, {first.fouls:.0f} s into the pass"]
        for number, cures in self.cures.items():
            rod = self.ran.lines[number].rod
            what = " or ".join(cure.text for cure in cures) or "nothing tried clears it"
            out.append(f"{rod}: {what}")
        return out


def plan_pass(
    setup: Setup, catalog: Catalog, needed: float | None = None, tell: Tell | None = None
) -> PassPlan:
    """Run a setup over its bottom profile in gear and try what clears the lines that foul.

    ``needed`` m is the clearance asked, the setup's own by default. Raises Unusable,
    march.Stuck, holds.Stopped.
    """
    asked = setup.timing.clearance if needed is None else needed
    towed = replace(setup, orders=(), line_orders=(), hold=None, mark=None, motion=None)
    part = None if tell is None else (lambda share: tell(0.3 * share))
    (ran,) = passes([towed.scenario(catalog)], asked, tell=part)
    fouling = [k for k, line in enumerate(ran.lines) if line.fouls is not None]
    tries = [one for k in fouling for one in _shorter(towed, catalog, k)]
    tries += _faster(towed, catalog) if fouling else []
    rest = None if tell is None else (lambda share: tell(0.3 + 0.7 * share))
    found = _tried([scenario for _, _, scenario in tries], asked + MARGIN, rest)
    pulse(tell, 1.0)
    cures: dict[int, dict[str, Remedy]] = {k: {} for k in fouling}
    for (number, remedy, _), there in zip(tries, found, strict=True):
        if there is None or not there.clears:
            continue
        for k in fouling if number is None else (number,):
            cures[k].setdefault(remedy.kind, remedy)
    return PassPlan(ran, {k: tuple(kinds.values()) for k, kinds in cures.items()})


Try = tuple[int | None, Remedy, Scenario]
"""The rod it helps (None: all), what it is, and the run that shows it."""


def _shorter(setup: Setup, catalog: Catalog, number: int) -> list[Try]:
    """One rod alone, with less and less line out."""
    rod = setup.rods[number]
    out: list[Try] = []
    if rod.sections is not None:
        return out
    for fewer in FEWER_COLORS:
        left = rod.line_out - COLOR.to_si(fewer)
        if left < LINES_OUT.low:
            break
        text = f"{_number(COLOR.from_si(left))} colors out"
        text += f" instead of {_number(COLOR.from_si(rod.line_out))}"
        changed = replace(setup, rods=(replace(rod, line_out=left),))
        out += _made(changed, catalog, number, Remedy("colors", text))
    return out


def _faster(setup: Setup, catalog: Catalog) -> list[Try]:
    """The whole spread, faster and faster."""
    out: list[Try] = []
    for faster in FASTER_KNOTS:
        speed = setup.speed + KNOT.to_si(faster)
        if speed > FASTEST:
            break
        text = f"{KNOT.text(speed)} instead of {KNOT.text(setup.speed)}"
        out += _made(replace(setup, speed=speed), catalog, None, Remedy("speed", text))
    return out


def _made(setup: Setup, catalog: Catalog, number: int | None, remedy: Remedy) -> list[Try]:
    try:
        scenario = setup.scenario(catalog)
    except Unusable:
        return []
    return [(number, remedy, replace(scenario, resolution=RESOLUTION))]


def _tried(scenarios: list[Scenario], needed: float, tell: Tell | None) -> list[Pass | None]:
    """Passes of trials; None where one cannot be run."""
    if not scenarios:
        return []
    try:
        together: list[Pass | None] = []
        together += passes(scenarios, needed, tell=tell, tolerance=TOLERANCE, longest=LONGEST)
        return together
    except (Stuck, Unusable):
        pass
    alone: list[Pass | None] = []
    for scenario in scenarios:
        try:
            alone += passes([scenario], needed, tell=tell, tolerance=TOLERANCE, longest=LONGEST)
        except (Stuck, Unusable):
            alone.append(None)
    return alone


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
