"""A boat, what may be ordered of it, and what it is doing at an instant.

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
from dataclasses import dataclass
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray

from physics.checks import InvalidValue, Limits, require_all, require_name, require_number

Array = NDArray[np.float64]

Action = Literal["out of gear", "in gear", "throttle", "engines", "wheel", "course", "mark"]
ACTIONS: tuple[Action, ...] = (
    "out of gear",
    "in gear",
    "throttle",
    "engines",
    "wheel",
    "course",
    "mark",
)

MOST_LEGS = 5000
"""Most legs of one course: two hours at trolling speed with one every 6 m."""

MOST_CURVATURE = 0.2
"""Tightest turn, 1/m."""

CURVATURE = Limits(-MOST_CURVATURE, MOST_CURVATURE, "1/m")
LEG_LENGTH = Limits(0.1, 1e5, "m")
ORDER_TIME = Limits(0.0, 36000.0, "s")
SPEED = Limits(0.2, 12.0, "m/s")
"""What the throttle may be set for, through the water."""

DEPTH = Limits(0.1, 2000.0, "m")
"""Of a fish marked."""

ROUNDED = 1e-9
"""Share by which numbers of a file may be off for being rounded."""

HARDEST = 100.0
"""Most that drag may slow a boat, m/s^2 (assumed): ten times her weight stops no boat. A speed
law measured at a low trolling speed says so of one many times as fast."""

STOPS_SHORT = "for a boat that stops this short"
"""Why a speed is refused that is beyond what drag can be."""

BOAT_LIMITS = {
    "trolling_speed": Limits(0.3, 12.0, "m/s"),
    "half_time": Limits(0.5, 120.0, "s"),
    "exponent": Limits(1.0, 3.0),
    "propeller_drag": Limits(0.0, 3.0),
    "one_engine": Limits(0.2, 1.0),
    "idle_speed": Limits(0.0, 5.0, "m/s"),
    "shift_time": Limits(0.0, 10.0, "s"),
    "idle_time": Limits(0.0, 30.0, "s"),
    "throttle_time": Limits(0.0, 60.0, "s"),
    "leeway": Limits(0.0, 0.2),
}
"""Limits of a Boat's attributes."""


TROLLING_SPEED = 3.86
"""Usual speed through the water with lines out, m/s (7.5 kn)."""


@dataclass(frozen=True, slots=True)
class Leg:
    """A piece of a course: ``length`` m through the water at one ``curvature``, 1/m.

    Positive curvature turns to starboard, 0 is straight ahead.
    """

    length: float
    curvature: float = 0.0

    def __post_init__(self) -> None:
        require_number("leg length", self.length, *LEG_LENGTH)
        require_number("leg curvature", self.curvature, *CURVATURE)


@dataclass(frozen=True, slots=True)
class Order:
    """One word to the helm at a time.

    ``value``: throttle in m/s, engines 1 or 2, wheel as curvature of the
    track in 1/m (positive to starboard), mark as its depth in m; unused for
    the gear. A course is steered leg after leg of ``legs``, at whatever speed
    she makes, then straight on; a wheel order ends it.
    """

    time: float
    action: Action
    value: float = 0.0
    legs: tuple[Leg, ...] = ()

    def __post_init__(self) -> None:
        require_number("order time", self.time, *ORDER_TIME)
        if self.action not in ACTIONS:
            raise InvalidValue("order action", self.action, "one of " + ", ".join(ACTIONS))
        if self.action == "throttle":
            require_number("throttle", self.value, *SPEED)
        elif self.action == "engines" and self.value not in (1, 2):
            raise InvalidValue("engines", self.value, "1 or 2")
        elif self.action == "wheel":
            require_number("wheel", self.value, *CURVATURE)
        elif self.action == "mark":
            require_number("mark depth", self.value, *DEPTH)
        if self.action == "course" and not 1 <= len(self.legs) <= MOST_LEGS:
            raise InvalidValue("course", f"{len(self.legs)} legs", f"1 to {MOST_LEGS} legs")
        if self.action != "course" and self.legs:
            raise InvalidValue("legs", len(self.legs), "legs for a course alone")


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
    trolling_speed: float = TROLLING_SPEED
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
        require_all(self, BOAT_LIMITS)
        if self.engines not in (1, 2):
            raise InvalidValue("engines", self.engines, "1 or 2")

    @property
    def drag_at_trolling(self) -> float:
        """The deceleration a of the speed law, m/s^2, by drag at trolling speed in gear."""
        p = self.exponent
        shape = math.log(2.0) if p == 1.0 else (2.0 ** (p - 1.0) - 1.0) / (p - 1.0)
        return self.trolling_speed * shape / (self.half_time * (1.0 + self.propeller_drag))

    @property
    def fastest(self) -> float:
        """Speed at which drag, out of gear, would be HARDEST, m/s: she is driven no faster."""
        drag = self.drag_at_trolling * (1.0 + self.propeller_drag)
        return float(self.trolling_speed * (HARDEST / drag) ** (1.0 / self.exponent))

    def drivable(self, speed: float) -> bool:
        """Whether she is driven so fast, m/s: to ``fastest``, as it comes back from a file."""
        return speed <= self.fastest * (1.0 + ROUNDED)

    def require_drivable(self, speed: float) -> None:
        """Raise InvalidValue (speed) if she is not."""
        if not self.drivable(speed):
            raise InvalidValue("speed", speed, f"no more than {self.fastest:.3g} m/s {STOPS_SHORT}")

    def drag_rate(self, speed: float) -> float:
        """How much the deceleration by drag grows with speed at a speed, 1/s.

        A propeller out of gear adds as much as ``drag_at_trolling`` leaves out for it.
        """
        p, ref = self.exponent, self.trolling_speed
        extra = 1.0 + self.propeller_drag
        return float(self.drag_at_trolling * extra * p / ref * (max(speed, 0.0) / ref) ** (p - 1.0))

    def surge(
        self, speed: float, set_speed: float, in_gear: bool, drag_at_trolling: float | None = None
    ) -> float:
        """Acceleration through the water, m/s^2.

        ``drag_at_trolling`` may be handed in where it is known.
        """
        p, ref = self.exponent, self.trolling_speed
        extra = 0.0 if in_gear else self.propeller_drag
        drive = (set_speed / ref) ** p
        drag = (max(speed, 0.0) / ref) ** p * (1.0 + extra)
        at_trolling = self.drag_at_trolling if drag_at_trolling is None else drag_at_trolling
        return float(at_trolling * (drive - drag))


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


@dataclass(frozen=True, slots=True)
class Pieces:
    """The boat's motion as cubics between instants ``time`` (n + 1,), s.

    ``speed`` through the water m/s, ``heading`` rad and ``turn`` rad/s are (n, 4): value and rate
    at the beginning of each piece, value and rate at its end; ``drift`` (east, north) m/s is
    added over ground.
    """

    time: Array
    speed: Array
    heading: Array
    turn: Array
    drift: tuple[float, float]


def acceleration_jump(motion: Motion, time: float) -> float:
    """How much the boat's acceleration jumps at a time, m/s^2, along and across together."""
    before, after = motion.at(time - 1e-6), motion.at(time)
    swing = after.turn * after.speed - before.turn * before.speed
    return math.hypot(after.surge - before.surge, swing)


class Motion(Protocol):
    """Anything that can say where the boat is at a time and when it changes."""

    @property
    def made(self) -> float:
        """How far it is worked out already, s."""
        ...

    def at(self, time: float) -> BoatState: ...

    def pieces(self, start: float, end: float) -> Pieces:
        """The motion from ``start`` to ``end``, s, over every break, as cubics."""
        ...

    def next_break(self, time: float) -> float:
        """First instant after ``time`` at which the motion has a kink; inf if none."""
        ...
