"""What hangs behind the boat: line sections, lures and rods, frozen and checked."""

from __future__ import annotations

import math
from dataclasses import dataclass

from physics.checks import InvalidValue, Limits, require_all, require_name, require_number

OSMIUM = 22590.0
"""Density of osmium, the densest element, kg/m^3 (handbook value, from memory)."""

MOST_LINE = 400.0
"""Most line one section may hold, m; beyond it the demo hardware loses meaning."""

MOST_STRENGTH = 1e6
"""Greatest breaking strength a line may be given, N."""

SECTION_LIMITS = {
    "length": Limits(0.05, MOST_LINE, "m"),
    "diameter": Limits(5e-5, 0.2, "m"),
    "mass_per_length": Limits(1e-6, 50.0, "kg/m"),
    "stiffness": Limits(50.0, 1e9, "N"),
    "drag_multiplier": Limits(0.2, 5.0),
    "tangential_drag": Limits(0.0, 0.2),
    "added_mass": Limits(0.0, 3.0),
    "flooded": Limits(0.0, 0.9),
    "strength": Limits(0.0, MOST_STRENGTH, "N"),
}
NORMAL_DRAG = Limits(0.0, 5.0)

LURE_LIMITS = {
    "mass": Limits(1e-4, 20.0, "kg"),
    "volume": Limits(1e-8, 0.02, "m^3"),
    "length": Limits(0.005, 1.0, "m"),
    "end_area": Limits(1e-7, 1.0, "m^2"),
    "broadside_area": Limits(1e-7, 1.0, "m^2"),
    "lip_area": Limits(0.0, 0.1, "m^2"),
    "swing": Limits(0.0, math.pi / 3.0, "rad"),
    "mass_center": Limits(0.02, 0.98),
    "volume_center": Limits(0.02, 0.98),
    "added_mass_across": Limits(0.0, 3.0),
    "added_mass_along": Limits(0.0, 3.0),
}

TIP_LIMITS = {
    "astern": Limits(-30.0, 50.0, "m"),
    "abeam": Limits(-30.0, 30.0, "m"),
    "height": Limits(-2.0, 15.0, "m"),
}
"""Limits of the attributes of a LineSection, a Lure and a Rod."""


@dataclass(frozen=True, slots=True)
class LineSection:
    """One kind of line between rod tip and lure.

    ``length`` m out, ``diameter`` m, ``mass_per_length`` kg/m, ``stiffness``
    EA in N. Cross-flow drag is the smooth-cylinder curve times
    ``drag_multiplier``; give ``normal_drag`` for a constant coefficient
    instead. ``tangential_drag`` is on wetted area, pi d L. ``flooded`` is the
    share of the outline that water fills, as in a braided sheath: it moves
    along with the line but takes no weight off it. ``strength`` N is the tension at
    which it parts, 0 if nobody knows: no line parts here, but it is told of.
    """

    name: str
    length: float
    diameter: float
    mass_per_length: float
    stiffness: float
    drag_multiplier: float = 1.0
    tangential_drag: float = 0.012
    normal_drag: float | None = None
    added_mass: float = 1.0
    flooded: float = 0.0
    strength: float = 0.0

    def __post_init__(self) -> None:
        require_name("line name", self.name)
        require_all(self, SECTION_LIMITS, f"{self.name}: ")
        if self.normal_drag is not None:
            require_number(f"{self.name}: normal_drag", self.normal_drag, *NORMAL_DRAG)
        if self.density > OSMIUM:
            raise InvalidValue(
                f"{self.name}: mass_per_length",
                self.mass_per_length,
                f"a line no denser than osmium ({OSMIUM:g} kg/m^3); "
                f"this one would be {self.density:.0f} kg/m^3",
            )

    @property
    def area(self) -> float:
        """Cross-section of the outline, m^2."""
        return math.pi * self.diameter**2 / 4.0

    @property
    def solid(self) -> float:
        """Cross-section that is line and not water, m^2."""
        return self.area * (1.0 - self.flooded)

    @property
    def density(self) -> float:
        """Mean density of the solid part, kg/m^3."""
        return self.mass_per_length / self.solid


"""Lightest and heaviest lure, kg."""

LURE_KINDS = ("sinking plug", "nose-weighted jig", "floating lipped plug", "spoon", "sinker")
"""Shapes a lure may have; they decide how it is drawn, and which checks apply."""


@dataclass(frozen=True, slots=True)
class Lure:
    """A lure as a stiff link from its eye (nose) to its tail.

    ``mass`` kg, ``volume`` m^3, ``length`` m; ``mass_center`` and
    ``volume_center`` are fractions of the length from the nose.
    ``end_area`` and ``broadside_area`` are drag areas Cd*A, m^2, along and
    across the axis; ``lip_area`` is the lift area Cl*A of a diving lip, m^2.
    ``swing`` is how far its tail swings to each side as it is towed, rad: that holds the lure
    more level (``swing``); drag that a swing makes belongs to ``end_area``.
    Added mass is a share of the displaced water, across and along.
    ``isotropic`` makes the drag ``broadside_area`` * |u| u whatever the
    attitude, as for a ball.
    """

    name: str
    kind: str
    mass: float
    volume: float
    length: float
    end_area: float
    broadside_area: float
    mass_center: float = 0.5
    volume_center: float = 0.5
    lip_area: float = 0.0
    added_mass_across: float = 0.9
    added_mass_along: float = 0.15
    isotropic: bool = False
    swing: float = 0.0

    def __post_init__(self) -> None:
        require_name("lure name", self.name)
        if self.kind not in LURE_KINDS:
            raise InvalidValue(f"{self.name}: kind", self.kind, "one of " + ", ".join(LURE_KINDS))
        require_all(self, LURE_LIMITS, f"{self.name}: ")
        if self.mass / self.volume > OSMIUM:
            raise InvalidValue(
                f"{self.name}: mass",
                self.mass,
                f"a lure no denser than osmium ({OSMIUM:g} kg/m^3); "
                f"this one would be {self.mass / self.volume:.0f} kg/m^3",
            )

    @property
    def density(self) -> float:
        """Mean density, kg/m^3."""
        return self.mass / self.volume


@dataclass(frozen=True, slots=True)
class Rod:
    """One line of the spread: where its tip is and what hangs from it.

    ``astern`` m aft of the sounder's transducer, ``abeam`` m to starboard of
    it (negative to port), ``height`` m above the water (a tip held under it is
    negative). ``sections`` run from the tip down to the lure; ``reserve`` is what
    the reel holds beyond them, in the order it would go out. Without one, what is
    at the tip goes on.
    """

    name: str
    sections: tuple[LineSection, ...]
    lure: Lure
    astern: float = 2.0
    abeam: float = 0.0
    height: float = 2.0
    reserve: tuple[LineSection, ...] = ()

    def __post_init__(self) -> None:
        require_name("rod name", self.name)
        if not 1 <= len(self.sections) <= 8:
            raise InvalidValue(f"{self.name}: sections", len(self.sections), "1 to 8 line sections")
        require_all(self, TIP_LIMITS, f"{self.name}: ")

    @property
    def line_out(self) -> float:
        """Length from tip to the lure's eye, m."""
        return sum(section.length for section in self.sections)
