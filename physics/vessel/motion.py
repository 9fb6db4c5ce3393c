"""A boat whose motion is given as a table instead of by orders."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass

import numpy as np

from physics.checks import InvalidValue, require_number
from physics.environment.water import compass_vector
from physics.vessel.boat import BoatState, Order, Pieces

GAUSS_3 = ((-math.sqrt(0.6), 5 / 18), (0.0, 8 / 18), (math.sqrt(0.6), 5 / 18))
"""Nodes and weights of three-point Gauss-Legendre quadrature on [-1, 1], halved."""

SURGE_JUMP, TURN_JUMP = 0.05, 0.01
"""A table's acceleration, m/s^2, or turn rate, rad/s, that jumps by more is a kink."""


@dataclass(frozen=True, slots=True)
class PrescribedMotion:
    """The boat's motion as a table: time s, speed through the water m/s, heading rad.

    Straight between rows; steady before the first and after the last. The
    current and the leeway are added over ground.
    """

    table: tuple[tuple[float, float, float], ...]

    def __post_init__(self) -> None:
        if not 1 <= len(self.table) <= 100_000:
            raise InvalidValue("motion rows", len(self.table), "1 to 100000 rows")
        last = -math.inf
        for time, speed, heading in self.table:
            require_number("motion time", time, -1e5, 1e5, "s")
            require_number("motion speed", speed, 0.0, 20.0, "m/s")
            require_number("motion heading", heading, -1000.0, 1000.0, "radians")
            if time <= last:
                raise InvalidValue("motion time", time, "times that rise from row to row")
            last = time

    @property
    def kinks(self) -> list[float]:
        """Times of the first and last row, and of rows where acceleration or turning jump, s."""
        if len(self.table) < 3:
            return [time for time, _, _ in self.table]
        table = np.array(self.table)
        slope = np.diff(table[:, 1:], axis=0) / np.diff(table[:, 0])[:, None]
        jump = np.abs(np.diff(slope, axis=0)) > (SURGE_JUMP, TURN_JUMP)
        inner: list[float] = table[1:-1, 0][jump.any(axis=1)].tolist()
        return [self.table[0][0], *inner, self.table[-1][0]]


class TableTrack:
    """A PrescribedMotion over ground."""

    def __init__(self, motion: PrescribedMotion, drift: tuple[float, float]) -> None:
        self._rows = motion.table
        self._times = [row[0] for row in motion.table]
        self._drift = drift
        self._kinks = motion.kinks
        self.orders: list[Order] = []
        self._table = np.array(motion.table)
        self._place = self._places()

    def copy(self) -> TableTrack:
        return self

    @property
    def made(self) -> float:
        """Nothing is worked out but what is asked for, s."""
        return -math.inf

    def _places(self) -> list[tuple[float, float]]:
        """Where the boat is at each row, m: as ``_travel``, all rows at once."""
        (t0, u0, c0), (t1, u1, c1) = self._table[:-1].T, self._table[1:].T
        h, way = t1 - t0, np.zeros((2, len(self._table)))
        for node, weight in GAUSS_3:
            share = 0.5 * (1.0 + node)
            speed, heading = u0 + share * (u1 - u0), c0 + share * (c1 - c0)
            way[0, 1:] += weight * h * (speed * np.sin(heading) + self._drift[0])
            way[1, 1:] += weight * h * (speed * np.cos(heading) + self._drift[1])
        east, north = np.cumsum(way, axis=1).tolist()
        return list(zip(east, north, strict=True))

    def _row(
        self, a: tuple[float, float, float], b: tuple[float, float, float], time: float
    ) -> tuple[float, float]:
        share = (time - a[0]) / (b[0] - a[0])
        return a[1] + (b[1] - a[1]) * share, a[2] + (b[2] - a[2]) * share

    def _travel(
        self, a: tuple[float, float, float], b: tuple[float, float, float], time: float
    ) -> tuple[float, float]:
        """Displacement from row a to ``time``: Gauss-Legendre, three points."""
        h = time - a[0]
        x = y = 0.0
        for node, weight in GAUSS_3:
            speed, heading = self._row(a, b, a[0] + 0.5 * h * (1.0 + node))
            east, north = compass_vector(heading)
            x += weight * h * (speed * east + self._drift[0])
            y += weight * h * (speed * north + self._drift[1])
        return x, y

    def at(self, time: float) -> BoatState:
        index = bisect_right(self._times, time) - 1
        if index < 0 or index == len(self._rows) - 1:
            row, place = (
                (self._rows[0], self._place[0]) if index < 0 else (self._rows[-1], self._place[-1])
            )
            _, speed, heading = row
            east, north = compass_vector(heading)
            vx, vy = speed * east + self._drift[0], speed * north + self._drift[1]
            wait = time - row[0]
            return BoatState(
                time, place[0] + vx * wait, place[1] + vy * wait, heading, speed, 0.0, 0.0,
                (vx, vy), True, speed,
            )  # fmt: skip
        a, b = self._rows[index], self._rows[index + 1]
        speed, heading = self._row(a, b, time)
        east, north = compass_vector(heading)
        dx, dy = self._travel(a, b, time)
        span = b[0] - a[0]
        velocity = (speed * east + self._drift[0], speed * north + self._drift[1])
        return BoatState(
            time, self._place[index][0] + dx, self._place[index][1] + dy, heading, speed,
            (b[1] - a[1]) / span, (b[2] - a[2]) / span, velocity, True, speed,
        )  # fmt: skip

    def pieces(self, start: float, end: float) -> Pieces:
        """The motion from ``start`` to ``end``, s, as cubics: straight between rows."""
        row_time = self._table[:, 0]
        first, last = np.searchsorted(row_time, (start + 1e-9, end - 1e-9))
        time = np.concatenate([[start], row_time[first:last], [end]])
        value = np.array([np.interp(time, row_time, column) for column in self._table.T[1:]])
        h = np.diff(time)
        rate = np.diff(value, axis=1) / h
        speed, heading = (
            np.stack([v[:-1], r, v[1:], r], axis=1) for v, r in zip(value, rate, strict=True)
        )
        none = np.zeros_like(h)
        turn = np.stack([rate[1], none, rate[1], none], axis=1)
        return Pieces(time, speed, heading, turn, self._drift)

    def next_break(self, time: float) -> float:
        """Next row at which the slope changes by enough to matter."""
        index = bisect_right(self._kinks, time + 1e-9)
        return self._kinks[index] if index < len(self._kinks) else math.inf
