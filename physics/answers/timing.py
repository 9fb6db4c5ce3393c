"""How long to wait after the mark and how long to hold, for the whole spread.

The mark is under the transducer at t = 0. The boat goes out of gear after a
wait and in gear after a hold. A lure is worth something while it is within the
mark's depth band, near its place, and lifting: the strike window.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.answers.holds import Responses
from physics.checks import InvalidValue, Limits, require_number
from physics.environment.water import Bottom
from physics.simulation.drop_facts import Turn
from physics.simulation.events import LIFTING
from physics.simulation.scenario import Mark

Array = NDArray[np.float64]

FINE = 0.1
"""Spacing at which windows are measured, s."""

RADIUS = 8.0
"""How near the mark's place a lure must be, seen from above, m."""

CLEARANCE = 0.6096
"""How far every line is to stay off the bottom, m (2 ft)."""

RADII = Limits(0.5, 200.0, "m")
CLEARANCES = Limits(0.0, 2000.0, "m")
"""Least and largest that make any sense."""


@dataclass(frozen=True, slots=True)
class Aim:
    """What is wanted: the ``mark``, how near its place (``radius`` m), and the
    ``clearance`` m that every line must keep off the bottom."""

    mark: Mark
    radius: float = RADIUS
    clearance: float = CLEARANCE

    def check(self, bottom: Bottom) -> None:
        """Raise InvalidValue (radius, clearance, mark depth) where the ground does not allow it."""
        require_number("radius", self.radius, *RADII)
        require_number("clearance", self.clearance, *CLEARANCES)
        if self.clearance >= bottom.shallowest:
            raise InvalidValue(
                "clearance", self.clearance, f"less than the water is deep, {bottom.shallowest:g} m"
            )
        if self.mark.depth > bottom.deepest:
            raise InvalidValue(
                "mark depth", self.mark.depth, f"no deeper than the bottom, {bottom.deepest:g} m"
            )


@dataclass(frozen=True, slots=True)
class TimingMap:
    """Every wait and hold: W waits, K holds, R rods.

    ``lifting`` and ``falling`` (W, K, R) seconds each lure spends in band and
    near the mark while lifting, or falling; ``clearance`` (W, K, R) least
    height of lure or line off the bottom from out of gear on, m; ``miss``
    (W, K, R) closest approach to the mark in three dimensions, m; ``passing``
    (W, K, R) height off bottom when passing the mark's place, m (NaN if it
    never comes by), and ``passing_rate`` its vertical speed then, m/s. The last
    three are told from the mark on: the wait is in steady tow.
    """

    waits: Array
    holds: Array
    lifting: Array
    falling: Array
    clearance: Array
    miss: Array
    passing: Array
    passing_rate: Array

    @property
    def total(self) -> Array:
        """Strike window of the whole spread (W, K), s."""
        out: Array = self.lifting.sum(axis=2)
        return out

    def allowed(self, clearance: float) -> NDArray[np.bool_]:
        """Where (W, K) no line comes nearer the bottom than ``clearance`` m."""
        out: NDArray[np.bool_] = self.clearance.min(axis=2) >= clearance
        return out


def timing_map(responses: Responses, waits: Sequence[float], aim: Aim, bottom: Bottom) -> TimingMap:
    """Place each response for each wait, and measure it against mark and bottom.

    ``bottom`` may be a profile with its origin at the mark's place; where a
    line would touch it, the clearance is negative or zero and the rest of that
    entry is only what would have been over deeper water.
    """
    waits_ = np.asarray(waits, dtype=float)
    shape = (len(waits_), len(responses.holds), responses.lure.shape[1])
    names = ("lifting", "falling", "clearance", "miss", "passing", "passing_rate")
    out = {name: np.full(shape, np.nan) for name in names}
    for k in range(shape[1]):
        for r in range(shape[2]):
            known = np.isfinite(responses.lure[k, r, :, 2])
            path = _Path(responses.time[known], responses.lure[k, r, known].T)
            found = path.past(waits_, responses.boat_velocity, aim, bottom)
            found["clearance"] = _clearance(
                responses.low[k, r, known], waits_, responses.boat_velocity, bottom
            )
            for name, value in found.items():
                out[name][:, k, r] = value
    return TimingMap(waits_, responses.holds, **out)


@dataclass(frozen=True, slots=True)
class _Path:
    """One lure's path (3, n), m, at ``time`` (n,), s, from steady tow on."""

    time: Array
    lure: Array

    def past(
        self, waits: Array, boat_velocity: Array, aim: Aim, bottom: Bottom
    ) -> dict[str, Array]:
        """How it passes the mark after each of W waits: (W,) by the names of TimingMap."""
        x, y, z = self.lure
        squared = _squared(self.lure, waits, boat_velocity)
        near = Turn.near(squared, squared.argmin(axis=1))
        place = near.of(x) + waits * boat_velocity[0], near.of(y) + waits * boat_velocity[1]
        inside, height = near.inside(len(z)), bottom.depth_at(*place) + near.of(z)
        rate = near.slope(z) / (self.time[1] - self.time[0])
        # until out of gear it runs straight on, and may have passed the mark already
        back = -float(self.lure[:2, 0] @ boat_velocity) / max(
            float(boat_velocity @ boat_velocity), 1e-12
        )
        since = np.clip(back, 0.0, waits)
        first = x[0] + since * boat_velocity[0], y[0] + since * boat_velocity[1]
        early = first[0] ** 2 + first[1] ** 2
        towed = (since > 0.0) & (since < waits) & (early <= near.of(squared))
        ground = bottom.depth_at(*first)
        below = -z - aim.mark.depth
        squared += below * below
        miss = Turn.near(squared, squared.argmin(axis=1)).of(squared)
        miss = np.minimum(miss, early + below[0] ** 2)
        return {
            **self._windows(waits, boat_velocity, aim),
            "miss": np.sqrt(np.maximum(miss, 0.0)),
            "passing": np.where(towed, ground + z[0], np.where(inside, height, np.nan)),
            "passing_rate": np.where(towed, 0.0, np.where(inside, rate, np.nan)),
        }

    def _windows(self, waits: Array, boat_velocity: Array, aim: Aim) -> dict[str, Array]:
        """Seconds in the mark's band and near its place, lifting and falling (W,)."""
        time = np.arange(self.time[0], self.time[-1] + 1e-9, FINE)
        lure = np.stack([np.interp(time, self.time, axis) for axis in self.lure])
        rate, in_band = np.gradient(lure[2], FINE), np.abs(-lure[2] - aim.mark.depth)
        out = {}
        for name, moving in (("lifting", rate > LIFTING), ("falling", rate < -LIFTING)):
            inside = lure[:, moving & (in_band <= aim.mark.band)]
            near = _squared(inside, waits, boat_velocity) <= aim.radius**2
            out[name] = FINE * near.sum(axis=1)
        return out


def _squared(lure: Array, waits: Array, boat_velocity: Array) -> Array:
    """Distance from the mark's place seen from above, squared (W, n), m2: as the wait, squared."""
    x, y, _ = lure
    out: Array = waits[:, None] * (2.0 * (x * boat_velocity[0] + y * boat_velocity[1]))
    out += x * x + y * y
    out += (float(boat_velocity @ boat_velocity) * waits * waits)[:, None]
    return out


def _clearance(low: Array, waits: Array, boat_velocity: Array, bottom: Bottom) -> Array:
    """Least height of the lowest points (n, 3) off the bottom after each wait (W,), m."""
    if bottom.is_level:
        return np.full(len(waits), bottom.shallowest + low[:, 2].min())
    shift = waits[:, None] * boat_velocity
    ground = bottom.depth_at(low[None, :, 0] + shift[:, :1], low[None, :, 1] + shift[:, 1:])
    out: Array = (ground + low[:, 2]).min(axis=1)
    return out


@dataclass(frozen=True, slots=True)
class Answer:
    """The wait and hold to use, s, and the strike window they give the spread, s."""

    wait: float
    hold: float
    window: float


def best(found: TimingMap, clearance: float, *, wait: float | None = None) -> Answer | None:
    """The wait and hold with the longest total window that keep the clearance.

    Among equals the shortest hold, then the middle of the waits that serve.
    With ``wait`` given only that row is looked at (already out of gear: wait
    0). None if nothing allowed has any window at all.
    """
    total = np.where(found.allowed(clearance), found.total, -1.0)
    if wait is not None:
        row = int(np.abs(found.waits - wait).argmin())
        keep = np.zeros_like(total, dtype=bool)
        keep[row] = True
        total = np.where(keep, total, -1.0)
    top = float(total.max())
    if top <= 0.0:
        return None
    near = total >= top - FINE - 1e-9
    k = int(np.flatnonzero(near.any(axis=0))[0])
    rows = np.flatnonzero(near[:, k])
    middle = rows[len(rows) // 2]
    return Answer(float(found.waits[middle]), float(found.holds[k]), float(total[middle, k]))


def hold_for_clearance(found: TimingMap, rod: int, clearance: float) -> float | None:
    """Shortest hold, s, that brings one rod's lure or line within ``clearance`` m of bottom.

    From the level-bottom clearances of the map's holds, by monotone cubics;
    None if the longest hold does not.
    """
    return shortest_hold(found.holds, found.clearance[0, :, rod], clearance)


def shortest_hold(holds: Array, least: Array, clearance: float) -> float | None:
    """Shortest hold, s, whose least height (K,) m comes down to ``clearance`` m.

    ``holds`` (K,) s rise; None if the longest does not.
    """
    least = np.minimum.accumulate(least)
    if least[0] <= clearance:
        return float(holds[0])
    if least[-1] > clearance:
        return None
    curve = scipy.interpolate.PchipInterpolator(holds, least - clearance)
    k = int(np.flatnonzero(least <= clearance)[0])
    if least[k] == clearance:
        return float(holds[k])
    low, high = float(holds[k - 1]), float(holds[k])
    return float(scipy.optimize.brentq(lambda h: float(curve(h)), low, high, xtol=1e-3))
