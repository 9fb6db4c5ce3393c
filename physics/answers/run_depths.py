"""How deep a lure runs for any length of line at any speed, from one steady tow a speed.

In steady tow a line's shape from the lure up does not depend on how much more of
it is out: its end is free. So the longest line is settled once a speed with its
tip at the surface, and every shorter one is read off it: the water's surface is
where what is left reaches the rod tip through the air, sagging under its weight.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.checks import require_number
from physics.environment.water import Bottom, Water
from physics.line.mesh import Mesh, Resolution
from physics.line.tackle import Rod
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import SPEED, Boat

Array = NDArray[np.float64]

DEEP = Bottom.level(1000.0)

RESOLUTION = Resolution(line_elements=18, leader_elements=6, grading=3.0)
"""Depths of lines of 3 to 15 colors at 3 to 9 kn are within 3 cm (8 cm for a heavy ball on a
short leader) of settling each by itself, finely cut; below 2 kn within 4 %."""

POINTS = 64
"""Lengths at which depths are kept."""

UNDER = -2.0
"""Height of the tip while the line is settled, m: all of it in the water."""

SAG_ROUNDS = 12
"""What hangs in the air depends on how long it is; so many rounds settle it to a millimeter."""

LEAST_TENSION = 1e-3
"""N; a line under less tension is taken to be under this."""


@dataclass(frozen=True, slots=True)
class TowDepths:
    """Depth of one lure in steady tow.

    ``speed`` (k,) m/s, rising; ``out`` (m,) m of line between tip and leader,
    rising; ``depth`` (k, m) m, 0 where it skims or floats.
    """

    speed: Array
    out: Array
    depth: Array

    def by_speed(self, out: float, speeds: Array) -> Array:
        """Depth (n,), m, of a length of line, m, at ``speeds`` (n,), m/s, within those known."""
        column = np.array([np.interp(out, self.out, row) for row in self.depth])
        found: Array = scipy.interpolate.PchipInterpolator(np.log(self.speed), column)(
            np.log(speeds)
        )
        return found

    def by_out(self, speed: float, outs: Array) -> Array:
        """Depth (n,), m, at one speed, m/s, of lengths of line ``outs`` (n,), m."""
        row = scipy.interpolate.PchipInterpolator(np.log(self.speed), self.depth)(np.log(speed))
        found: Array = np.interp(outs, self.out, row)
        return found


def tow_depths(
    rods: Sequence[Rod], water: Water, speeds: Sequence[float], least: float = 1.0
) -> list[TowDepths]:
    """Settle every rod at every speed, m/s, in still water that is deeper than any line.

    A rod's last section is the leader; the others are the longest line asked
    about, from ``least`` m up. Raises InvalidValue, ConvergenceError.
    """
    for speed in speeds:
        require_number("speed", speed, *SPEED)
    still = water.still(DEEP)
    boat = Boat("towing")
    scenarios = [
        Scenario("tow", still, boat, (replace(rod, height=UNDER),), speed, resolution=RESOLUTION)
        for rod in rods
        for speed in speeds
    ]
    run = Run(scenarios)
    found = []
    for number, rod in enumerate(rods):
        out = np.linspace(least, rod.line_out - rod.sections[-1].length, POINTS)
        rows = []
        for k in range(len(speeds)):
            at = number * len(speeds) + k
            rows.append(_read_off(run.nodes_at(0.0, at)[0], run.mesh, at, rod, still, out))
        found.append(TowDepths(np.array(speeds, dtype=float), out, np.array(rows)))
    return found


def _read_off(nodes: Array, mesh: Mesh, at: int, rod: Rod, water: Water, out: Array) -> Array:
    """Depths (m,) for lengths ``out`` of one settled line, its nodes (3, K) from the tip down."""
    elements = np.arange(mesh.first[at], mesh.last[at] - 1)[::-1]
    length = mesh.length[elements]
    along = np.concatenate([[0.0], np.cumsum(length)])
    middle = 0.5 * (along[1:] + along[:-1])
    climb = (nodes[2, :-1] - 0.5 * (nodes[2, -1] + nodes[2, -2]))[::-1]
    step = nodes[:, :-2] - nodes[:, 1:-1]
    size = np.sqrt((step * step).sum(axis=0))[::-1]
    sine = np.interp(along, middle, step[2, ::-1] / size)
    tension = np.maximum(2.0 * mesh.spring[elements] * (size / length - 1.0), LEAST_TENSION)
    if rod.height > 0.0:
        in_air = _in_air(rod, water, along, sine, np.interp(along, middle, tension))
        depth = climb
    else:
        in_air, depth = np.zeros_like(along), climb - rod.height
    needed = along + in_air - rod.sections[-1].length
    rising = np.concatenate([[True], needed[1:] > np.maximum.accumulate(needed)[:-1] + 1e-9])
    read = scipy.interpolate.PchipInterpolator(needed[rising], depth[rising], extrapolate=False)(
        out
    )
    skims: Array = np.where(out < needed[0], 0.0, read)
    return np.maximum(np.where(np.isnan(skims), depth[-1], skims), 0.0)


def _in_air(rod: Rod, water: Water, along: Array, sine: Array, tension: Array) -> Array:
    """Length of line (n,), m, from the surface to the rod tip, were the surface at ``along``.

    From there the line climbs at ``sine`` of its slope under a ``tension``, N, and
    sags upwards as its own weight turns it; ``along`` m is from the lure's eye.
    """
    mass = np.array([section.mass_per_length for section in reversed(rod.sections)])
    more = np.diff(mass, prepend=0.0)[:, None]
    starts = np.cumsum([0.0, *(section.length for section in reversed(rod.sections[1:]))])
    ahead = np.maximum(starts[:, None] - along, 0.0)
    length = rod.height / np.maximum(sine, 0.02)
    for _ in range(SAG_ROUNDS):
        reach = np.maximum(length - ahead, 0.0) / length
        weight = water.gravity * (more * reach**2).sum(axis=0)
        turn = 2.0 * rod.height * weight * (1.0 - sine**2) / tension
        length = 2.0 * rod.height / (sine + np.sqrt(sine**2 + turn) + 1e-12)
    return length
