"""Changes that may help a line, tried and not guessed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from app.common.units import COLOR, KNOT
from app.gear.catalog import Catalog
from app.scenario.setup import LINES_OUT, Setup
from physics.answers.holds import bare, below_all
from physics.answers.together import together_or_alone
from physics.checks import InvalidValue
from physics.line.mesh import Resolution
from physics.line.tackle import Lure
from physics.progress import ProgressCallback, part_of
from physics.simulation.advance import advance_reporting
from physics.simulation.run import BATCH_LINES, Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order

MORE_COLORS = (1.0, 2.0, 3.0, 5.0)
SLOWER = (0.5, 1.0, 1.5, 2.0)
"""In what the setup tells speeds in."""

NO_LURES = ("sinker",)
"""Kinds that nobody fishes with by themselves."""

MOST_LURES = 3
"""Heavier lures tried for one rod."""

SLOWEST, FASTEST = KNOT.to_si(1.0), KNOT.to_si(12.0)
"""No speed beyond these is tried, m/s."""

AFTER = 20.0
"""Followed after in gear, s: the deepest comes within a few seconds."""

TOLERANCE = 0.02
RESOLUTION = Resolution(line_elements=12, leader_elements=2, grading=1.0)


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change that was run and does it. ``kind`` colors, speed or lure; ``text`` in words."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Try:
    """A change to run: for rod ``number`` alone, or for all where that is None."""

    number: int | None
    remedy: Remedy
    setup: Setup


def other_line_out(setup: Setup, number: int, colors: Sequence[float]) -> list[Try]:
    """One rod alone with so many colors more out; fewer where negative."""
    rod = setup.rods[number]
    if rod.sections is not None:
        return []
    lengths = [rod.line_out + COLOR.to_si(more) for more in colors]
    return [
        Try(
            number,
            Remedy("colors", f"{_colors(length)} colors out instead of {_colors(rod.line_out)}"),
            replace(setup, rods=(replace(rod, line_out=length),)),
        )
        for length in lengths
        if LINES_OUT.low <= length <= LINES_OUT.high
    ]


def other_speed(setup: Setup, steps: Sequence[float], number: int | None = None) -> list[Try]:
    """So many knots or mph faster, slower where negative; one rod alone, or the whole spread."""
    rods, told = setup.rods if number is None else (setup.rods[number],), setup.speed_unit
    speeds = [setup.speed + told.to_si(faster) for faster in steps]
    return [
        Try(
            number,
            Remedy("speed", f"{told.text(speed)} instead of {told.text(setup.speed)}"),
            replace(setup, rods=rods, speed=speed),
        )
        for speed in speeds
        if SLOWEST <= speed <= FASTEST
    ]


def heavier_lure(setup: Setup, number: int, catalog: Catalog) -> list[Try]:
    """One rod alone with heavier and heavier lures."""
    rod = setup.rods[number]
    lure = catalog.lures[rod.lure] if isinstance(rod.lure, str) else rod.lure
    return [
        Try(
            number,
            Remedy("lure", f"{heavier.name} instead of {lure.name}"),
            replace(setup, rods=(replace(rod, lure=heavier.name),)),
        )
        for heavier in _heavier(lure, catalog, setup.water.density)
    ]


def runnable(tries: Iterable[Try], catalog: Catalog) -> list[tuple[Try, Scenario]]:
    """The tries that make a scenario, with it."""
    out = []
    for one in tries:
        try:
            out.append((one, one.setup.scenario(catalog)))
        except InvalidValue:
            continue
    return out


def least_of_each(
    tries: Iterable[Try], helps: Iterable[bool], numbers: Sequence[int]
) -> dict[int, tuple[Remedy, ...]]:
    """For each of some rods the first change of each kind that ``helps``; a rod may have none."""
    out: dict[int, dict[str, Remedy]] = {number: {} for number in numbers}
    for one, good in zip(tries, helps, strict=True):
        for number in numbers if one.number is None else (one.number,):
            if good:
                out[number].setdefault(one.remedy.kind, one.remedy)
    return {number: tuple(kinds.values()) for number, kinds in out.items()}


def find_remedies(
    setup: Setup,
    catalog: Catalog,
    rods: Sequence[int],
    depth: float,
    hold: float,
    progress: ProgressCallback | None = None,
) -> dict[int, tuple[Remedy, ...]]:
    """For each of ``rods`` the least change of each kind that gets it ``depth`` m down.

    Each is run on its own with a ``hold``, s, over deep level water; a rod
    nothing helps has none. Raises Cancelled.
    """
    plain = replace(setup.untold(), mark=None)
    made = runnable((one for k in rods for one in _deeper(plain, catalog, k)), catalog)
    reached = _depths([_dropped(scenario, hold) for _, scenario in made], progress)
    return least_of_each((one for one, _ in made), (deep >= depth for deep in reached), rods)


def _deeper(setup: Setup, catalog: Catalog, number: int) -> list[Try]:
    """Changes from the least to the greatest of each kind."""
    slower = [-step for step in SLOWER]
    return [
        *other_line_out(setup, number, MORE_COLORS),
        *other_speed(setup, slower, number),
        *heavier_lure(setup, number, catalog),
    ]


def _dropped(scenario: Scenario, hold: float) -> Scenario:
    """The drop of one line over water deeper than it is long."""
    orders = (Order(0.0, "out of gear"), Order(hold, "in gear"))
    deep = bare(scenario, bottom=below_all(scenario.rods))
    return replace(deep, orders=orders, duration=hold + AFTER, resolution=RESOLUTION)


def _heavier(lure: Lure, catalog: Catalog, density: float) -> list[Lure]:
    """A few lures to fish with, heavier in the water and in the hand: the nearest, the middle and
    the heaviest."""

    def wet(item: Lure) -> float:
        return item.mass - density * item.volume

    heavier = sorted(
        (
            item
            for item in catalog.lures.values()
            if item.kind not in NO_LURES and wet(item) > wet(lure) and item.mass > lure.mass
        ),
        key=wet,
    )
    if not heavier:
        return []
    at = sorted({round(x) for x in np.linspace(0, len(heavier) - 1, MOST_LURES)})
    return [heavier[i] for i in at]


def _depths(scenarios: Sequence[Scenario], progress: ProgressCallback | None) -> list[float]:
    """How deep the lowest of lure and line gets in each of one rod, m; 0 where it cannot be run."""
    out: list[float] = []
    for first in range(0, len(scenarios), BATCH_LINES):
        batch = scenarios[first : first + BATCH_LINES]
        told = part_of(progress, first / len(scenarios), (first + len(batch)) / len(scenarios))
        out += together_or_alone(partial(_run, progress=told), batch, lambda _: 0.0)
    return out


def _run(scenarios: Sequence[Scenario], progress: ProgressCallback | None) -> list[float]:
    run = Run(scenarios, tolerance=TOLERANCE)
    advance_reporting(run, np.array([one.duration for one in scenarios]), progress)
    lines = [run.trajectory(k).lines[0] for k in range(len(scenarios))]
    return [-float(line.position[:, 2].min()) for line in lines]


def _colors(length: float) -> str:
    return f"{COLOR.from_si(length):.1f}".removesuffix(".0")
