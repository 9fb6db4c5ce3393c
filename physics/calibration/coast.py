"""A boat's speed out of gear, in closed form, and through a whole drop, as a table."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from physics.environment.water import Water
from physics.vessel.boat import Boat, Order
from physics.vessel.helm import HelmTrack

Array = NDArray[np.float64]

GRID = 0.1
"""Spacing of the table, s; straight between. For a half time of 5 s within 0.3 mm/s out of
gear and 3 mm/s back in gear (measured); for a quick one of 1.5 s, 2 mm/s and 25 mm/s."""


def coasting(boat: Boat, start: Array | float, seconds: Array) -> Array:
    """Speed, m/s, so many ``seconds`` after going out of gear at ``start`` m/s; any one shape.

    Closed form of the law in physics.vessel.boat,
    u = u0 (1 + (p - 1) x)^(-1 / (p - 1)), x = c (u0 / u_r)^(p - 1) t / t_half,
    c = (2^(p - 1) - 1) / (p - 1); for p = 1 it is u0 exp(-x), c = ln 2. The half time is the
    one out of gear, so the propeller's extra drag is in it already.
    """
    q = boat.exponent - 1.0
    if q < 1e-9:
        fallen: Array = start * np.exp(-np.log(2.0) * seconds / boat.half_time)
        return fallen
    shape = np.expm1(q * np.log(2.0)) / q
    x = shape * (start / boat.trolling_speed) ** q * seconds / boat.half_time
    out: Array = start * np.exp(-np.log1p(q * x) / q)
    return out


class SpeedTables:
    """Speeds of boats that go out of gear at t = 0 and back in after a hold.

    All on one grid of ``time`` (n,), s, to ``until`` and a little beyond; each boat, speed and
    hold is worked out once.
    """

    def __init__(self, until: float, water: Water) -> None:
        self.time: Array = GRID * np.arange(int(np.ceil(until / GRID)) + 3, dtype=np.float64)
        self._water = water
        self._known: dict[tuple[Boat | None, float, float], tuple[Array, list[float]]] = {}

    def of(self, boat: Boat | None, speed: float, hold: float) -> tuple[Array, list[float]]:
        """Speed (n,), m/s, and when it has a kink, s; without a boat ``speed`` is kept."""
        key = boat, speed, hold
        if key not in self._known:
            self._known[key] = self._worked_out(boat, speed, hold)
        return self._known[key]

    def _worked_out(
        self, boat: Boat | None, speed: float, hold: float
    ) -> tuple[Array, list[float]]:
        if boat is None:
            return np.full(len(self.time), speed), []
        speeds, end = coasting(boat, speed, self.time), float(self.time[-1])
        if hold >= end:
            return speeds, []
        orders = (Order(0.0, "out of gear"), Order(hold, "in gear"))
        track = HelmTrack(boat, self._water, speed, 0.0, orders)
        kinks, at = [], 1e-6
        while (at := track.next_break(at)) < end:
            kinks.append(at)
        back, late = track.pieces(hold, end), self.time > hold
        ends = np.append(back.speed[:, 0], back.speed[-1, 2])
        speeds[late] = np.interp(self.time[late], back.time, ends)
        return speeds, kinks
