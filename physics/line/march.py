"""Step a batch of lines through time.

One step is a trapezoidal stage to t + 2 b and a second-order backward
difference over it to t + h, with b = (1 - 1/sqrt 2) h: the TR-BDF2 method of
Bank et al. (1985), IEEE Trans. Electron Devices 32, 1992-2007, in the
one-step form of Hosea & Shampine (1996), Appl. Numer. Math. 20, 21-37. It is
second order, L-stable, and both stages solve the same equation,
M a = f(r* + b v, v) with a = (v - v*) / b, by Newton's method with the
block-tridiagonal Jacobian. A one-step method needs no start-up: an order at
the helm can cut any step short, and a run can branch from any state. Being
implicit it is not bound by the line's stretch waves, whose explicit limit
would be about a millisecond. (The two-stage SDIRK method of the same order was
tried: its tension in a turn is only first order in h, 3.6 % off at 1 s steps
where this one is 1.2 % off, and it needs 70 % more Newton solves.)

Every line of a batch has its own clock and its own step, chosen from its own
error, so no line's answer depends on its neighbours in the batch.

The rod tip is held by its velocity; its position then follows the same scheme
as every other node. Holding the position as well would make the tension, which
answers to the tip's acceleration, lose an order of accuracy (measured with
SDIRK: 13 % against 1 % one second after going out of gear, 1 s steps).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from physics.environment.current import BED
from physics.line.contact import (
    BEND,
    CONTACT_BLUR,
    FRICTION,
    FRICTION_SPEED,
    REACH,
    SOFT,
    STIFFNESS,
)
from physics.line.core.library import LIBRARY
from physics.line.core.stepper import Singular, Stepper
from physics.line.drag import CYLINDER
from physics.line.handling import EASE, FISH_AREA, LEAST_PART, OFF_GROUND, HandledMesh
from physics.line.mesh import Mesh
from physics.line.system import SPEED_FLOOR, SURFACE_BLUR, LineSystem

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

GAMMA = 1.0 - 1.0 / math.sqrt(2.0)

ERROR_CONSTANT = 0.0404
"""Share of h^3 times the third derivative that a step of TR-BDF2 errs by."""

TOLERANCE = 0.002
"""Position error a line may make in one step, m; events then fall within 0.05 s."""

LONGEST = 1.0
"""Longest step, s: what lies between steps is a cubic, which must not cut corners."""

NEWTON_TOLERANCE = 2e-4
"""Newton stops after an update under this, m/s; being quadratic, it is then within 1e-6."""

NEWTON_MOST = 12

LARGEST_UPDATE = 3.0
"""A Newton update is scaled down so that no velocity changes by more, m/s."""

SETTLED = 1e-7
"""A tow is steady when no node moves against the boat by more, m/s."""

SETTLE_MOST = 3000
"""Newton solves a settling may take; most take about 60."""

SETTLE_TIME = 20_000.0
"""Longest a settling may go on, s: 150 m of leadcore at 0.6 m/s comes to rest after some 10,000,
and is 0.11 m too deep after 4,000."""

SETTLE_FIRST, SETTLE_LAST, SETTLE_LONG = 0.05, 120.0, 5.0
"""First and longest step of a settling, s; a tow is not steady before one of the third."""

SETTLE_GROWS, SETTLE_SHRINKS = 2.2, 0.3
"""What a settling's step is multiplied by when it was solved, and when not."""

SLIVER = 0.02
"""What would be left of the time to a limit after a step is merged into it if under this
share of the step."""

JUST_BEFORE = 1e-6
"""So long before the start a steady tow is towed, s: less than any order is apart from it."""

SMALLEST_STEP = 1e-5
"""Below this step, s, the solver gives up."""


CONSTANTS: dict[str, object] = {
    "speed_floor": SPEED_FLOOR, "surface_blur": SURFACE_BLUR,
    "contact_blur": CONTACT_BLUR, "contact_reach": REACH,
    "friction": FRICTION, "friction_speed": FRICTION_SPEED,
    "bed_soft": SOFT, "bed_stiffness": STIFFNESS, "bed_bend": BEND,
    "bed": BED, "drag": CYLINDER,
    "gamma": GAMMA, "error_constant": ERROR_CONSTANT,
    "newton_tolerance": NEWTON_TOLERANCE, "newton_most": NEWTON_MOST,
    "largest_update": LARGEST_UPDATE, "smallest_step": SMALLEST_STEP, "sliver": SLIVER,
    "settled": SETTLED, "settle_most": SETTLE_MOST, "settle_first": SETTLE_FIRST,
    "settle_last": SETTLE_LAST, "settle_long": SETTLE_LONG, "settle_grows": SETTLE_GROWS,
    "settle_shrinks": SETTLE_SHRINKS,
    "fish_area": FISH_AREA, "off_ground": OFF_GROUND, "ease": EASE, "least_part": LEAST_PART,
}  # fmt: skip
"""The constants of the compiled stepper; declared here and where it belongs, never there."""


class ConvergenceError(RuntimeError):
    """The equations could not be solved even with the smallest step."""


@dataclass(frozen=True, slots=True)
class State:
    """A batch of L lines with N nodes, each line at its own instant.

    ``time`` and the step to try next ``step`` (L,) in s; ``position``,
    ``velocity``, ``accel`` and ``jerk`` (3, N). The jerk only helps the first
    guess; the acceleration starts the trapezoidal stage.
    """

    time: Array
    step: Array
    position: Array
    velocity: Array
    accel: Array
    jerk: Array


@dataclass(slots=True)
class Count:
    """Work done, for benchmarks and tests."""

    rounds: int = 0
    solves: int = 0
    rejected: int = 0


HeldVelocity = Callable[[Array], Array]
"""Velocity (3, H) of the held nodes, given the time (L,) on each line's clock."""


@dataclass(slots=True)
class Marcher:
    """Steps one mesh.

    ``held`` nodes (H,) move with the velocity ``drive`` gives. ``tolerance`` m
    is the position error a line may make in one step; ``longest`` s bounds it.
    ``tried`` (L,) s is how far each line's last attempt went; -inf without one.
    ``compiled`` is the compiled stepper of the mesh, None where numpy does the work.
    With a ``handled_mesh`` the mesh changes while lines are handled, and its held
    nodes are the ones that are held.
    """

    mesh: Mesh
    held: NDArray[np.intp]
    drive: HeldVelocity
    tolerance: float = TOLERANCE
    longest: float = LONGEST
    count: Count = field(default_factory=Count)
    handled_mesh: HandledMesh | None = None
    tried: Array = field(init=False)
    compiled: Stepper | None = field(init=False, default=None)
    _system: LineSystem = field(init=False)

    def __post_init__(self) -> None:
        handled_mesh = self.handled_mesh
        self.tried = np.full(self.mesh.lines, -np.inf)
        by_its_tip = handled_mesh is not None or np.array_equal(self.held, self.mesh.first)
        if LIBRARY is not None and (by_its_tip or not len(self.held)):
            self.compiled = Stepper(self.mesh, CONSTANTS, handled_mesh, by_its_tip)
        elif handled_mesh is None:
            self._system = LineSystem(self.mesh)
        else:
            self._system = LineSystem(handled_mesh.mesh, handled_mesh.balls, handled_mesh.base)

    def __reduce__(self) -> tuple[type[Marcher], tuple[object, ...]]:
        """Sent to another process without the buffers it works in."""
        return Marcher, (
            self.mesh, self.held, self.drive, self.tolerance, self.longest, self.count,
            self.handled_mesh,
        )  # fmt: skip

    def hold_above(self, tips: NDArray[np.intp]) -> None:
        """The nodes at the rod tips are others (L,), each numbered within its line."""
        if self.handled_mesh is not None:
            self.handled_mesh.set_tips(tips)

    def round(self, state: State, limit: Array) -> tuple[State, Mask]:
        """Try one step on every line still short of its ``limit`` (L,) in s.

        Returns the new state and which lines moved (L,). A line that does not
        converge, or errs by more than the tolerance, stays and will try a
        shorter step next. Raises ConvergenceError.
        """
        self.count.rounds += 1
        left = limit - state.time
        active = left > 1e-9
        h = np.where(active, np.minimum(state.step, left), 1e-3)
        h = np.where(active & (left - h < SLIVER * h), left, h)
        self.tried = np.where(active, state.time + h, -np.inf)
        if self.compiled is None:
            after, solved, error = self._attempt(state, h)
        else:
            after, solved, error = self._attempt_compiled(
                self.compiled, state, np.where(active, h, 0.0)
            )
        accepted = active & solved & (error <= self.tolerance)
        with np.errstate(divide="ignore"):
            fit = 0.9 * h * np.cbrt(self.tolerance / np.maximum(error, 1e-12))
        grown = np.minimum(fit, np.maximum(1.5 * h, state.step))
        shrunk = np.where(solved, np.clip(fit, 0.2 * h, 0.7 * h), 0.4 * h)
        step = np.where(accepted, grown, np.where(active, shrunk, state.step))
        step = np.minimum(step, self.longest)
        if step.min() < SMALLEST_STEP:
            at = int(step.argmin())
            raise ConvergenceError(f"line {at} found no solution at {state.time[at]:.3f} s")
        if accepted.all():
            return replace(after, step=step), accepted
        self.count.rejected += int((active & ~accepted).sum())
        mine = accepted[self.mesh.line_of_node]
        return State(
            np.where(accepted, after.time, state.time),
            step,
            np.where(mine, after.position, state.position),
            np.where(mine, after.velocity, state.velocity),
            np.where(mine, after.accel, state.accel),
            np.where(mine, after.jerk, state.jerk),
        ), accepted

    def _attempt_compiled(
        self, stepper: Stepper, state: State, step: Array
    ) -> tuple[State, Mask, Array]:
        """As ``_attempt``; lines whose step is 0 stay."""
        before = np.stack([state.position, state.velocity, state.accel, state.jerk])
        mid = end = np.zeros((3, self.mesh.lines))
        if stepper.held:
            mid, end = self.drive(state.time + (2.0 * GAMMA) * step), self.drive(state.time + step)
        after, solved, error, solves = stepper.try_steps(before, state.time, step, mid, end)
        self.count.solves += solves
        return State(state.time + step, step, *after), solved, error

    def _attempt(self, state: State, step: Array) -> tuple[State, Mask, Array]:
        """One step of ``step`` (L,) seconds: state, which lines solved it, error in m."""
        h = step[self.mesh.line_of_node]
        b, rest, both = GAMMA * h, (1.0 - 2.0 * GAMMA) * h, 0.25 * math.sqrt(2.0) * h
        r0, v0, a0, jerk = state.position, state.velocity, state.accel, state.jerk
        r_star, v_star = r0 + b * v0, v0 + b * a0
        guess = v0 + (2.0 * b) * (a0 + b * jerk)
        _, v1, ok = self._stage(r_star, v_star, guess, b, state.time + (2.0 * GAMMA) * step)
        a1 = (v1 - v_star) / b
        r_star, v_star = r0 + both * (v0 + v1), v0 + both * (a0 + a1)
        guess = v1 + rest * (a1 + (0.5 * rest) * jerk)
        r2, v2, ok2 = self._stage(r_star, v_star, guess, b, state.time + step)
        a2 = (v2 - v_star) / b
        jerk = (a2 - a0) / h
        size = ERROR_CONSTANT * h**3 * np.sqrt((jerk * jerk).sum(axis=0))
        error = np.maximum.reduceat(size, self.mesh.first)
        return State(state.time + step, step, r2, v2, a2, jerk), ok & ok2, error

    def _stage(
        self, r_star: Array, v_star: Array, guess: Array, b: Array, time: Array
    ) -> tuple[Array, Array, Mask]:
        """Solve one implicit stage; position, velocity, and which lines converged."""
        mesh, v, system, handled_mesh = self.mesh, guess, self._system, self.handled_mesh
        held, upright, climb = self.held, None, None
        if handled_mesh is None:
            v[:, held] = self.drive(time)
        else:
            handled_mesh.at(time)
            held = handled_mesh.held
            v[:, held] = self.drive(time)[:, handled_mesh.held_of]
            upright, climb = handled_mesh.ends(time, r_star, b)
        done = np.zeros(mesh.lines, dtype=bool)
        for _ in range(NEWTON_MOST):
            r = r_star + b * v
            system.evaluate(r, v, (v - v_star) / b, b)
            system.hold(held)
            if upright is not None and climb is not None:
                system.hold_upright(upright, climb, r, v, b)
            self.count.solves += 1
            move = system.solve()
            size = np.sqrt(np.maximum.reduceat((move * move).sum(axis=0), mesh.first))
            if not np.isfinite(size).all():
                done = done & np.isfinite(size)
                break
            if size.max() > LARGEST_UPDATE:
                scale = np.minimum(1.0, LARGEST_UPDATE / np.maximum(size, 1e-9))
                move *= scale[mesh.line_of_node]
            if done.any():
                # a line's answer is its own: it does not get better for a slower neighbor
                move *= ~done[mesh.line_of_node]
            v = v - move
            done |= size < NEWTON_TOLERANCE
            if done.all():
                break
        return r_star + b * v, v, done

    def settle(self, position: Array, velocity: Array, longest: float = SETTLE_TIME) -> State:
        """The steady tow that the held nodes' velocity just before time 0 leads to.

        From a guess (3, N), first-order steps that grow: each is one implicit
        stage, so long ones act like Newton's method on the steady equations.
        A line that drags over sloping ground has no steady tow; then the nearest
        is given that ``longest`` s or SETTLE_MOST solves lead to. Raises ConvergenceError.
        """
        mesh = self.mesh
        n = mesh.lines
        # what is ordered at the start itself has not happened to a steady tow
        still = np.full(n, -JUST_BEFORE)
        steady = self.drive(still)[:, mesh.line_of_node]
        if self.compiled is not None:
            return self._settle_compiled(self.compiled, position, velocity, steady, longest)
        r, v = position, velocity
        h, spent, before = SETTLE_FIRST, 0.0, self.count.solves
        while spent < longest:
            b = np.full(mesh.nodes, h)
            # step back and ride along: contact must see the ground under the start
            r_new, v_new, ok = self._stage(r - h * steady, v, v.copy(), b, still)
            if not ok.all():
                h *= SETTLE_SHRINKS
                if h < SMALLEST_STEP:
                    raise ConvergenceError("no steady tow found")
                continue
            r, v = r_new, v_new
            spent += h
            drift = np.abs(v - steady).max()
            if drift < SETTLED and h > SETTLE_LONG:
                break
            if self.count.solves - before > SETTLE_MOST:
                break
            h = min(h * SETTLE_GROWS, SETTLE_LAST)
        zero = np.zeros_like(r)
        return State(np.zeros(n), np.full(n, 0.25), r, v, zero, zero.copy())

    def _settle_compiled(
        self, stepper: Stepper, position: Array, velocity: Array, steady: Array, longest: float
    ) -> State:
        """As ``settle``, each line by itself."""
        state = np.stack([position, velocity])
        tips = steady[:, self.mesh.first]
        try:
            self.count.solves += stepper.settle(-JUST_BEFORE, tips, longest, state)
        except Singular:
            raise ConvergenceError("no steady tow found") from None
        lines, zero = self.mesh.lines, np.zeros_like(position)
        return State(np.zeros(lines), np.full(lines, 0.25), state[0], state[1], zero, zero.copy())
