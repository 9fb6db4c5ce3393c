"""What calibration may change of the gear, each as a factor on the value assumed so far."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import asdict, dataclass, fields, replace

import numpy as np

from physics.answers.doubt import Doubt
from physics.checks import InvalidValue, require_number
from physics.environment.water import Water
from physics.line.tackle import LURE_LIMITS, OSMIUM, LineSection, Lure, Rod
from physics.vessel.boat import Boat

LEAST_WET = 0.02
"""A lure whose weight in water is a smaller share of its mass hovers: nothing to scale, and
no fall to time."""


@dataclass(frozen=True, slots=True)
class Gear:
    """What is calibrated, as assumed so far.

    ``rod`` serves every row under way that names none of its own, ``lure`` a dock test (the
    rod's when None). ``line`` is the section whose drag is in question; empty is all of them.
    """

    water: Water
    boat: Boat | None = None
    rod: Rod | None = None
    lure: Lure | None = None
    line: str = ""

    @property
    def falling(self) -> Lure | None:
        """The lure of a dock test."""
        return self.lure if self.lure is not None or self.rod is None else self.rod.lure


@dataclass(frozen=True, slots=True)
class Factors:
    """Factors on: drag across the line; the lure's broadside drag area; its weight in water
    (what it displaces is kept); the boat's half time; the exponent of her speed law.
    """

    line_drag: float = 1.0
    lure_drag: float = 1.0
    lure_weight: float = 1.0
    coast_down: float = 1.0
    exponent: float = 1.0

    def section(self, section: LineSection) -> LineSection:
        """A line with its drag across multiplied."""
        constant = section.normal_drag
        if constant is not None:
            return replace(section, normal_drag=min(constant * self.line_drag, 5.0))
        return replace(
            section,
            drag_multiplier=float(np.clip(section.drag_multiplier * self.line_drag, 0.2, 5.0)),
        )

    def on_lure(self, lure: Lure, density: float) -> Lure:
        """A lure with drag and wet weight multiplied, in water of ``density`` kg/m^3."""
        displaced = density * lure.volume
        mass = displaced + (lure.mass - displaced) * self.lure_weight
        return replace(
            lure,
            broadside_area=lure.broadside_area * self.lure_drag,
            mass=float(np.clip(mass, *_masses(lure))),
        )

    def on_rod(self, rod: Rod, gear: Gear) -> Rod:
        """A rod with its line (``gear.line``, or all) and lure multiplied."""
        sections = tuple(
            self.section(section) if gear.line in ("", section.name) else section
            for section in rod.sections
        )
        lure = self.on_lure(rod.lure, gear.water.density)
        return replace(rod, sections=sections, lure=lure)

    def on_boat(self, boat: Boat) -> Boat:
        """A boat with half time and exponent multiplied; the propeller's drag is kept."""
        exponent = float(np.clip(boat.exponent * self.exponent, 1.0, 3.0))
        half_time = float(np.clip(boat.half_time * self.coast_down, 0.5, 120.0))
        return replace(boat, half_time=half_time, exponent=exponent)

    def on(self, gear: Gear) -> Gear:
        """All of the gear multiplied."""
        return replace(
            gear,
            boat=None if gear.boat is None else self.on_boat(gear.boat),
            rod=None if gear.rod is None else self.on_rod(gear.rod, gear),
            lure=None if gear.lure is None else self.on_lure(gear.lure, gear.water.density),
        )


def _masses(lure: Lure) -> tuple[float, float]:
    """Least and greatest mass, kg, that a lure of this volume may have."""
    least, most, _ = LURE_LIMITS["mass"]
    return least, min(most, OSMIUM * lure.volume)


NAMES = tuple(part.name for part in fields(Factors))

NEEDS = {
    "line_drag": "rod",
    "lure_drag": "lure",
    "lure_weight": "lure",
    "coast_down": "boat",
    "exponent": "boat",
}
"""Which part of the gear a factor is about."""


@dataclass(frozen=True, slots=True)
class Prior:
    """What is assumed of a factor before anything is measured: log-normal about 1.

    ``spread`` is the standard deviation of its logarithm; it cannot leave ``low`` to ``high``.
    """

    name: str
    spread: float
    low: float = 0.33
    high: float = 3.0

    def __post_init__(self) -> None:
        if self.name not in NAMES:
            raise InvalidValue("prior", self.name, "one of " + ", ".join(NAMES))
        require_number(f"prior: {self.name}, spread", self.spread, 0.005, 2.0)
        require_number(f"prior: {self.name}, low", self.low, 0.01, 0.999)
        require_number(f"prior: {self.name}, high", self.high, 1.001, 100.0)


LINE_DRAG = math.log1p(Doubt().line_drag)

LURE_DRAG = 0.25
"""Assumed: a drag coefficient guessed from a cylinder of the lure's size."""

MOST_LURE_WEIGHT = 0.5

COAST_DOWN = 0.5
"""Wider than Doubt's 0.15: a clean hull coasts three times as long as one with leg and
transom in the water, and no measurement of a small planing boat was found."""

EXPONENT = 0.5
"""Drag as speed to the power 1.1 to 3: friction alone grows as 1.8 (ITTC-57 line, COMPUTED),
wave making of 22 displacement hulls as 4 between Froude numbers of 0.15 and 0.25 (Delft series,
READ), and a planing hull's hardly at all past the hump (Radojcic et al. 2014, abstract READ)."""


def value_of(name: str, gear: Gear) -> float:
    """The assumed value a factor multiplies, SI.

    Drag multiplier of the line (or its constant coefficient), broadside drag area m^2, weight
    in water N (negative for a lure that floats), half time s, exponent. Raises InvalidValue.
    """
    need = NEEDS[name]
    lure = gear.falling
    if gear.rod is not None and need == "rod":
        chosen = [s for s in gear.rod.sections if gear.line in ("", s.name)]
        if not chosen:
            names = ", ".join(section.name for section in gear.rod.sections)
            raise InvalidValue("line", gear.line, f"a line on the rod: {names}")
        longest = max(chosen, key=lambda section: section.length)
        constant = longest.normal_drag
        return longest.drag_multiplier if constant is None else constant
    if lure is not None and name == "lure_drag":
        return lure.broadside_area
    if lure is not None and name == "lure_weight":
        return gear.water.gravity * (lure.mass - gear.water.density * lure.volume)
    if gear.boat is not None and need == "boat":
        return gear.boat.half_time if name == "coast_down" else gear.boat.exponent
    raise InvalidValue(need, None, f"a {need}, to fit {name.replace('_', ' ')}")


def wet_share(lure: Lure, water: Water) -> float:
    """A lure's weight, or lift, in water as a share of its mass; InvalidValue if it hovers."""
    share = abs(lure.mass - water.density * lure.volume) / lure.mass
    if share < LEAST_WET:
        raise InvalidValue("lure_weight", share, "a lure that clearly sinks or floats")
    return share


def usual_prior(name: str, gear: Gear) -> Prior:
    """The prior of one factor, its bounds drawn in so that the gear stays usable.

    The spread of a lure's wet weight is Doubt's of its mass, made that much larger by what the
    water carries, up to MOST_LURE_WEIGHT. Raises InvalidValue.
    """
    value = value_of(name, gear)
    low, high = 0.33, 3.0
    if name == "line_drag" and gear.rod is not None:
        chosen = [s for s in gear.rod.sections if gear.line in ("", s.name)]
        now = [s.drag_multiplier for s in chosen if s.normal_drag is None]
        low, high = max([low, *(0.2 / m for m in now)]), min([high, *(5.0 / m for m in now)])
        return _within(name, LINE_DRAG, low, high)
    if name == "lure_weight":
        lure = gear.falling
        assert lure is not None
        wet = wet_share(lure, gear.water)
        spread = min(Doubt().lure_weight / wet, MOST_LURE_WEIGHT)
        # a floater that weighs nothing in air has all the lift there is
        displaced = gear.water.density * lure.volume
        most = max((mass - displaced) / (lure.mass - displaced) for mass in _masses(lure))
        return _within(name, spread, low, min(high, most))
    if name == "coast_down":
        return _within(name, COAST_DOWN, max(0.2, 0.5 / value), min(5.0, 120.0 / value))
    if name == "exponent":
        return _within(name, EXPONENT, 1.0 / value, 3.0 / value)
    return Prior(name, LURE_DRAG, low, high)


def _within(name: str, spread: float, low: float, high: float) -> Prior:
    """A prior whose bounds leave the assumed value a little room on either side."""
    return Prior(name, spread, min(low, 0.999), max(high, 1.001))


def factors_at(names: Iterable[str], logs: Iterable[float]) -> Factors:
    """The factors whose logarithms are given; the rest are 1."""
    given = dict(zip(names, (float(np.exp(x)) for x in logs), strict=True))
    return Factors(**{**asdict(Factors()), **given})
