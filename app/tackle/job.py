"""How a lure, a line or a boat does on its own: the figures and the curve beside its fields.

No Qt: it is run in a worker process.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from app.common.units import FOOT
from app.gear.tackle_file import LineKind
from physics.answers.sink import free_falls, line_sink_rate
from physics.environment.water import Water
from physics.line.tackle import Lure
from physics.vessel.boat import Boat

Array = NDArray[np.float64]

FALL_SECONDS = 20.0
"""A fall is followed at least this long, and until the deepest of MARKS if that is later."""

LONGEST_FALL = 150.0
"""But no longer than this, s."""

COAST_SECONDS = 40.0

MARKS = (10.0, 20.0, 30.0, 40.0)
"""Depths a fall is timed to, ft."""

SHARES = (0.75, 0.5, 0.25)
"""Shares of the trolling speed a coast-down is timed to."""


@dataclass(frozen=True, slots=True)
class Trial:
    """``kind`` lure, line or boat. ``rate`` m/s it settles to (a boat: 0).

    ``time`` (n,) s, and against it ``value`` (n,): depth fallen from rest, m,
    or a boat's speed through the water out of gear, m/s. ``pitch`` (n,) rad of
    a lure, nose down positive. ``way`` m a boat goes until ``time``'s end.
    """

    kind: str
    rate: float
    time: Array
    value: Array
    pitch: Array
    way: float = 0.0

    def seconds_to(self, value: float) -> float | None:
        """When the curve first comes to a value, s; None if it does not."""
        rising = self.value[-1] > self.value[0]
        past = np.flatnonzero(self.value >= value if rising else self.value <= value)
        if not len(past) or past[0] == 0:
            return None
        k = int(past[0])
        a, b = self.value[k - 1], self.value[k]
        share = (value - a) / (b - a) if b != a else 1.0
        return float(self.time[k - 1] + share * (self.time[k] - self.time[k - 1]))


def trial(thing: LineKind | Lure | Boat, water: Water) -> Trial:
    """Try a thing in still water. Raises InvalidValue, ConvergenceError."""
    if isinstance(thing, Lure):
        (fall,) = free_falls([thing], water, FALL_SECONDS)
        needed = _seconds_to_fall(fall.rate)
        if needed > FALL_SECONDS:
            (fall,) = free_falls([thing], water, needed)
        return Trial("lure", fall.rate, fall.time, fall.depth, fall.pitch)
    if isinstance(thing, LineKind):
        rate = line_sink_rate(thing.section(1.0), water)
        time = np.linspace(0.0, _seconds_to_fall(rate), 41)
        return Trial("line", rate, time, rate * time, np.zeros_like(time))
    return _coast(thing)


def _seconds_to_fall(rate: float) -> float:
    """How long to follow what settles to ``rate`` m/s, s: room for getting under way too."""
    deep = FOOT.to_si(MARKS[-1])
    return min(max(FALL_SECONDS, 1.2 * deep / max(abs(rate), 1e-3)), LONGEST_FALL)


def _coast(boat: Boat) -> Trial:
    """Out of gear from trolling speed: speed against time, and the way she goes."""
    time = np.linspace(0.0, COAST_SECONDS, 161)

    def slope(_: float, state: Array) -> list[float]:
        return [state[1], boat.surge(float(state[1]), 0.0, in_gear=False)]

    start = [0.0, boat.trolling_speed]
    found = solve_ivp(slope, (0.0, COAST_SECONDS), start, t_eval=time, rtol=1e-8, atol=1e-8)
    way, speed = found.y
    return Trial("boat", 0.0, time, speed, np.zeros_like(time), float(way[-1]))
