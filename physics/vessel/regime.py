"""What the helm last said, what the engines make of it in time, and what another order changes."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise

from physics.vessel.boat import Boat, Leg, Order

LONGEST_SUBSTEP = 0.2
"""Boat integration step, s; the coast-down has seconds of time scale."""

SHORTEN = 0.125
"""Where drag grows by more than this share of itself in a step, the step is halved, and again:
a boat driven at many times her trolling speed slows within tenths of a second."""


@dataclass(frozen=True, slots=True)
class Regime:
    """What the helm last said, and the set speed of the engines against time from it.

    ``schedule`` holds (time s, set speed m/s): straight between breakpoints, the last value
    beyond; jumps are allowed. The engines are engaged from ``engaged_from`` on, s. On a course,
    which of its ``legs`` is steered and the distance, m through the water, at which that one ends.
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
    substep: float = LONGEST_SUBSTEP

    def for_boat(self, boat: Boat, speed: float) -> Regime:
        """With a step short enough for a boat that begins at this speed, m/s."""
        fastest = max(speed, *(planned for _, planned in self.schedule))
        steps = boat.drag_rate(fastest) * LONGEST_SUBSTEP / SHORTEN
        halvings = max(math.ceil(math.log2(max(steps, 1.0))), 0)
        return replace(self, substep=LONGEST_SUBSTEP / 2**halvings)

    def on_course(self, distance: float, leg: int) -> Regime:
        """Steering this leg from ``distance`` on, or straight on where there is none."""
        if leg >= len(self.legs):
            return replace(self, curvature=0.0, legs=(), leg=0, leg_end=math.inf)
        now = self.legs[leg]
        return replace(self, curvature=now.curvature, leg=leg, leg_end=distance + now.length)

    def engaged(self, time: float) -> bool:
        """Whether the propellers turn at a time, s: a shift takes its time."""
        return self.lever and time >= self.engaged_from

    def set_speed(self, time: float) -> float:
        """Speed through the water that the engines are set for at a time, m/s."""
        if time >= self.schedule[-1][0]:
            return self.schedule[-1][1]
        for (t0, s0), (t1, s1) in pairwise(self.schedule):
            if t0 <= time < t1:
                return s0 + (s1 - s0) * (time - t0) / (t1 - t0)
        return self.schedule[0][1]

    def step_end(self, time: float, due: float) -> float:
        """Where a step from a time ends, s: no later than what is ordered next, ``due`` then."""
        stop = min(time + self.substep, due)
        for changes, _ in self.schedule:
            if time + 1e-12 < changes < stop:
                stop = changes
        return stop

    def obeying(self, order: Order, boat: Boat, distance: float) -> Regime:
        """What an order makes of it, given when she has run ``distance``, m through the water."""
        now = order.time
        if order.action == "out of gear":
            return replace(self, lever=False, schedule=((now, 0.0),), engaged_from=math.inf)
        if order.action == "wheel":
            return replace(self, curvature=order.value, legs=(), leg=0, leg_end=math.inf)
        if order.action == "course":
            return replace(self, legs=order.legs).on_course(distance, 0)
        if order.action == "throttle":
            return replace(self, throttle=order.value)._toward_set_speed(now, boat)
        if order.action == "engines":
            engines = min(int(order.value), boat.engines)
            return replace(self, engines=engines)._toward_set_speed(now, boat)
        if order.action == "in gear" and not self.lever:
            return self._going_in_gear(now, boat)
        return self

    def _wanted(self, boat: Boat) -> float:
        """Speed that throttle and engines come to in the end, m/s."""
        return self.throttle * (boat.one_engine if self.engines < boat.engines else 1.0)

    def _going_in_gear(self, now: float, boat: Boat) -> Regime:
        goal, shifted = self._wanted(boat), now + boat.shift_time
        idle, ramp = min(boat.idle_speed, goal), shifted + boat.idle_time
        schedule = (
            (now, 0.0), (shifted, 0.0), (shifted, idle), (ramp, idle),
            (ramp + boat.throttle_time, goal),
        )  # fmt: skip
        return replace(self, lever=True, schedule=schedule, engaged_from=shifted)

    def _toward_set_speed(self, now: float, boat: Boat) -> Regime:
        if not self.lever:
            return self
        goal = self._wanted(boat)
        if now < self.engaged_from:
            *before, (end, _) = self.schedule
            return replace(self, schedule=(*before, (end, goal)))
        ramp = ((now, self.set_speed(now)), (now + boat.throttle_time, goal))
        return replace(self, schedule=ramp)
