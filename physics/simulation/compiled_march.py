"""Carry a batch on line by line with the compiled stepper, many steps at a time."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from physics.line.core.stepper import BoatTable, Singular, Stepper, boat_table
from physics.line.march import ConvergenceError, Marcher
from physics.simulation.batch_state import BatchState
from physics.vessel.boat import Pieces

Array = NDArray[np.float64]

LOT = 64
"""Most steps the compiled stepper takes of a line at a time: more only fill memory."""


def advance_compiled(
    state: BatchState,
    marcher: Marcher,
    stepper: Stepper,
    until: Array,
    most: int | None = None,
    exactly: bool = False,
) -> bool:
    """Step every line to ``until`` (L,), s, or beyond; ``exactly`` there if asked.

    At most ``most`` steps of each; returns whether they got there. Raises ConvergenceError.
    """
    arrived = True
    tables: dict[int, tuple[float, float, BoatTable]] = {}
    made: dict[tuple[int, float, float], BoatTable] = {}
    for i, (k, _) in enumerate(state.batch.of):
        past, goal = state.pasts[i], float(until[i])
        left = LOT if most is None else most
        while past.time[-1] < goal - 1e-9:
            if left <= 0:
                arrived = False
                break
            now = past.time[-1]
            limit = state.next_break(i, now)
            if exactly:
                limit = min(limit, goal)
            end = min(limit, goal + marcher.longest)
            known = tables.get(k)
            if known is None or known[0] > now or known[1] < end:
                # most lines of a boat come from one break to the next together
                if (k, now, end) not in made:
                    made[k, now, end] = _table(state.tracks[k].pieces(now, end))
                known = tables[k] = now, end, made[k, now, end]
            left -= _march(state, marcher, stepper, i, known[2], limit, goal, min(left, LOT))
            if most is None:
                left = LOT
    state.last = state.shortened({})[1]
    state.reach = state.last.time
    return arrived


def _march(
    state: BatchState,
    marcher: Marcher,
    stepper: Stepper,
    i: int,
    boat: BoatTable,
    limit: float,
    goal: float,
    most: int,
) -> int:
    """Carry line i on; how many steps it took. Raises ConvergenceError."""
    past, now = state.pasts[i], state.pasts[i].time[-1]
    start = np.array([past.position[-1], past.velocity[-1], past.accel[-1], past.jerk[-1]])
    try:
        done = stepper.march(
            i, boat, state.batch.offsets[:, i], start, now, past.step[-1], limit, goal,
            marcher.tolerance, marcher.longest, most,
        )  # fmt: skip
    except Singular as error:
        raise ConvergenceError(f"line {i} found no solution at {error.time:.3f} s") from None
    marcher.count.rounds += done.tries
    marcher.count.solves += done.solves
    marcher.count.rejected += done.tries - len(done.time)
    tip = int(state.tips[i])
    for k, lot in enumerate(done.state):
        rows = [row.copy() for row in lot]  # a view would keep the whole lot alive
        past.add(float(done.time[k]), float(done.step[k]), rows, tip, float(done.reach[k]))
    time = past.time[-1]
    if len(done.time) and abs(time - limit) < 1e-9:
        if state.breaks(i, time):
            now_out, state.tips[i] = state.retipped(i, time, done.state[-1])
            past.replace_last([row.copy() for row in now_out], int(state.tips[i]))
            marcher.hold_above(state.tips)
        past.step[-1] = state.eased(i, time, past.step[-1])
    return len(done.time)


def _table(pieces: Pieces) -> BoatTable:
    return boat_table(pieces.time, pieces.speed, pieces.heading, pieces.turn, pieces.drift)
