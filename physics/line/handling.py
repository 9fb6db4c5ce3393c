"""What is done to lines while they are out: line comes in or goes out, a fish is on.

Nodes are pieces of line, so line goes out and comes in at the rod tip alone: the uppermost
element grows or shrinks, and the nodes still on the reel are held at the tip with it. An
element that has come out by more than SPLIT of the next one's length hands its surplus to that
one; coming in, one shorter than that is taken up by the one below. Line that goes out brings
its mass with it; the momentum it brings is left out (0.5 m/s of leadcore: a hundredth of a
newton).

A hooked fish weighs nothing in water. It has its mass, and the drag of FISH_AREA; told to, its
end of the line swims to a depth and keeps it, whatever the line pulls.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from physics.environment.water import Water
from physics.line.line_orders import LineOrder
from physics.line.mesh import Mesh, Pieces, Resolution, line_pieces, node_shares, spare_pieces
from physics.line.paying import Paying, paying
from physics.line.tackle import Rod

Array = NDArray[np.float64]
Index = NDArray[np.intp]

SPLIT = 0.3
"""Share of an element's length that must be out for its upper node to be the tip."""

STACK = 1e-3
"""Nodes on the reel are kept this far apart above the tip, m: no element may have no length."""

FISH_AREA = 0.0035
"""Drag area Cd A of a fish of 1 kg that is pulled along, m^2; as mass to the 2/3 (assumed)."""

OFF_GROUND = 0.3
"""A fish keeps this far off the ground, m (assumed)."""

LEAST_PART = 0.05
"""The element at the tip is not taken shorter than this share of its length."""

EASE = 1.0
"""A fish eases toward the depth it is told within about this time, s (assumed)."""


@dataclass(frozen=True, slots=True)
class Handling:
    """One line's orders, on its own elements.

    ``along`` (K - 1,) is the length of line from the lure's eye up to each node but the tail,
    node 0 the innermost on the reel; ``shares`` (3, K - 2) what each element adds to either
    node: mass kg, weight N, buoyancy N. ``spare`` are the elements that begin on the reel;
    ``leader`` m is the length below the line that is counted; ``density`` the water's, kg/m^3.
    """

    rod: Rod
    orders: tuple[LineOrder, ...]
    spare: Pieces
    along: Array
    shares: Array
    leader: float
    density: float
    paying: Paying
    breaks: tuple[float, ...]

    def line_out(self, time: float) -> tuple[float, float]:
        """Line between tip and leader, m, and the rate at which it goes out, m/s."""
        return self.paying.at(time)

    def tip(self, time: float) -> int:
        """Number of the line's node at the rod tip."""
        out, rate = self.paying.at(time)
        # at the very instant of a change it has happened
        total = out + self.leader + math.copysign(1e-7, rate)
        length = self.along[:-1] - self.along[1:]
        enough = np.flatnonzero(total >= self.along[1:] + SPLIT * length)
        return int(enough[0]) if len(enough) else len(length) - 1

    def tip_length(self, time: float, tip: int) -> float:
        """Unstretched length of the element below node ``tip`` that is out, m."""
        out = self.line_out(time)[0] + self.leader - float(self.along[tip + 1])
        return max(out, LEAST_PART * float(self.along[tip] - self.along[tip + 1]))

    def next_break(self, time: float) -> float:
        """First instant after ``time`` at which something changes at once; inf if none."""
        return next((t for t in self.breaks if t > time + 1e-9), math.inf)

    def fish(self, time: float) -> float:
        """Mass of the fish on the line, kg; 0 without one."""
        mass = 0.0
        for order in self.orders:
            if order.time > time + 1e-9:
                break
            if order.action == "fish on":
                mass = order.value
            elif order.action == "fish off":
                mass = 0.0
        return mass

    def fish_end(self, time: float) -> tuple[float, float] | None:
        """Depth, m, the fish was told to keep and how fast it goes there, m/s; None if not."""
        swim = None
        for order in self.orders:
            if order.time > time + 1e-9:
                break
            if order.action == "fish end to":
                swim = order.value, order.rate
            elif order.action in ("fish on", "fish off"):
                swim = None
        return swim if self.fish(time) else None

    def ordered(self, order: LineOrder, water: Water, resolution: Resolution) -> Handling:
        """The same line with one order more."""
        return handle(self.rod, (*self.orders, order), water, resolution)


def most_line(rod: Rod) -> float:
    """Most line a rod may have out above the leader, m: what the reel holds with it."""
    if not rod.reserve:
        return math.inf
    return sum(section.length for section in (*rod.sections[:-1], *rod.reserve))


def handle(rod: Rod, orders: Sequence[LineOrder], water: Water, resolution: Resolution) -> Handling:
    """One rod's line under its orders."""
    orders = tuple(sorted(orders, key=lambda order: order.time))
    leader = rod.sections[-1].length
    start = rod.line_out - leader
    out = paying(start, orders, most_line(rod))
    spare = spare_pieces(rod, resolution, out.most - start)
    pieces = [*spare, *line_pieces(rod.sections, resolution)]
    length = np.array([length for _, length in pieces])
    along = np.concatenate([np.cumsum(length[::-1])[::-1], [0.0]])
    mass, weight, volume = node_shares(pieces, water)
    shares = np.array([mass, weight, volume * water.density * water.gravity])
    steps = {order.time for order in orders} | {point.time for point in out.breakpoints}
    for threshold in along[1:] + SPLIT * length:
        steps.update(out.reaches(float(threshold) - leader))
    return Handling(
        rod,
        orders,
        spare,
        along,
        shares,
        leader,
        water.density,
        out,
        tuple(sorted(t for t in steps if t > 0.0)),
    )


_VARIED = ("length", "cross", "along", "added_across", "mass", "weight", "buoyancy", "isotropic")


class HandledMesh:
    """A mesh as it is at given instants: its own copy of what handling changes in ``base``.

    ``tips`` (L,) are the numbers of the nodes at the rod tips, each within its line; ``held``
    (H,) all nodes at or above them, and ``held_of`` (H,) their lines.
    """

    def __init__(self, mesh: Mesh, handled: Sequence[Handling | None], tips: Index) -> None:
        self.base = mesh
        self.mesh = replace(mesh, **{name: getattr(mesh, name).copy() for name in _VARIED})
        self.handled = tuple(handled)
        self._mine = [(i, line) for i, line in enumerate(handled) if line is not None]
        self.balls = np.array(
            [
                node
                for i, line in self._mine
                if any(order.action == "fish on" for order in line.orders)
                for node in (mesh.last[i] - 1, mesh.last[i])
            ],
            dtype=np.intp,
        )
        self.set_tips(tips)

    def copy(self) -> HandledMesh:
        """An independent one."""
        return HandledMesh(self.base, self.handled, self.tips)

    def set_tips(self, tips: Index) -> None:
        """Other nodes are at the tips: what is above them weighs, drags and pulls nothing."""
        self.tips = np.array(tips, dtype=np.intp)
        mesh, base = self.mesh, self.base
        held, held_of = [], []
        for i, _ in self._mine:
            first, last, tip = mesh.first[i], mesh.last[i], mesh.first[i] + self.tips[i]
            for name in _VARIED:
                getattr(mesh, name)[..., first:last] = getattr(base, name)[..., first:last]
            mesh.mass[first:tip] = mesh.weight[first:tip] = mesh.buoyancy[first:tip] = 0.0
            for of_element in (mesh.cross, mesh.along, mesh.added_across):
                of_element[..., first:tip] = 0.0
        for i in range(mesh.lines):
            count = int(self.tips[i]) + 1
            held.append(np.arange(mesh.first[i], mesh.first[i] + count))
            held_of += [i] * count
        self.held = np.concatenate(held)
        self.held_of = np.array(held_of, dtype=np.intp)

    def at(self, time: Array) -> None:
        """Bring the mesh to each line's own time (L,), s, between two of its breaks."""
        mesh, base = self.mesh, self.base
        for i, line in self._mine:
            k, now = int(self.tips[i]), float(time[i])
            at = mesh.first[i] + k
            whole = base.length[at]
            out = line.tip_length(now, k)
            part = out / whole
            mesh.length[at] = out
            mesh.cross[:, at] = part * base.cross[:, at]
            mesh.along[:, at] = part * base.along[:, at]
            mesh.added_across[:, at] = part * base.added_across[:, at]
            for nodal, whole_nodal, share in (
                (mesh.mass, base.mass, line.shares[0, k]),
                (mesh.weight, base.weight, line.shares[1, k]),
                (mesh.buoyancy, base.buoyancy, line.shares[2, k]),
            ):
                nodal[at] = part * share
                nodal[at + 1] = whole_nodal[at + 1] - (1.0 - part) * share
            if len(self.balls):
                self._hook(i, line.fish(now), line.density)

    def _hook(self, i: int, fish: float, density: float) -> None:
        mesh, base = self.mesh, self.base
        ends = slice(mesh.last[i] - 1, mesh.last[i] + 1)
        area = FISH_AREA * fish ** (2.0 / 3.0)
        mesh.isotropic[ends] = base.isotropic[ends] + 0.5 * density * area / 2.0
        tail = mesh.last[i]
        mesh.mass[tail] = base.mass[tail] + fish

    def ends(self, time: Array, r_star: Array, b: Array) -> tuple[Index, Array]:
        """Tails that a fish moves up or down as told, and their vertical velocity, m/s.

        For an implicit stage with position r* + b v.
        """
        nodes, climb = [], []
        for i, line in self._mine:
            swim = line.fish_end(float(time[i]))
            if swim is None:
                continue
            node = self.mesh.last[i]
            x, y, z = r_star[:, node]
            ground = float(self.mesh.bottoms[i].depth_at(np.array([x]), np.array([y]))[0])
            goal = -min(swim[0], max(ground - OFF_GROUND, 0.0))
            nodes.append(node)
            climb.append(float(np.clip((goal - z) / (EASE + b[node]), -swim[1], swim[1])))
        return np.array(nodes, dtype=np.intp), np.array(climb)
