"""The boat under helm orders: in and out of gear, one engine or two, turning, leeway."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from scipy.optimize import brentq

from physics.environment.water import Water
from physics.vessel.boat import Boat, BoatState, Leg, Order, Pieces

LONGEST_SUBSTEP = 0.2
"""Boat integration step, s; the coast-down has seconds of time scale."""

LEGS_AHEAD = 5.0
"""How far ahead the end of a leg is looked for, s: more than any step of a line."""


@dataclass(frozen=True, slots=True)
class _Regime:
    """What the helm last said, and the set speed of the engines against time from it.

    On a course, which of its ``legs`` is steered and the way, m through the water,
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

    def on_course(self, way: float, leg: int) -> _Regime:
        """Steering this leg from ``way`` on, or straight on where there is none."""
        if leg >= len(self.legs):
            return replace(self, curvature=0.0, legs=(), leg=0, leg_end=math.inf)
        now = self.legs[leg]
        return replace(self, curvature=now.curvature, leg=leg, leg_end=way + now.length)


@dataclass(frozen=True, slots=True)
class _Breakpoint:
    """State to integrate from, the regime that holds from here on, and the surge under it."""

    time: float
    x: float
    y: float
    heading: float
    speed: float
    way: float
    regime: _Regime
    surge: float


def _scheduled(schedule: Sequence[tuple[float, float]], time: float) -> float:
    """Set speed at a time: straight between knots, the last value beyond; jumps allowed."""
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
        self._pull = boat.pull
        surge = self._surge(regime, 0.0, speed)
        self._start = _Breakpoint(0.0, 0.0, 0.0, heading, speed, 0.0, regime, surge)
        self._knots = [self._start]
        self._leg_stop: tuple[_Breakpoint, float, float] | None = None
        self.orders: list[Order] = []
        self._waiting = sorted(orders, key=lambda order: order.time)

    def copy(self) -> HelmTrack:
        """An independent continuation from the same past."""
        twin = object.__new__(HelmTrack)
        twin.boat, twin._drift, twin._pull = self.boat, self._drift, self._pull
        twin._start = self._start
        twin._knots, twin.orders = list(self._knots), list(self.orders)
        twin._waiting = list(self._waiting)
        twin._leg_stop = self._leg_stop
        return twin

    def order(self, order: Order) -> None:
        """Take an order; what was integrated beyond it, and orders obeyed there, are undone."""
        later = [o for o in self.orders if o.time > order.time]
        self.orders = self.orders[: len(self.orders) - len(later)]
        self._waiting = sorted([*later, *self._waiting, order], key=lambda o: o.time)
        while len(self._knots) > 1 and self._knots[-1].time > order.time:
            self._knots.pop()

    def withdraw_marks(self, after: float) -> None:
        """Take back the marks that are still to come after a time, s."""
        for row in (self.orders, self._waiting):
            row[:] = [o for o in row if o.action != "mark" or o.time <= after]

    def at(self, time: float) -> BoatState:
        """State at a time >= 0, s."""
        if time < 0.0:
            return self._before(time)
        self._reach(time)
        index = bisect_right(self._knots, time, key=lambda knot: knot.time) - 1
        return self._describe(self._integrate(self._knots[index], time))

    def next_break(self, time: float) -> float:
        """Next order, stage of engagement or end of a leg (so far as it is near) after ``time``."""
        self._reach(time)
        index = bisect_right(self._knots, time, key=lambda knot: knot.time) - 1
        coming = [t for t, _ in self._knots[index].regime.schedule if t > time + 1e-9]
        if self._knots[-1].regime.legs or self._knots[index].regime.legs:
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
        index = bisect_right(self._knots, time, key=lambda knot: knot.time) - 1
        regime = self._knots[index].regime
        return regime.throttle, regime.engines, regime.curvature

    def course_at(self, time: float) -> tuple[tuple[Leg, ...], float] | None:
        """The course steered at a time and the way, m through the water, run of it; or None."""
        self._reach(time)
        index = bisect_right(self._knots, time, key=lambda knot: knot.time) - 1
        regime = self._knots[index].regime
        if not regime.legs:
            return None
        *before, now = regime.legs[: regime.leg + 1]
        to_go = regime.leg_end - self._integrate(self._knots[index], time).way
        return regime.legs, sum(leg.length for leg in before) + now.length - max(to_go, 0.0)

    def _leg_ends(self, index: int, time: float) -> list[float]:
        """The next end of a leg within LEGS_AHEAD of ``time``, if any."""
        self._reach(time + LEGS_AHEAD)
        for before, after in pairwise(self._knots[index:]):
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
        index = bisect_right(self._knots, start, key=lambda knot: knot.time) - 1
        first = self._integrate(self._knots[index], start)
        after = bisect_right(self._knots, start + 1e-9, key=lambda knot: knot.time)
        until = bisect_right(self._knots, end - 1e-9, key=lambda knot: knot.time)
        knots = [first, *self._knots[after:until]]
        # what changes at the very end has not happened yet
        last = self._integrate(knots[-1], end)
        surge = self._surge(first.regime, end - 1e-9 * (end - start), last.speed)
        knots.append(replace(last, surge=surge))
        times, pace, rise, course = np.array(
            [(knot.time, knot.speed, knot.surge, knot.heading) for knot in knots]
        ).T
        bend = first.regime.curvature
        rows = [
            np.stack([value[:-1], rate[:-1], value[1:], rate[1:]], axis=1)
            for value, rate in ((pace, rise), (course, bend * pace), (bend * pace, bend * rise))
        ]
        return Pieces(times, rows[0], rows[1], rows[2], self._drift)

    def _before(self, time: float) -> BoatState:
        """Steady tow before the start, whatever is ordered there."""
        first = self._start
        state = self._describe(first)
        vx, vy = state.velocity
        return replace(state, time=time, x=first.x + vx * time, y=first.y + vy * time, surge=0.0)

    def _reach(self, time: float) -> None:
        while True:
            knot = self._knots[-1]
            order = self._waiting[0] if self._waiting else None
            if order is not None and order.time <= knot.time:
                regime = self._obey(knot, order)
                surge = self._surge(regime, knot.time, knot.speed)
                self._knots[-1] = replace(knot, regime=regime, surge=surge)
                self.orders.append(order)
                self._waiting.pop(0)
                continue
            stop = knot.time + LONGEST_SUBSTEP
            for t, _ in knot.regime.schedule:
                if knot.time + 1e-12 < t < stop:
                    stop = t
            if order is not None and order.time < stop:
                stop = order.time
            end = self._end_of_leg(knot, stop)
            if min(stop, end) > time:
                return
            if end <= stop:
                bend = self._integrate(knot, end)
                regime = bend.regime.on_course(bend.way, bend.regime.leg + 1)
                self._knots.append(replace(bend, regime=regime))
            else:
                self._knots.append(self._integrate(knot, stop))

    def _end_of_leg(self, knot: _Breakpoint, stop: float) -> float:
        """When the leg steered ends, s; infinity if that is not before ``stop``."""
        goal = knot.regime.leg_end
        if goal == math.inf:
            return math.inf
        if self._leg_stop is not None:
            known, until, found = self._leg_stop
            if known is knot and until == stop:
                return found
        if self._integrate(knot, stop).way < goal:
            found = math.inf
        elif knot.way >= goal:
            found = knot.time
        else:

            def left(time: float) -> float:
                return self._integrate(knot, time).way - goal

            found = float(brentq(left, knot.time, stop, xtol=1e-10))
        self._leg_stop = knot, stop, found
        return found

    def _obey(self, knot: _Breakpoint, order: Order) -> _Regime:
        boat, now, regime = self.boat, order.time, knot.regime
        if order.action == "out of gear":
            return replace(regime, lever=False, schedule=((now, 0.0),), engaged_from=math.inf)
        if order.action == "throttle":
            regime = replace(regime, throttle=order.value)
        elif order.action == "engines":
            regime = replace(regime, engines=min(int(order.value), boat.engines))
        elif order.action == "wheel":
            return replace(regime, curvature=order.value, legs=(), leg=0, leg_end=math.inf)
        elif order.action == "course":
            return replace(regime, legs=order.legs).on_course(knot.way, 0)
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
        return self.boat.surge(speed, _scheduled(regime.schedule, time), engaged, self._pull)

    def _integrate(self, knot: _Breakpoint, time: float) -> _Breakpoint:
        """One classical Runge-Kutta step; at 0.2 s exact to 1e-7 of the speed."""
        h = time - knot.time
        if h <= 0.0:
            return knot
        regime, u = knot.regime, knot.speed
        # a jump in the schedule at the far end belongs to the next step
        mid, inside = knot.time + 0.5 * h, knot.time + h * (1.0 - 1e-12)
        a1 = knot.surge
        u2 = u + 0.5 * h * a1
        a2 = self._surge(regime, mid, u2)
        u3 = u + 0.5 * h * a2
        a3 = self._surge(regime, mid, u3)
        u4 = u + h * a3
        a4 = self._surge(regime, inside, u4)
        speed = max(u + h * (a1 + 2.0 * (a2 + a3) + a4) / 6.0, 0.0)
        c, k = knot.heading, regime.curvature
        c2, c3 = c + 0.5 * h * k * u, c + 0.5 * h * k * u2
        c4 = c + h * k * u3
        run = h * (u + 2.0 * (u2 + u3) + u4) / 6.0
        east = u * math.sin(c) + 2.0 * (u2 * math.sin(c2) + u3 * math.sin(c3)) + u4 * math.sin(c4)
        north = u * math.cos(c) + 2.0 * (u2 * math.cos(c2) + u3 * math.cos(c3)) + u4 * math.cos(c4)
        return _Breakpoint(
            time,
            knot.x + h * (east / 6.0 + self._drift[0]),
            knot.y + h * (north / 6.0 + self._drift[1]),
            c + k * run,
            speed,
            knot.way + run,
            regime,
            self._surge(regime, time, speed),
        )

    def _describe(self, knot: _Breakpoint) -> BoatState:
        regime, u, c = knot.regime, knot.speed, knot.heading
        return BoatState(
            knot.time, knot.x, knot.y, c, u, knot.surge,
            regime.curvature * u,
            (u * math.sin(c) + self._drift[0], u * math.cos(c) + self._drift[1]),
            regime.lever, _scheduled(regime.schedule, knot.time),
        )  # fmt: skip
