"""How sure the answer is: the drop again and again with inputs as uncertain as they are.

Depends on: doubt, holds, drop, scenario, boat, tackle, water.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from physics.boat import Order
from physics.contact import CONTACT_BLUR
from physics.doubt import INPUTS, Doubt
from physics.drop import BATCH_LINES, Run
from physics.holds import Stopped, bare, lowest
from physics.scenario import Scenario
from physics.water import Bottom

Array = NDArray[np.float64]

SPACING = 0.5
"""Spacing of the bands' points, s."""

LOOSE = 0.01
"""Step tolerance of the repeated runs, m: far inside the spread they are to show."""


def factors(doubt: Doubt, count: int, seed: int = 1) -> Array:
    """Multipliers (count, inputs): log-normal about 1, spread by a Latin hypercube."""
    # takes longer to load than all of the program's own modules
    from scipy.stats import qmc

    cube = qmc.LatinHypercube(len(INPUTS), rng=np.random.default_rng(seed)).random(count)
    spread = np.array([getattr(doubt, name) for name in INPUTS])
    out: Array = np.exp(np.log1p(spread) * ndtri(cube))
    return out


def varied(scenario: Scenario, row: Array) -> Scenario:
    """The scenario with its inputs multiplied by one row of ``factors``."""
    by = dict(zip(INPUTS, (float(value) for value in row), strict=True))
    rods = []
    for rod in scenario.rods:
        sections = tuple(
            replace(
                section,
                mass_per_length=section.mass_per_length * by["line_weight"],
                drag_multiplier=float(np.clip(section.drag_multiplier * by["line_drag"], 0.2, 5.0)),
                normal_drag=None
                if section.normal_drag is None
                else float(np.clip(section.normal_drag * by["line_drag"], 0.0, 5.0)),
            )
            for section in rod.sections
        )
        lure = replace(rod.lure, mass=rod.lure.mass * by["lure_weight"])
        rods.append(replace(rod, sections=sections, lure=lure))
    bottom = scenario.water.bottom
    deeper = Bottom(
        tuple((along, depth * by["bottom"]) for along, depth in bottom.points), bottom.bearing
    )
    return replace(
        scenario,
        rods=tuple(rods),
        water=replace(scenario.water, bottom=deeper),
        boat=replace(scenario.boat, half_time=scenario.boat.half_time * by["coast_down"]),
        speed=scenario.speed * by["speed"],
    )


@dataclass(frozen=True, slots=True)
class Chances:
    """What S samples of one wait-and-hold say; R rods, n times from out of gear.

    ``bands`` (3, R, n) m: 10, 50 and 90 % of depth against ``time`` (n,) s;
    ``touch`` (R,) chance that lure or line touches bottom; ``clearance``
    (S, R) least height off bottom, m; ``pull`` (inputs,) rank correlation of
    each input with the least clearance of the whole spread.
    """

    time: Array
    bands: Array
    touch: Array
    clearance: Array
    pull: Array

    @property
    def driver(self) -> str:
        """Name of the input that matters most."""
        return INPUTS[int(np.abs(self.pull).argmax())]


def chances(
    scenario: Scenario,
    hold: float,
    doubt: Doubt,
    *,
    count: int = 64,
    after: float = 40.0,
    seed: int = 1,
    tell: Callable[[float], bool] | None = None,
) -> Chances:
    """Drop ``count`` times with varied inputs. ``tell`` as in holds.respond.

    Out of gear at t = 0; a bottom profile is met as it lies from there.
    Raises march.Stuck, holds.Stopped.
    """
    rows = factors(doubt, count, seed)
    time: Array = np.arange(0.0, hold + after + 1e-9, SPACING)
    rods = len(scenario.rods)
    depth = np.empty((count, rods, len(time)))
    clearance = np.empty((count, rods))
    orders = (Order(0.0, "out of gear"), Order(hold, "in gear"))
    size = max(1, BATCH_LINES // rods)
    for first in range(0, count, size):
        chosen = range(first, min(first + size, count))
        many = [replace(varied(bare(scenario), rows[k]), orders=orders) for k in chosen]
        run = Run(many, tolerance=LOOSE)
        run.advance(hold + after)
        for number, k in enumerate(chosen):
            bottom = many[number].water.bottom
            for r, line in enumerate(run.trajectory(number).lines):
                depth[k, r] = -line.lure(time)[:, 2]
                low = lowest(line.nodes(time))
                clearance[k, r] = (bottom.depth_at(low[:, 0], low[:, 1]) + low[:, 2]).min()
        if tell is not None and tell((chosen[-1] + 1) / count):
            raise Stopped
    bands: Array = np.quantile(depth, (0.1, 0.5, 0.9), axis=0)
    touch = (clearance < CONTACT_BLUR).mean(axis=0)
    pull = np.array(
        [_rank_correlation(rows[:, i], clearance.min(axis=1)) for i in range(len(INPUTS))]
    )
    return Chances(time, bands, touch, clearance, pull)


def _rank_correlation(a: Array, b: Array) -> float:
    """Spearman's rank correlation; 0 where one of them does not vary."""
    if np.ptp(a) == 0.0 or np.ptp(b) == 0.0:
        return 0.0
    ranks = [np.argsort(np.argsort(values)).astype(float) for values in (a, b)]
    return float(np.corrcoef(ranks)[0, 1])
