"""The accepted steps of one line, and what lay between two of them."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from physics.line.handling import STACK
from physics.line.march import SLIVER

Array = NDArray[np.float64]

FULL = 300.0
"""All steps of the last so many seconds are kept as they were taken."""

BLOCK = 32
"""Older steps are thinned so many at a time."""

STEP_BYTES = 96
"""What a step of one node takes: place, velocity, acceleration and jerk."""

SAME, SAME_ACCEL = 1e-4, 2e-3
"""A step goes if without it no node is elsewhere by more, m, nor accelerates otherwise, m/s^2."""


@dataclass(slots=True)
class Past:
    """Accepted steps of one line; each array is (3, K) for its K nodes.

    ``tip`` is the number of the node at the rod tip; ``reach`` s how far the attempts went that
    led to a step, those that came to nothing included. Steps older than FULL are
    thinned (a steady tow is few long cubics as well as many short ones), and
    forgotten when older than ``keep`` s. The jerk only helps the next step's
    first guess, so of thinned steps it is nought.
    """

    time: list[float] = field(default_factory=list)
    step: list[float] = field(default_factory=list)
    position: list[Array] = field(default_factory=list)
    velocity: list[Array] = field(default_factory=list)
    accel: list[Array] = field(default_factory=list)
    jerk: list[Array] = field(default_factory=list)
    tip: list[int] = field(default_factory=list)
    reach: list[float] = field(default_factory=list)
    keep: float = math.inf
    thinned: int = 0

    def add(
        self, time: float, step: float, rows: Sequence[Array] | Array, tip: int, reach: float
    ) -> None:
        """One more step, with position, velocity, acceleration and jerk (4, 3, K)."""
        self.time.append(time)
        self.step.append(step)
        for kept, row in zip(self._rows, rows, strict=True):
            kept.append(row)
        self.tip.append(tip)
        self.reach.append(reach)
        self.age()

    def replace_last(self, rows: Sequence[Array] | Array, tip: int) -> None:
        """The last step with other nodes on the reel."""
        for kept, row in zip(self._rows, rows, strict=True):
            kept[-1] = row
        self.tip[-1] = tip

    @property
    def _rows(self) -> tuple[list[Array], ...]:
        return self.position, self.velocity, self.accel, self.jerk

    def age(self) -> None:
        """Thin and forget what is old enough, a block at a time."""
        first, last = self.thinned, self.thinned + BLOCK
        if len(self.time) <= last or self.time[last] > self.time[-1] - FULL:
            return
        kept = [first]
        while kept[-1] < last:
            at = last
            while at > kept[-1] + 1 and not self._same(kept[-1], at):
                at -= max(1, (at - kept[-1]) // 2)
            kept.append(at)
        nought = np.zeros_like(self.jerk[first])
        self.jerk[first:last] = [nought] * BLOCK
        gone = set(range(first, last)) - set(kept)
        self._leave_out(gone)
        self.thinned = last - len(gone)
        old = bisect_left(self.time, self.time[-1] - self.keep, hi=self.thinned)
        if old > BLOCK:
            self._leave_out(set(range(old)))
            self.thinned -= old

    def _leave_out(self, gone: set[int]) -> None:
        end = max(gone, default=-1) + 1
        rows: tuple[list[Any], ...] = (self.time, self.step, self.position, self.velocity,
                                       self.accel, self.jerk, self.tip, self.reach)  # fmt: skip
        for row in rows:
            row[:end] = [one for j, one in enumerate(row[:end]) if j not in gone]

    def _same(self, a: int, b: int) -> bool:
        """Whether the cubic from step a to step b tells of those between them too."""
        if len(set(self.tip[a : b + 1])) > 1:
            return False
        inner = slice(a + 1, b)
        h = self.time[b] - self.time[a]
        x = ((np.array(self.time[inner]) - self.time[a]) / h)[:, None, None]
        r0, r1, v0, v1 = self.position[a], self.position[b], self.velocity[a], self.velocity[b]
        s, t = x * x * (3.0 - 2.0 * x), x * (1.0 - x)
        r = (1.0 - s) * r0 + s * r1 + (h * t) * ((1.0 - x) * v0 - x * v1)
        if np.abs(r - np.array(self.position[inner])).max() > SAME:
            return False
        accel = (1.0 - x) * self.accel[a] + x * self.accel[b]
        return bool(np.abs(accel - np.array(self.accel[inner])).max() <= SAME_ACCEL)

    def until(self, time: float) -> Past:
        """The steps that end no later than ``time``; always the first."""
        return self._first(bisect_right(self.time, time + 1e-9))

    def before(self, time: float) -> Past:
        """The steps that are the same whatever is ordered for ``time``; always the first.

        A step is taken anew if any attempt at it went as far as that instant, or so near that
        the stepper would have stretched it to end there.
        """
        for count in range(1, len(self.time)):
            reach, start = self.reach[count], self.time[count - 1]
            if time - reach <= max(SLIVER * (reach - start), 1e-9):
                return self._first(count)
        return self._first(len(self.time))

    def since(self, time: float) -> Past:
        """The steps from the last one that ends no later than ``time``; always the last."""
        count = bisect_right(self.time, time + 1e-9)
        return self.tail(len(self.time) - max(count - 1, 0))

    def respooled(self, more: int) -> Past:
        """The line with ``more`` nodes on its reel all along, or fewer: they never came out."""
        if more == 0:
            return self
        rows = (self.position, self.velocity, self.accel, self.jerk)
        position, velocity, accel, jerk = (
            [_respooled(step, more, apart) for step in row]
            for row, apart in zip(rows, (STACK, 0.0, 0.0, 0.0), strict=True)
        )
        tip = [tip + more for tip in self.tip]
        return replace(self, position=position, velocity=velocity, accel=accel, jerk=jerk, tip=tip)

    def index(self, time: float) -> int:
        """Number j of the step that ends at or beyond ``time``; the last one if none does."""
        j = len(self.time) - 1
        while j > 1 and self.time[j - 1] > time:
            j -= 1
        return j

    def tail(self, count: int = 1) -> Past:
        """A past that knows only this one's last steps."""
        return self._part(max(len(self.time) - count, 0), len(self.time))

    def _first(self, count: int) -> Past:
        return self._part(0, max(count, 1))

    def _part(self, first: int, end: int) -> Past:
        names = ("time", "step", "position", "velocity", "accel", "jerk", "tip", "reach")
        parts = {name: getattr(self, name)[first:end] for name in names}
        thinned = min(max(self.thinned - first, 0), max(end - first - 1, 0))
        return replace(self, **parts, thinned=thinned)


def stack(tip: Array, count: int, apart: float = STACK) -> Array:
    """(3, count) columns like the one at the rod tip, the last ``apart`` m above it."""
    out = np.repeat(tip[:, None], count, axis=1)
    out[2] += apart * np.arange(count, 0, -1)
    return out


def _respooled(row: Array, more: int, apart: float) -> Array:
    if more < 0:
        return row[:, -more:]
    return np.concatenate([stack(row[:, 0], more, apart), row], axis=1)


def hermite(past: Past, j: int, time: float) -> tuple[Array, Array]:
    """Position and velocity of the nodes on the cubic between steps j - 1 and j.

    With no step before the first, straight on from it.
    """
    if j == 0:
        v = past.velocity[0]
        return past.position[0] + (time - past.time[0]) * v, v
    r0, r1 = past.position[j - 1], past.position[j]
    v0, v1 = past.velocity[j - 1], past.velocity[j]
    t0, h = past.time[j - 1], past.time[j] - past.time[j - 1]
    x = (time - t0) / h
    a, b = x * x * (3.0 - 2.0 * x), x * (1.0 - x)
    r = (1.0 - a) * r0 + a * r1
    r += (h * b) * ((1.0 - x) * v0 - x * v1)
    v = (6.0 * b / h) * (r1 - r0)
    v += (1.0 - x) * (1.0 - 3.0 * x) * v0 + x * (3.0 * x - 2.0) * v1
    return r, v
