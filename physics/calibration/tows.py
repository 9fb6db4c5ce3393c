"""Lines that are only towed or dropped, many in a batch: how deep their lowest point is.

Leaner than a Run, for fits that ask the same again and again: straight ahead in still water,
nothing kept but the depths asked for, a boat's speed out of a table, and steady tows that
begin from the shape of the last one like it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from physics.calibration.coast import GRID, SpeedTables
from physics.environment.water import Bottom, Water
from physics.line.core.stepper import Singular, Stepper, boat_table
from physics.line.march import ConvergenceError, Marcher, State
from physics.line.mesh import Mesh, Resolution, build_mesh
from physics.line.tackle import Rod
from physics.progress import ProgressCallback, report_progress
from physics.vessel.boat import Boat

Array = NDArray[np.float64]

COARSE = Resolution(16, 2, 1.0)
"""Lines of a fit. Over 2 to 6 m of depth within 0.04 m of lines of 60 + 8 elements, towed and
dropped (measured): a tenth of the error of a sounded depth."""

LOOSE = 0.05
"""Step tolerance of a fit's drops, m; within the same 0.04 m."""

LONG = 2.0
"""Longest step of a fit's drops, s."""

RESTART = 0.25
"""Steps begin again at this after a kink of the boat's motion, s: longer than a Run's, whose
tensions are asked for too."""

LINES = 40
"""Lines stepped together: so many of these fit the cache, and those of one length stay together."""

OUT_OF_REACH = 1500.0
"""Depth of the water, m: what is asked is when a line gets somewhere."""

SLOPE = 0.07
"""Slope of the straight line a first steady tow begins from."""

SETTLING = 0.3
"""Share of the work that finding the steady tow is taken to be."""


@dataclass(frozen=True, slots=True)
class Tow:
    """One line in steady tow at ``speed`` m/s, and perhaps dropped at t = 0.

    With a ``boat`` it goes out of gear then and back in after ``hold`` s (inf: never).
    ``looks`` s, rising, are when the depth is asked for. ``like`` is the rod as assumed:
    tows of the same are alike in shape.
    """

    rod: Rod
    like: Rod
    speed: float
    looks: tuple[float, ...] = (0.0,)
    boat: Boat | None = None
    hold: float = np.inf


@dataclass(slots=True)
class Shapes:
    """Steady tows found so far, from the tip (3, K), m, by rod and speed."""

    known: dict[Rod, dict[float, Array]] = field(default_factory=dict)

    def nearest(self, tow: Tow) -> Array | None:
        """The shape of the same rod at the nearest speed."""
        found = self.known.get(tow.like)
        if not found:
            return None
        return found[min(found, key=lambda speed: abs(speed - tow.speed))]

    def keep(self, tow: Tow, shape: Array) -> None:
        self.known.setdefault(tow.like, {})[tow.speed] = shape


def depths(
    tows: Sequence[Tow], water: Water, shapes: Shapes, progress: ProgressCallback | None = None
) -> list[Array]:
    """Depth, m, of the lowest point of each tow's line and lure at its looks.

    Nothing of ``water`` counts that moves: speeds are through it, an even current carries all
    alike, and how it changed with depth on the day of a row nobody wrote down. Raises
    ConvergenceError, Cancelled.
    """
    still = water.still(Bottom.level(OUT_OF_REACH))
    out: list[Array] = [np.zeros(0)] * len(tows)
    # lines that are followed alike long keep each other company
    order = sorted(range(len(tows)), key=lambda i: tows[i].looks[-1])
    tables = SpeedTables(max((tow.looks[-1] for tow in tows), default=0.0), still)
    for first in range(0, len(order), LINES):
        chosen = order[first : first + LINES]
        begin, end = first / len(order), (first + len(chosen)) / len(order)
        batch = _Batch([tows[i] for i in chosen], still, shapes, tables)
        report_progress(progress, begin)
        batch.settle()
        middle = begin + SETTLING * (end - begin)
        report_progress(progress, middle)
        for share in batch.drop():
            report_progress(progress, middle + (end - middle) * share)
        for i, found in zip(chosen, batch.found, strict=True):
            out[i] = np.array(found)
    return out


class _Batch:
    """Some tows side by side."""

    def __init__(
        self, tows: Sequence[Tow], water: Water, shapes: Shapes, tables: SpeedTables
    ) -> None:
        self._tows, self._shapes = tows, shapes
        self.mesh: Mesh = build_mesh([(tow.rod, water) for tow in tows], COARSE)
        self.found: list[list[float]] = [[] for _ in tows]
        self._grid = tables.time
        self._speeds = np.empty((len(tows), len(self._grid)))
        self._stops: list[list[tuple[float, bool]]] = []
        for k, tow in enumerate(tows):
            self._speeds[k], breaks = tables.of(tow.boat, tow.speed, tow.hold)
            stops = [(t, True) for t in tow.looks]
            stops += [(t, False) for t in breaks if t < tow.looks[-1]]
            self._stops.append(sorted(stops, reverse=True))
        self._marcher = Marcher(self.mesh, self.mesh.first, self._drive, LOOSE, LONG)
        self._longest = max(*(tow.looks[-1] for tow in tows), 1e-9)

    def _drive(self, time: Array) -> Array:
        """Velocity of every tip (3, L): north."""
        place = np.clip(time / GRID, 0.0, len(self._grid) - 1.001)
        at = place.astype(np.intp)
        lines = np.arange(len(time))
        below, above = self._speeds[lines, at], self._speeds[lines, at + 1]
        out = np.zeros((3, len(time)))
        out[1] = below + (place - at) * (above - below)
        return out

    def settle(self) -> None:
        """Find the steady tow of every line."""
        mesh = self.mesh
        r, v = np.zeros((3, mesh.nodes)), np.zeros((3, mesh.nodes))
        for k, tow in enumerate(self._tows):
            span = slice(mesh.first[k], mesh.last[k] + 1)
            v[1, span] = tow.speed
            shape = self._shapes.nearest(tow)
            if shape is None:
                out = np.concatenate([[0.0], np.cumsum(mesh.length[mesh.first[k] : mesh.last[k]])])
                r[1, span], r[2, span] = -out * np.sqrt(1.0 - SLOPE**2), -out * SLOPE
            else:
                r[:, span] = shape
            r[2, span] += tow.rod.height
        state = self._marcher.settle(r, v)
        for k, tow in enumerate(self._tows):
            span = slice(mesh.first[k], mesh.last[k] + 1)
            tip = state.position[:, mesh.first[k]]
            self._shapes.keep(tow, state.position[:, span] - tip[:, None])
            if tow.boat is not None:
                state.step[k] = RESTART
        self._note(state)
        self._start = state

    def drop(self) -> Iterator[float]:
        """Follow every line as long as it is looked at; the share of that, as it goes."""
        if self._marcher.compiled is not None:
            for k in range(len(self._tows)):
                self._follow(self._marcher.compiled, k)
                yield (k + 1) / len(self._tows)
            return
        state = self._start
        while any(self._stops):
            limit = state.time.copy()
            for k, stops in enumerate(self._stops):
                if stops:
                    limit[k] = stops[-1][0]
            state, _ = self._marcher.round(state, limit)
            self._note(state)
            waiting = [float(t) for t, stops in zip(state.time, self._stops, strict=True) if stops]
            yield min(waiting, default=self._longest) / self._longest

    def _follow(self, stepper: Stepper, k: int) -> None:
        """One line with the compiled stepper, from stop to stop."""
        after: dict[float, float] = {}
        for time, asked in reversed(self._stops[k]):
            after[time] = min(after.get(time, np.inf), np.inf if asked else RESTART)
        if not after:
            return
        rise = np.diff(self._speeds[k]) / GRID
        speed = np.stack([self._speeds[k, :-1], rise, self._speeds[k, 1:], rise], axis=1)
        ahead = np.zeros_like(speed)
        boat = boat_table(
            self._grid, speed, ahead, ahead, (0.0, 0.0), tuple(after), tuple(after.values())
        )
        mesh, start = self.mesh, self._start
        span = slice(mesh.first[k], mesh.last[k] + 1)
        rows = [row[:, span] for row in (start.position, start.velocity, start.accel, start.jerk)]
        try:
            times, states = stepper.march_on(
                k, boat, np.array(rows), 0.0, float(start.step[k]), max(after), LOOSE, LONG
            )
        except Singular as error:
            raise ConvergenceError(f"line {k} found no solution at {error.time:.3f} s") from None
        looks = [time for time, asked in reversed(self._stops[k]) if asked]
        at = np.searchsorted(times, np.array(looks) - 1e-9)
        self.found[k] += (-states[at, 0, 2].min(axis=1)).tolist()

    def _note(self, state: State) -> None:
        """Take down the depths of lines that stand where they are asked for."""
        mesh = self.mesh
        for k, stops in enumerate(self._stops):
            while stops and state.time[k] >= stops[-1][0] - 1e-9:
                _, asked = stops.pop()
                if asked:
                    z = state.position[2, mesh.first[k] : mesh.last[k] + 1]
                    self.found[k].append(-float(z.min()))
                else:
                    state.step[k] = min(state.step[k], RESTART)
