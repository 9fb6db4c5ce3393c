"""Our steady tow in the letters of the classic towed-cable tables.

s runs up the line from a heavy ball, W is its weight in water per length, R
its broadside drag, F its friction per length, T0 the ball's weight in water:
w = W/R, f = F/R, sigma = R s/T0, xi = R x/T0, eta = R z/T0, tau = T/T0.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from physics.line.tackle import Rod
from tests.physics.gear import DEEP, ball, mesh_of, rope, steady_tow

SPEED = 0.5
DRAG = 1.2
DIAMETER = 0.01
BROADSIDE = 0.5 * DEEP.density * DRAG * DIAMETER * SPEED**2  # R, N/m
PULL = 10.0  # T0, N: stretches a line of 1e5 N by 1e-4, which is the gap that remains
VOLUME = 1e-4


@dataclass(frozen=True)
class Place:
    phi: float  # degrees
    tau: float
    xi: float
    eta: float


@dataclass(frozen=True)
class Shape:
    """Splines along the line; ``reach`` is its own length in sigma."""

    reach: float
    place: CubicSpline
    pull: CubicSpline

    def at(self, sigma: float) -> Place:
        xi, eta = self.place(sigma)
        along, up = self.place(sigma, 1)
        return Place(
            float(np.degrees(np.arctan2(up, along))), float(self.pull(sigma)), float(xi), float(eta)
        )


def towed_shape(w: float, f: float, reach: float, elements: int = 400) -> Shape:
    """Tow a line of dimensionless length ``reach`` with w and f, and read its shape."""
    line = rope(
        reach * PULL / BROADSIDE,
        w * BROADSIDE,
        diameter=DIAMETER,
        normal_drag=DRAG,
        tangential_drag=f * DRAG / np.pi,
    )
    weight = PULL + VOLUME * DEEP.density * DEEP.gravity
    mesh = mesh_of(Rod("rod", (line,), ball(weight / DEEP.gravity, VOLUME, 1e-7)), elements)
    nodes = steady_tow(mesh, SPEED, slope=0.5).position[::2, -2::-1]
    step = np.diff(nodes, axis=1)
    length = mesh.length[-2::-1]
    strain = np.hypot(*step) / length - 1.0
    slack = mesh.slack[0]
    pull = line.stiffness / 2.0 * (strain + np.sqrt(strain**2 + slack**2))
    sigma = BROADSIDE / PULL * np.concatenate([[0.0], np.cumsum(length)])
    place = BROADSIDE / PULL * (nodes - nodes[:, :1])
    middle = 0.5 * (sigma[1:] + sigma[:-1])
    return Shape(
        float(sigma[-1]), CubicSpline(sigma, place, axis=1), CubicSpline(middle, pull / PULL)
    )
