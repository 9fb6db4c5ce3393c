"""The boat: surge in and out of gear, one or two engines, turning, leeway.

Depends on: checks, water.

Speed through the water u obeys
du/dt = a [ (u_set/u_r)^p - (u/u_r)^p (1 + k) ],
u_r the trolling speed, u_set the speed the engaged engines would hold (0 out
of gear), k the extra drag of a propeller out of gear. With p = 2, k = 0 this
is u = u0 / (1 + t/tau), x = u0 tau ln(1 + t/tau), and tau is the time from
trolling speed to half of it. No published low-speed coast-down of a small
planing boat was found, so that time is the skipper's to measure.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal, Protocol

import numpy as np

from physics.checks import Unusable, require_name, require_number
from physics.water import Water, compass_vector

Action = Literal["out of gear", "in gear", "throttle", "engines", "wheel", "mark"]
ACTIONS: tuple[Action, ...] = ("out of gear", "in gear", "throttle", "engines", "wheel", "mark")

GAUSS_3 = ((-math.sqrt(0.6), 5 / 18), (0.0, 8 / 18), (math.sqrt(0.6), 5 / 18))
"""Nodes and weights of three-point Gauss-Legendre quadrature on [-1, 1], halved."""

SURGE_JUMP, TURN_JUMP = 0.05, 0.01
"""A table's acceleration, m/s^2, or turn rate, rad/s, that jumps by more is a kink."""

LONGEST_SUBSTEP = 0.2
"""Boat integration step, s; the coast-down has seconds of time scale."""


@dataclass(frozen=True, slots=True)
class Order:
    """One word to the helm at a time.

    ``value``: throttle in m/s, engines 1 or 2, wheel as curvature of the
    track in 1/m (positive to starboard), mark as its depth in m; unused for
    the gear.
    """

    time: float
    action: Action
    value: float = 0.0

    def __post_init__(self) -> None:
        require_number("order time", self.time, 0.0, 36000.0, "s")
        if self.action not in ACTIONS:
            raise Unusable("order action", self.action, "one of " + ", ".join(ACTIONS))
        if self.action == "throttle":
            require_number("throttle", self.value, 0.2, 12.0, "m/s")
        elif self.action == "engines" and self.value not in (1, 2):
            raise Unusable("engines", self.value, "1 or 2")
        elif self.action == "wheel":
            require_number("wheel", self.value, -0.2, 0.2, "1/m")
        elif self.action == "mark":
            require_number("mark depth", self.value, 0.1, 2000.0, "m")


@dataclass(frozen=True, slots=True)
class Boat:
    """A boat's handling, SI.

    ``half_time``: seconds out of gear from ``trolling_speed`` to half of it.
    ``exponent`` p and ``propeller_drag`` k as in the module's formula.
    ``one_engine``: share of the throttle's speed that one engine of two holds.
    Going in gear takes ``shift_time``, then ``idle_time`` at ``idle_speed``,
    then ``throttle_time`` to bring the throttle back up. ``leeway`` is the
    share of the wind's speed the boat drifts downwind.
    """

    name: str
    trolling_speed: float = 3.86
    half_time: float = 5.0
    exponent: float = 2.0
    propeller_drag: float = 0.0
    engines: int = 2
    one_engine: float = 0.65
    idle_speed: float = 1.3
    shift_time: float = 0.7
    idle_time: float = 0.8
    throttle_time: float = 3.0
    leeway: float = 0.05

    def __post_init__(self) -> None:
        require_name("boat name", self.name)
        require_number("trolling_speed", self.trolling_speed, 0.3, 12.0, "m/s")
        require_number("half_time", self.half_time, 0.5, 120.0, "s")
        require_number("exponent", self.exponent, 1.0, 3.0)
        require_number("propeller_drag", self.propeller_drag, 0.0, 3.0)
        if self.engines not in (1, 2):
            raise Unusable("engines", self.engines, "1 or 2")
        require_number("one_engine", self.one_engine, 0.2, 1.0)
        require_number("idle_speed", self.idle_speed, 0.0, 5.0, "m/s")
        require_number("shift_time", self.shift_time, 0.0, 10.0, "s")
        require_number("idle_time", self.idle_time, 0.0, 30.0, "s")
        require_number("throttle_time", self.throttle_time, 0.0, 60.0, "s")
        require_number("leeway", self.leeway, 0.0, 0.2)

    @property
    def pull(self) -> float:
        """The acceleration a in the speed law, m/s^2, from the timed half speed."""
        p = self.exponent
        shape = math.log(2.0) if p == 1.0 else (2.0 ** (p - 1.0) - 1.0) / (p - 1.0)
        return self.trolling_speed * shape / (self.half_time * (1.0 + self.propeller_drag))

    def surge(
        self, speed: float, set_speed: float, in_gear: bool, pull: float | None = None
    ) -> float:
        """Acceleration through the water, m/s^2; ``pull`` may be handed in where it is known."""
        p, ref = self.exponent, self.trolling_speed
        extra = 0.0 if in_gear else self.propeller_drag
        drive = (set_speed / ref) ** p
        drag = (max(speed, 0.0) / ref) ** p * (1.0 + extra)
        return float((self.pull if pull is None else pull) * (drive - drag))


@dataclass(frozen=True, slots=True)
class BoatState:
    """The boat at one instant.

    ``x``, ``y`` of the sounder's transducer over ground, m; ``heading`` rad;
    ``speed`` through the water and its rate, m/s and m/s^2; ``turn`` rad/s;
    ``velocity`` (east, north) over ground, m/s; ``in_gear`` is what the lever
    says, ``set_speed`` what the engines now ask for.
    """

    time: float
    x: float
    y: float
    heading: float
    speed: float
    surge: float
    turn: float
    velocity: tuple[float, float]
    in_gear: bool
    set_speed: float


def jolt(motion: Motion, time: float) -> float:
    """How much the boat's acceleration jumps at a time, m/s^2, along and across together."""
    before, after = motion.at(time - 1e-6), motion.at(time)
    swing = after.turn * after.speed - before.turn * before.speed
    return math.hypot(after.surge - before.surge, swing)


class Motion(Protocol):
    """Anything that can say where the boat is at a time and when it changes."""

    def at(self, time: float) -> BoatState: ...

    def next_break(self, time: float) -> float:
        """First instant after ``time`` at which the motion has a kink; inf if none."""
        ...


@dataclass(frozen=True, slots=True)
class _Regime:
    """What the helm last said, and the set speed of the engines against time from it."""

    lever: bool
    throttle: float
    engines: int
    curvature: float
    schedule: tuple[tuple[float, float], ...]
    engaged_from: float


@dataclass(frozen=True, slots=True)
class _Knot:
    """State to integrate from, and the regime that holds from here on."""

    time: float
    x: float
    y: float
    heading: float
    speed: float
    regime: _Regime


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
        self._knots = [_Knot(0.0, 0.0, 0.0, heading, speed, regime)]
        self._pull = boat.pull
        self.orders: list[Order] = []
        self._waiting = sorted(orders, key=lambda order: order.time)

    def copy(self) -> HelmTrack:
        """An independent continuation from the same past."""
        twin = object.__new__(HelmTrack)
        twin.boat, twin._drift, twin._pull = self.boat, self._drift, self._pull
        twin._knots, twin.orders = list(self._knots), list(self.orders)
        twin._waiting = list(self._waiting)
        return twin

    def order(self, order: Order) -> None:
        """Take an order; what was integrated beyond it, and orders obeyed there, are undone."""
        later = [o for o in self.orders if o.time > order.time]
        self.orders = self.orders[: len(self.orders) - len(later)]
        self._waiting = sorted([*later, *self._waiting, order], key=lambda o: o.time)
        while len(self._knots) > 1 and self._knots[-1].time > order.time:
            self._knots.pop()

    def at(self, time: float) -> BoatState:
        """State at a time >= 0, s."""
        if time < 0.0:
            return self._before(time)
        self._reach(time)
        index = bisect_right(self._knots, time, key=lambda knot: knot.time) - 1
        return self._describe(self._integrate(self._knots[index], time))

    def next_break(self, time: float) -> float:
        """Next order or stage of engagement after ``time``."""
        self._reach(time)
        index = bisect_right(self._knots, time, key=lambda knot: knot.time) - 1
        coming = [t for t, _ in self._knots[index].regime.schedule if t > time + 1e-9]
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

    def _before(self, time: float) -> BoatState:
        """Steady tow before the start."""
        first = self._knots[0]
        state = self._describe(first)
        vx, vy = state.velocity
        return replace(state, time=time, x=first.x + vx * time, y=first.y + vy * time, surge=0.0)

    def _reach(self, time: float) -> None:
        while True:
            knot = self._knots[-1]
            order = self._waiting[0] if self._waiting else None
            if order is not None and order.time <= knot.time:
                self._knots[-1] = replace(knot, regime=self._obey(knot.regime, order))
                self.orders.append(order)
                self._waiting.pop(0)
                continue
            stop = knot.time + LONGEST_SUBSTEP
            for t, _ in knot.regime.schedule:
                if knot.time + 1e-12 < t < stop:
                    stop = t
            if order is not None and order.time < stop:
                stop = order.time
            if stop > time:
                return
            self._knots.append(self._integrate(knot, stop))

    def _obey(self, regime: _Regime, order: Order) -> _Regime:
        boat, now = self.boat, order.time
        if order.action == "out of gear":
            return replace(regime, lever=False, schedule=((now, 0.0),), engaged_from=math.inf)
        if order.action == "throttle":
            regime = replace(regime, throttle=order.value)
        elif order.action == "engines":
            regime = replace(regime, engines=min(int(order.value), boat.engines))
        elif order.action == "wheel":
            return replace(regime, curvature=order.value)
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

    def _integrate(self, knot: _Knot, time: float) -> _Knot:
        """One classical Runge-Kutta step; at 0.2 s exact to 1e-7 of the speed."""
        h = time - knot.time
        if h <= 0.0:
            return knot
        regime, u = knot.regime, knot.speed
        # a jump in the schedule at the far end belongs to the next step
        mid, inside = knot.time + 0.5 * h, knot.time + h * (1.0 - 1e-12)
        a1 = self._surge(regime, knot.time, u)
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
        east = u * math.sin(c) + 2.0 * (u2 * math.sin(c2) + u3 * math.sin(c3)) + u4 * math.sin(c4)
        north = u * math.cos(c) + 2.0 * (u2 * math.cos(c2) + u3 * math.cos(c3)) + u4 * math.cos(c4)
        return _Knot(
            time,
            knot.x + h * (east / 6.0 + self._drift[0]),
            knot.y + h * (north / 6.0 + self._drift[1]),
            c + h * k * (u + 2.0 * (u2 + u3) + u4) / 6.0,
            speed,
            regime,
        )

    def _describe(self, knot: _Knot) -> BoatState:
        regime, u, c = knot.regime, knot.speed, knot.heading
        return BoatState(
            knot.time, knot.x, knot.y, c, u, self._surge(regime, knot.time, u),
            regime.curvature * u,
            (u * math.sin(c) + self._drift[0], u * math.cos(c) + self._drift[1]),
            regime.lever, _scheduled(regime.schedule, knot.time),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class PrescribedMotion:
    """The boat's motion as a table: time s, speed through the water m/s, heading rad.

    Straight between rows; steady before the first and after the last. The
    current and the leeway are added over ground.
    """

    table: tuple[tuple[float, float, float], ...]

    def __post_init__(self) -> None:
        if not 1 <= len(self.table) <= 100_000:
            raise Unusable("motion rows", len(self.table), "1 to 100000 rows")
        last = -math.inf
        for time, speed, heading in self.table:
            require_number("motion time", time, -1e5, 1e5, "s")
            require_number("motion speed", speed, 0.0, 20.0, "m/s")
            require_number("motion heading", heading, -1000.0, 1000.0, "radians")
            if time <= last:
                raise Unusable("motion time", time, "times that rise from row to row")
            last = time


class TableTrack:
    """A PrescribedMotion over ground."""

    def __init__(self, motion: PrescribedMotion, drift: tuple[float, float]) -> None:
        self._rows = motion.table
        self._times = [row[0] for row in motion.table]
        self._drift = drift
        self._kinks = _kinks(motion.table)
        self.orders: list[Order] = []
        self._place: list[tuple[float, float]] = [(0.0, 0.0)]
        for a, b in pairwise(self._rows):
            x, y = self._place[-1]
            dx, dy = self._travel(a, b, b[0])
            self._place.append((x + dx, y + dy))

    def copy(self) -> TableTrack:
        return self

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

    def next_break(self, time: float) -> float:
        """Next row at which the slope changes by enough to matter."""
        index = bisect_right(self._kinks, time + 1e-9)
        return self._kinks[index] if index < len(self._kinks) else math.inf


def _kinks(rows: Sequence[tuple[float, float, float]]) -> list[float]:
    """Times of the first and last row, and of rows where acceleration or turning jump."""
    table = np.array(rows)
    if len(rows) < 3:
        return [float(time) for time in table[:, 0]]
    slope = np.diff(table[:, 1:], axis=0) / np.diff(table[:, 0])[:, None]
    jump = np.abs(np.diff(slope, axis=0)) > (SURGE_JUMP, TURN_JUMP)
    inner = table[1:-1, 0][jump.any(axis=1)]
    return [float(rows[0][0]), *(float(time) for time in inner), float(rows[-1][0])]
