"""Carry a batch on line by line with the compiled stepper, many steps at a time."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.line.core.stepper import MOST, BoatTable, Singular, Stepper, boat_table
from physics.line.march import ConvergenceError, Marcher
from physics.simulation.batch_state import BatchState, step_after
from physics.vessel.boat import Motion

Array = NDArray[np.float64]

BEYOND = 1.05
"""A table of a boat reaches so many longest steps further than asked: the last step may be
stretched a little to end at a break."""

AHEAD = 60.0
"""And so far, s, where her motion is worked out already."""


class BoatTables:
    """The motions of a batch's boats as the compiled stepper takes them, each made once."""

    def __init__(self) -> None:
        self._known: dict[int, _Known] = {}

    def __reduce__(self) -> tuple[type[BoatTables], tuple[()]]:
        """Sent to another process without what can be made anew."""
        return BoatTables, ()

    def of(self, scenario: int, motion: Motion, start: float, end: float) -> BoatTable:
        """A table of the motion of one scenario's boat that holds from ``start`` to ``end``, s."""
        known = self._known.get(scenario)
        # an order since makes it another motion
        if (
            known is None
            or known.motion is not motion
            or not known.start <= start < end <= known.end
        ):
            # what she has integrated already will be asked for next
            end = max(end, min(motion.made, end + AHEAD))
            known = _Known(motion, start, end, motion_table(motion, start, end))
            self._known[scenario] = known
        return known.table


@dataclass(frozen=True, slots=True)
class _Known:
    motion: Motion
    start: float
    end: float
    table: BoatTable


def motion_table(motion: Motion, start: float, end: float) -> BoatTable:
    """A boat's motion from ``start`` to ``end``, s, through all its breaks."""
    pieces, breaks, at = motion.pieces(start, end), [], start
    while (at := motion.next_break(at)) <= end:
        breaks.append(at)
    steps = [step_after(motion, at) for at in breaks]
    return boat_table(
        pieces.time, pieces.speed, pieces.heading, pieces.turn, pieces.drift, breaks, steps
    )


def advance_compiled(
    state: BatchState,
    marcher: Marcher,
    stepper: Stepper,
    tables: BoatTables,
    until: Array,
    most: int | None = None,
    exactly: bool = False,
) -> bool:
    """Step every line to ``until`` (L,), s, or beyond; ``exactly`` there if asked.

    At most ``most`` steps of each; returns whether they got there. Raises ConvergenceError.
    """
    first: dict[int, int] = {}
    of_track = [first.setdefault(id(track), k) for k, track in enumerate(state.tracks)]
    short = [i for i, past in enumerate(state.pasts) if past.time[-1] < until[i] - 1e-9]
    spans: dict[int, tuple[float, float]] = {}
    for i in short:
        k = of_track[state.batch.of[i][0]]
        start, end = spans.get(k, (math.inf, -math.inf))
        spans[k] = min(start, state.pasts[i].time[-1]), max(end, float(until[i]))
    arrived = True
    for i in short:
        k, goal = of_track[state.batch.of[i][0]], float(until[i])
        start, end = spans[k]
        boat = tables.of(k, state.tracks[k], start, end + BEYOND * marcher.longest)
        left = most
        while left != 0 and state.pasts[i].time[-1] < goal - 1e-9:
            lot = MOST if left is None else min(left, MOST)
            took = _march(state, marcher, stepper, i, boat, goal, lot, exactly)
            left = None if left is None else left - took
        arrived = arrived and state.pasts[i].time[-1] >= goal - 1e-9
    if short:
        state.last = state.shortened({})[1]
        state.reach = state.last.time
    return arrived


def _march(
    state: BatchState,
    marcher: Marcher,
    stepper: Stepper,
    i: int,
    boat: BoatTable,
    goal: float,
    most: int,
    exactly: bool,
) -> int:
    """Carry line i on; how many steps it took. Raises ConvergenceError."""
    past, line = state.pasts[i], state.handled[i]
    limit = math.inf if line is None else line.next_break(past.time[-1])
    if exactly:
        limit = min(limit, goal)
    try:
        done = stepper.march(
            i, boat, state.batch.offsets[:, i], past.state[-1], past.time[-1], past.step[-1],
            limit, goal, marcher.tolerance, marcher.longest, most,
        )  # fmt: skip
    except Singular as error:
        raise ConvergenceError(f"line {i} found no solution at {error.time:.3f} s") from None
    marcher.count.rounds += done.tries
    marcher.count.solves += done.solves
    marcher.count.rejected += done.tries - len(done.time)
    past.add(done.time, done.step, done.state, int(state.tips[i]), done.reach)
    time = past.time[-1]
    if len(done.time) and abs(time - limit) < 1e-9 and state.breaks(i, time):
        now_out, state.tips[i] = state.retipped(i, time, past.state[-1])
        past.replace_last(now_out, int(state.tips[i]))
        marcher.hold_above(state.tips)
        past.step[-1] = state.eased(i, time, past.step[-1])
    return len(done.time)
