"""Cut each rod's line and lure into elements, and lay a batch of them end to end.

A batch is one flat run of nodes: line after line, each from rod tip to the
lure's tail. Element e joins node e to node e + 1; the element between two
lines is a blank that carries nothing, so that every sum over elements is one
plain slice.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from physics.checks import Limits, require_all
from physics.environment.current import Profile
from physics.environment.water import Bottom, Water
from physics.line.swing import cross_speed
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

AT_LURE, FARTHER_UP = (6.1, 4.0), (11.0, 8.0)
"""An element is short enough that is, at the lure, no longer than AT_LURE m over the leader's
elements, and FARTHER_UP over the line's for every meter farther up, as those of 10 colors behind
20 ft of leader are; a section with a longer one is cut by the second of each. However a line is
made up, its shape bends most near the lure. On 238 single lines of any sections and leader, some
as odd as may be, STRAIGHT was without this more than 1 % and 1 cm off a finer cut in 49, by half
of the depth behind a short core, and the default in 17, by 10 % at most; with it in 7, by 2.2 % at
most, and in none, for 5 % more elements."""

PLACES = 400
"""Places at which a section is looked at for that."""


@dataclass(frozen=True, slots=True)
class Resolution:
    """How finely lines are cut.

    ``line_elements`` share all sections but the last, ``leader_elements`` the
    last; ``grading`` is the ratio of the longest (at the tip) to the shortest
    (at the leader) element of the former: the shape bends most near the lure. A section whose
    elements would be too long there (AT_LURE) gets more.
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
    end is by its own velocity as to ``nodal``, by the mean of both as to the rest; a lure's
    ``swing`` is the square of ``cross_speed``. Per half element (2, E), upper end first:
    ``cross`` = rho/2 times area per unit Cn, ``fixed`` and ``curve`` parts of Cn,
    ``reynolds`` = d/nu, ``along`` = rho/2 times wetted area times Ct. Per node (N,): ``mass``
    (with the water a braid holds), ``volume`` of what is solid;
    per half element ``added_across`` and ``added_along``. ``isotropic`` and
    ``lip`` (N,) are extra lure forces at a node, rho/2 times area. ``current``
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
    swing: Array
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
    "swing",
    "cross",
    "fixed",
    "curve",
    "reynolds",
    "along",
    "added_across",
    "added_along",
)
_PER_NODE = ("mass", "volume", "isotropic", "lip", "buoyancy", "weight", "current")


def element_lengths(
    sections: Sequence[LineSection], resolution: Resolution
) -> Sequence[tuple[int, float]]:
    """Split line sections into (section number, element length) pairs, tip first."""
    return _cut(tuple(section.length for section in sections), resolution)


@lru_cache(256)
def _cut(lengths: tuple[float, ...], resolution: Resolution) -> Sequence[tuple[int, float]]:
    """The same of sections of so many m: the samples of a doubt differ in all but their lengths."""
    pieces: list[tuple[int, float]] = []
    below = 0.0
    for number, usual in reversed(list(enumerate(_usual_lengths(lengths, resolution)))):
        fine = _fine_enough(usual[::-1], below, resolution)[::-1]
        pieces[:0] = [(number, piece) for piece in fine.tolist()]
        below += lengths[number]
    return tuple(pieces)


def _usual_lengths(lengths: tuple[float, ...], resolution: Resolution) -> list[Array]:
    """Element lengths of each section, tip first, m, as many as the resolution says."""
    if not lengths:
        return []
    *upper, leader = lengths
    out = []
    for length in upper:
        count = max(1, round(resolution.line_elements * length / sum(upper)))
        grading = resolution.grading if len(upper) == 1 else 1.0
        weights = grading ** (np.arange(count)[::-1] / max(count - 1, 1))
        out.append(weights * (length / weights.sum()))
    count = resolution.leader_elements + (0 if upper else resolution.line_elements)
    count = max(1, min(count, int(leader / SHORTEST_ELEMENT)))
    return [*out, np.full(count, leader / count)]


def _fine_enough(lengths: Array, below: float, resolution: Resolution) -> Array:
    """Element lengths (n,) m of a section, lure first, or more where some are too long.

    ``below`` m of line is between section and lure. Elements a meter are then at every place the
    greater of what they were and what is needed there.
    """
    ends = below + np.concatenate([[0.0], np.cumsum(lengths)])
    enough, longest = (
        (at_lure / resolution.leader_elements, up / resolution.line_elements)
        for at_lure, up in zip(AT_LURE, FARTHER_UP, strict=True)
    )
    if np.all(lengths <= 1e-6 + enough[0] + enough[1] * 0.5 * (ends[1:] + ends[:-1])):
        return lengths
    place = np.linspace(below, ends[-1], 1 + PLACES)
    middle = 0.5 * (place[1:] + place[:-1])
    usual = lengths[np.minimum(np.searchsorted(ends[1:], middle), len(lengths) - 1)]
    needed = np.diff(place) / np.minimum(usual, longest[0] + longest[1] * middle)
    number = np.concatenate([[0.0], np.cumsum(needed)])
    count = math.ceil(number[-1] - 1e-6)
    out: Array = np.diff(np.interp(np.linspace(0.0, number[-1], 1 + count), number, place))
    return out


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
    return _shares(np.array([_of_section(section) for section, _ in pieces]).T, length,
                   water.density, water.gravity)  # fmt: skip


def _shares(
    section: Array, length: Array, density: Array | float, gravity: Array | float
) -> tuple[Array, Array, Array]:
    """As ``node_shares``, of sections as columns of ``_of_section`` in waters of their own."""
    per_length, held_water, solid = section[-3:]
    dry = per_length * length / 2
    return dry + density * held_water * length / 2, dry * gravity, solid * length / 2


def _of_section(section: LineSection) -> tuple[float, ...]:
    """What of a line's kind is in a mesh; of its drag, one of the two numbers is 0."""
    fixed, curve = section.normal_drag, 0.0
    if fixed is None:
        fixed, curve = 0.0, section.drag_multiplier
    area = section.area
    return (
        section.stiffness, section.diameter, fixed, curve, section.tangential_drag,
        section.added_mass * area, section.mass_per_length, area * section.flooded, section.solid,
    )  # fmt: skip


def _of_lure(lure: Lure) -> tuple[float, ...]:
    """What of a lure is in a mesh; of its drag along and across, or alike in all directions,
    one is 0."""
    alike = float(lure.isotropic)
    return (
        lure.length, (1.0 - alike) * lure.broadside_area, (1.0 - alike) * lure.end_area,
        alike * lure.broadside_area, lure.added_mass_across, lure.added_mass_along,
        lure.mass, lure.mass_center, lure.volume, lure.volume_center, lure.lip_area,
        cross_speed(lure.swing) ** 2,
    )  # fmt: skip


_BLANK = {"length": 1.0, "reynolds": 1.0, "slack": 1.0}
"""What an element between two lines is made of, where that is not nought."""

_WHOLE = ("length", "spring", "one_way", "slack", "nodal", "swing")
"""What an element has as a whole; of the rest, half belongs to either end."""


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
    pieces = [
        [*more, *line_pieces(rod.sections, fine)]
        for (rod, _), fine, more in zip(lines, resolution, spare or [[]] * len(lines), strict=True)
    ]
    return _lay(pieces, [rod.lure for rod, _ in lines], [water for _, water in lines])


def loose_lures(lures: Sequence[Lure], water: Water) -> Mesh:
    """Lures on no line at all, two nodes each."""
    return _lay([[]] * len(lures), lures, [water] * len(lures))


def _lay(pieces: Sequence[Pieces], lures: Sequence[Lure], waters: Sequence[Water]) -> Mesh:
    """Lay lines end to end with a blank element between, those of all lines at once."""
    counts = np.array([len(part) for part in pieces])
    last = np.cumsum(counts + 2) - 1
    first, eye, nodes = last - counts - 1, last - 1, int(last[-1]) + 1
    line_of_node = np.repeat(np.arange(len(counts)), counts + 2)
    # elements of line; each has the number of the node above it, and so have the lures
    line = np.concatenate([np.arange(*ends) for ends in zip(first, eye, strict=True)])
    of = line_of_node[line]

    flat = [piece for part in pieces for piece in part]
    known = {id(section): section for section, _ in flat}
    place = {key: k for k, key in enumerate(known)}
    table = np.array([_of_section(section) for section in known.values()]).reshape(-1, 9)
    section = table[[place[id(section)] for section, _ in flat]].T
    stiffness, diameter, fixed, curve, slide, added, *_ = section
    length = np.array([length for _, length in flat])
    (lure_length, broadside, end, ball, across, along, mass, mass_center, volume, volume_center,
     lip, swing) = np.array([_of_lure(lure) for lure in lures]).T  # fmt: skip
    density, gravity, viscosity = np.array(
        [(water.density, water.gravity, water.kinematic_viscosity) for water in waters]
    ).T
    half, displaced = 0.5 * density, density * volume / 2

    def laid(name: str, of_line: Array | float, of_lure: Array | float) -> Array:
        row = np.full(nodes, _BLANK.get(name, 0.0))
        row[line], row[eye] = of_line, of_lure
        # the last one's number belongs to the last node only
        return row[:-1] if name in _WHOLE else np.array([row[:-1], row[:-1]])

    wetted = np.pi * diameter * length / 2
    elements = {name: laid(name, of_line, of_lure) for name, of_line, of_lure in (
        ("length", length, lure_length),
        ("spring", stiffness / 2, LURE_STIFFNESS),
        ("one_way", stiffness / 2, 0.0),
        ("slack", SLACK_TENSION / stiffness, 1.0),
        ("nodal", NODAL, 1.0),
        ("swing", 0.0, swing),
        ("cross", half[of] * diameter * length / 2, half / 2 * broadside),
        ("fixed", fixed, 1.0),
        ("curve", curve, 0.0),
        ("reynolds", diameter / viscosity[of], 1.0),
        ("along", half[of] * wetted * slide, half / 2 * end),
        ("added_across", added * density[of] * length / 2, across * displaced),
        ("added_along", 0.0, along * displaced),
    )}  # fmt: skip

    nodal = np.zeros((3, nodes))
    for row, share in zip(nodal, _shares(section, length, density[of], gravity[of]), strict=True):
        row[line] += share
        row[line + 1] += share
    for row, whole, center in zip(
        nodal,
        (mass, mass * gravity, volume),
        (mass_center, mass_center, volume_center),
        strict=True,
    ):
        row[eye] += whole * (1.0 - center)
        row[last] += whole * center
    isotropic, lips = np.zeros(nodes), np.zeros(nodes)
    isotropic[eye] = isotropic[last] = half * ball / 2
    lips[eye] = half * lip
    current = np.array([(*water.current, 0.0) for water in waters]).T
    return Mesh(
        first=first,
        last=last,
        line_of_node=line_of_node,
        mass=nodal[0],
        weight=nodal[1],
        volume=nodal[2],
        isotropic=isotropic,
        lip=lips,
        buoyancy=nodal[2] * (density * gravity)[line_of_node],
        current=current[:, line_of_node],
        bottoms=tuple(water.bottom for water in waters),
        profiles=tuple(water.profile for water in waters),
        **elements,
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
