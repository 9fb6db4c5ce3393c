"""The boat under helm orders: in and out of gear, one engine or two, turning, leeway."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import scipy

from physics.environment.water import Water
from physics.vessel.boat import Boat, BoatState, Leg, Order, Pieces

LONGEST_SUBSTEP = 0.2
"""Boat integration step, s; the coast-down has seconds of time scale."""

LEGS_AHEAD = 5.0
"""How far ahead the end of a leg is looked for, s: more than any step of a line."""


@dataclass(frozen=True, slots=True)
class _Regime:
    """What the helm last said, and the set speed of the engines against time from it.

    On a course, which of its ``legs`` is steered and the distance, m through the water,
    at which that one ends.
    """

    lever: bool
    throttle: float
    engines: int
    curvature: float
    schedule: tuple[tuple[float, float], ...]
    engaged_from: float
    legs: tuple[Leg, ...] = ()
    leg: int = 0
    leg_end: float = math.inf

    def on_course(self, distance: float, leg: int) -> _Regime:
        """Steering this leg from ``distance`` on, or straight on where there is none."""
        if leg >= len(self.legs):
            return replace(self, curvature=0.0, legs=(), leg=0, leg_end=math.inf)
        now = self.legs[leg]
        return replace(self, curvature=now.curvature, leg=leg, leg_end=distance + now.length)


@dataclass(frozen=True, slots=True)
class _Breakpoint:
    """State to integrate from, and the regime that holds from here on."""

    time: float
    x: float
    y: float
    heading: float
    speed: float
    distance: float
    regime: _Regime


def _scheduled(schedule: Sequence[tuple[float, float]], time: float) -> float:
    """Set speed at a time: straight between breakpoints, the last value beyond; jumps allowed."""
    if time >= schedule[-1][0]:
        return schedule[-1][1]
    for (t0, s0), (t1, s1) in pairwise(schedule):
        if t0 <= time < t1:
            return s0 + (s1 - s0) * (time - t0) / (t1 - t0)
    return schedule[0][1]


class HelmTrack:
    """The boat's motion under helm orders, integrated as far as it is asked for.

    Orders may be added at any time; what was integrated beyond the new order
    is forgotten. A value at a time is always
    reached by the same steps, so a run that learns its orders live and one
    that knew them from the start agree to the last bit.
    """

    def __init__(
        self,
        boat: Boat,
        water: Water,
        speed: float,
        heading: float = 0.0,
        orders: Sequence[Order] = (),
        turning: float = 0.0,
    ) -> None:
        self.boat = boat
        self._drift = (
            water.current[0] + boat.leeway * water.wind[0],
            water.current[1] + boat.leeway * water.wind[1],
        )
        regime = _Regime(True, speed, boat.engines, turning, ((0.0, speed),), -math.inf)
        self._start = _Breakpoint(0.0, 0.0, 0.0, heading, speed, 0.0, regime)
        self._breakpoints = [self._start]
        self._leg_stop: tuple[_Breakpoint, float, float] | None = None
        self._drag_at_trolling = boat.drag_at_trolling
        self.orders: list[Order] = []
        self._waiting = sorted(orders, key=lambda order: order.time)

    def copy(self) -> HelmTrack:
        """An independent continuation from the same past."""
        twin = copy(self)
        twin._breakpoints, twin.orders = list(self._breakpoints), list(self.orders)
        twin._waiting = list(self._waiting)
        return twin

    def order(self, order: Order) -> None:
        """Take an order; what was integrated beyond it, and orders obeyed there, are undone."""
        later = [o for o in self.orders if o.time > order.time]
        self.orders = self.orders[: len(self.orders) - len(later)]
        self._waiting = sorted([*later, *self._waiting, order], key=lambda o: o.time)
        while len(self._breakpoints) > 1 and self._breakpoints[-1].time > order.time:
            self._breakpoints.pop()

    def withdraw_marks(self, after: float) -> None:
        """Take back the marks that are still to come after a time, s."""
        for row in (self.orders, self._waiting):
            row[:] = [o for o in row if o.action != "mark" or o.time <= after]

    def at(self, time: float) -> BoatState:
        """State at a time >= 0, s."""
        if time < 0.0:
            return self._before(time)
        self._reach(time)
        index = bisect_right(self._breakpoints, time, key=lambda point: point.time) - 1
        return self._describe(self._integrate(self._breakpoints[index], time))

    def next_break(self, time: float) -> float:
        """Next order, stage of engagement or end of a leg (so far as it is near) after ``time``."""
        self._reach(time)
        index = bisect_right(self._breakpoints, time, key=lambda point: point.time) - 1
        coming = [t for t, _ in self._breakpoints[index].regime.schedule if t > time + 1e-9]
        if self._breakpoints[-1].regime.legs or self._breakpoints[index].regime.legs:
            coming += self._leg_ends(index, time)
        coming += [
            o.time
            for o in (*self.orders, *self._waiting)
            if o.time > time + 1e-9 and o.action != "mark"
        ]
        return min(coming, default=math.inf)

    def throttle_at(self, time: float) -> tuple[float, int, float]:
        """Throttle m/s, engines, curvature in force at a time."""
        self._reach(time)
        index = bisect_right(self._breakpoints, time, key=lambda point: point.time) - 1
        regime = self._breakpoints[index].regime
        return regime.throttle, regime.engines, regime.curvature

    def course_at(self, time: float) -> tuple[tuple[Leg, ...], float] | None:
        """The course steered at a time and the distance run of it, m through the water; or None."""
        self._reach(time)
        index = bisect_right(self._breakpoints, time, key=lambda point: point.time) - 1
        regime = self._breakpoints[index].regime
        if not regime.legs:
            return None
        *before, now = regime.legs[: regime.leg + 1]
        to_go = regime.leg_end - self._integrate(self._breakpoints[index], time).distance
        return regime.legs, sum(leg.length for leg in before) + now.length - max(to_go, 0.0)

    def _leg_ends(self, index: int, time: float) -> list[float]:
        """The next end of a leg within LEGS_AHEAD of ``time``, if any."""
        self._reach(time + LEGS_AHEAD)
        for before, after in pairwise(self._breakpoints[index:]):
            if after.time > time + LEGS_AHEAD:
                break
            if after.regime.leg_end != before.regime.leg_end and after.time > time + 1e-9:
                return [after.time]
        return []

    def pieces(self, start: float, end: float) -> Pieces:
        """The motion from ``start`` >= 0 to ``end``, s, with no break between, as cubics.

        Between instants LONGEST_SUBSTEP apart they are within 1e-8 m/s of ``at``.
        """
        self._reach(end)
        index = bisect_right(self._breakpoints, start, key=lambda point: point.time) - 1
        points = [self._integrate(self._breakpoints[index], start)]
        for point in self._breakpoints[index + 1 :]:
            if point.time > end - 1e-9:
                break
            if point.time > start + 1e-9:
                points.append(point)
        # what changes at the very end has not happened yet
        points.append(self._integrate(points[-1], end))
        regime, speed, heading, turn = points[0].regime, [], [], []
        for point in points:
            inside = min(point.time, end - 1e-9 * (end - start))
            surge = self._surge(regime, inside, point.speed)
            bend = regime.curvature
            speed.append((point.speed, surge))
            heading.append((point.heading, bend * point.speed))
            turn.append((bend * point.speed, bend * surge))
        rows = [
            np.concatenate([np.array(row[:-1]), np.array(row[1:])], axis=1)
            for row in (speed, heading, turn)
        ]
        times = np.array([point.time for point in points])
        return Pieces(times, rows[0], rows[1], rows[2], self._drift)

    def _before(self, time: float) -> BoatState:
        """Steady tow before the start, whatever is ordered there."""
        first = self._start
        state = self._describe(first)
        vx, vy = state.velocity
        return replace(state, time=time, x=first.x + vx * time, y=first.y + vy * time, surge=0.0)

    def _reach(self, time: float) -> None:
        while True:
            point = self._breakpoints[-1]
            order = self._waiting[0] if self._waiting else None
            if order is not None and order.time <= point.time:
                self._breakpoints[-1] = replace(point, regime=self._obey(point, order))
                self.orders.append(order)
                self._waiting.pop(0)
                continue
            stop = point.time + LONGEST_SUBSTEP
            for t, _ in point.regime.schedule:
                if point.time + 1e-12 < t < stop:
                    stop = t
            if order is not None and order.time < stop:
                stop = order.time
            end = self._end_of_leg(point, stop)
            if min(stop, end) > time:
                return
            if end <= stop:
                bend = self._integrate(point, end)
                regime = bend.regime.on_course(bend.distance, bend.regime.leg + 1)
                self._breakpoints.append(replace(bend, regime=regime))
            else:
                self._breakpoints.append(self._integrate(point, stop))

    def _end_of_leg(self, point: _Breakpoint, stop: float) -> float:
        """When the leg steered ends, s; infinity if that is not before ``stop``."""
        goal = point.regime.leg_end
        if goal == math.inf:
            return math.inf
        if self._leg_stop is not None:
            known, until, found = self._leg_stop
            if known is point and until == stop:
                return found
        if self._integrate(point, stop).distance < goal:
            found = math.inf
        elif point.distance >= goal:
            found = point.time
        else:

            def left(time: float) -> float:
                return self._integrate(point, time).distance - goal

            found = float(scipy.optimize.brentq(left, point.time, stop, xtol=1e-10))
        self._leg_stop = point, stop, found
        return found

    def _obey(self, point: _Breakpoint, order: Order) -> _Regime:
        boat, now, regime = self.boat, order.time, point.regime
        if order.action == "out of gear":
            return replace(regime, lever=False, schedule=((now, 0.0),), engaged_from=math.inf)
        if order.action == "throttle":
            regime = replace(regime, throttle=order.value)
        elif order.action == "engines":
            regime = replace(regime, engines=min(int(order.value), boat.engines))
        elif order.action == "wheel":
            return replace(regime, curvature=order.value, legs=(), leg=0, leg_end=math.inf)
        elif order.action == "course":
            return replace(regime, legs=order.legs).on_course(point.distance, 0)
        goal = regime.throttle * (boat.one_engine if regime.engines < boat.engines else 1.0)
        if order.action == "in gear" and not regime.lever:
            shifted = now + boat.shift_time
            idle = min(boat.idle_speed, goal)
            ramp = shifted + boat.idle_time
            schedule = (
                (now, 0.0), (shifted, 0.0), (shifted, idle), (ramp, idle),
                (ramp + boat.throttle_time, goal),
            )  # fmt: skip
            return replace(regime, lever=True, schedule=schedule, engaged_from=shifted)
        if order.action in ("throttle", "engines") and regime.lever:
            *before, (end, _) = regime.schedule
            if now < regime.engaged_from:
                return replace(regime, schedule=(*before, (end, goal)))
            here = _scheduled(regime.schedule, now)
            return replace(regime, schedule=((now, here), (now + boat.throttle_time, goal)))
        return regime

    def _surge(self, regime: _Regime, time: float, speed: float) -> float:
        engaged = regime.lever and time >= regime.engaged_from
        return self.boat.surge(
            speed, _scheduled(regime.schedule, time), engaged, self._drag_at_trolling
        )

    def _integrate(self, point: _Breakpoint, time: float) -> _Breakpoint:
        """One classical Runge-Kutta step; at 0.2 s exact to 1e-7 of the speed."""
        h = time - point.time
        if h <= 0.0:
            return point
        regime, u = point.regime, point.speed
        # a jump in the schedule at the far end belongs to the next step
        mid, inside = point.time + 0.5 * h, point.time + h * (1.0 - 1e-12)
        a1 = self._surge(regime, point.time, u)
        u2 = u + 0.5 * h * a1
        a2 = self._surge(regime, mid, u2)
        u3 = u + 0.5 * h * a2
        a3 = self._surge(regime, mid, u3)
        u4 = u + h * a3
        a4 = self._surge(regime, inside, u4)
        speed = max(u + h * (a1 + 2.0 * (a2 + a3) + a4) / 6.0, 0.0)
        c, k = point.heading, regime.curvature
        c2, c3 = c + 0.5 * h * k * u, c + 0.5 * h * k * u2
        c4 = c + h * k * u3
        run = h * (u + 2.0 * (u2 + u3) + u4) / 6.0
        east = u * math.sin(c) + 2.0 * (u2 * math.sin(c2) + u3 * math.sin(c3)) + u4 * math.sin(c4)
        north = u * math.cos(c) + 2.0 * (u2 * math.cos(c2) + u3 * math.cos(c3)) + u4 * math.cos(c4)
        return _Breakpoint(
            time,
            point.x + h * (east / 6.0 + self._drift[0]),
            point.y + h * (north / 6.0 + self._drift[1]),
            c + k * run,
            speed,
            point.distance + run,
            regime,
        )

    def _describe(self, point: _Breakpoint) -> BoatState:
        regime, u, c = point.regime, point.speed, point.heading
        return BoatState(
            point.time, point.x, point.y, c, u, self._surge(regime, point.time, u),
            regime.curvature * u,
            (u * math.sin(c) + self._drift[0], u * math.cos(c) + self._drift[1]),
            regime.lever, _scheduled(regime.schedule, point.time),
        )  # fmt: skip
