"""A mesh, its waters and what is handled of it, as flat tables for the compiled stepper."""

from __future__ import annotations

import ctypes
from collections.abc import Sequence
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from physics.compiled import filled
from physics.environment.current import Layers, PowerLaw, Profile, Shares
from physics.environment.water import compass_vector
from physics.line.contact import contact_scale
from physics.line.core.library import HANDLING, MESH
from physics.line.handling import HandledMesh, Handling
from physics.line.mesh import Mesh

Array = NDArray[np.float64]
Thing = TypeVar("Thing")

UNIFORM, POWER_LAW, SHARES, LAYERS = range(4)

FISH_ACTIONS = {"fish on": 1, "fish off": 2, "fish end to": 3}


def _starts(counts: list[int]) -> NDArray[np.int64]:
    return np.concatenate([[0], np.cumsum(counts)[:-1]]).astype(np.int64)


def _profile(profile: Profile) -> tuple[int, float, float, list[tuple[float, float, float]]]:
    """Kind, root and fixed floor (0 if it follows the ground) of a profile, and its rows."""
    if isinstance(profile, PowerLaw):
        return POWER_LAW, profile.root, profile.floor or 0.0, [(0.0, 0.0, 0.0)]
    if isinstance(profile, Shares):
        return SHARES, 0.0, 0.0, [(0.0, 1.0, 0.0), *((d, share, 0.0) for d, share in profile.rows)]
    if isinstance(profile, Layers):
        # the surface row is the water's own set and drift
        return LAYERS, 0.0, 0.0, [(0.0, 0.0, 0.0), *profile.rows]
    return UNIFORM, 0.0, 0.0, [(0.0, 0.0, 0.0)]


def _profiles(mesh: Mesh) -> dict[str, Any]:
    known, of = _distinct(mesh.profiles)
    parts = [_profile(profile) for profile in known]
    rows = [part[3] for part in parts]
    depth, a, b = np.array([row for part in rows for row in part], dtype=float).T
    counts = [len(part) for part in rows]
    return {
        "profile": np.array([part[0] for part in parts], dtype=np.int64)[of],
        "profile_root": np.array([part[1] for part in parts])[of],
        "profile_floor": np.array([part[2] for part in parts])[of],
        "profile_first": _starts(counts)[of],
        "profile_rows": np.array(counts, dtype=np.int64)[of],
        "profile_depth": depth,
        "profile_a": a,
        "profile_b": b,
    }


def _bottoms(mesh: Mesh) -> dict[str, Any]:
    known, of = _distinct(mesh.bottoms)
    points = [bottom.points for bottom in known]
    along, depth = np.array([row for part in points for row in part], dtype=float).T
    east, north = np.array([compass_vector(bottom.bearing) for bottom in known]).T
    counts = [len(part) for part in points]
    return {
        "bottom_first": _starts(counts)[of],
        "bottom_points": np.array(counts, dtype=np.int64)[of],
        "bottom_along": along,
        "bottom_depth": depth,
        "bottom_east": east[of],
        "bottom_north": north[of],
    }


def _distinct(of_lines: Sequence[Thing]) -> tuple[list[Thing], NDArray[np.intp]]:
    """The things that lines have, each once, and which each line (L,) has."""
    known: dict[int, tuple[int, Thing]] = {}
    for thing in of_lines:
        known.setdefault(id(thing), (len(known), thing))
    of = np.array([known[id(thing)][0] for thing in of_lines], dtype=np.intp)
    return [thing for _, thing in known.values()], of


_PLAIN = (
    "first", "last", "length", "spring", "one_way", "slack", "nodal", "swing", "cross", "fixed",
    "curve", "reynolds", "along", "added_across", "added_along", "mass", "buoyancy", "weight",
    "isotropic", "lip", "current",
)  # fmt: skip

Kept = tuple[ctypes.Structure, list[Any]]


def mesh_tables(mesh: Mesh, base: Mesh, held: bool) -> Kept:
    """A mesh for the compiled stepper; ``base`` is the one it was made from, or itself.

    ``held``: whether each line is held by its first node.
    """
    return filled(
        MESH,
        nodes=mesh.nodes,
        lines=mesh.lines,
        held=int(held),
        contact=contact_scale(base),
        **{name: getattr(mesh, name) for name in _PLAIN},
        **_profiles(mesh),
        **_bottoms(mesh),
    )


def handling_tables(handled_mesh: HandledMesh, base: Mesh, tips: NDArray[np.int64]) -> Kept:
    """What is handled of each line, on the elements of the whole batch; ``tips`` (L,) is read
    anew at every call."""
    lines = handled_mesh.handled
    moves = [line.paying.breakpoints if line else () for line in lines]
    fish = [
        [order for order in line.orders if order.action in FISH_ACTIONS] if line else []
        for line in lines
    ]
    flat = [move for part in moves for move in part]
    orders = [order for part in fish for order in part]
    along, shares = np.zeros(base.nodes), np.zeros((3, base.nodes))
    for k, line in enumerate(lines):
        if line is not None:
            first = base.first[k]
            along[first : first + len(line.along)] = line.along
            shares[:, first : first + line.shares.shape[1]] = line.shares
    return filled(
        HANDLING,
        handled=np.array([line is not None for line in lines], dtype=np.int64),
        tip=tips,
        move_first=_starts([len(part) for part in moves]),
        moves=np.array([len(part) for part in moves], dtype=np.int64),
        move_time=np.array([move.time for move in flat], dtype=float),
        move_length=np.array([move.length for move in flat], dtype=float),
        move_rate=np.array([move.rate for move in flat], dtype=float),
        move_change=np.array([move.change for move in flat], dtype=float),
        leader=_each(lines, "leader"),
        density=_each(lines, "density"),
        along_line=along,
        shares=shares,
        fish_first=_starts([len(part) for part in fish]),
        fish_orders=np.array([len(part) for part in fish], dtype=np.int64),
        fish_action=np.array([FISH_ACTIONS[o.action] for o in orders], dtype=np.int64),
        fish_time=np.array([order.time for order in orders], dtype=float),
        fish_value=np.array([order.value for order in orders], dtype=float),
        fish_rate=np.array([order.rate for order in orders], dtype=float),
        **{
            name: getattr(base, name)
            for name in (
                "length", "cross", "along", "added_across", "mass", "buoyancy", "weight",
                "isotropic",
            )
        },
    )  # fmt: skip


def _each(lines: tuple[Handling | None, ...], name: str) -> Array:
    return np.array([getattr(line, name) if line else 0.0 for line in lines], dtype=float)
