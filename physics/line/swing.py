"""What a lure's swinging does to the drag across it.

A lure that swings its tail from side to side meets a cross flow all the time. Its drag grows
as the square of that (viscous cross flow: Allen & Perkins 1951, NACA TR 1048, from memory), so
in the mean over a swing it is very nearly linear in a steady angle that is small beside the
swing (equivalent linearization: Krylov & Bogoliubov 1943, from memory). Towed fast, a swinging
lure therefore hangs more level than one held still; falling broadside nothing changes.

How far a lure swings is not computed. By slender-body theory none would: one whose tail and
hooks do not outweigh Munk's moment goes off to one side for good
(``tests/published/test_bodies_of_revolution.py``), which no lure that is fished does. That
moment and those of tail and hooks are left out; together they help to hold the tail up, or the
lure would not tow straight.
"""

from __future__ import annotations

import math


def cross_speed(swing: float) -> float:
    """Speed across a lure that swings by ``swing`` rad to each side, in the mean of its size.

    As a share of its speed ahead, for an angle that goes as a sine: 2/pi ``swing``. Drag as
    sqrt(u^2 + cross_speed^2) u, u being the steady cross flow, is the mean over the swing within
    8 % up to 30 degrees and 10 % up to 60, the swing's own drag along the way included. Worked:
    20 degrees give 0.222.
    """
    return 2.0 / math.pi * swing
