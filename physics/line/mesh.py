"""Cut each rod's line and lure into elements, and lay a batch of them end to end.

A batch is one flat run of nodes: line after line, each from rod tip to the
lure's tail. Element e joins node e to node e + 1; the element between two
lines is a blank that carries nothing, so that every sum over elements is one
plain slice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from physics.checks import Limits, require_all
from physics.environment.current import Profile
from physics.environment.water import Bottom, Water
from physics.line.tackle import MOST_LINE, LineSection, Lure, Rod

Array = NDArray[np.float64]
Index = NDArray[np.intp]

LURE_STIFFNESS = 5000.0
"""Axial stiffness of the lure's link, N: stiff beside any line, easy for Newton."""

RESOLUTION_LIMITS = {
    "line_elements": Limits(2, 400),
    "leader_elements": Limits(1, 100),
    "grading": Limits(1.0, 20.0),
}
"""Limits of a Resolution's attributes."""

SLACK_TENSION = 0.1
"""Twice the tension of an element at zero strain, N: a line goes slack over about this.

Under a tension T it shortens a line by SLACK_TENSION^2 / (4 EA T): 0.03 % for a
leadcore of 800 N at a hundredth of a newton.
"""

NODAL = 0.125
"""Share of a node's own velocity in the drag of its half of a line's element; the rest is the
element's mean. With the node's alone a curved line meets the flow at its chords' angle too: with
24 + 3 elements, 10 colors and 7.5 kn lure depth was off by 7.0 % in a turn of 20 m radius, where it
is off by 1.3 % now. With the mean alone nothing damps a slack line's zigzag, which takes up to ten
times the steps."""

SHORTEST_SPARE = 1.5
"""Elements of line that is still to go out are not cut shorter than this, m."""

SHORTEST_ELEMENT = 0.02
"""Elements are not cut shorter than this, m."""


@dataclass(frozen=True, slots=True)
class Resolution:
    """How finely lines are cut.

    ``line_elements`` share all sections but the last, ``leader_elements`` the
    last; ``grading`` is the ratio of the longest (at the tip) to the shortest
    (at the leader) element of the former: the shape bends most near the lure.
    As it is, a sinking lure's depth stays within 1 % of a finer line's in turns of 10 m radius
    and more (``tests.benchmarks.turns``).
    """

    line_elements: int = 96
    leader_elements: int = 8
    grading: float = 1.5

    def __post_init__(self) -> None:
        require_all(self, RESOLUTION_LIMITS)


STRAIGHT = Resolution(24, 6, 1.0)
"""Keeps within the same 1 % where the boat does not turn, at half the cost or less."""


@dataclass(frozen=True, slots=True)
class Mesh:
    """Constants of a batch: N nodes, E = N - 1 elements, L lines.

    Per line: ``first`` and ``last`` node, ``rod`` names the caller keeps.
    Per element (E,): unstretched ``length``; tension is ``spring`` times
    strain plus ``one_way`` times its smoothed absolute value (equal for a line,
    which pulls only; zero for a rigid link), rounded over ``slack``; drag at either
    end is by its own velocity as to ``nodal``, by the mean of both as to the rest. Per
    half element (2, E), upper end first: ``cross`` = rho/2 times area per unit
    Cn, ``fixed`` and ``curve`` parts of Cn, ``reynolds`` = d/nu, ``along`` =
    rho/2 times wetted area times Ct. Per node (N,): ``mass`` (with the
    water a braid holds), ``volume`` of what is solid;
    per half element ``added_across`` and ``added_along``. ``isotropic`` and
    ``lip`` (N,) are extra lure forces at a node, rho/2 times area; ``lift`` is
    that of the link below it, of which the node below takes ``lift_center``. ``current``
    (3, N) is the surface's, m/s; per line ``profiles`` say how it changes below.
    """

    first: Index
    last: Index
    line_of_node: Index
    length: Array
    spring: Array
    one_way: Array
    slack: Array
    nodal: Array
    cross: Array
    fixed: Array
    curve: Array
    reynolds: Array
    along: Array
    added_across: Array
    added_along: Array
    mass: Array
    volume: Array
    isotropic: Array
    lip: Array
    lift: Array
    lift_center: Array
    buoyancy: Array
    weight: Array
    current: Array
    bottoms: tuple[Bottom, ...]
    profiles: tuple[Profile, ...]

    @property
    def nodes(self) -> int:
        return len(self.mass)

    @property
    def lines(self) -> int:
        return len(self.first)


_PER_ELEMENT = (
    "length",
    "spring",
    "one_way",
    "slack",
    "nodal",
    "cross",
    "fixed",
    "curve",
    "reynolds",
    "along",
    "added_across",
    "added_along",
)
_PER_NODE = (
    "mass",
    "volume",
    "isotropic",
    "lip",
    "lift",
    "lift_center",
    "buoyancy",
    "weight",
    "current",
)


def element_lengths(
    sections: Sequence[LineSection], resolution: Resolution
) -> list[tuple[int, float]]:
    """Split line sections into (section number, element length) pairs, tip first."""
    if not sections:
        return []
    *upper, leader = sections
    pieces: list[tuple[int, float]] = []
    if upper:
        total = sum(section.length for section in upper)
        for number, section in enumerate(upper):
            count = max(1, round(resolution.line_elements * section.length / total))
            if len(upper) == 1:
                weights = np.geomspace(resolution.grading, 1.0, count)
            else:
                weights = np.ones(count)
            weights *= section.length / weights.sum()
            pieces += [(number, float(piece)) for piece in weights]
        count = resolution.leader_elements
    else:
        count = resolution.line_elements + resolution.leader_elements
    count = max(1, min(count, int(leader.length / SHORTEST_ELEMENT)))
    pieces += [(len(upper), leader.length / count)] * count
    return pieces


Pieces = list[tuple[LineSection, float]]
"""Elements of line, tip first: what each is cut from and how long it is, m."""


def line_pieces(sections: Sequence[LineSection], resolution: Resolution) -> Pieces:
    """Line sections cut into elements."""
    return [(sections[k], length) for k, length in element_lengths(sections, resolution)]


def spare_pieces(rod: Rod, resolution: Resolution, more: float) -> Pieces:
    """Elements for at least ``more`` m of line beyond what a rod has out, tip first.

    What is nearest to the tip is cut first, so that a longer spare begins like a shorter one.
    """
    if more <= 0.0:
        return []
    piece = max(element_lengths(rod.sections, resolution)[0][1], SHORTEST_SPARE)
    pieces: Pieces = []
    for section in rod.reserve or (replace(rod.sections[0], length=MOST_LINE),):
        count = max(1, round(section.length / piece))
        for _ in range(count):
            if more <= 0.0:
                return pieces[::-1]
            pieces.append((section, section.length / count))
            more -= section.length / count
    return pieces[::-1]


def node_shares(pieces: Pieces, water: Water) -> tuple[Array, Array, Array]:
    """What each element adds to either of its nodes: mass kg, weight N, volume m^3; each (n,).

    The mass is with the water a braid holds, the weight without.
    """
    length = np.array([length for _, length in pieces])
    dry = np.array([section.mass_per_length for section, _ in pieces]) * length / 2
    held_water = np.array([section.area * section.flooded for section, _ in pieces])
    volume = np.array([section.solid for section, _ in pieces]) * length / 2
    return dry + water.density * held_water * length / 2, dry * water.gravity, volume


def _one_line(pieces: Pieces, lure: Lure, water: Water) -> dict[str, Array]:
    count = len(pieces) + 1
    half = 0.5 * water.density
    length = np.array([piece for _, piece in pieces] + [lure.length])
    rows: dict[str, list[float]] = {name: [] for name in _PER_ELEMENT if name != "length"}
    for section, piece in pieces:
        constant = section.normal_drag
        rows["spring"].append(section.stiffness / 2)
        rows["one_way"].append(section.stiffness / 2)
        rows["slack"].append(SLACK_TENSION / section.stiffness)
        rows["nodal"].append(NODAL)
        rows["cross"].append(half * section.diameter * piece / 2)
        rows["fixed"].append(0.0 if constant is None else constant)
        rows["curve"].append(section.drag_multiplier if constant is None else 0.0)
        rows["reynolds"].append(section.diameter / water.kinematic_viscosity)
        wetted = np.pi * section.diameter * piece / 2
        rows["along"].append(half * wetted * section.tangential_drag)
        rows["added_across"].append(section.added_mass * water.density * section.area * piece / 2)
        rows["added_along"].append(0.0)
    free = 0.0 if lure.isotropic else half / 2
    displaced = water.density * lure.volume / 2
    for name, value in (
        ("spring", LURE_STIFFNESS),
        ("one_way", 0.0),
        ("slack", 1.0),
        ("nodal", 1.0),
        ("cross", free * lure.broadside_area),
        ("fixed", 1.0),
        ("curve", 0.0),
        ("reynolds", 1.0),
        ("along", free * lure.end_area),
        ("added_across", lure.added_mass_across * displaced),
        ("added_along", lure.added_mass_along * displaced),
    ):
        rows[name].append(value)
    parts = {"length": length}
    for name, values in rows.items():
        one = np.array(values)
        per_end = name not in ("spring", "one_way", "slack", "nodal")
        parts[name] = np.array([one, one]) if per_end else one

    mass, weight, volume = np.zeros(count + 1), np.zeros(count + 1), np.zeros(count + 1)
    for whole, share in zip((mass, weight, volume), node_shares(pieces, water), strict=True):
        whole[:-2] += share
        whole[1:-1] += share
    balance = lure.mass * np.array([1 - lure.mass_center, lure.mass_center])
    mass[-2:] += balance
    weight[-2:] += balance * water.gravity
    volume[-2:] += lure.volume * np.array([1 - lure.volume_center, lure.volume_center])
    isotropic, lip, lift, center = np.zeros((4, count + 1))
    if lure.isotropic:
        isotropic[-2:] = half * lure.broadside_area / 2
    lip[-2] = half * lure.lip_area
    lift[-2] = 0.0 if lure.isotropic else half * lure.lift_area
    center[-2] = lure.lift_center
    parts.update(mass=mass, weight=weight, volume=volume, isotropic=isotropic)
    parts.update(lip=lip, lift=lift, lift_center=center)
    parts["buoyancy"] = volume * water.density * water.gravity
    parts["current"] = np.repeat(np.array([*water.current, 0.0])[:, None], count + 1, axis=1)
    return parts


_BLANK = {"length": 1.0, "reynolds": 1.0, "slack": 1.0}


def build_mesh(
    lines: Sequence[tuple[Rod, Water]],
    resolution: Resolution | Sequence[Resolution],
    spare: Sequence[Pieces] | None = None,
) -> Mesh:
    """Lay out a batch of lines, each in its own water, at one or its own resolution.

    ``spare`` are elements of each that wait on its reel, beyond the tip.
    """
    if isinstance(resolution, Resolution):
        resolution = [resolution] * len(lines)
    parts = [
        _one_line([*more, *line_pieces(rod.sections, fine)], rod.lure, water)
        for (rod, water), fine, more in zip(
            lines, resolution, spare or [[]] * len(lines), strict=True
        )
    ]
    return _join(parts, [water for _, water in lines])


def loose_lures(lures: Sequence[Lure], water: Water) -> Mesh:
    """Lures on no line at all, two nodes each."""
    parts = [_one_line([], lure, water) for lure in lures]
    return _join(parts, [water] * len(lures))


def _join(parts: Sequence[dict[str, Array]], waters: Sequence[Water]) -> Mesh:
    """Lay lines end to end with a blank element between."""
    sizes = np.array([len(part["mass"]) for part in parts])
    last = np.cumsum(sizes) - 1
    joined: dict[str, Array] = {}
    for name in _PER_NODE:
        joined[name] = np.concatenate([part[name] for part in parts], axis=-1)
    for name in _PER_ELEMENT:
        gap = np.full((*parts[0][name].shape[:-1], 1), _BLANK.get(name, 0.0))
        row: list[Array] = []
        for part in parts:
            row += [part[name], gap]
        joined[name] = np.concatenate(row[:-1], axis=-1)
    return Mesh(
        first=last - sizes + 1,
        last=last,
        line_of_node=np.repeat(np.arange(len(parts)), sizes),
        bottoms=tuple(water.bottom for water in waters),
        profiles=tuple(water.profile for water in waters),
        **joined,
    )


def part_of(mesh: Mesh, chosen: Index) -> tuple[Mesh, Index]:
    """The mesh of some of its lines, and the node numbers they had in the whole."""
    nodes = np.concatenate([np.arange(mesh.first[k], mesh.last[k] + 1) for k in chosen])
    sizes = mesh.last[chosen] - mesh.first[chosen] + 1
    last = np.cumsum(sizes) - 1
    taken: dict[str, Array] = {name: getattr(mesh, name)[..., nodes] for name in _PER_NODE}
    for name in _PER_ELEMENT:
        whole = getattr(mesh, name)
        piece = whole[..., np.minimum(nodes, whole.shape[-1] - 1)]
        piece[..., last] = _BLANK.get(name, 0.0)
        taken[name] = piece[..., :-1]
    part = Mesh(
        first=last - sizes + 1,
        last=last,
        line_of_node=np.repeat(np.arange(len(chosen)), sizes),
        bottoms=tuple(mesh.bottoms[k] for k in chosen),
        profiles=tuple(mesh.profiles[k] for k in chosen),
        **taken,
    )
    return part, nodes


assert {f.name for f in fields(Mesh)} >= {*_PER_ELEMENT, *_PER_NODE}
