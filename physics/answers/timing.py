"""How long to wait after the mark and how long to hold, for the whole spread.

The mark is under the transducer at t = 0. The boat goes out of gear after a
wait and in gear after a hold. A lure is worth something while it is within the
mark's depth band, near its place, and lifting: the strike window.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.answers.clearances import clearances
from physics.answers.holds import Responses
from physics.checks import InvalidValue, Limits, require_number
from physics.environment.water import Bottom
from physics.simulation.drop_facts import Turn
from physics.simulation.events import LIFTING
from physics.simulation.scenario import Mark

Array = NDArray[np.float64]
Index = NDArray[np.intp]

FINE = 0.1
"""Spacing at which windows are measured, s."""

STANDING = 1e-4
"""A boat slower than this over ground is in one place for all waits, m/s."""

RADIUS = 8.0
"""How near the mark's place a lure must be, seen from above, m."""

CLEARANCE = 0.6096
"""How far every line is to stay off the bottom, m (2 ft)."""

TOUCH_CHANCE = 0.1
"""How often the steady answer may let a line touch, of all drops."""

RADII = Limits(0.5, 200.0, "m")
CLEARANCES = Limits(0.0, 2000.0, "m")
TOUCH_CHANCES = Limits(0.0, 0.5)
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
        """Strike windows of all lures added up (W, K), s."""
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
    paths = _Paths.of(responses, np.asarray(waits, dtype=float))
    shape = (*responses.lure.shape[:2], len(waits))
    out = {**paths.passed(aim, bottom), **paths.windows(aim)}
    placed = {name: value.reshape(shape).transpose(2, 0, 1) for name, value in out.items()}
    clearance = clearances(responses, waits, bottom)
    return TimingMap(paths.waits, responses.holds, clearance=clearance, **placed)


def lifting_and_clearance(
    responses: Responses, waits: Sequence[float], aim: Aim, bottom: Bottom
) -> tuple[Array, Array]:
    """Of ``timing_map`` what a search needs alone: lifting, s, and clearance, m (W, K, R).

    What comes too near the bottom after every wait is not measured: its lifting is 0.
    """
    low = clearances(responses, waits, bottom)
    clear = (low >= aim.clearance).any(axis=0)
    lifting = np.zeros(low.shape)
    if clear.any():
        some = replace(responses, lure=responses.lure[clear][None])
        lifting[:, clear] = strike_windows(some, waits, aim)[0][:, 0]
    return lifting, low


def strike_windows(
    responses: Responses, waits: Sequence[float], aim: Aim, every: float = FINE
) -> tuple[Array, Array]:
    """Seconds (W, K, R) each lure spends in band and near the mark, lifting and falling.

    Looked at ``every`` s: where many are averaged it need not be so fine.
    """
    found = _Paths.of(responses, np.asarray(waits, dtype=float)).windows(aim, every)
    shape = (*responses.lure.shape[:2], len(waits))
    lifting, falling = (
        found[name].reshape(shape).transpose(2, 0, 1) for name in ("lifting", "falling")
    )
    return lifting, falling


@dataclass(frozen=True, slots=True)
class _Paths:
    """All P paths of lures, from steady tow on, with W waits before them.

    ``x``, ``y``, ``z`` (P, n) m at ``time`` (n,) s; of each the first ``count`` (P,) samples are
    known, and beyond them it stays where it was.

    A path after a wait is as far along the boat's way as she goes in it. Its distance from the
    mark's place as seen from above, squared, is therefore ``ways`` (W, 3) times ``terms``
    (P, 3, n): 1, twice the path times the boat's velocity, and the path squared.
    """

    time: Array
    x: Array
    y: Array
    z: Array
    count: Index
    waits: Array
    boat_velocity: Array
    ways: Array

    @classmethod
    def of(cls, responses: Responses, waits: Array) -> _Paths:
        lure = responses.lure.reshape(-1, *responses.lure.shape[2:])
        count = np.isfinite(lure[..., 2]).sum(axis=1)
        held = np.minimum(np.arange(lure.shape[1]), count[:, None] - 1)
        x, y, z = (np.take_along_axis(lure[..., axis], held, axis=1) for axis in range(3))
        velocity = responses.boat_velocity
        ways = np.stack([float(velocity @ velocity) * waits * waits, waits, np.ones_like(waits)])
        return cls(responses.time, x, y, z, count, waits, velocity, ways.T)

    def _terms(self, x: Array, y: Array) -> Array:
        along = 2.0 * (x * self.boat_velocity[0] + y * self.boat_velocity[1])
        return np.stack([np.ones_like(x), along, x * x + y * y], axis=-2)

    def passed(self, aim: Aim, bottom: Bottom) -> dict[str, Array]:
        """How each passes the mark: (P, W) by the names of TimingMap."""
        x, y, z, waits, (east, north) = self.x, self.y, self.z, self.waits, self.boat_velocity
        terms, below = self._terms(x, y), (z + aim.mark.depth) ** 2
        over, nearest = np.empty((2, len(x), len(waits)), dtype=np.intp)
        for p, count in enumerate(self.count):
            squared = self.ways @ terms[p, :, :count]
            over[p] = squared.argmin(axis=1)
            squared += below[p, :count]
            nearest[p] = squared.argmin(axis=1)
        count = self.count[:, None]
        near, squared = self._turn(terms, over)
        place = near.of(x) + waits * east, near.of(y) + waits * north
        inside, height = near.inside(count), bottom.depth_at(*place) + near.of(z)
        rate = near.slope(z) / (self.time[1] - self.time[0])
        # until out of gear it runs straight on, and may have passed the mark already
        back = -(x[:, 0] * east + y[:, 0] * north) / max(east * east + north * north, 1e-12)
        since = np.clip(back[:, None], 0.0, waits)
        first = x[:, :1] + since * east, y[:, :1] + since * north
        early = first[0] ** 2 + first[1] ** 2
        towed = (since > 0.0) & (since < waits) & (early <= squared)
        terms[:, 2] += below
        miss = np.minimum(self._turn(terms, nearest)[1], early + below[:, :1])
        return {
            "miss": np.sqrt(np.maximum(miss, 0.0)),
            "passing": np.where(
                towed, bottom.depth_at(*first) + z[:, :1], np.where(inside, height, np.nan)
            ),
            "passing_rate": np.where(towed, 0.0, np.where(inside, rate, np.nan)),
        }

    def _turn(self, terms: Array, at: Index) -> tuple[Turn, Array]:
        """Where the least of ways times terms is, near samples (P, W), and how much that is."""
        about = np.maximum(at - 1, 0), at, np.minimum(at + 1, terms.shape[-1] - 1)
        before, here, after = (
            sum(way * np.take_along_axis(term, k, axis=1)
                for way, term in zip(self.ways.T, terms.transpose(1, 0, 2), strict=True))
            for k in about
        )  # fmt: skip
        turn = Turn.through((before, here, after), at, self.count[:, None])
        return turn, turn.of_three((before, here, after))

    def windows(self, aim: Aim, every: float = FINE) -> dict[str, Array]:
        """Seconds each is in the mark's band and near its place (P, W), lifting and falling."""
        fine = np.arange(self.time[0], self.time[-1] + 1e-9, every)
        k = np.clip(np.searchsorted(self.time, fine, side="right") - 1, 0, len(self.time) - 2)
        share = (fine - self.time[k]) / (self.time[k + 1] - self.time[k])
        last = np.searchsorted(fine, self.time[self.count - 1] + 1e-9, side="right") - 1
        # between two samples it goes straight: most of them are far from the band
        high, low = aim.mark.band - aim.mark.depth, -aim.mark.band - aim.mark.depth
        over, under = self.z > high, self.z < low
        outside = (over[:, :-1] & over[:, 1:]) | (under[:, :-1] & under[:, 1:])
        p, at = np.nonzero(~outside[:, k])
        inside = at <= last[p]
        p, at = p[inside], at[inside]

        def placed(axis: Array, where: Index) -> Array:
            first = axis[p, k[where]]
            out: Array = first + share[where] * (axis[p, k[where] + 1] - first)
            return out

        before, after = np.maximum(at - 1, 0), np.minimum(at + 1, last[p])
        rise = placed(self.z, after) - placed(self.z, before)
        rate = rise / (every * np.maximum(after - before, 1))
        inside = np.abs(placed(self.z, at) + aim.mark.depth) <= aim.mark.band
        inside &= np.abs(rate) > LIFTING
        p, at, up = p[inside], at[inside], rate[inside] > 0.0
        first, end = self._near(placed(self.x, at), placed(self.y, at), aim.radius)
        shape = len(self.z), len(self.waits) + 1
        out = {}
        for name, own in (("lifting", up), ("falling", ~up)):
            begun, over_by = (
                np.bincount(p[own] * shape[1] + w[own], minlength=shape[0] * shape[1])
                for w in (first, end)
            )
            out[name] = every * (begun - over_by).reshape(shape).cumsum(axis=1)[:, :-1]
        return out

    def _near(self, x: Array, y: Array, radius: float) -> tuple[Index, Index]:
        """The first wait with which places (n,) come within ``radius`` m of the mark's, and the
        first that is too long again; both the same where none does."""
        velocity = self.boat_velocity
        squared, half = float(velocity @ velocity), x * velocity[0] + y * velocity[1]
        off = x * x + y * y - radius * radius
        if squared < STANDING**2:
            return np.zeros(len(x), dtype=np.intp), np.where(off <= 0.0, len(self.waits), 0)
        root = half * half - squared * off
        reach = np.sqrt(np.maximum(root, 0.0))
        first = np.searchsorted(self.waits, (-half - reach) / squared)
        end = np.searchsorted(self.waits, (-half + reach) / squared, side="right")
        return first, np.where(root >= 0.0, end, first)


@dataclass(frozen=True, slots=True)
class Answer:
    """The wait and hold to use, s, and the strike windows they give.

    ``each_line`` (R,) s of every lure by itself, ``window`` s of all lures added up.
    """

    wait: float
    hold: float
    window: float
    each_line: tuple[float, ...]


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
    each_line = tuple(found.lifting[middle, k].tolist())
    return Answer(
        float(found.waits[middle]), float(found.holds[k]), float(total[middle, k]), each_line
    )


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
