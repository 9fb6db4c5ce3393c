"""The same scenario with its inputs multiplied by factors drawn from how uncertain they are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.answers.doubt import INPUTS, Doubt
from physics.environment.water import Bottom
from physics.line.tackle import LURE_LIMITS, Lure
from physics.simulation.scenario import Scenario
from physics.vessel.boat import BOAT_LIMITS, SPEED

Array = NDArray[np.float64]


DRAG_AREAS = ("end_area", "broadside_area", "lip_area")

FIRST = 6
"""Inputs of the first hypercube."""


def factors(doubt: Doubt, count: int, seed: int = 1) -> Array:
    """Multipliers (count, inputs): log-normal about 1, spread by a Latin hypercube.

    Two of them side by side, so that inputs that came later leave the numbers of the others.
    """
    streams = np.random.default_rng(seed).spawn(2)
    sizes = FIRST, len(INPUTS) - FIRST
    cube = np.hstack(
        [_latin_hypercube(size, count, rng) for size, rng in zip(sizes, streams, strict=True)]
    )
    spread = np.array([getattr(doubt, name) for name in INPUTS])
    out: Array = np.exp(np.log1p(spread) * scipy.special.ndtri(cube))
    return out


def _latin_hypercube(inputs: int, count: int, rng: np.random.Generator) -> Array:
    """Points (count, inputs) of the unit cube, one in each of ``count`` slices along every input.

    The numbers are those of ``scipy.stats.qmc.LatinHypercube``; loading that takes half a second,
    and 15 MB of every worker for as long as it lives.
    """
    within = rng.uniform(size=(count, inputs))
    slices = np.tile(np.arange(1, count + 1), (inputs, 1))
    for row in slices:
        rng.shuffle(row)
    points: Array = (slices.T - within) / count
    return points


def standard_error(values: NDArray[Any], rows: Array) -> Array:
    """Standard error of the mean of ``values`` (S, ...) over samples with ``rows`` of ``factors``.

    The slices of a Latin hypercube spread evenly what each input does alone: what errs is what
    a sum of functions of one input each leaves of the values (Stein 1987, Technometrics 29,
    143-151, from memory). Parabolas stand for them, so it is a little too large.
    """
    score = np.log(rows)
    score = score[:, np.ptp(score, axis=0) > 0.0]
    basis = np.hstack([np.ones((len(rows), 1)), score, score**2])
    if 2 * basis.shape[1] > len(rows):
        basis = basis[:, :1]
    even = np.linalg.qr(basis / np.abs(basis).max(axis=0))[0]
    flat = values.reshape(len(rows), -1).astype(float)
    flat -= flat[0].copy()
    left = flat - even @ (even.T @ flat)
    free = max(len(rows) - basis.shape[1], 1)
    out: Array = np.sqrt((left**2).sum(axis=0) / (free * len(rows))).reshape(values.shape[1:])
    return out


def varied(scenario: Scenario, row: Array) -> Scenario:
    """The scenario with its inputs multiplied by one row of ``factors``.

    Drag, swing, half time and speed go no further than their limits.
    """
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
        rods.append(replace(rod, sections=sections, lure=_varied_lure(rod.lure, by)))
    low, high, _ = BOAT_LIMITS["half_time"]
    half_time = float(np.clip(scenario.boat.half_time * by["coast_down"], low, high))
    boat = replace(scenario.boat, half_time=half_time)
    fastest = min(SPEED.high, boat.fastest)
    return replace(
        scenario,
        rods=tuple(rods),
        water=replace(scenario.water, bottom=varied_bottom(scenario.water.bottom, row)),
        boat=boat,
        speed=float(np.clip(scenario.speed * by["speed"], SPEED.low, fastest)),
    )


def varied_bottom(bottom: Bottom, row: Array) -> Bottom:
    """A bottom as deep as that row of ``factors`` has it."""
    by = float(row[INPUTS.index("bottom")])
    return Bottom(tuple((along, depth * by) for along, depth in bottom.points), bottom.bearing)


def _varied_lure(lure: Lure, by: Mapping[str, float]) -> Lure:
    changed = {name: getattr(lure, name) * by["lure_drag"] for name in DRAG_AREAS}
    changed["swing"] = lure.swing * by["lure_swing"]
    limited: dict[str, Any] = {
        name: float(np.clip(value, LURE_LIMITS[name].low, LURE_LIMITS[name].high))
        for name, value in changed.items()
    }
    return replace(lure, mass=lure.mass * by["lure_weight"], **limited)
