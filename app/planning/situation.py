"""What is asked of a drop, with its tackle and the ground under its mark looked up."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from app.gear.catalog import Catalog
from app.scenario.limits import WAIT
from app.scenario.setup import Setup
from physics.answers.holds import LONGEST_HOLD, bare, below_all
from physics.answers.timing import Aim
from physics.checks import InvalidValue, require_number
from physics.environment.water import Bottom, compass_vector
from physics.simulation.scenario import Mark, Scenario

WAITS = tuple(1.0 * n for n in range(91))
HOLDS = tuple(1.0 * n for n in range(61))
"""What is tried, s: a lure is near the mark's place for some four seconds."""

OVER_BOTTOM = 1.5
"""Where a mark is taken to be when none is given, m over the bottom."""


@dataclass(frozen=True, slots=True)
class PlanRequest:
    """What is asked. Times s, lengths m.

    ``waits`` and ``holds`` rise. ``mark`` None is the setup's own, or one 1.5 m
    over the bottom. ``chosen`` is the (wait, hold) to tell about; None is the
    best one.

    ``situation`` refuses what makes no sense: ``clearance``, ``radius``, ``mark
    depth``, ``speed``; Mark itself refuses ``mark band``. A screen shows each at
    its field, so these names stay.
    """

    setup: Setup
    waits: tuple[float, ...] = WAITS
    holds: tuple[float, ...] = HOLDS
    mark: Mark | None = None
    chosen: tuple[float, float] | None = None

    @property
    def clearance(self) -> float:
        """How far every line is to stay off the bottom, m: the setup's."""
        return self.setup.timing.clearance

    @property
    def radius(self) -> float:
        """How near the mark's place a lure must pass to count, m: the setup's."""
        return self.setup.timing.radius

    def check(self) -> None:
        """Raise InvalidValue (waits, holds, wait, hold, motion) for what makes no sense."""
        for name, values, most in (
            ("waits", self.waits, WAIT.high),
            ("holds", self.holds, LONGEST_HOLD),
        ):
            if len(values) < (2 if name == "holds" else 1):
                raise InvalidValue(name, len(values), "two or more" if name == "holds" else "one")
            for value in values:
                require_number(name, value, 0.0, most, "s")
            if np.any(np.diff(values) <= 0.0):
                raise InvalidValue(name, values, "seconds that rise")
        if self.chosen is not None:
            require_number("wait", self.chosen[0], 0.0, WAIT.high, "s")
            require_number("hold", self.chosen[1], 0.0, self.holds[-1], "s")
        if self.setup.motion is not None:
            raise InvalidValue("motion", "a table", "a boat that answers the helm")


@dataclass(frozen=True, slots=True)
class Situation:
    """A request with its tackle looked up.

    ``scenario`` is what is run, over level water deeper than any line: it does
    not depend on bottom, mark, clearance or radius, so neither do Responses
    to it, but that those for a ``bottom`` that is not level keep the whole of
    every line. ``bottom`` has its origin at the mark's place and is ``depth`` m
    deep there.
    """

    scenario: Scenario
    bottom: Bottom
    depth: float
    aim: Aim


def situation(request: PlanRequest, catalog: Catalog) -> Situation:
    """Look up and check everything. Raises InvalidValue with a plain field name.

    Fields: those PlanRequest names, and those of PlanRequest.check and
    Setup.scenario.
    """
    request.check()
    given = request.setup
    mark = request.mark or given.mark
    scenario = replace(given.untold(), mark=mark).scenario(catalog)
    bottom, depth = _under_mark(scenario)
    if mark is None:
        mark = Mark(max(depth - OVER_BOTTOM, 0.5 * depth))
    aim = Aim(mark, request.radius, request.clearance)
    aim.check(bottom)
    if mark.depth > depth:
        raise InvalidValue(
            "mark depth", mark.depth, f"no deeper than the bottom there, {depth:g} m"
        )
    return Situation(bare(scenario, bottom=below_all(scenario.rods)), bottom, depth, aim)


def depth_at_mark(setup: Setup, catalog: Catalog) -> float:
    """How deep the water is at the mark's place, m. Raises InvalidValue."""
    if setup.water.bottom.is_level:
        return setup.water.bottom.deepest
    return _under_mark(setup.untold().scenario(catalog))[1]


def _under_mark(scenario: Scenario) -> tuple[Bottom, float]:
    """The bottom, its origin at the mark's place, and how deep it is there, m."""
    time = 0.0 if scenario.mark is None else scenario.mark.time
    boat_velocity = np.array(bare(scenario).track().at(-1.0).velocity)
    bottom = moved(scenario.water.bottom, boat_velocity * time)
    return bottom, float(bottom.depth_at(np.zeros(1), np.zeros(1))[0])


def moved(bottom: Bottom, place: np.ndarray) -> Bottom:
    """The same ground, its origin moved to a place (east, north), m."""
    if bottom.is_level:
        return bottom
    by = float(np.dot(place, compass_vector(bottom.bearing)))
    points = tuple((along - by, depth) for along, depth in bottom.points)
    return Bottom(points, bottom.bearing)
