"""Turns as tight as can be ordered: the default cut of a line against one three times finer."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from physics.environment.current import Shares
from physics.environment.water import Bottom, Water
from physics.line.march import TOLERANCE
from physics.line.mesh import Resolution
from physics.line.tackle import LineSection, Lure, Rod
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat, Order

COLOR, KNOT = 9.144, 0.514444

FINE = Resolution(3 * Resolution().line_elements, 3 * Resolution().leader_elements)

HARD_OVER = 33.0
"""Radius to which the helm's wheel turns, m; a course may be tighter."""

RADII = (10.0, 20.0, HARD_OVER, 60.0)
COLORS = (3, 6, 10)
KNOTS = (3.0, 5.0, 7.5)

BEGUN = 5.0
AFTER = 40.0
"""Seconds before the turn and of straightening after it."""

LEADER = LineSection("leader", 6.1, 0.7e-3, 4.4e-4, 700.0)
JIG = Lure(
    "jig", "nose-weighted jig", 0.094, 1.87e-5, 0.12, 5.23e-4, 2.02e-3, mass_center=0.22,
    volume_center=0.42,
)  # fmt: skip
SPOON = Lure("spoon", "spoon", 0.028, 3.53e-6, 0.1, 2.7e-4, 2.59e-3, added_mass_across=3.0)
PLUG = Lure("plug", "sinking plug", 0.068, 5.09e-5, 0.127, 4.58e-4, 1.99e-3)

DEEP = Bottom.level(150.0)
STILL = Water(DEEP)
SHEARED = Water(DEEP, current=(0.7, 0.7), profile=Shares(((15.0, 0.0),)))
"""A knot and nine tenths at the surface, nothing from 15 m down, across the way of the boat."""


@dataclass(frozen=True)
class Turn:
    """``degrees`` of a turn of ``radius`` m at ``knots``, ``colors`` out, then straight on."""

    radius: float
    colors: int
    knots: float
    sheared: bool = False
    degrees: float = 180.0
    lure: Lure = PLUG

    def __str__(self) -> str:
        water = "sheared" if self.sheared else "still"
        return (
            f"{self.lure.name}, {self.radius:g} m, {self.degrees:g} deg, "
            f"{self.colors} colors, {self.knots:g} kn, {water}"
        )

    @property
    def scenario(self) -> Scenario:
        core = LineSection("leadcore", self.colors * COLOR, 0.9e-3, 2.42e-3, 800.0, flooded=0.3)
        speed = self.knots * KNOT
        end = BEGUN + np.radians(self.degrees) * self.radius / speed
        return Scenario(
            str(self), SHEARED if self.sheared else STILL, Boat("boat"),
            (Rod("rod", (core, LEADER), self.lure, height=1.5),), speed=speed,
            orders=(Order(BEGUN, "wheel", 1.0 / self.radius), Order(end, "wheel", 0.0)),
            duration=float(end + AFTER),
        )  # fmt: skip


TURNS = [
    Turn(radius, colors, knots, sheared)
    for sheared in (False, True)
    for radius in RADII
    for colors in COLORS
    for knots in KNOTS
] + [
    Turn(radius, colors, knots, degrees=720.0, lure=lure)
    for lure in (PLUG, JIG, SPOON)
    for radius in (10.0, HARD_OVER)
    for colors, knots in ((3, 7.5), (10, 3.0), (10, 7.5))
]
"""Half circles of a plug in either water, and two circles of each kind of sinking lure."""


def depth(scenario: Scenario, **accuracy: float) -> np.ndarray:
    """Depth of the lure every tenth of a second, m."""
    run = Run([scenario], **accuracy)
    run.advance(scenario.duration)
    return run.trajectory().depth(0, np.arange(0.0, scenario.duration, 0.1))


def fine_depth(turn: Turn) -> np.ndarray:
    """The same on a line three times finer and in steps of a tenth of the error."""
    return depth(replace(turn.scenario, resolution=FINE), tolerance=TOLERANCE / 10, longest=0.5)


def error(turn: Turn, cut: Resolution | None = None, against: np.ndarray | None = None) -> float:
    """Largest share of the depth by which the lure is off the fine answer at any instant."""
    fine = fine_depth(turn) if against is None else against
    scenario = turn.scenario if cut is None else replace(turn.scenario, resolution=cut)
    return float(np.abs(depth(scenario) / fine - 1.0).max())
