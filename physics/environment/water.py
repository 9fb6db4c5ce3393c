"""Water and bottom: density, viscosity, current, wind, and the ground below."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from physics.checks import GRAVITY, InvalidValue, Limits, require_all, require_number
from physics.environment.current import UNIFORM, Profile, pinned

Array = NDArray[np.float64]

BOTTOM = Limits(0.3, 2000.0, "m")
BEARING = Limits(-7.0, 7.0, "radians")
CURRENT = Limits(0.0, 10.0, "m/s")
WIND = Limits(0.0, 40.0, "m/s")
"""How fast water or air may go, whatever its direction."""

SEAWATER, SEAWATER_VISCOSITY = 1025.0, 1.22e-3
"""Usual density, kg/m^3, and viscosity, Pa s, of a Water."""

WATER_LIMITS = {
    "density": Limits(900.0, 1200.0, "kg/m^3"),
    "viscosity": Limits(1e-4, 1e-2, "Pa s"),
    "gravity": Limits(9.0, 10.0, "m/s^2"),
}
"""Limits of a Water's attributes."""


def seawater_density(temperature_c: float, salinity: float) -> float:
    """Density at the surface, kg/m^3, from temperature (deg C) and practical salinity.

    One-atmosphere equation of state EOS-80: Millero & Poisson (1981), as in
    UNESCO Technical Papers in Marine Science 44 (1983). Range -2 to 40 deg C,
    salinity 0 to 42.
    """
    t, s = temperature_c, salinity
    fresh = (
        999.842594
        + 6.793952e-2 * t
        - 9.095290e-3 * t**2
        + 1.001685e-4 * t**3
        - 1.120083e-6 * t**4
        + 6.536332e-9 * t**5
    )
    a = 8.24493e-1 - 4.0899e-3 * t + 7.6438e-5 * t**2 - 8.2467e-7 * t**3 + 5.3875e-9 * t**4
    b = -5.72466e-3 + 1.0227e-4 * t - 1.6546e-6 * t**2
    return float(fresh + a * s + b * s**1.5 + 4.8314e-4 * s**2)


def seawater_viscosity(temperature_c: float, salinity: float) -> float:
    """Dynamic viscosity at one atmosphere, Pa s.

    Sharqawy, Lienhard & Zubair (2010), Desalination and Water Treatment 16,
    354-380, eqs. 22 and 23 (coefficients from memory; the fresh-water column
    is checked against IAPWS in the tests). Range 0 to 180 deg C, 0 to 150 g/kg.
    """
    t, s = temperature_c, salinity / 1000.0
    fresh = 4.2844e-5 + 1.0 / (0.157 * (t + 64.993) ** 2 - 91.296)
    a = 1.541 + 1.998e-2 * t - 9.52e-5 * t**2
    b = 7.974 - 7.561e-2 * t + 4.724e-4 * t**2
    return fresh * (1.0 + a * s + b * s**2)


def compass_vector(bearing: float) -> tuple[float, float]:
    """Unit vector (east, north) of a compass bearing in radians."""
    return math.sin(bearing), math.cos(bearing)


@dataclass(frozen=True)  # without slots: it keeps its tables
class Bottom:
    """Depth of the ground along a bearing, straight between points, level beyond.

    ``points`` are (distance along ``bearing`` from the origin in m, depth in m),
    distances rising. Across the bearing the ground does not change, which is
    how a rip or a shoal lies, so it serves a boat on any track. One point is a
    level bottom.
    """

    points: tuple[tuple[float, float], ...]
    bearing: float = 0.0

    def __post_init__(self) -> None:
        if not self.points or len(self.points) > 10_000:
            raise InvalidValue("bottom points", len(self.points), "1 to 10000 points")
        last = -math.inf
        for along, depth in self.points:
            require_number("bottom distance", along, -1e6, 1e6, "m")
            require_number("bottom depth", depth, *BOTTOM)
            if along <= last:
                raise InvalidValue(
                    "bottom distance", along, "distances that rise from point to point"
                )
            last = along
        require_number("bottom bearing", self.bearing, *BEARING)

    @classmethod
    def level(cls, depth: float) -> Bottom:
        """A level bottom ``depth`` metres down."""
        return cls(((0.0, depth),))

    @property
    def is_level(self) -> bool:
        return len(self.points) == 1

    @property
    def shallowest(self) -> float:
        """Least depth anywhere, m."""
        return min(depth for _, depth in self.points)

    @property
    def deepest(self) -> float:
        """Greatest depth anywhere, m."""
        return max(depth for _, depth in self.points)

    @property
    def steepest(self) -> float:
        """Greatest rise or fall of the ground per metre along it."""
        return float(np.abs(self._table[2]).max())

    @cached_property
    def _table(self) -> tuple[Array, Array, Array]:
        """Distances (n,), depths (n,) and the rise between them, with none beyond (n + 1,)."""
        along, depth = np.array(self.points, dtype=float).T.copy()
        rise = -np.diff(depth) / np.diff(along)
        return along, depth, np.concatenate([[0.0], rise, [0.0]])

    def depth_at(self, x: Array, y: Array) -> Array:
        """Depth (m, positive) under places x, y (m over ground), any matching shapes."""
        if self.is_level:
            return np.full(np.shape(x), self.points[0][1])
        east, north = compass_vector(self.bearing)
        return self.depth_along(x * east + y * north)

    def depth_along(self, along: Array) -> Array:
        """Depth (m, positive) at so many m along the profile, any shape."""
        known, depth, _ = self._table
        out: Array = np.interp(along, known, depth)
        return out

    def slope_at(self, x: Array, y: Array) -> tuple[Array, Array]:
        """Rise of the ground per metre east and per metre north, at x, y."""
        if self.is_level:
            return np.zeros(np.shape(x)), np.zeros(np.shape(x))
        east, north = compass_vector(self.bearing)
        along, _, rise = self._table
        here = rise[np.searchsorted(along, x * east + y * north)]
        return here * east, here * north


@dataclass(frozen=True, slots=True)
class Water:
    """The water a scenario happens in.

    ``density`` kg/m^3 and ``viscosity`` Pa s; ``current`` is the
    velocity (east, north) of the water over ground at the surface, m/s, and
    ``profile`` how it changes with depth; ``wind`` the velocity (east, north)
    of the air at 10 m, m/s, the direction it blows towards.
    """

    bottom: Bottom
    density: float = SEAWATER
    viscosity: float = SEAWATER_VISCOSITY
    current: tuple[float, float] = (0.0, 0.0)
    wind: tuple[float, float] = (0.0, 0.0)
    gravity: float = field(default=GRAVITY)
    profile: Profile = UNIFORM

    def __post_init__(self) -> None:
        require_all(self, WATER_LIMITS, "water ")
        for name, pair, most in (
            ("current", self.current, CURRENT.high),
            ("wind", self.wind, WIND.high),
        ):
            for part in pair:
                require_number(name, part, -most, most, "m/s")

    def over(self, bottom: Bottom) -> Water:
        """This water over another bottom, its current at every depth as it was.

        A power law follows the ground; it is kept as it is over the shallowest of it.
        """
        kept = pinned(self.profile, self.bottom.shallowest)
        return replace(self, bottom=bottom, profile=kept)

    def still(self, bottom: Bottom) -> Water:
        """This water over another bottom, without current or wind."""
        calm = (0.0, 0.0)
        return replace(self, bottom=bottom, current=calm, wind=calm, profile=UNIFORM)

    @property
    def kinematic_viscosity(self) -> float:
        """m^2/s."""
        return self.viscosity / self.density
