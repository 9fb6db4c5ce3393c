"""How a lure, or a length of line, falls (or rises) on its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.checks import InvalidValue
from physics.environment.water import Bottom, Water
from physics.line.core.stepper import Singular, boat_table
from physics.line.drag import cylinder_drag
from physics.line.march import ConvergenceError, Marcher, State
from physics.line.mesh import loose_lures
from physics.line.tackle import LineSection, Lure

Array = NDArray[np.float64]

FREE_DEPTH = 500.0
"""Falls are run this far from surface and bottom, m, so that neither is met."""


@dataclass(frozen=True, slots=True)
class Fall:
    """One lure's free fall from rest, level.

    ``time`` (n,) s; ``depth`` (n,) m gained, negative when it rises;
    ``pitch`` (n,) rad, nose down positive; ``rate`` m/s at the end, downwards.
    """

    time: Array
    depth: Array
    pitch: Array
    rate: float


def free_falls(lures: Sequence[Lure], water: Water, seconds: float = 15.0) -> list[Fall]:
    """Let lures go from rest, level, in still water, and follow them. Raises ConvergenceError."""
    still = water.still(Bottom.level(2.0 * FREE_DEPTH))
    mesh = loose_lures(lures, still)
    nothing = np.zeros((3, 0))
    marcher = Marcher(
        mesh,
        np.zeros(0, dtype=np.intp),
        lambda time: nothing,  # noqa: ARG005
        tolerance=2e-4,
        longest=0.5,
    )
    r, zero = np.zeros((3, mesh.nodes)), np.zeros((3, mesh.nodes))
    r[0, mesh.last] = -mesh.length[mesh.first]
    r[2] = -FREE_DEPTH
    count = mesh.lines
    state = State(np.zeros(count), np.full(count, 0.01), r, zero, zero.copy(), zero.copy())
    falls = []
    for time, steps in _steps(marcher, state, seconds):
        nose, tail = steps[:, 0, :, 0].T, steps[:, 0, :, 1].T
        axis = nose - tail
        pitch = np.arctan2(-axis[2], np.hypot(axis[0], axis[1]))
        depth = -0.5 * (nose[2] + tail[2]) - FREE_DEPTH
        falls.append(Fall(time, depth, pitch, -0.5 * float(steps[-1, 1, 2].sum())))
    return falls


def _steps(marcher: Marcher, state: State, seconds: float) -> list[tuple[Array, Array]]:
    """Of each lure the times (n,), s, of all its steps, and its states (n, 4, 3, 2) then."""
    mesh = marcher.mesh
    first = np.stack([state.position, state.velocity, state.accel, state.jerk])
    if marcher.compiled is not None:
        still = np.zeros((1, 4))
        alone = boat_table(np.array([0.0, seconds]), still, still, still, (0.0, 0.0))
        try:
            return [
                marcher.compiled.march_on(
                    i, alone, first[:, :, a : b + 1], 0.0, float(state.step[i]), seconds,
                    marcher.tolerance, marcher.longest,
                )
                for i, (a, b) in enumerate(zip(mesh.first, mesh.last, strict=True))
            ]  # fmt: skip
        except Singular as error:
            raise ConvergenceError(f"a fall found no solution at {error.time:.3f} s") from None
    goal = np.full(mesh.lines, seconds)
    times = [[0.0] for _ in goal]
    steps = [[first[:, :, a : b + 1]] for a, b in zip(mesh.first, mesh.last, strict=True)]
    while np.any(state.time < seconds - 1e-9):
        state, moved = marcher.round(state, goal)
        now = np.stack([state.position, state.velocity, state.accel, state.jerk])
        for i in map(int, np.flatnonzero(moved)):
            times[i].append(float(state.time[i]))
            steps[i].append(now[:, :, mesh.first[i] : mesh.last[i] + 1])
    return [(np.array(t), np.array(s)) for t, s in zip(times, steps, strict=True)]


def sink_rate(lure: Lure, water: Water) -> float:
    """Speed a lure settles to in free fall, m/s; negative for one that rises."""
    return free_falls([lure], water)[0].rate


def line_sink_rate(line: LineSection, water: Water) -> float:
    """Speed a level length of line settles to broadside, m/s; negative if it floats.

    Weight in the water balances drag across it: V = sqrt(2 W / (rho Cd d)) with
    Cd at that speed's Reynolds number (or the line's own constant one). Raises InvalidValue for a
    line without drag, which never settles.
    """
    if line.normal_drag == 0.0:
        raise InvalidValue(f"{line.name}: normal_drag", 0.0, "more than 0, for a line that settles")
    weight = (line.mass_per_length - water.density * line.solid) * water.gravity
    if weight == 0.0:
        return 0.0

    def drag(speed: float) -> float:
        if line.normal_drag is not None:
            coefficient = line.normal_drag
        else:
            reynolds = np.array([speed * line.diameter / water.kinematic_viscosity])
            coefficient = float(cylinder_drag(reynolds)[0][0]) * line.drag_multiplier
        return 0.5 * water.density * coefficient * line.diameter * speed * speed

    size = abs(weight)
    top = 1.0
    while drag(top) < size:
        top *= 2.0
    speed = float(scipy.optimize.brentq(lambda v: drag(v) - size, 1e-9, top, xtol=1e-12))
    return speed if weight > 0.0 else -speed
