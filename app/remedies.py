"""What would bring a line down that no hold brings down: tried, not guessed.

Depends on: setup, catalog, units; physics.boat, physics.drop, physics.holds, physics.march.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from app.catalog import Catalog
from app.setup import MOST_LINE_OUT, RodSetup, Setup
from app.units import COLOR, KNOT
from physics.boat import Order
from physics.checks import Unusable
from physics.drop import BATCH_LINES, Run
from physics.holds import Tell, bare, carry
from physics.march import Stuck
from physics.mesh import Resolution
from physics.scenario import Scenario
from physics.tackle import Lure
from physics.water import Bottom

MORE_COLORS = (1.0, 2.0, 3.0, 5.0)
SLOWER_KNOTS = (0.5, 1.0, 1.5, 2.0)
MOST_LURES = 3
"""Heavier lures tried for one rod."""

SLOWEST = KNOT.to_si(1.0)

AFTER = 20.0
"""Followed after in gear, s: the deepest comes within a few seconds."""

TOLERANCE = 0.02
RESOLUTION = Resolution(line_elements=12, leader_elements=2)


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change that was run and does it. ``kind`` colors, speed or lure; ``text`` in words."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class _Try:
    number: int
    remedy: Remedy
    scenario: Scenario


def find_remedies(
    setup: Setup,
    catalog: Catalog,
    rods: Sequence[int],
    depth: float,
    hold: float,
    tell: Tell | None = None,
) -> dict[int, tuple[Remedy, ...]]:
    """For each of ``rods`` the least change of each kind that gets it ``depth`` m down.

    Each is run on its own with a ``hold``, s, over deep level water; a rod
    nothing helps has none. Raises holds.Stopped.
    """
    tries = [one for number in rods for one in _tries(setup, catalog, number, hold)]
    out: dict[int, dict[str, Remedy]] = {number: {} for number in rods}
    for one, reached in zip(tries, _depths([one.scenario for one in tries], tell), strict=True):
        if reached >= depth:
            out[one.number].setdefault(one.remedy.kind, one.remedy)
    return {number: tuple(found.values()) for number, found in out.items()}


def _tries(setup: Setup, catalog: Catalog, number: int, hold: float) -> list[_Try]:
    """Changes from the least to the greatest of each kind, as scenarios to run."""
    rod = setup.rods[number]
    changes: list[tuple[Remedy, RodSetup, float]] = []
    if rod.sections is None:
        for more in MORE_COLORS:
            out = rod.line_out + COLOR.to_si(more)
            if out <= MOST_LINE_OUT:
                text = f"{_number(COLOR.from_si(out))} colors out"
                text += f" instead of {_number(COLOR.from_si(rod.line_out))}"
                changes.append((Remedy("colors", text), replace(rod, line_out=out), setup.speed))
    for slower in SLOWER_KNOTS:
        speed = setup.speed - KNOT.to_si(slower)
        if speed >= SLOWEST:
            text = f"{KNOT.text(speed)} instead of {KNOT.text(setup.speed)}"
            changes.append((Remedy("speed", text), rod, speed))
    lure = catalog.lures[rod.lure] if isinstance(rod.lure, str) else rod.lure
    for heavier in _heavier(lure, catalog, setup.water.density):
        text = f"{heavier.name} instead of {lure.name}"
        changes.append((Remedy("lure", text), replace(rod, lure=heavier.name), setup.speed))
    tries = []
    for remedy, changed, speed in changes:
        one = replace(
            setup, rods=(changed,), speed=speed, orders=(), line_orders=(), hold=None, mark=None
        )
        try:
            scenario = one.scenario(catalog)
        except Unusable:
            continue
        deep = Bottom.level(scenario.rods[0].line_out + 20.0)
        orders = (Order(0.0, "out of gear"), Order(hold, "in gear"))
        tries.append(_Try(number, remedy, replace(
            bare(scenario, bottom=deep), orders=orders, duration=hold + AFTER,
            resolution=RESOLUTION,
        )))  # fmt: skip
    return tries


def _heavier(lure: Lure, catalog: Catalog, density: float) -> list[Lure]:
    """A few lures heavier in the water, the nearest, the middle and the heaviest."""

    def wet(item: Lure) -> float:
        return item.mass - density * item.volume

    heavier = sorted((item for item in catalog.lures.values() if wet(item) > wet(lure)), key=wet)
    if not heavier:
        return []
    at = sorted({round(x) for x in np.linspace(0, len(heavier) - 1, MOST_LURES)})
    return [heavier[i] for i in at]


def _depths(scenarios: Sequence[Scenario], tell: Tell | None) -> list[float]:
    """How deep the lowest of lure and line gets in each of one rod, m; 0 where it cannot be run."""
    out: list[float] = []
    while len(out) < len(scenarios):
        first = len(out)
        batch = scenarios[first : first + BATCH_LINES]
        share, end = first / len(scenarios), (first + len(batch)) / len(scenarios)
        try:
            out += _run(batch, tell, share, end)
        except Stuck:
            for one in batch:
                try:
                    out += _run([one], tell, end, end)
                except Stuck:
                    out.append(0.0)
    return out


def _run(
    scenarios: Sequence[Scenario], tell: Tell | None, first: float, last: float
) -> list[float]:
    run = Run(scenarios, tolerance=TOLERANCE)
    carry(run, np.array([one.duration for one in scenarios]), tell, first, last)
    lines = [run.trajectory(k).lines[0] for k in range(len(scenarios))]
    return [-float(line.position[:, 2].min()) for line in lines]


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
