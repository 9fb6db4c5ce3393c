"""Forces on a batch of lines, and their exact derivatives.

Lumped nodes: weight, buoyancy, half-element drag, added mass, contact with
the bottom, and tension between neighbours. Drag of half an element uses its
node's velocity against the water, mixed with the other end's (``Mesh.nodal``), and
the element's tangent, split across and along (the cross-flow principle); a lure that
swings meets more of a cross flow the faster it goes ahead. A line only pulls; the lure's
link carries both ways.
"""

from __future__ import annotations

import numpy as np
import scipy
from numpy.lib.stride_tricks import as_strided
from numpy.typing import NDArray

from physics.line.contact import Ground
from physics.line.drag import cylinder_drag
from physics.line.mesh import Mesh
from physics.line.stream import Stream

Array = NDArray[np.float64]

SPEED_FLOOR = 1e-3
"""Smallest cross-flow speed the drag curve sees, m/s; keeps its slope finite."""

SURFACE_BLUR = 0.03
"""Height over which a node goes from dry to wet, m."""

BAND = 5
"""Sub- and superdiagonals of the block-tridiagonal Newton matrix."""


def _pairs(nodal: Array) -> Array:
    """View a (..., N) array as (..., 2, N - 1): the two ends of every element."""
    step = nodal.strides[-1]
    return as_strided(
        nodal,
        shape=(*nodal.shape[:-1], 2, nodal.shape[-1] - 1),
        strides=(*nodal.strides[:-1], step, step),
    )


def _dot(a: Array, b: Array) -> Array:
    """Sum over the first axis, which holds x, y, z."""
    out: Array = a[0] * b[0]
    out += a[1] * b[1]
    out += a[2] * b[2]
    return out


class LineSystem:
    """One mesh's equation of motion, with the buffers it works in.

    ``evaluate`` fills ``residual`` (3, N) = M a - f in newtons and the banded
    derivative of it by the node velocities, with positions r = r* + b v and
    accelerations (v - v*) / b; ``solve`` then gives Newton's step. ``tension``
    (E,) is that of the last evaluation. ``balls`` are nodes that may come to have
    a ball's drag while the mesh changes, and ``whole`` is that mesh with all line out: the
    ground is as hard as that asks for, whatever is out when this is made. Exact but for how
    the small added mass turns with the line.
    """

    def __init__(
        self, mesh: Mesh, balls: NDArray[np.intp] | None = None, whole: Mesh | None = None
    ) -> None:
        self.mesh = mesh
        n = mesh.nodes
        self.residual = np.zeros((3, n))
        self.tension = np.zeros(n - 1)
        self._ground = Ground(whole or mesh)
        self._stream = Stream(mesh)
        self._curved = bool(np.any(mesh.curve))
        self._swings = bool(np.any(mesh.swing))
        self._isotropic = np.flatnonzero(mesh.isotropic)
        if balls is not None:
            self._isotropic = np.union1d(self._isotropic, balls)
        self._lip = np.flatnonzero(mesh.lip)
        self._relative, self._accel = np.zeros((3, n)), np.zeros((3, n))
        self._wet = np.zeros(n)
        self._ends, self._end_accel = _pairs(self._relative), _pairs(self._accel)
        self._by_own, self._by_other = 0.5 + 0.5 * mesh.nodal, 0.5 - 0.5 * mesh.nodal
        self._end_wet = _pairs(self._wet)
        # LAPACK's band storage, column by column, seen as 3 x 3 blocks
        self._band = np.zeros((n, 3, 3 * BAND + 1))
        s = self._band.itemsize
        strides = (s, 3 * BAND * s, 3 * (3 * BAND + 1) * s)
        flat = self._band.reshape(-1)
        width = 3 * (3 * BAND + 1)
        mid = 2 * BAND
        self._own = as_strided(flat[mid:], (3, 3, n), strides)
        self._upper = as_strided(flat[width + mid - 3 :], (3, 3, n - 1), strides)
        self._lower = as_strided(flat[mid + 3 :], (3, 3, n - 1), strides)
        self._block = np.zeros((3, 3, 2, n - 1))
        self._couple = np.zeros((3, 3, 2, n - 1))
        self._spare = np.zeros((3, 3, 2, n - 1))

    def evaluate(self, position: Array, velocity: Array, accel: Array, b: Array) -> None:
        """Fill the residual and its derivative at a trial state, all (3, N).

        ``b`` (N,) is each node's implicit step in seconds, the same along a line.
        """
        mesh, r = self.mesh, position
        stretch = r[:, 1:] - r[:, :-1]
        span = np.sqrt(_dot(stretch, stretch))
        tangent = stretch / span
        strain = span / mesh.length - 1.0
        root = np.sqrt(strain * strain + mesh.slack * mesh.slack)
        tension = mesh.spring * strain + mesh.one_way * root
        slope = mesh.spring + mesh.one_way * (strain / root)
        self.tension = tension

        np.exp(np.minimum(r[2] * (1.0 / SURFACE_BLUR), 60.0), out=self._wet)
        self._wet += 1.0
        np.divide(1.0, self._wet, out=self._wet)
        wet, end_wet = self._wet, self._end_wet

        np.subtract(velocity, self._stream.at(r), out=self._relative)
        self._accel[:] = accel
        t = tangent[:, None]
        flow = self._by_own * self._ends + self._by_other * self._ends[:, ::-1]
        slide = _dot(flow, t)
        across = flow - slide * t
        speed2 = _dot(across, across)
        speed2 += SPEED_FLOOR**2
        speed2 += mesh.swing * slide**2
        speed = np.sqrt(speed2)
        k_unit = mesh.cross * end_wet
        if self._curved:
            reynolds = mesh.reynolds * speed
            curve, curve_slope = cylinder_drag(reynolds)
            cn = mesh.fixed + mesh.curve * curve
            k_rise = k_unit * (cn + mesh.curve * curve_slope * reynolds) / speed
        else:
            cn = mesh.fixed
            k_rise = k_unit * cn / speed
        k_cross = k_unit * cn * speed
        k_slide = mesh.along * end_wet * np.abs(slide)
        add_n = mesh.added_across * end_wet
        add_t = mesh.added_along * end_wet - add_n

        net = self.residual
        submerged = np.zeros_like(net)
        drag = k_cross * across + (k_slide * slide) * t
        submerged[:, :-1] = drag[:, 0]
        submerged[:, 1:] += drag[:, 1]
        submerged[2] -= mesh.buoyancy * wet
        inertia = add_n * self._end_accel
        inertia += (add_t * _dot(self._end_accel, t)) * t
        axial = tension * tangent
        inertia[:, 0] -= axial
        inertia[:, 1] += axial
        np.multiply(mesh.mass, accel, out=net)
        net += submerged
        net[2] += mesh.weight
        net[:, :-1] += inertia[:, 0]
        net[:, 1:] += inertia[:, 1]

        self._fill_blocks(b, tangent, tension, slope, span, slide, across, k_cross, k_rise,
                          k_slide, add_n, add_t)  # fmt: skip
        own = self._own
        own[:, 2] -= (b / SURFACE_BLUR) * (1.0 - wet) * submerged
        if len(self._isotropic):
            self._add_isotropic(b)
        if len(self._lip):
            self._add_lip(tangent, b, (b[:-1] / span)[self._lip])
        if self._stream.sheared:
            self._advect_drag(b, t, across, slide, k_cross, k_rise, 2.0 * k_slide - k_cross)
        self._ground.add(r, velocity, b, net, own)

    def _fill_blocks(
        self,
        b_node: Array,
        tangent: Array,
        tension: Array,
        slope: Array,
        span: Array,
        slide: Array,
        across: Array,
        k_cross: Array,
        k_rise: Array,
        k_slide: Array,
        add_n: Array,
        add_t: Array,
    ) -> None:
        """Write the derivatives of drag, added mass and tension into the band.

        For each end of an element, with P = I - t t' and u the cross flow:
        by the velocity it sees, k P + (dk/du/u) u (u + swing s t)' + 2 k_t t t' with s the
        speed along, shared between its own and the neighbour's; by the neighbour's position,
        the tension's stiffness plus the turning of the element in the flow.
        """
        mesh, t, b = self.mesh, tangent[:, None], b_node[:-1]
        lever = np.empty_like(slide)
        np.divide(b, span, out=lever[0])
        np.negative(lever[0], out=lever[1])
        turn = lever * slide
        c_iso = lever[0] * tension + turn * (k_cross - k_slide)
        c_tt = (b / mesh.length) * slope - c_iso
        c_left = ((1.0 - mesh.swing) * turn * k_rise) * across
        c_left += (lever * (k_cross - 2.0 * k_slide)) * t
        couple, block, spare = self._couple, self._block, self._spare
        tt = tangent[:, None] * tangent[None]
        np.multiply(c_left[:, None], across[None], out=couple)
        np.multiply(c_tt, tt[:, :, None], out=spare)
        couple += spare
        couple.reshape(9, *slide.shape)[::4] += c_iso
        np.multiply((k_rise * across)[:, None], across[None], out=block)
        np.multiply(2.0 * k_slide - k_cross, tt[:, :, None], out=spare)
        block += spare
        block.reshape(9, *slide.shape)[::4] += k_cross
        if self._swings:
            np.multiply((k_rise * mesh.swing * slide * across)[:, None], t[None], out=spare)
            block += spare
        self._band.fill(0.0)
        np.multiply(self._by_other, block, out=spare)
        np.subtract(spare[:, :, 0], couple[:, :, 0], out=self._upper)
        np.subtract(spare[:, :, 1], couple[:, :, 1], out=self._lower)
        block *= self._by_own
        block += couple
        np.multiply(add_t / b, tt[:, :, None], out=spare)
        block += spare
        block.reshape(9, *slide.shape)[::4] += add_n / b
        own = self._own
        own[:, :, :-1] = block[:, :, 0]
        own[:, :, 1:] += block[:, :, 1]
        per_step = mesh.mass / b_node
        for i in range(3):
            own[i, i] += per_step

    def _add_isotropic(self, b: Array) -> None:
        """Drag of a ball: the same whatever its attitude."""
        at = self._isotropic
        u = self._relative[:, at]
        speed = np.sqrt(_dot(u, u) + SPEED_FLOOR**2)
        k = self.mesh.isotropic[at] * self._wet[at] * speed
        self.residual[:, at] += k * u
        jac = (k / speed**2) * u[:, None] * u[None]
        for i in range(3):
            jac[i, i] += k
        self._own[:, :, at] += jac
        if self._stream.sheared:
            self._advect(at, b, (jac * self._stream.shear_direction[:, at]).sum(axis=1))

    def _add_lip(self, tangent: Array, b: Array, lever: Array) -> None:
        """Lift of a diving lip: down across the axis, as speed ahead squared.

        ``lever`` is the implicit step over the lure's length: how its tail's
        velocity turns the axis.
        """
        at = self._lip
        axis, u = tangent[:, at], self._relative[:, at]
        ahead = np.maximum(-_dot(u, axis), 0.0)
        down = axis[2] * axis
        down[2] -= 1.0
        k = self.mesh.lip[at] * self._wet[at]
        self.residual[:, at] -= k * ahead**2 * down
        jac = (2.0 * k * ahead) * down[:, None] * axis[None]
        self._own[:, :, at] += jac
        if self._stream.sheared:
            self._advect(at, b, (jac * self._stream.shear_direction[:, at]).sum(axis=1))
        turn = (2.0 * ahead) * down[:, None] * u[None]
        turn[:, 2] -= ahead**2 * axis
        for i in range(3):
            turn[i, i] -= ahead**2 * axis[2]
        turn -= (turn * axis[None]).sum(axis=1)[:, None] * axis[None]
        turn *= k * lever
        self._own[:, :, at] -= turn
        self._upper[:, :, at] += turn

    def _advect_drag(
        self,
        b: Array,
        t: Array,
        across: Array,
        slide: Array,
        k_cross: Array,
        k_rise: Array,
        k_along: Array,
    ) -> None:
        """What nodes' moving to where the current differs changes of the elements' drag."""
        directions, rise = self._stream.end_directions, self._stream.gradient
        upper, lower = rise[:, :-1], rise[:, 1:]
        for share, sees, places, first, second in (
            (self._by_own, directions, (upper, lower), self._own[..., :-1], self._own[..., 1:]),
            (self._by_other, directions[:, ::-1], (lower, upper), self._upper, self._lower),
        ):
            along = _dot(t, sees)
            ends = k_rise * (_dot(across, sees) + self.mesh.swing * slide * along) * across
            ends += k_cross * sees + (k_along * along) * t
            ends *= share * b[:-1]
            first -= ends[:, None, 0] * places[0][None]
            second -= ends[:, None, 1] * places[1][None]

    def _advect(self, at: slice | NDArray[np.intp], b: Array, sensitivity: Array) -> None:
        """Nodes move to where the current differs: minus b times ``sensitivity`` times that change.

        ``sensitivity`` (3, n) is the derivative of some nodes' drag by their velocity,
        times the direction in which the current changes there.
        """
        rise = self._stream.gradient[:, at]
        self._own[:, :, at] -= (b[at] * sensitivity)[:, None] * rise[None]

    def hold(self, nodes: NDArray[np.intp]) -> None:
        """Take these nodes' velocities as given: their rows become identity."""
        n = self.mesh.nodes
        self.residual[:, nodes] = 0.0
        self._own[:, :, nodes] = np.eye(3)[:, :, None]
        below, above = nodes[nodes < n - 1], nodes[nodes > 0] - 1
        self._upper[:, :, below] = 0.0
        self._lower[:, :, above] = 0.0

    def hold_upright(
        self, nodes: NDArray[np.intp], climb: Array, position: Array, velocity: Array, b: Array
    ) -> None:
        """Take the vertical velocity of these nodes, each its line's last, as given: ``climb``.

        Where that would lead into the ground, as what keeps them on it.
        """
        height, east, north = self._ground.under(position, nodes)
        rise = velocity[2, nodes]
        least = rise - height / b[nodes]
        lifted = least > climb
        self.residual[2, nodes] = rise - np.maximum(climb, least)
        self._own[2, :, nodes] = np.stack(
            [-east * lifted, -north * lifted, np.ones(len(nodes))], axis=1
        )
        self._lower[2, :, nodes - 1] = 0.0

    def solve(self) -> Array:
        """Newton's step (3, N) for the last evaluation; NaN if singular."""
        *_, x, info = scipy.linalg.lapack.dgbsv(
            BAND,
            BAND,
            self._band.reshape(-1, 3 * BAND + 1).T,
            self.residual.T.reshape(-1, 1),
            overwrite_ab=1,
        )
        if info != 0:
            return np.full_like(self.residual, np.nan)
        step: Array = np.ascontiguousarray(x.reshape(-1, 3).T)
        return step
