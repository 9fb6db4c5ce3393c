"""The tension of lines at their rod tips, from how they lie and move."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from physics.line.core.library import LIBRARY
from physics.line.core.stepper import Stepper
from physics.line.handling import HandledMesh, Handling
from physics.line.march import CONSTANTS
from physics.line.mesh import Mesh, part_of
from physics.line.system import LineSystem

Array = NDArray[np.float64]
Index = NDArray[np.intp]

AT_ONCE = 128
"""Instants that numpy works out together: more take much memory and save little time."""


class TipTension:
    """Of the lines of a mesh, ``handled`` or not."""

    def __init__(self, mesh: Mesh, handled: Sequence[Handling | None]) -> None:
        self._mesh, self._handled = mesh, tuple(handled)
        self._handled_mesh: HandledMesh | None = None
        self._stepper: Stepper | None = None

    def __reduce__(self) -> tuple[type[TipTension], tuple[Mesh, tuple[Handling | None, ...]]]:
        """Sent to another process without what can be made anew."""
        return TipTension, (self._mesh, self._handled)

    def _made(self) -> Stepper | None:
        """The compiled stepper, where there is one: made when first wanted."""
        if self._stepper is None and LIBRARY is not None:
            mesh, tips = self._mesh, np.zeros(self._mesh.lines, dtype=np.intp)
            if any(self._handled):
                self._handled_mesh = HandledMesh(mesh, self._handled, tips)
            self._stepper = Stepper(mesh, CONSTANTS, self._handled_mesh)
        return self._stepper

    def of(self, line: int, time: Array, tips: Index, state: Sequence[Array]) -> Array:
        """Tension of one line (n,), N, at times (n,), s, with nodes ``tips`` (n,) at the tip.

        ``state`` is position, velocity and acceleration of its nodes, (n, 3, K) each.
        """
        out, stepper = np.empty(len(time)), self._made()
        # a handled mesh is made for one node at the tip, numpy's memory for so many instants
        most = AT_ONCE if stepper is None else len(time)
        cuts = {*range(0, len(time), most), *(np.flatnonzero(np.diff(tips)) + 1).tolist()}
        for first, last in pairwise(sorted({*cuts, len(time)})):
            part, tip = slice(first, last), int(tips[first])
            if stepper is None:
                out[part] = self._by_numpy(line, time[part], tip, [row[part] for row in state])
                continue
            if self._handled_mesh is not None:
                all_tips = self._handled_mesh.tips
                all_tips[line] = tip
                self._handled_mesh.set_tips(all_tips)
            ends = [row[part, :, tip : tip + 2] for row in state]
            out[part] = stepper.tip_tensions(line, time[part], ends)
        return out

    def _by_numpy(self, line: int, time: Array, tip: int, state: Sequence[Array]) -> Array:
        """As if each instant were a line of a batch."""
        many, _ = part_of(self._mesh, np.full(len(time), line))
        system, handled = LineSystem(many), self._handled[line]
        if handled is not None:
            mesh = HandledMesh(many, [handled] * len(time), np.full(len(time), tip))
            mesh.at(time)
            system = LineSystem(mesh.mesh, mesh.balls, mesh.base)
        r, v, a = (_end_to_end(row) for row in state)
        system.evaluate(r, v, a, np.ones(many.nodes))
        out: Array = np.sqrt((system.residual[:, many.first + tip] ** 2).sum(axis=0))
        return out


def _end_to_end(steps: Array) -> Array:
    """(n, 3, K) steps of one line as one (3, n K) batch."""
    return np.ascontiguousarray(steps.transpose(1, 0, 2).reshape(3, -1))
