"""What the timing of a drop has to keep to."""

from __future__ import annotations

from dataclasses import dataclass

from app.common import scales
from app.common.quantities import Quantity, spell
from physics.answers.timing import (
    CLEARANCE,
    CLEARANCES,
    RADII,
    RADIUS,
    TOUCH_CHANCE,
    TOUCH_CHANCES,
)
from physics.checks import Limits, require_number
from physics.simulation.scenario import MARK_LIMITS

WAIT = Quantity(
    "wait", spell("wait", "s"), Limits(0.0, 600.0, "s"), None, scales.SECONDS,
    "wait after the mark",
)  # fmt: skip
MARK_EDGE = Quantity(
    "edge", spell("edge", "ft", "m"), Limits(0.0, MARK_LIMITS["depth"].high, "m"), None,
    scales.DEPTH, "top or bottom of the mark",
)  # fmt: skip
"""A mark may reach to the surface. No file keeps it."""


@dataclass(frozen=True, slots=True)
class Timing:
    """Lengths in m.

    ``clearance`` is how far every line is to stay off the bottom, ``radius``
    how near the mark's place, seen from above, a lure must pass to count.
    ``touch_chance`` is how often the steady answer may let a line touch bottom, of all drops.
    Raises InvalidValue (clearance, radius, touch_chance).
    """

    clearance: float = CLEARANCE
    radius: float = RADIUS
    touch_chance: float = TOUCH_CHANCE

    def __post_init__(self) -> None:
        require_number("clearance", self.clearance, *CLEARANCES)
        require_number("radius", self.radius, *RADII)
        require_number("touch_chance", self.touch_chance, *TOUCH_CHANCES)
