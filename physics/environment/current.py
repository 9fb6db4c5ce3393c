"""How the current changes with depth below its set and drift at the surface.

A profile gives the water's velocity at a depth from the one at the surface.
Straight rows and the power law are steady and level: nothing here depends on
time. Depths are positive downward, m; velocities (east, north), m/s.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from physics.checks import InvalidValue, Limits, require_number

Array = NDArray[np.float64]

BED = 0.02
"""Over this height, m, the power law rounds off at the ground, where its own slope has no end."""

ROOT = Limits(2.0, 20.0)
FLOOR = Limits(0.3, 2000.0, "m")

MOST_ROWS = 200


@dataclass(frozen=True, slots=True)
class Flow:
    """The current at n depths and how it changes there.

    ``velocity`` (2, n) m/s. It changes along ``shear_direction`` (2, n) only: by that times
    ``by_depth`` (n,) per meter down, and times ``by_floor`` (n,) per meter that the
    ground under it lies deeper.
    """

    velocity: Array
    shear_direction: Array
    by_depth: Array
    by_floor: Array


@dataclass(frozen=True, slots=True)
class Uniform:
    """The same at every depth."""

    def flow(self, surface: Array, depth: Array, _floor: Array) -> Flow:
        """From the surface velocity (2, n), depth (n,) and ground depth (n,)."""
        none = np.zeros_like(depth)
        return Flow(surface.copy(), surface, none, none)


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """The surface current times (height over the ground / depth of the water)^(1/root).

    A root of 7 is the usual law of a stream rubbing along its bed; fitted to measured
    profiles it is 4.5 to 12.4 (Jangjuk Strait, J. Mar. Sci. Eng. 2024, 12(11), 1998).
    ``floor`` m is the depth of the water it is worked out for; None takes that under
    each place. Not meant for wind-driven water, which turns and fades from the top.
    """

    root: float = 7.0
    floor: float | None = None

    def __post_init__(self) -> None:
        require_number("current root", self.root, *ROOT)
        if self.floor is not None:
            require_number("current floor", self.floor, *FLOOR)

    def flow(self, surface: Array, depth: Array, floor: Array) -> Flow:
        """From the surface velocity (2, n), depth (n,) and ground depth (n,)."""
        fixed = self.floor is not None
        water = np.full_like(depth, self.floor) if fixed else floor
        height = water - np.maximum(depth, 0.0)
        root = np.sqrt(height * height + 4.0 * BED * BED)
        # above the ground the height itself, below it soon nothing; never negative
        rounded = np.where(height > 0.0, 0.5 * (height + root), 2.0 * BED**2 / (root - height))
        share = (rounded / water) ** (1.0 / self.root)
        per_height = share / (self.root * root)
        by_depth = np.where(depth > 0.0, -per_height, 0.0)
        by_floor = per_height - share / (self.root * water)
        if fixed:
            by_floor = np.zeros_like(depth)
        return Flow(surface * share, surface, by_depth, by_floor)


@dataclass(frozen=True)  # without slots: it keeps its table
class Shares:
    """Rows of (depth m, share of the surface current), straight between, level below.

    The surface itself is no row: there the share is 1. A negative share runs against it.
    """

    rows: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        _check_depths([row[0] for row in self.rows])
        for _, share in self.rows:
            require_number("current share", share, -2.0, 2.0)

    def flow(self, surface: Array, depth: Array, _floor: Array) -> Flow:
        """From the surface velocity (2, n), depth (n,) and ground depth (n,)."""
        deep, share, slopes = self._table
        slope = slopes[_piece(deep, depth)]
        return Flow(surface * np.interp(depth, deep, share), surface, slope, np.zeros_like(depth))

    @cached_property
    def _table(self) -> tuple[Array, Array, Array]:
        """Depths and shares from the surface down (n,), and slopes of the pieces (n + 1,)."""
        deep, share = np.array([(0.0, 1.0), *self.rows]).T.copy()
        return deep, share, _slope(deep, share[None])[0]


@dataclass(frozen=True)  # without slots: it keeps its table
class Layers:
    """Rows of (depth m, velocity east, velocity north m/s), straight between, level below.

    The surface itself is no row: there the current is the water's own set and drift.
    """

    rows: tuple[tuple[float, float, float], ...]

    def __post_init__(self) -> None:
        _check_depths([row[0] for row in self.rows])
        for _, east, north in self.rows:
            require_number("current east", east, -10.0, 10.0, "m/s")
            require_number("current north", north, -10.0, 10.0, "m/s")
            # a drift written to twelve digits and read back may be over by that much
            require_number("current drift", math.hypot(east, north), 0.0, 10.0 + 1e-9, "m/s")

    def flow(self, surface: Array, depth: Array, _floor: Array) -> Flow:
        """From the surface velocity (2, n), depth (n,) and ground depth (n,)."""
        deep, below, slope = self._table
        at = _piece(deep, depth)
        first = (below[:, :1] - surface) / deep[1]
        shear_direction = np.where(
            at == 0, 0.0, np.where(at == 1, first, slope[:, np.maximum(at - 1, 0)])
        )
        velocity = np.stack([np.interp(depth, deep[1:], row) for row in below])
        share = np.clip(depth / deep[1], 0.0, 1.0)
        upper = surface + share * (below[:, :1] - surface)
        velocity = np.where(depth < deep[1], upper, velocity)
        return Flow(velocity, shear_direction, np.ones_like(depth), np.zeros_like(depth))

    @cached_property
    def _table(self) -> tuple[Array, Array, Array]:
        """Depths from the surface down (n + 1,), velocities below it (2, n), slopes (2, n + 1)."""
        rows = np.array(self.rows, dtype=float).T
        deep, below = np.concatenate([[0.0], rows[0]]), rows[1:].copy()
        return deep, below, _slope(deep[1:], below)


Profile = Uniform | PowerLaw | Shares | Layers

UNIFORM = Uniform()


def pinned(profile: Profile, floor: float) -> Profile:
    """The profile as it is over ground ``floor`` m down, to be used over any other."""
    if isinstance(profile, PowerLaw) and profile.floor is None:
        return replace(profile, floor=floor)
    return profile


def _check_depths(depths: Sequence[float]) -> None:
    if not 1 <= len(depths) <= MOST_ROWS:
        raise InvalidValue("current rows", len(depths), f"1 to {MOST_ROWS} rows")
    last = 0.0
    for depth in depths:
        require_number("current depth", depth, 0.0, 2000.0, "m")
        if not math.isfinite(depth) or depth <= last:
            raise InvalidValue("current depth", depth, "depths under the surface, each deeper")
        last = depth


def _piece(deep: Array, depth: Array) -> NDArray[np.intp]:
    """Which straight piece each depth is on: 0 above the surface, last below the rows."""
    return np.searchsorted(deep, depth)


def _slope(deep: Array, value: Array) -> Array:
    """Change per meter on each piece (m, n + 1), none above the first and below the last."""
    rise = np.diff(value, axis=1) / np.diff(deep)
    none = np.zeros((len(value), 1))
    out: Array = np.concatenate([none, rise, none], axis=1)
    return out
