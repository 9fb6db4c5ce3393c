"""The bottom under a batch of lines: a smooth one-sided spring on a stiff bed, and friction."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from physics.line.mesh import Mesh

Array = NDArray[np.float64]

CONTACT_BLUR = 0.02
"""Height over which the bottom takes up a node's weight, m."""

SOFT = 0.005
"""Depth in the ground to which only the weight's spring resists, m."""

STIFFNESS = 2e5
"""Of the bed below that, N/m. It pushes with 2,200 N at a depth of 2 cm: a lip at 12 m/s dives
with 40 N, and what pressed hardest in trials, a line hauled over a steep crest, with about 200."""

BEND = 0.008
"""Depth over which the bed becomes so stiff, m. Beyond it the push grows in a straight line, from
however deep a first guess Newton is back at the bend in one step (with the square of the depth
it took up to a dozen, and settlings did not converge)."""

LIGHTEST_CONTACT = 0.02
"""The bottom is at least as stiff as for this wet weight, N."""

REACH = 0.4
"""The spring's tail is dropped above this height, m (e^-20 of the weight)."""

FRICTION = 0.4
"""Friction of line and lure on the bottom (assumed: wet sand)."""

FRICTION_SPEED = 0.05
"""Sliding speed at which friction is near its full value, m/s."""


def contact_scale(mesh: Mesh) -> Array:
    """Push of the bottom on every node per unit of softplus (N,), N: at rest a node lies on it."""
    load = np.maximum(np.abs(mesh.weight - mesh.buoyancy), LIGHTEST_CONTACT)
    out: Array = load / np.log(2.0)
    return out


class Ground:
    """Contact of one mesh with the bottoms its lines run over.

    The spring is scaled to each node's wet weight, so that a node at rest
    lies on the bottom, not above it nor in it, and acts along the normal of
    a sloping bottom. The bed below bears what else presses a node down: a lip's
    dive, a line pulled across a crest, a fast fall.
    """

    def __init__(self, mesh: Mesh) -> None:
        self._mesh = mesh
        self._sloping = [k for k, bottom in enumerate(mesh.bottoms) if not bottom.is_level]
        shallow = np.array([bottom.shallowest for bottom in mesh.bottoms])
        self._depth = shallow[mesh.line_of_node]
        self._scale = contact_scale(mesh)

    def height(self, position: Array) -> Array:
        """Height of every node over the ground under it, m (N,)."""
        for k in self._sloping:
            span = slice(self._mesh.first[k], self._mesh.last[k] + 1)
            self._depth[span] = self._mesh.bottoms[k].depth_at(position[0, span], position[1, span])
        out: Array = position[2] + self._depth
        return out

    def under(self, position: Array, at: NDArray[np.intp]) -> tuple[Array, Array, Array]:
        """Height of some nodes over the ground, m, and its rise per metre east and north."""
        height, east, north = np.zeros((3, len(at)))
        for k in range(self._mesh.lines):
            mine = self._mesh.line_of_node[at] == k
            x, y, z = position[:, at[mine]]
            bottom = self._mesh.bottoms[k]
            height[mine] = z + bottom.depth_at(x, y)
            east[mine], north[mine] = bottom.slope_at(x, y)
        return height, east, north

    def _normal(self, position: Array, at: NDArray[np.intp]) -> Array:
        normal = np.zeros((3, len(at)))
        normal[2] = 1.0
        for k in self._sloping:
            mine = self._mesh.line_of_node[at] == k
            x, y = position[0, at[mine]], position[1, at[mine]]
            east, north = self._mesh.bottoms[k].slope_at(x, y)
            normal[0, mine], normal[1, mine] = -east, -north
        normal /= np.sqrt((normal * normal).sum(axis=0))
        return normal

    def add(self, position: Array, velocity: Array, b: Array, net: Array, own: Array) -> None:
        """Add the bottom's push to a residual (3, N) and its derivative (3, 3, N)."""
        height = self.height(position)
        if height.min() > REACH:
            return
        at = np.flatnonzero(height < REACH)
        normal = self._normal(position, at)
        upright = normal[2]
        gap = height[at] * upright / CONTACT_BLUR
        scale = self._scale[at]
        push = scale * np.logaddexp(0.0, -gap)
        rise = scale / CONTACT_BLUR / (1.0 + np.exp(np.clip(gap, -60.0, 60.0)))
        # by depth straight down: a steep slope yields no deeper than a level one
        deep = np.maximum(-height[at] - SOFT, 0.0)
        bend = np.minimum(deep, BEND)
        push += STIFFNESS * bend * (deep - 0.5 * bend) / BEND / upright
        rise += STIFFNESS * bend / BEND / upright**2
        v = velocity[:, at]
        slip = v - (v * normal).sum(axis=0) * normal
        slip_speed = np.sqrt((slip * slip).sum(axis=0) + FRICTION_SPEED**2)
        friction = FRICTION * push / slip_speed
        b = b[at]
        net[:, at] += friction * slip - push * normal
        slope = -(b * FRICTION * rise / slip_speed) * slip
        slope += (b * rise - friction) * normal
        jac = slope[:, None] * normal[None]
        jac -= (friction / slip_speed**2 * slip)[:, None] * slip[None]
        for i in range(3):
            jac[i, i] += friction
        own[:, :, at] += jac
