"""The compiled stepper of one mesh."""

from __future__ import annotations

import ctypes
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from physics.compiled import filled
from physics.line.core.library import (
    BAD_INPUT,
    BOAT,
    CONSTANTS,
    FULL,
    LIBRARY,
    NO_MEMORY,
    NO_SOLUTION,
)
from physics.line.core.tables import handling_tables, mesh_tables
from physics.line.handling import HandledMesh
from physics.line.mesh import Mesh

Array = NDArray[np.float64]

_F, _L = ctypes.c_double, ctypes.c_longlong


class Address(ctypes.c_void_p):
    """Where an array is; it lives as long as this. One with gaps is copied first."""

    def __init__(self, array: Array | NDArray[np.uint8]) -> None:
        self.array = np.ascontiguousarray(array)
        super().__init__(self.array.ctypes.data)


MOST = 64
"""Most steps of one march: more only fill memory."""

BoatTable = tuple[ctypes.Structure, list[Any]]


def boat_table(
    time: Array, speed: Array, heading: Array, turn: Array, drift: tuple[float, float],
    breaks: Sequence[float] = (), step_after: Sequence[float] = (),
) -> BoatTable:  # fmt: skip
    """The boat's motion for the compiled stepper, and the arrays to keep as long.

    As ``vessel.boat.Pieces``: cubics between instants (n + 1,), given by values and rates (n, 4).
    At each of ``breaks``, s, rising, a step ends, and the next is no longer than that of
    ``step_after``, s.
    """
    return filled(
        BOAT, count=len(speed), breaks=len(breaks), time=time, speed=speed, heading=heading,
        turn=turn, break_time=np.array(breaks, dtype=float),
        break_step=np.array(step_after, dtype=float), east=drift[0], north=drift[1],
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class March:
    """Accepted steps of one line: ``time``, the step to try next and how far any try at a step
    went (n,) s, and ``state`` (n, 4, 3, K), position, velocity, acceleration and jerk; whether
    it was cut by its buffer."""

    time: Array
    step: Array
    reach: Array
    state: Array
    full: bool
    tries: int
    solves: int


class Singular(Exception):
    """No solution from ``time`` s on, with the steps up to there."""

    def __init__(self, time: float) -> None:
        super().__init__(time)
        self.time = time


class Stepper:
    """One mesh, as it is or as ``handled_mesh`` has it at each instant. Needs LIBRARY.

    Each line is held by its first node, unless it is not ``held`` at all.
    """

    def __init__(
        self,
        mesh: Mesh,
        constants: dict[str, object],
        handled_mesh: HandledMesh | None,
        held: bool = True,
    ) -> None:
        assert LIBRARY is not None
        self._library, self._handled_mesh, self.held = LIBRARY, handled_mesh, held
        self._base = mesh
        self._mesh = mesh if handled_mesh is None else handled_mesh.mesh
        self._constants, self._kept = filled(CONSTANTS, **constants)
        self._tables, kept = mesh_tables(self._mesh, mesh, held)
        self._kept += kept
        self._handled: ctypes.Structure | None = None
        self._room: tuple[Array, ...] | None = None
        if handled_mesh is not None:
            self._tips = np.array(handled_mesh.tips, dtype=np.int64)
            self._handled, kept = handling_tables(handled_mesh, mesh, self._tips)
            self._kept += kept

    def _hand(self) -> object:
        if self._handled is None or self._handled_mesh is None:
            return None
        self._tips[:] = self._handled_mesh.tips
        return ctypes.byref(self._handled)

    def try_steps(
        self, state: Array, time: Array, step: Array, mid: Array, end: Array
    ) -> tuple[Array, NDArray[np.bool_], Array, int]:
        """One try at a step of ``step`` (L,) s each; lines of step 0 stay.

        ``state`` (4, 3, N); ``mid`` and ``end`` (3, L) velocities of the tips at the two stages.
        The state after, which lines solved it, the error of each, m, and Newton solves.
        """
        mesh = self._mesh
        after, solved = state.copy(), np.zeros(mesh.lines, dtype=np.uint8)
        error, solves = np.zeros(mesh.lines), _L(0)
        self._check(
            self._library.try_steps(
                ctypes.byref(self._constants), ctypes.byref(self._tables), self._hand(),
                Address(state), Address(time), Address(step),
                Address(mid), Address(end), Address(after),
                Address(solved), Address(error), ctypes.byref(solves),
            ),
            0.0,
        )  # fmt: skip
        return after, solved.astype(bool), error, solves.value

    def march(
        self,
        line: int,
        boat: BoatTable,
        offset: Array,
        state: Array,
        time: float,
        step: float,
        limit: float,
        until: float,
        tolerance: float,
        longest: float,
        most: int = MOST,
    ) -> March:
        """March one line from ``state`` (4, 3, K) at ``time`` beyond ``until``, but not over
        ``limit``, s, at most ``most`` steps, and no more than MOST. Raises Singular."""
        table, _ = boat
        table.astern, table.abeam = float(offset[0]), float(offset[1])
        nodes, most = state.shape[-1], min(most, MOST)
        if self._room is None:
            # made once: to have it anew for every march takes longer than to march
            widest = int((self._base.last - self._base.first).max()) + 1
            self._room = np.empty(MOST * 12 * widest), *(np.empty(MOST + 1) for _ in range(3))
        room, times, following, reach = self._room
        count, tries, solves = _L(0), _L(0), _L(0)
        status = self._library.march_line(
            ctypes.byref(self._constants), ctypes.byref(self._tables), self._hand(), _L(line),
            ctypes.byref(table), Address(state), _F(time), _F(step), _F(limit),
            _F(until), _F(tolerance), _F(longest), _L(most), Address(room), Address(times),
            Address(following), Address(reach), ctypes.byref(count), ctypes.byref(tries),
            ctypes.byref(solves),
        )  # fmt: skip
        n = count.value
        self._check(status, float(times[n]) if status == NO_SOLUTION else 0.0)
        return March(
            times[:n].copy(),
            following[:n].copy(),
            reach[:n].copy(),
            room[: n * 12 * nodes].reshape(n, 4, 3, nodes).copy(),
            status == FULL,
            tries.value,
            solves.value,
        )

    def march_on(
        self,
        line: int,
        boat: BoatTable,
        state: Array,
        time: float,
        step: float,
        until: float,
        tolerance: float,
        longest: float,
    ) -> tuple[Array, Array]:
        """Times (n,), s, and states (n, 4, 3, K) of all steps of one line, the start among them.

        Its tip is the boat's own place. Arguments as of ``march``. Raises Singular.
        """
        times, states = [np.array([time])], [state[None]]
        while time < until - 1e-9:
            done = self.march(
                line, boat, np.zeros(2), state, time, step, np.inf, until, tolerance, longest
            )
            times.append(done.time)
            states.append(done.state)
            state, time, step = done.state[-1], float(done.time[-1]), float(done.step[-1])
        return np.concatenate(times), np.concatenate(states)

    def settle(self, time: float, tips: Array, longest: float, state: Array) -> int:
        """Find the steady tows of all lines in place, as they are handled at ``time`` s, from
        guesses (2, 3, N) of position and velocity, their tips moving at ``tips`` (3, L) m/s;
        Newton solves.

        Raises Singular.
        """
        solves = _L(0)
        status = self._library.settle_lines(
            ctypes.byref(self._constants), ctypes.byref(self._tables), self._hand(), _F(time),
            Address(tips), _F(longest), Address(state), ctypes.byref(solves),
        )  # fmt: skip
        self._check(status, 0.0)
        return solves.value

    def tip_tensions(self, line: int, time: Array, rows: Sequence[Array]) -> Array:
        """Pull of one line at its tip (n,), N, at times (n,), s, with one node at the tip.

        ``rows`` are position, velocity and acceleration of that node and the one below (n, 3, 2).
        """
        out, (r, v, a) = np.empty(len(time)), rows
        status = self._library.tip_tensions(
            ctypes.byref(self._constants), ctypes.byref(self._tables), self._hand(), _L(line),
            _L(len(time)), Address(time), Address(r), Address(v), Address(a), Address(out),
        )  # fmt: skip
        self._check(status, 0.0)
        return out

    def evaluate(
        self, line: int, held: int, position: Array, velocity: Array, accel: Array, b: float
    ) -> tuple[Array, Array, Array]:
        """Residual (3, K) N, tension (K - 1,) N and Newton's step (3, K) m/s of one line."""
        residual, move = np.empty_like(position), np.empty_like(position)
        tension = np.empty(position.shape[1] - 1)
        status = self._library.evaluate_line(
            ctypes.byref(self._constants), ctypes.byref(self._tables), _L(line), _L(held),
            Address(position), Address(velocity), Address(accel), _F(b), Address(residual),
            Address(tension), Address(move),
        )  # fmt: skip
        self._check(status, 0.0)
        return residual, tension, move

    @staticmethod
    def _check(status: int, time: float) -> None:
        if status == NO_SOLUTION:
            raise Singular(time)
        if status == NO_MEMORY:
            raise MemoryError
        if status == BAD_INPUT:
            raise ValueError("the compiled stepper refuses this mesh")
