"""The same drop four ways: down-tide, up-tide and across, or the same with the wind.

No Qt: it is run in a worker process. The mark is under the sounder at t = 0.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from app.gear.catalog import Catalog
from app.planning.situation import moved
from app.scenario.keys import HOLD as HELD
from app.scenario.limits import WAIT as TIMED
from app.scenario.setup import Setup
from physics.answers.holds import bare
from physics.checks import InvalidValue, Limits
from physics.line.mesh import Resolution
from physics.progress import ProgressCallback
from physics.simulation.advance import advance_reporting
from physics.simulation.drop_facts import SPACING, TOUCHING, deepest, nearest_ground
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order

WAIT = replace(TIMED, limits=Limits(TIMED.low, 90.0, "s"))
HOLD = replace(HELD, limits=Limits(HELD.low, 90.0, "s"))
"""Of the drop done four ways; no file keeps them."""

RESOLUTION = Resolution(line_elements=16, leader_elements=3, grading=1.0)
TOLERANCE, LONGEST = 0.03, 2.0
"""Depths within 4 cm of the live page's (measured on the demos)."""

AFTER = 25.0
"""Followed after in gear, s: the deepest comes within a few seconds."""

STILL = 0.05
"""A current or wind slower than this is none, m/s."""


@dataclass(frozen=True, slots=True)
class WayRod:
    """One lure: ``deepest`` m, ``off_bottom`` m the least of lure and line, and where it is
    deepest: ``past`` m beyond the mark's place along the boat's way over ground (negative is
    short of it) and ``aside`` m to starboard of it (negative to port)."""

    name: str
    deepest: float
    off_bottom: float
    past: float
    aside: float

    @property
    def touches(self) -> bool:
        """Whether lure or line comes to lie on the bottom."""
        return self.off_bottom < TOUCHING


@dataclass(frozen=True, slots=True)
class Way:
    """One heading, rad: in ``words``, the boat's speed over ground, m/s, and every lure."""

    words: str
    heading: float
    over_ground: float
    rods: tuple[WayRod, ...]


def ways(setup: Setup) -> tuple[tuple[str, float], ...]:
    """The four headings to compare, rad, in words; by the current, or by the wind without one.

    Raises InvalidValue where there is neither.
    """
    for flow, words in (
        (setup.water.current, ("down-tide", "up-tide")),
        (setup.water.wind, ("downwind", "upwind")),
    ):
        if math.hypot(*flow) >= STILL:
            toward = math.atan2(*flow)
            across = "across the tide" if "tide" in words[0] else "across the wind"
            return (
                (words[0], toward),
                (words[1], toward + math.pi),
                (f"{across}, from port", toward - 0.5 * math.pi),
                (f"{across}, from starboard", toward + 0.5 * math.pi),
            )
    raise InvalidValue("current", 0.0, "a current or a wind to compare ways in")


def four_ways(
    setup: Setup,
    catalog: Catalog,
    wait: float,
    hold: float,
    progress: ProgressCallback | None = None,
) -> tuple[Way, ...]:
    """Run the drop with every heading, ``wait`` and ``hold`` s.

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    headings = ways(setup)
    at = setup.mark.time if setup.mark is not None else 0.0
    boat_velocity = np.array(bare(setup.scenario(catalog)).track().at(0.0).velocity)
    # the ground as it lies about the mark, under which every way's drop begins
    water = replace(setup.water, bottom=moved(setup.water.bottom, at * boat_velocity))
    orders = (Order(wait, "out of gear"), Order(wait + hold, "in gear"))
    end = wait + hold + AFTER
    scenarios: list[Scenario] = []
    for _, heading in headings:
        turned = replace(
            setup.untold(), heading=math.remainder(heading, 2.0 * math.pi), water=water, mark=None,
            motion=None, orders=orders, duration=max(end, 1.0),
            resolution=RESOLUTION,
        )  # fmt: skip
        scenarios.append(turned.scenario(catalog))
    run = Run(scenarios, tolerance=TOLERANCE, longest=LONGEST)
    advance_reporting(run, end, progress)
    return tuple(
        _way(run, number, words, heading, end) for number, (words, heading) in enumerate(headings)
    )


def _way(run: Run, number: int, words: str, heading: float, end: float) -> Way:
    before, here = run.boat(-1.0, number), run.boat(0.0, number)
    boat_velocity = np.array(before.velocity)
    ground_speed = max(float(np.hypot(*boat_velocity)), 1e-9)
    east, north = boat_velocity / ground_speed
    bottom = run.scenarios[number].water.bottom
    times = np.arange(0.0, end, SPACING)
    rods = []
    for line in run.trajectory(number).lines:
        lure = line.lure(times)
        over = bottom.depth_at(lure[:, 0], lure[:, 1]) + lure[:, 2]
        deep = deepest(times, -lure[:, 2], over)
        x, y = line.lure(deep.time)[:2] - (here.x, here.y)
        off = float(nearest_ground(line.nodes(times), bottom)[1].min())
        rods.append(
            WayRod(
                line.rod.name,
                deep.depth,
                max(off, 0.0),
                float(x * east + y * north),
                float(x * north - y * east),
            )
        )
    return Way(words, heading, ground_speed, tuple(rods))
