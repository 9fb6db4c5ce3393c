"""What a lure's ``lift_area`` and ``lift_center`` are by theory: bodies of revolution and plates.

A lure at an angle a to its way meets, across its axis, rho/2 U^2 area sin(a) cos(a) at
``center`` from the eye, beside the drag of the cross flow, rho/2 U^2 broadside_area sin(a)^2,
which is viscous (Allen & Perkins 1951, NACA TR 1048, from memory). The first part is that of
slender-body theory: the water that a section carries along, its added mass, is let go where
the flow leaves the lure (Munk 1924, NACA TR 184; Jones 1946, NACA TR 835; from memory). Good
for lengths of four and more thicknesses and angles up to about 20 degrees; the vortices behind
and the wobble are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Lift:
    """``area`` m^2, the slope of the force across by the angle, and ``moment`` m^3, area times
    how far behind the eye it acts; negative turns the lure out of the flow, as Munk's does."""

    area: float
    moment: float

    def __add__(self, other: Lift) -> Lift:
        return Lift(self.area + other.area, self.moment + other.moment)

    @property
    def arm(self) -> float:
        """How far behind the eye it acts, m."""
        return self.moment / self.area if self.area else 0.0


def inertia_along_and_across(fineness: float) -> tuple[float, float]:
    """Added mass of a spheroid along and across its axis, in shares of the displaced water.

    ``fineness`` >= 1 is length over thickness. Lamb's closed form (Hydrodynamics, art. 114,
    from memory). Worked: 1 gives 0.5 and 0.5; 4.99 gives 0.059 and 0.895.
    """
    if fineness < 1.0 + 1e-3:
        return 0.5, 0.5
    e = math.sqrt(1.0 - 1.0 / fineness**2)
    log = math.log((1.0 + e) / (1.0 - e))
    alpha = 2.0 * (1.0 - e * e) / e**3 * (0.5 * log - e)
    beta = 1.0 / (e * e) - (1.0 - e * e) / (2.0 * e**3) * log
    return alpha / (2.0 - alpha), beta / (2.0 - beta)


def body_lift(fineness: float, base: float, base_at: float, volume: float) -> Lift:
    """Of a body of revolution from whose section ``base``, m^2, the flow leaves, ``base_at`` m
    behind the eye at its nose; ``volume`` m^3 is what lies before it.

    (k2 - k1) 2 base, and Munk's moment: NACA TR 1048. Worked: a ball has none.
    """
    along, across = inertia_along_and_across(fineness)
    share = 2.0 * (across - along)
    return Lift(share * base, share * (base * base_at - volume))


def plate_lift(width: float, length: float) -> Lift:
    """Of an oval plate: pi/2 width^2, let go at its widest, half the length behind the eye.

    Jones 1946, for plates narrower than long. Acts a sixth of the length behind the eye.
    """
    area = 0.5 * math.pi * width**2
    return Lift(area, area * length / 6.0)


def trailed(area: float, behind: float) -> Lift:
    """Of what trails, as hooks do: a drag area Cd A, m^2, that acts along the way and not along
    the lure, ``behind`` m after the eye."""
    return Lift(area, area * behind)
