"""How much line is out, against time, as it is paid out and wound in.

A reel does not jerk: it takes RAMP to come up to the rate ordered and as long to stop, so that
the length is smooth and ends exactly at what was ordered.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass

from physics.line.line_orders import LINE_OUT, LineOrder

RAMP = 0.5
"""Seconds in which a reel comes up to its rate, and stops (assumed)."""


@dataclass(frozen=True, slots=True)
class Breakpoint:
    """From ``time`` s on: ``length`` m out, going out at ``rate`` m/s, which changes by
    ``change`` m/s^2."""

    time: float
    length: float
    rate: float
    change: float

    def at(self, time: float) -> tuple[float, float]:
        """Length m and rate m/s at a time before the next breakpoint."""
        x = time - self.time
        return self.length + x * (self.rate + 0.5 * x * self.change), self.rate + x * self.change


@dataclass(frozen=True, slots=True)
class Paying:
    """Length of line between tip and leader against time; constant before the first breakpoint."""

    breakpoints: tuple[Breakpoint, ...]

    def at(self, time: float) -> tuple[float, float]:
        """Length out, m, and the rate at which it goes out, m/s."""
        index = bisect_right(self.breakpoints, time, key=lambda point: point.time) - 1
        if index < 0:
            return self.breakpoints[0].length, 0.0
        return self.breakpoints[index].at(time)

    @property
    def most(self) -> float:
        """Most line that is ever out, m."""
        return max(point.length for point in self.breakpoints)

    def reaches(self, length: float) -> list[float]:
        """Every time at which it passes through a length, s, rising.

        The rate does not change sign between two breakpoints.
        """
        found = []
        for point, after in zip(self.breakpoints, (*self.breakpoints[1:], None), strict=True):
            end = after.length if after else point.length
            low, high = min(point.length, end), max(point.length, end)
            if low < length <= high if end > point.length else low <= length < high:
                found.append(point.time + _when(point, length - point.length))
        return found


def _when(point: Breakpoint, distance: float) -> float:
    """Seconds after a breakpoint until it has gone ``distance`` m; the root nearest to 0."""
    if abs(point.change) < 1e-12:
        return distance / point.rate
    # the form of the quadratic formula that does not cancel
    root = math.sqrt(max(point.rate**2 + 2.0 * point.change * distance, 0.0))
    lean = math.copysign(root, distance)
    return 2.0 * distance / (point.rate + lean) if point.rate + lean else 0.0


def paying(start: float, orders: Iterable[LineOrder], most: float) -> Paying:
    """The length out from ``start`` m under the "line to" orders of one line, by time.

    Never under LINE_OUT.low (unless it starts so) or over ``most`` m, what the reel holds.
    An order overrides the one before it.
    """
    so_far = Paying((Breakpoint(0.0, start, 0.0, 0.0),))
    rows: list[Breakpoint] = []
    for order in sorted(orders, key=lambda order: order.time):
        if order.action != "line to":
            continue
        length, rate = so_far.at(order.time) if rows else (start, 0.0)
        goal = min(max(order.value, min(LINE_OUT.low, start)), most)
        rows = [point for point in rows if point.time < order.time]
        rows += _move(order.time, length, rate, goal, order.rate)
        so_far = Paying(tuple(rows))
    return so_far


def stopped(length: float, rate: float) -> float:
    """Length at which a reel going out at ``rate`` m/s comes to rest if stopped now, m."""
    return length + 0.5 * rate * RAMP


def _move(time: float, length: float, rate: float, goal: float, fastest: float) -> list[Breakpoint]:
    """Ramp to a rate, keep it, ramp to rest at the goal."""
    distance = goal - length
    # to stop at once would already run past the goal, or not reach it
    cruise_rate = math.copysign(fastest, distance - 0.5 * rate * RAMP)
    cruise_time = (
        distance - 0.5 * (rate + cruise_rate) * RAMP - 0.5 * cruise_rate * RAMP
    ) / cruise_rate
    if cruise_time < 0.0:
        cruise_rate, cruise_time = distance / RAMP - 0.5 * rate, 0.0
    points: list[Breakpoint] = []

    def ramp(begin: float, out: float, before: float, after: float) -> tuple[float, float]:
        change = (after - before) / RAMP
        points.append(Breakpoint(begin, out, before, change))
        if before * after < 0.0:
            turn = -before / change
            points.append(Breakpoint(begin + turn, points[-1].at(begin + turn)[0], 0.0, change))
        return begin + RAMP, out + 0.5 * (before + after) * RAMP

    at, out = ramp(time, length, rate, cruise_rate)
    if cruise_time > 0.0:
        points.append(Breakpoint(at, out, cruise_rate, 0.0))
        at, out = at + cruise_time, out + cruise_time * cruise_rate
    at, out = ramp(at, out, cruise_rate, 0.0)
    points.append(Breakpoint(at, goal, 0.0, 0.0))
    return points
