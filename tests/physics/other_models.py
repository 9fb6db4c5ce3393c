"""Steady tows and coast-downs of models that are not ours, to see how far a fit may be trusted.

A line in steady tow in one plane, integrated from the lure up; the lure is a point with weight
and drag along the flow.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from physics.environment.water import Water
from physics.line.tackle import Rod

Array = NDArray[np.float64]

Law = Callable[[Array], Array]
"""Drag coefficient across a line against the Reynolds number of the flow across it."""

STEP = 0.25
"""Step along the line, m."""


def constant(drag: float) -> Law:
    """The same coefficient at every speed."""
    return lambda reynolds: np.full_like(reynolds, drag)


def power(drag: float, exponent: float) -> Law:
    """A power of the Reynolds number; ``drag`` at 150, where a leadcore lies."""
    return lambda reynolds: drag * (np.maximum(reynolds, 1.0) / 150.0) ** exponent


def towed_depth(
    rod: Rod, water: Water, speeds: Array, law: Law, lure_drag: float = 1.0, friction: float = 1.0
) -> Array:
    """Depth (n,) m of the lure at ``speeds`` (n,) m/s."""
    rho, g = water.density, water.gravity
    low, high = np.zeros_like(speeds), np.full_like(speeds, rod.line_out)
    for _ in range(40):
        depth = 0.5 * (low + high)
        rise = _rise(rod, water, speeds, law, depth, lure_drag, friction, rho, g)
        deeper = rise > depth + rod.height
        low, high = np.where(deeper, depth, low), np.where(deeper, high, depth)
    return depth


def _rise(
    rod: Rod, water: Water, speeds: Array, law: Law, depth: Array, lure_drag: float,
    friction: float, rho: float, g: float,
) -> Array:  # fmt: skip
    """How far the tip would be over the lure, m, were the surface ``depth`` m over the lure."""
    lure = rod.lure
    drag = 0.5 * rho * lure.end_area * lure_drag * speeds**2
    weight = g * (lure.mass - rho * lure.volume)
    pull, angle, z = np.hypot(drag, weight), np.arctan2(weight, drag), np.zeros_like(speeds)
    for section in reversed(rod.sections):
        steps = int(np.ceil(section.length / STEP))
        step = section.length / steps
        viscosity = water.viscosity / rho
        for _ in range(steps):
            for half in (0.5, 1.0):
                wet = (z < depth).astype(float)
                across = speeds * np.abs(np.sin(angle))
                cd = law(across * section.diameter / viscosity) * section.drag_multiplier
                sideways = 0.5 * rho * section.diameter * cd * across**2 * wet
                along = (
                    0.5 * rho * np.pi * section.diameter * section.tangential_drag * friction
                    * (speeds * np.cos(angle)) ** 2 * wet
                )  # fmt: skip
                load = g * (section.mass_per_length - rho * section.solid * wet)
                turn = (load * np.cos(angle) - sideways) / pull
                if half == 0.5:
                    begin = angle
                    angle = begin + 0.5 * step * turn
            z = z + step * np.sin(angle)
            pull = pull + step * (load * np.sin(angle) + along)
            angle = begin + step * turn
    return z
