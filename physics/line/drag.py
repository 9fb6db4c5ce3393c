"""Drag correlations, each with its range and source."""

from __future__ import annotations

import math

import numpy as np
import scipy
from numpy.typing import NDArray

Array = NDArray[np.float64]

CYLINDER = (11.0, 0.9, 1000.0, 1.2, 4500.0, 0.7)
"""Constants of Cheng's formula for a cylinder, in the order in which they stand there."""


def cylinder_drag(reynolds: Array) -> tuple[Array, Array]:
    """Cross-flow drag coefficient of a smooth round cylinder, and d(Cd)/d(Re).

    Cheng N.-S. (2013), J. Hydraulic Engineering 139, 602-611:
    Cd = 11 Re^-0.75 + 0.9 (1 - exp(-1000/Re)) + 1.2 (1 - exp(-(Re/4500)^0.7)),
    Re up to 2e5 (formula as used in public codes citing it). Worked: Re 100
    gives 1.3285. Shape of the result follows ``reynolds`` (> 0).
    """
    first, second, fading, third, waking, power = CYLINDER
    root = np.sqrt(reynolds)
    low = first / (root * np.sqrt(root))
    fade = np.exp(-fading / reynolds)
    ratio = (reynolds / waking) ** power
    wake = np.exp(-ratio)
    value = low + second * (1.0 - fade) + third * (1.0 - wake)
    slope = -0.75 * low - second * fading * fade / reynolds + third * power * ratio * wake
    return value, slope / reynolds


def sphere_drag(reynolds: float) -> float:
    """Drag coefficient of a smooth sphere.

    Clift, Grace & Weber (1978), Bubbles, Drops and Particles, table 5.2, for
    Re up to 3.5e5 (equations as carried in a public library citing the book).
    Worked: Re 500 gives 0.554924.
    """
    re = reynolds
    if re < 0.01:
        return 24.0 / re + 3.0 / 16.0
    w = math.log10(re)
    if re <= 20.0:
        return float(24.0 / re * (1.0 + 0.1315 * re ** (0.82 - 0.05 * w)))
    if re <= 260.0:
        return float(24.0 / re * (1.0 + 0.1935 * re**0.6305))
    if re <= 1500.0:
        return float(10.0 ** (1.6435 - 1.1242 * w + 0.1558 * w * w))
    if re <= 12000.0:
        return float(10.0 ** (-2.4571 + 2.5558 * w - 0.9295 * w**2 + 0.1049 * w**3))
    if re <= 44000.0:
        return float(10.0 ** (-1.9181 + 0.6370 * w - 0.0636 * w * w))
    if re <= 338000.0:
        return float(10.0 ** (-4.3390 + 1.5809 * w - 0.1546 * w * w))
    raise ValueError(f"sphere drag: Reynolds number {re:g} is above 338000")


def sphere_fall_speed(
    diameter: float, density: float, fluid_density: float, viscosity: float, gravity: float
) -> float:
    """Terminal fall speed of a smooth sphere denser than the fluid, m/s.

    Weight in the fluid balances drag with ``sphere_drag``. Worked: lead,
    10 mm, fresh water at 20 deg C: 1.762 m/s.
    """
    drive = 4.0 / 3.0 * gravity * diameter * (density - fluid_density) / fluid_density

    def excess(speed: float) -> float:
        re = speed * diameter * fluid_density / viscosity
        return speed * speed * sphere_drag(re) - drive

    top = 330000.0 * viscosity / (fluid_density * diameter)
    return float(scipy.optimize.brentq(excess, 1e-9, top, xtol=1e-12))
