"""The boat under helm orders: in and out of gear, one engine or two, turning, leeway."""

from __future__ import annotations

import ctypes
import math
from bisect import bisect_right
from collections.abc import Sequence
from copy import copy
from dataclasses import replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.environment.water import Water
from physics.vessel.boat import Boat, BoatState, Leg, Order, Pieces
from physics.vessel.core import compiled
from physics.vessel.regime import Regime

Array = NDArray[np.float64]

ROOM = 128
"""Points a track has room for at first; room is doubled when it is full."""

SPARSE, THINNED_AT_ONCE = 10.0, 500
"""Thinned, one step in this many seconds is kept; so many steps are thinned at a time."""

AN_INSTANT = 1e-9
"""Nothing happens within this time, s."""

LEGS_AHEAD = 5.0
"""How far ahead the end of a leg is looked for, s: more than any step of a line."""


class _Point(NamedTuple):
    """Where the boat is at a time: s, m over ground, rad, m/s and m run through the water."""

    time: float
    x: float
    y: float
    heading: float
    speed: float
    distance: float


class HelmTrack:
    """The boat's motion under helm orders, integrated as far as it is asked for.

    Orders may be added at any time; what was integrated beyond the new order
    is forgotten. A value at a time is always
    reached by the same steps, so a run that learns its orders live and one
    that knew them from the start agree to the last bit. The steps are made by the
    compiled library where it is there, and else here. Of steps that are ``thinned`` most are not
    kept, but made anew when they are asked for.
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
        self._drag_at_trolling = boat.drag_at_trolling
        self._start = _Point(0.0, 0.0, 0.0, heading, speed, 0.0)
        towing = Regime(True, speed, boat.engines, turning, ((0.0, speed),), -math.inf)
        self._towing = towing.for_boat(boat, speed)
        # the ends of the steps made, as rows of _Point, and which regime holds from which on
        self._points: Array = self._room(ROOM)
        self._points[0] = self._start
        self._count, self._thinned = 1, 0
        self._regimes, self._since = [self._towing], [0]
        self._next = -math.inf
        self._leg_stop: tuple[tuple[_Point, float, float], float] | None = None
        self.orders: list[Order] = []
        self._waiting = sorted(orders, key=lambda order: order.time)

    def copy(self) -> HelmTrack:
        """An independent continuation from the same past."""
        twin = copy(self)
        twin._points, twin.orders = self._points[: self._count + ROOM].copy(), list(self.orders)
        twin._regimes, twin._since = list(self._regimes), list(self._since)
        twin._waiting = list(self._waiting)
        return twin

    def order(self, order: Order) -> None:
        """Take an order; what was integrated beyond it, and orders obeyed there, are undone."""
        later = [o for o in self.orders if o.time > order.time]
        self.orders = self.orders[: len(self.orders) - len(later)]
        self._waiting = sorted([*later, *self._waiting, order], key=lambda o: o.time)
        self._count, self._next = self._index(order.time) + 1, -math.inf
        self._thinned = min(self._thinned, self._count - 1)
        while self._since[-1] >= self._count:
            self._since.pop()
            self._regimes.pop()

    def thin(self, before: float) -> None:
        """Keep few of the steps before a time, s: a boat may be under way for days.

        Whatever is asked of the track afterwards, the answer is the same to the last bit.
        """
        first, last = self._thinned, self._index(before)
        if last - first < THINNED_AT_ONCE:
            return
        time = self._points[: last + 1, 0]
        # one that the step before leads to by a whole step under one regime is found again
        keep = np.ones(self._count, dtype=bool)
        substeps = np.repeat(
            [regime.substep for regime in self._regimes], np.diff([*self._since, self._count])
        )
        whole = time[first:-2] + substeps[first : last - 1]
        keep[first + 1 : last] = whole != time[first + 1 : -1]
        keep[self._since] = True
        kept = float(time[first])
        for at in range(first + 1, last):
            keep[at] |= time[at + 1] > kept + SPARSE
            if keep[at]:
                kept = float(time[at])
        place = np.cumsum(keep) - 1
        left = int(place[-1]) + 1
        self._points = np.concatenate([self._points[: self._count][keep], self._room(ROOM)])
        self._count, self._thinned = left, int(place[last])
        self._since = place[self._since].tolist()

    def withdraw_marks(self, after: float) -> None:
        """Take back the marks that are still to come after a time, s."""
        for row in (self.orders, self._waiting):
            row[:] = [o for o in row if o.action != "mark" or o.time <= after]

    def at(self, time: float) -> BoatState:
        """State at a time >= 0, s."""
        if time < 0.0:
            return self._before(time)
        point, regime = self._nearest(time)
        return self._describe(self._integrate(regime, point, time), regime)

    def next_break(self, time: float) -> float:
        """Next order, stage of engagement or end of a leg (if near, or known) after ``time``."""
        _, regime = self._nearest(time)
        coming = [t for t, _ in regime.schedule if t > time + AN_INSTANT]
        if self._regimes[-1].legs or regime.legs:
            coming += self._leg_ends(time)
        coming += [
            o.time
            for o in (*self.orders, *self._waiting)
            if o.time > time + AN_INSTANT and o.action != "mark"
        ]
        return min(coming, default=math.inf)

    def throttle_at(self, time: float) -> tuple[float, int, float]:
        """Throttle m/s, engines, curvature in force at a time."""
        _, regime = self._nearest(time)
        return regime.throttle, regime.engines, regime.curvature

    def course_at(self, time: float) -> tuple[tuple[Leg, ...], float] | None:
        """The course steered at a time and the distance run of it, m through the water; or None."""
        point, regime = self._nearest(time)
        if not regime.legs:
            return None
        *before, now = regime.legs[: regime.leg + 1]
        to_go = regime.leg_end - self._integrate(regime, point, time).distance
        return regime.legs, sum(leg.length for leg in before) + now.length - max(to_go, 0.0)

    def _leg_ends(self, time: float) -> list[float]:
        """The next end of a leg within LEGS_AHEAD of ``time``, or as far as she has been."""
        self._reach(time + LEGS_AHEAD)
        begins = self._points[self._since, 0].tolist()
        for (before, after), begin in zip(pairwise(self._regimes), begins[1:], strict=True):
            if begin > time + AN_INSTANT and after.leg_end != before.leg_end:
                return [begin]
        return []

    @property
    def made(self) -> float:
        """How far it is integrated already, s."""
        return float(self._points[self._count - 1, 0])

    def pieces(self, start: float, end: float) -> Pieces:
        """The motion from ``start`` >= 0 to ``end``, s, over every break, as cubics.

        Between the ends of its steps they are within 4e-6 m/s of ``at`` at trolling speeds.
        """
        self._reach(end)
        if self._index(start) < self._thinned:
            return self._with_all_steps(start).pieces(start, end)
        first, last = self._index(start + AN_INSTANT), self._index(end - AN_INSTANT)
        ends = [
            self._integrate(self._regime(at), self._point(at), time)._replace(time=time)
            for at, time in ((first, start), (last, end))
        ]
        points = np.concatenate([ends[:1], self._points[first + 1 : last + 1], ends[1:]])
        rows = np.empty((3, len(points) - 1, 4))
        runs = np.clip([at - first for at in self._since] + [len(rows[0])], 0, len(rows[0]))
        for regime, (a, b) in zip(self._regimes, pairwise(runs.tolist()), strict=True):
            if a < b:
                self._cubics(regime, points[a : b + 1], rows[:, a:b])
        speed, heading, turn = rows
        return Pieces(points[:, 0], speed, heading, turn, self._drift)

    def _cubics(self, regime: Regime, points: Array, rows: Array) -> None:
        """Write the cubics between points (n + 1, 6) under one regime into ``rows`` (3, n, 4)."""
        if compiled.LIBRARY is not None:
            compiled.cubics(self._helm(regime), points, rows)
            return
        ends = [_Point(*point) for point in points.tolist()]
        for k, (before, after) in enumerate(pairwise(ends)):
            # what changes at the end of a piece has not happened in it
            inside = after.time - AN_INSTANT * (after.time - before.time)
            for end, (point, time) in enumerate(((before, before.time), (after, inside))):
                rate, bend = self._surge(regime, time, point.speed), regime.curvature
                rows[:, k, 2 * end] = point.speed, point.heading, bend * point.speed
                rows[:, k, 2 * end + 1] = rate, bend * point.speed, bend * rate

    def _before(self, time: float) -> BoatState:
        """Steady tow before the start, whatever is ordered there."""
        first = self._start
        state = self._describe(first, self._towing)
        vx, vy = state.velocity
        return replace(state, time=time, x=first.x + vx * time, y=first.y + vy * time, surge=0.0)

    def _index(self, time: float) -> int:
        """Number of the last point at or before a time."""
        return max(int(self._points[: self._count, 0].searchsorted(time, side="right")) - 1, 0)

    def _point(self, at: int) -> _Point:
        return _Point(*self._points[at].tolist())

    def _regime(self, at: int) -> Regime:
        """What holds from a point on."""
        return self._regimes[bisect_right(self._since, at) - 1]

    def _nearest(self, time: float) -> tuple[_Point, Regime]:
        """The last point at or before a time, and what holds from it on."""
        self._reach(time)
        at = self._index(time)
        point, regime = self._point(at), self._regime(at)
        if at < self._thinned:
            while point.time + regime.substep <= time:
                point = self._integrate(regime, point, point.time + regime.substep)
        return point, regime

    def _with_all_steps(self, since: float) -> HelmTrack:
        """A copy that has its steps from a time, s, on, thinned or not."""
        twin, at = self.copy(), self._index(since)
        rows = [self._points[: at + 1]]
        for number in range(at, self._thinned):
            point, regime, more = self._point(number), self._regime(number), []
            after = float(self._points[number + 1, 0])
            while point.time + regime.substep < after:
                point = self._integrate(regime, point, point.time + regime.substep)
                more.append(point)
            rows += [np.array(more).reshape(-1, len(point)), self._points[number + 1 : number + 2]]
        rows.append(self._points[self._thinned + 1 : self._count])
        twin._points = np.concatenate([*rows, self._room(ROOM)])
        twin._count, twin._thinned = len(twin._points) - ROOM, 0
        begins = self._points[self._since, 0]
        twin._since = twin._points[: twin._count, 0].searchsorted(begins).tolist()
        return twin

    def _room(self, many: int) -> Array:
        return np.empty((many, len(self._start)))

    def _reach(self, time: float) -> None:
        """Make all steps that end by a time, obeying what is ordered till then."""
        while time >= self._next:
            point, regime = self._point(self._count - 1), self._regimes[-1]
            order = self._waiting[0] if self._waiting else None
            if order is not None and order.time <= point.time:
                new = regime.obeying(order, self.boat, point.distance)
                self._hold(new.for_boat(self.boat, point.speed))
                self.orders.append(order)
                self._waiting.pop(0)
                continue
            due = math.inf if order is None else order.time
            stop = regime.step_end(point.time, due)
            end = self._end_of_leg(regime, point, stop)
            self._next = min(stop, end)
            if self._next > time:
                return
            if end <= stop:
                bend = self._integrate(regime, point, end)
                self._add(bend)
                self._hold(regime.on_course(bend.distance, regime.leg + 1))
            else:
                self._sail(regime, time, due)

    def _hold(self, regime: Regime) -> None:
        """This regime from the last point on."""
        if self._since[-1] == self._count - 1:
            self._regimes[-1] = regime
        else:
            self._regimes.append(regime)
            self._since.append(self._count - 1)

    def _add(self, point: _Point) -> None:
        self._points[self._count] = point
        self._count += 1
        self._make_room()

    def _make_room(self) -> None:
        if self._count == len(self._points):
            self._points = np.concatenate([self._points, np.empty_like(self._points)])

    def _sail(self, regime: Regime, until: float, due: float) -> None:
        """The steps under one regime that end by ``until``, s, as far as the next order, ``due``
        then, or the one in which the leg ends."""
        if compiled.LIBRARY is not None:
            helm = self._helm(regime)
            while made := compiled.sail(helm, until, due, self._points, self._count):
                self._count += made
                self._make_room()
            return
        point = self._point(self._count - 1)
        while point.time < due and (stop := regime.step_end(point.time, due)) <= until:
            point = self._integrate(regime, point, stop)
            if point.distance >= regime.leg_end:
                break
            self._add(point)

    def _helm(self, regime: Regime) -> ctypes.Structure:
        """A regime for the compiled library."""
        boat, rows = self.boat, [value for row in regime.schedule for value in row]
        return compiled.HELM(
            boat.trolling_speed, boat.exponent, boat.propeller_drag, self._drag_at_trolling,
            *self._drift, regime.curvature, regime.engaged_from, regime.leg_end,
            regime.substep, tuple(rows), len(regime.schedule), regime.lever,
        )  # fmt: skip

    def _end_of_leg(self, regime: Regime, point: _Point, stop: float) -> float:
        """When the leg steered ends, s; infinity if that is not before ``stop``."""
        goal = regime.leg_end
        if goal == math.inf:
            return math.inf
        asked = point, stop, goal
        if self._leg_stop is not None and self._leg_stop[0] == asked:
            return self._leg_stop[1]
        if self._integrate(regime, point, stop).distance < goal:
            found = math.inf
        elif point.distance >= goal:
            found = point.time
        else:

            def left(time: float) -> float:
                return self._integrate(regime, point, time).distance - goal

            found = float(scipy.optimize.brentq(left, point.time, stop, xtol=1e-10))
        self._leg_stop = asked, found
        return found

    def _surge(self, regime: Regime, time: float, speed: float) -> float:
        return self.boat.surge(
            speed, regime.set_speed(time), regime.engaged(time), self._drag_at_trolling
        )

    def _integrate(self, regime: Regime, point: _Point, time: float) -> _Point:
        """One classical Runge-Kutta step; at 0.2 s exact to 1e-7 of the speed."""
        h = time - point.time
        if h <= 0.0:
            return point
        u = point.speed
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
        return _Point(
            time,
            point.x + h * (east / 6.0 + self._drift[0]),
            point.y + h * (north / 6.0 + self._drift[1]),
            c + k * run,
            speed,
            point.distance + run,
        )

    def _describe(self, point: _Point, regime: Regime) -> BoatState:
        u, c = point.speed, point.heading
        return BoatState(
            point.time, point.x, point.y, c, u, self._surge(regime, point.time, u),
            regime.curvature * u,
            (u * math.sin(c) + self._drift[0], u * math.cos(c) + self._drift[1]),
            regime.lever, regime.set_speed(point.time),
        )  # fmt: skip
