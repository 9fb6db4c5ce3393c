"""The accepted steps of one line, and what lay between two of them."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from physics.line.handling import STACK
from physics.line.march import SLIVER

Array = NDArray[np.float64]

FULL = 300.0
"""All steps of the last so many seconds are kept as they were taken, unless they are more than may
be kept at all."""

BLOCK = 32
"""Older steps are thinned so many at a time."""

STEP_BYTES = 96
"""What a step of one node takes: place, velocity, acceleration and jerk."""

SAME, SAME_ACCEL = 1e-4, 2e-3
"""A step goes if without it no node is elsewhere by more, m, nor accelerates otherwise, m/s^2."""


POSITION, VELOCITY, ACCEL, JERK = range(4)
"""Rows of a state."""


@dataclass(slots=True)
class Past:
    """Accepted steps of one line, each a ``state`` (4, 3, K) of its K nodes: position, velocity,
    acceleration and jerk.

    ``tip`` is the number of the node at the rod tip; ``reach`` s how far the attempts went that
    led to a step, those that came to nothing included. Steps older than FULL are
    thinned (a steady tow is few long cubics as well as many short ones), and
    forgotten when older than ``keep`` s, or where there are more than one for each of those
    seconds. The jerk only helps the next step's first guess, so of thinned steps it is nought.
    """

    time: list[float] = field(default_factory=list)
    step: list[float] = field(default_factory=list)
    state: list[Array] = field(default_factory=list)
    tip: list[int] = field(default_factory=list)
    reach: list[float] = field(default_factory=list)
    keep: float = math.inf
    thinned: int = 0

    def add(self, time: Array, step: Array, state: Array, tip: int, reach: Array) -> None:
        """More steps: times, steps to try next and reaches (n,), states (n, 4, 3, K).

        ``state`` is this line's own: it is kept, not copied.
        """
        self.time += time.tolist()
        self.step += step.tolist()
        self.state.extend(state)
        self.tip += [tip] * len(time)
        self.reach += reach.tolist()
        while self._age():
            pass

    def replace_last(self, state: Array, tip: int) -> None:
        """The last step with other nodes on the reel."""
        self.state[-1], self.tip[-1] = state, tip

    def _age(self) -> bool:
        """Thin and forget what is old enough, a block at a time; whether there was any."""
        first, last = self.thinned, self.thinned + BLOCK
        if len(self.time) <= last:
            return False
        if self.time[last] > self.time[-1] - FULL and len(self.time) - last <= self.keep:
            return False
        kept = [first]
        while kept[-1] < last:
            at = last
            while at > kept[-1] + 1 and not self._same(kept[-1], at):
                at -= max(1, (at - kept[-1]) // 2)
            kept.append(at)
        for at in kept[:-1]:
            # a copy: a view would keep the steps alive that go
            self.state[at] = self.state[at].copy()
            self.state[at][JERK] = 0.0
        gone = set(range(first, last)) - set(kept)
        self._leave_out(gone)
        self.thinned = last - len(gone)
        old = bisect_left(self.time, self.time[-1] - self.keep, hi=self.thinned)
        if len(self.time) - self.keep > old:
            # many short steps: a helm that is never still
            old = min(len(self.time) - int(self.keep), self.thinned)
        if old > BLOCK:
            self._leave_out(set(range(old)))
            self.thinned -= old
        return True

    def _leave_out(self, gone: set[int]) -> None:
        end = max(gone, default=-1) + 1
        rows: tuple[list[Any], ...] = (self.time, self.step, self.state, self.tip, self.reach)
        for row in rows:
            row[:end] = [one for j, one in enumerate(row[:end]) if j not in gone]

    def _same(self, a: int, b: int) -> bool:
        """Whether the cubic from step a to step b tells of those between them too."""
        if len(set(self.tip[a : b + 1])) > 1:
            return False
        inner = slice(a + 1, b)
        h = self.time[b] - self.time[a]
        x = ((np.array(self.time[inner]) - self.time[a]) / h)[:, None, None]
        (r0, v0, a0, _), (r1, v1, a1, _) = self.state[a], self.state[b]
        between = np.array([state[: ACCEL + 1] for state in self.state[inner]])
        s, t = x * x * (3.0 - 2.0 * x), x * (1.0 - x)
        r = (1.0 - s) * r0 + s * r1 + (h * t) * ((1.0 - x) * v0 - x * v1)
        if np.abs(r - between[:, POSITION]).max() > SAME:
            return False
        accel = (1.0 - x) * a0 + x * a1
        return bool(np.abs(accel - between[:, ACCEL]).max() <= SAME_ACCEL)

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
        apart = (STACK, 0.0, 0.0, 0.0)
        state = [
            np.array([_respooled(row, more, d) for row, d in zip(rows, apart, strict=True)])
            for rows in self.state
        ]
        return replace(self, state=state, tip=[tip + more for tip in self.tip])

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
        names = ("time", "step", "state", "tip", "reach")
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
        r, v = past.state[0][:ACCEL]
        return r + (time - past.time[0]) * v, v
    (r0, v0), (r1, v1) = past.state[j - 1][:ACCEL], past.state[j][:ACCEL]
    t0, h = past.time[j - 1], past.time[j] - past.time[j - 1]
    x = (time - t0) / h
    a, b = x * x * (3.0 - 2.0 * x), x * (1.0 - x)
    r = (1.0 - a) * r0 + a * r1
    r += (h * b) * ((1.0 - x) * v0 - x * v1)
    v = (6.0 * b / h) * (r1 - r0)
    v += (1.0 - x) * (1.0 - 3.0 * x) * v0 + x * (3.0 * x - 2.0) * v1
    return r, v


def between_steps(time: Array, value: Array, rate: Array, at: Array) -> Array:
    """Values at times (m,) on the cubics through values and rates (n, ...) at steps (n,), s."""
    if len(time) == 1:
        time, value = np.array([time[0], time[0] + 1.0]), np.stack([value[0], value[0] + rate[0]])
        rate = np.repeat(rate, 2, axis=0)
    j = np.clip(np.searchsorted(time, at, side="right") - 1, 0, len(time) - 2)
    h = (time[j + 1] - time[j]).reshape(-1, *[1] * (value.ndim - 1))
    x = (at - time[j]).reshape(h.shape) / h
    a, b = x * x * (3.0 - 2.0 * x), x * (1.0 - x)
    out: Array = (1.0 - a) * value[j] + a * value[j + 1]
    out += (h * b) * ((1.0 - x) * rate[j] - x * rate[j + 1])
    return out
