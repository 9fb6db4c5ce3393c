"""What the timing of a drop has to keep to.

Depends on: physics.checks, physics.timing.
"""

from __future__ import annotations

from dataclasses import dataclass

from physics.checks import require_number
from physics.timing import CLEARANCE, CLEARANCES, RADII, RADIUS


@dataclass(frozen=True, slots=True)
class Timing:
    """Lengths in m.

    ``clearance`` is how far every line is to stay off the bottom, ``radius``
    how near the mark's place, seen from above, a lure must pass to count.
    Raises Unusable (clearance, radius).
    """

    clearance: float = CLEARANCE
    radius: float = RADIUS

    def __post_init__(self) -> None:
        require_number("clearance", self.clearance, *CLEARANCES, "m")
        require_number("radius", self.radius, *RADII, "m")
