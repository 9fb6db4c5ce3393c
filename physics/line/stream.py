"""The current at every node of a batch, and how it changes where a node goes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from physics.environment.current import PowerLaw, Profile, Uniform
from physics.environment.water import Bottom
from physics.line.mesh import Mesh

Array = NDArray[np.float64]


class Stream:
    """The current around one mesh.

    ``sheared`` tells whether it changes with depth anywhere; only then are
    ``shear_direction`` and ``gradient`` (3, N) kept up: moved by dr, a node sees the current
    change by ``shear_direction`` times (``gradient`` . dr).
    """

    def __init__(self, mesh: Mesh) -> None:
        self._mesh = mesh
        alike: dict[tuple[Profile, Bottom | None], list[int]] = {}
        for k, (profile, bottom) in enumerate(zip(mesh.profiles, mesh.bottoms, strict=True)):
            if not isinstance(profile, Uniform):
                follows = isinstance(profile, PowerLaw) and profile.floor is None
                alike.setdefault((profile, bottom if follows else None), []).append(k)
        self.sheared = bool(alike)
        if not self.sheared:
            return
        self._parts = [
            (profile, bottom, np.flatnonzero(np.isin(mesh.line_of_node, lines)))
            for (profile, bottom), lines in alike.items()
        ]
        self._velocity = mesh.current.copy()
        self.shear_direction, self.gradient = (
            np.zeros_like(mesh.current),
            np.zeros_like(mesh.current),
        )
        self.end_directions = np.zeros((3, 2, mesh.nodes - 1))
        """``shear_direction`` at both ends of every element."""

    def at(self, position: Array) -> Array:
        """Velocity of the water (3, N), m/s, at node positions (3, N), m."""
        if not self.sheared:
            return self._mesh.current
        for profile, bottom, nodes in self._parts:
            x, y, z = position[:, nodes]
            floor = z if bottom is None else bottom.depth_at(x, y)
            flow = profile.flow(self._mesh.current[:2, nodes], -z, floor)
            self._velocity[:2, nodes], self.shear_direction[:2, nodes] = (
                flow.velocity,
                flow.shear_direction,
            )
            self.gradient[2, nodes] = -flow.by_depth
            if bottom is not None and not bottom.is_level:
                east, north = bottom.slope_at(x, y)
                self.gradient[0, nodes] = -flow.by_floor * east
                self.gradient[1, nodes] = -flow.by_floor * north
        self.end_directions[:, 0], self.end_directions[:, 1] = (
            self.shear_direction[:, :-1],
            self.shear_direction[:, 1:],
        )
        return self._velocity
