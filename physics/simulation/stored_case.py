"""A drop whose depths are stored: whether what computes here does so rightly, in a fraction of
a second.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from physics.environment.water import Bottom, Water
from physics.line.mesh import STRAIGHT
from physics.line.tackle import LineSection, Lure, Rod
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat, Order

LEADER = LineSection("leader", 4.6, 0.6e-3, 3.2e-4, 2e3)

PLUG = Lure("plug", "sinking plug", 0.040, 3.0e-5, 0.13, 1.5e-4, 1.5e-3)

CASE = Scenario(
    "stored case",
    Water(Bottom.level(60.0)),
    Boat("boat"),
    (
        Rod(
            "port",
            (LineSection("leadcore", 54.864, 0.9e-3, 2.6e-3, 1e4), LEADER),
            PLUG,
        ),
        Rod(
            "starboard",
            (LineSection("leadcore", 27.432, 0.9e-3, 2.6e-3, 1e4), LEADER),
            PLUG,
        ),
    ),
    speed=2.57,
    orders=(Order(3.0, "out of gear"), Order(15.0, "in gear")),
    duration=30.0,
    resolution=STRAIGHT,
)
"""Two lines over deep water, out of gear from 3 to 15 s. Invented."""

TIMES = (0.0, 9.0, 16.0, 20.0, 30.0)

DEPTHS: Mapping[str, tuple[float, ...]] = {
    "port": (2.8333, 3.0196, 3.5423, 3.9187, 4.4474),
    "starboard": (1.1682, 1.3588, 1.9081, 2.2882, 2.0517),
}
"""Depth of each lure at TIMES, m: COMPUTED by the numpy stepper, lines cut eight times finer
(``Resolution(192, 48, 1.0)``) and a tolerance thirty times tighter."""

WITHIN = 0.01
"""The most a depth may be off here, of itself; with either stepper the worst is 0.0023."""


def depths() -> dict[str, tuple[float, ...]]:
    """Depth of each lure at TIMES as computed here, m. Raises ConvergenceError."""
    trajectory = simulate(CASE)
    times = np.array(TIMES)
    return {
        rod.name: tuple(map(float, trajectory.depth(number, times)))
        for number, rod in enumerate(CASE.rods)
    }


def worst() -> float:
    """The greatest share by which a depth computed here is off the stored one."""
    return max(
        abs(ours / stored - 1.0)
        for name, computed in depths().items()
        for ours, stored in zip(computed, DEPTHS[name], strict=True)
    )
