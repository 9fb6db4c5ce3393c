"""What a run did: arrays against time, read-only, and the values between steps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.line.handling import Handling
from physics.line.tackle import Rod
from physics.line.tip_tension import TipTension
from physics.simulation.scenario import Scenario
from physics.vessel.helm import HelmTrack
from physics.vessel.motion import TableTrack

Array = NDArray[np.float64]
Index = NDArray[np.intp]


class LineRecord:
    """One line's accepted steps.

    ``time`` (n,) s; ``state`` three of (n, 3, K), ``position``, ``velocity`` and ``accel``, m
    over ground and SI, nodes K-2 and K-1 the lure's eye and tail, node ``tips`` (n,) at
    the rod tip: 0, unless line waits on the reel above it. ``handled`` says what was
    done to the line meanwhile, if anything. Between steps everything follows the
    cubic of positions and velocities at both ends.
    """

    def __init__(
        self,
        rod: Rod,
        time: Array,
        state: Sequence[Array],
        handled: Handling | None = None,
        tips: Index | None = None,
    ) -> None:
        self.rod, self.handled = rod, handled
        self.tips = np.zeros(len(time), dtype=np.intp) if tips is None else tips
        self.time, self.state = time, tuple(state)
        self.position, self.velocity, self.accel = self.state
        for array in (time, *self.state):
            array.flags.writeable = False

    @cached_property
    def lure(self) -> scipy.interpolate.PPoly:
        """Middle of the lure, t -> (3,) m over ground."""
        return self._spline(0.5 * (self.position[:, :, -2] + self.position[:, :, -1]),
                            0.5 * (self.velocity[:, :, -2] + self.velocity[:, :, -1]))  # fmt: skip

    @cached_property
    def lure_velocity(self) -> scipy.interpolate.PPoly:
        """Velocity of the middle of the lure, t -> (3,) m/s over ground."""
        return self.lure.derivative()

    @cached_property
    def nodes(self) -> scipy.interpolate.PPoly:
        """All nodes, t -> (3, K) m over ground."""
        return self._spline(self.position, self.velocity)

    def line_out(self, times: Array) -> Array:
        """Line between tip and leader at times (n,), m."""
        if self.handled is None:
            return np.full(len(times), self.rod.line_out - self.rod.sections[-1].length)
        return np.array([self.handled.line_out(float(time))[0] for time in times])

    def _spline(self, value: Array, slope: Array) -> scipy.interpolate.PPoly:
        """The cubics with values and slopes (n, ...) at all steps, straight on from a single one.

        CubicHermiteSpline makes the same, but spends longer on looking at what it is given than
        a line of a batch takes to step.
        """
        if len(self.time) == 1:
            time = np.array([self.time[0], self.time[0] + 1.0])
            still = np.zeros_like(slope)
            return scipy.interpolate.PPoly.construct_fast(
                np.stack([still, still, slope, value]), time
            )
        h = np.diff(self.time).reshape(-1, *[1] * (value.ndim - 1))
        rise = np.diff(value, axis=0) / h
        bend = (slope[:-1] + slope[1:] - 2.0 * rise) / h
        rows = np.stack([bend / h, (rise - slope[:-1]) / h - bend, slope[:-1], value[:-1]])
        return scipy.interpolate.PPoly.construct_fast(rows, self.time)


class Trajectory:
    """The past of one scenario: its boat, and a LineRecord per rod.

    ``tip_tension`` works tensions out, of lines that it knows by ``numbers``.
    """

    def __init__(
        self,
        scenario: Scenario,
        track: HelmTrack | TableTrack,
        lines: tuple[LineRecord, ...],
        tip_tension: TipTension,
        numbers: Sequence[int],
    ) -> None:
        self.scenario, self.track, self.lines = scenario, track, lines
        self._tip_tension, self._numbers = tip_tension, numbers

    @property
    def start(self) -> float:
        """First time all lines know, s."""
        return float(max(line.time[0] for line in self.lines))

    @property
    def end(self) -> float:
        """Last time all lines know, s."""
        return float(min(line.time[-1] for line in self.lines))

    def rod_number(self, name: str) -> int:
        """Which line a rod's name stands for. Raises KeyError."""
        for number, line in enumerate(self.lines):
            if line.rod.name == name:
                return number
        raise KeyError(name)

    def depth(self, number: int, times: Array) -> Array:
        """Depth of one rod's lure at times (n,), m."""
        out: Array = -self.lines[number].lure(times)[..., 2]
        return out

    def height(self, number: int, times: Array) -> Array:
        """Height of one rod's lure over the bottom under it at times (n,), m."""
        place = self.lines[number].lure(times)
        ground = self.scenario.water.bottom.depth_at(place[..., 0], place[..., 1])
        out: Array = ground + place[..., 2]
        return out

    def astern(self, number: int, times: Array) -> Array:
        """Distance of one rod's lure behind the sounder along the heading, m (n,)."""
        place = self.lines[number].lure(times)
        out = np.empty(len(times))
        for i, time in enumerate(times):
            boat = self.track.at(float(time))
            ahead = np.sin(boat.heading), np.cos(boat.heading)
            out[i] = (boat.x - place[i, 0]) * ahead[0] + (boat.y - place[i, 1]) * ahead[1]
        return out

    def run_depth(self, number: int) -> float:
        """Depth of one rod's lure in the steady tow at the start, m."""
        return float(self.depth(number, np.array([self.lines[number].time[0]]))[0])

    @cached_property
    def _tension(self) -> list[scipy.interpolate.PPoly]:
        out = []
        for number, line in zip(self._numbers, self.lines, strict=True):
            tension = self._tip_tension.of(number, line.time, line.tips, line.state)
            out.append(self._between_kinks(line.time, tension, line.handled))
        return out

    def _between_kinks(
        self, time: Array, value: Array, handled: Handling | None
    ) -> scipy.interpolate.PPoly:
        """Monotone cubics through values, a new one at each kink of the boat's motion."""
        if len(time) == 1:
            return scipy.interpolate.PPoly(
                np.array([[value[0]]]), np.array([time[0], time[0] + 1.0])
            )
        cuts, at = [0], float(time[0])
        breaks = []
        while (at := self.track.next_break(at)) < time[-1]:
            breaks.append(at)
        if handled is not None:
            breaks += [at for at in handled.breaks if time[0] < at < time[-1]]
        cuts += [int(np.argmin(np.abs(time - at))) for at in breaks]
        cuts = sorted({*cuts, len(time) - 1})
        pieces = []
        for a, b in pairwise(cuts):
            x, y = time[a : b + 1], value[a : b + 1]
            if len(x) > 2:
                pieces.append(scipy.interpolate.PchipInterpolator(x, y).c)
            else:
                rise = (y[1] - y[0]) / (x[1] - x[0])
                pieces.append(np.array([[0.0], [0.0], [rise], [y[0]]]))
        return scipy.interpolate.PPoly(np.concatenate(pieces, axis=1), time)

    def tension(self, number: int, times: Array) -> Array:
        """Tension of one line at its rod tip at times (n,), N."""
        out: Array = self._tension[number](times)
        return out


@dataclass(frozen=True, slots=True)
class Sampled:
    """A trajectory on a regular grid, for tables and plots; arrays (n,) or (rods, n)."""

    time: Array
    boat_speed: Array
    in_gear: NDArray[np.bool_]
    depth: Array
    astern: Array
    height: Array
    tension: Array


def sample(trajectory: Trajectory, step: float, until: float | None = None) -> Sampled:
    """Values every ``step`` s from the start to the end (or ``until``)."""
    end = trajectory.end if until is None else until
    count = int(np.floor((end - trajectory.start) / step + 1e-9)) + 1
    times: Array = trajectory.start + step * np.arange(count, dtype=np.float64)
    boats = [trajectory.track.at(float(t)) for t in times]
    rods = range(len(trajectory.lines))
    return Sampled(
        times,
        np.array([boat.speed for boat in boats]),
        np.array([boat.in_gear for boat in boats]),
        np.array([trajectory.depth(k, times) for k in rods]),
        np.array([trajectory.astern(k, times) for k in rods]),
        np.array([trajectory.height(k, times) for k in rods]),
        np.array([trajectory.tension(k, times) for k in rods]),
    )
