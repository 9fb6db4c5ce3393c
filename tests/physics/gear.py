"""Lines, lures and steady tows that several tests share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from physics.environment.water import Bottom, Water
from physics.line.march import Marcher, State
from physics.line.mesh import Mesh, Resolution, build_mesh
from physics.line.system import LineSystem
from physics.line.tackle import LineSection, Lure, Rod

Array = NDArray[np.float64]

DEEP = Water(Bottom.level(1900.0), density=1000.0, viscosity=1.0e-3)
"""Fresh water with no ground in reach."""


def rope(
    length: float,
    wet_weight: float,
    *,
    diameter: float = 0.01,
    normal_drag: float = 1.2,
    tangential_drag: float = 0.0,
    stiffness: float = 1e5,
    water: Water = DEEP,
) -> LineSection:
    """A line of a given weight in water, N/m, with a constant cross-flow coefficient."""
    mass = wet_weight / water.gravity + water.density * np.pi * diameter**2 / 4.0
    return LineSection(
        "rope", length, diameter, mass, stiffness,
        normal_drag=normal_drag, tangential_drag=tangential_drag,
    )  # fmt: skip


def more_of(section: LineSection, length: float) -> Lure:
    """A 'lure' that is only a further piece of the same line."""
    return Lure(
        "more line", "sinker", section.mass_per_length * length, section.area * length, length,
        end_area=max(np.pi * section.diameter * length * section.tangential_drag, 1e-7),
        broadside_area=(section.normal_drag or 0.0) * section.diameter * length,
        added_mass_across=section.added_mass, added_mass_along=0.0,
    )  # fmt: skip


def ball(mass: float, volume: float, drag_area: float, length: float = 0.01) -> Lure:
    """A sinker whose drag is the same from every side."""
    return Lure(
        "ball", "sinker", mass, volume, length, drag_area, drag_area,
        added_mass_across=0.5, added_mass_along=0.5, isotropic=True,
    )  # fmt: skip


def mesh_of(rod: Rod, elements: int, water: Water = DEEP) -> Mesh:
    """A rod with one section cut into so many equal elements, and its lure."""
    return build_mesh([(rod, water)], Resolution(elements - 1, 1))


def straight(mesh: Mesh, along: tuple[float, float, float], start: Array) -> Array:
    """Nodes (3, N) of one unstretched line from ``start`` along a direction."""
    way = np.array(along) / np.linalg.norm(along)
    out = np.concatenate([[0.0], np.cumsum(mesh.length)])
    return start[:, None] + way[:, None] * out


def steady_tow(mesh: Mesh, speed: float, *, tip_depth: float = 5.0, slope: float = 0.3) -> State:
    """Steady tow of one line, east at ``speed``, its top well under the surface."""
    guess = straight(mesh, (-1.0, 0.0, -slope), np.array([0.0, 0.0, -tip_depth]))
    velocity = np.zeros_like(guess)
    velocity[0] = speed
    return Marcher(mesh, mesh.first, constant(speed)).settle(guess, velocity, longest=4000.0)


def constant(*velocity: float) -> Callable[[Array], Array]:
    """A drive that holds the tip at one velocity for ever."""
    full = np.zeros(3)
    full[: len(velocity)] = velocity
    return lambda time: np.repeat(full[:, None], len(time), axis=1)


def free(_time: Array) -> Array:
    """A drive for a line that nobody holds."""
    return np.zeros((3, 0))


NOBODY = np.zeros(0, dtype=np.intp)
"""No held node."""


def at_rest(mesh: Mesh, position: Array, step: float = 1e-3) -> State:
    """A state let go from rest, with the acceleration it has at that instant."""
    zero = np.zeros_like(position)
    still = np.zeros(mesh.lines)
    system = LineSystem(mesh)
    instant = 1e-7  # s; so short that only mass resists
    system.evaluate(position, zero, zero, np.full(mesh.nodes, instant))
    accel = -system.solve() / instant
    return State(still, still + step, position, zero, accel, zero.copy())


def march_to(marcher: Marcher, state: State, until: float) -> State:
    """Carry a one-line state to an instant."""
    limit = np.full(marcher.mesh.lines, until)
    while state.time[0] < until - 1e-9:
        state, _ = marcher.round(state, limit)
    return state


def fixed_steps(marcher: Marcher, state: State, step: float, until: float) -> State:
    """Carry a one-line state to an instant in equal steps, whatever their error."""
    marcher.tolerance, marcher.longest = 1e9, step
    count = round(until / step)
    for number in range(1, count + 1):
        state = replace(state, step=np.full(marcher.mesh.lines, step))
        state, moved = marcher.round(state, np.full(marcher.mesh.lines, number * step))
        assert moved.all()
    return state
