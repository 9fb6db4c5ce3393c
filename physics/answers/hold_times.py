"""How long to hold until each line is near the bottom, for samples of uncertain inputs.

Each line of each sample coasts out of gear until it is near the bottom, and is
then put in gear at one hold: where the nominal line, on this one's own coast,
would just keep the clearance. From how far it goes on sinking there, and how
that changes with the hold for the nominal line, its own shortest hold follows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.answers.doubt import INPUTS
from physics.answers.holds import respond
from physics.answers.vary import varied
from physics.progress import ProgressCallback, part_of, report_progress
from physics.simulation.advance import advance_reporting
from physics.simulation.drop_facts import SPACING
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order

Array = NDArray[np.float64]

LOOSE = 0.1
"""Step tolerance, m: what is asked for is a difference of two depths of one run."""

LONG = 2.0
"""Longest step, s: with longer ones Newton's method needs as many solves in all."""

LEG = 4.0
"""Lines coast for so long before it is asked whether they are near the bottom yet, s."""

LEAST_SINK = 1e-3
"""Lines that sink on less than this, m, are taken to sink on as much."""

COASTING = 0.45
"""Share of the work that the time out of gear is taken to be."""

NOMINAL_HOLDS = (0.0, 0.15, 0.4, 1.0)
"""Holds the nominal lines are run for, as shares of the longest."""

NOMINAL_SHARE = 0.1
"""Share of the work that they are taken to be."""

NOMINAL_AFTER = 20.0
"""Seconds they are followed after in gear."""

SPARE_TURN = 1.3
"""A sample is followed this many times as long after in gear as the nominal line sinks on."""


@dataclass(frozen=True, slots=True)
class HoldSearch:
    """What the shortest holds of samples are asked for.

    ``scenario`` is over level water deeper than any line; the bottom asked
    about is level, ``depth`` m deep, and to be come near to within
    ``clearance`` m; ``shortest`` and ``longest`` hold, s.
    """

    scenario: Scenario
    depth: float
    clearance: float
    shortest: float
    longest: float


def shortest_holds(
    search: HoldSearch, rows: Array, lines: int, progress: ProgressCallback | None = None
) -> Array:
    """The shortest hold of each sample and line (S, R), s; inf where the longest fails.

    ``rows`` (S, inputs) as of vary.factors; ``lines`` are stepped together.
    Within 0.3 s of running each sample itself at many holds, most within 0.1 s.
    Raises ConvergenceError, Cancelled.
    """
    rods = len(search.scenario.rods)
    out = np.empty((len(rows), rods))
    nominal = _nominal(search, progress)
    size = max(1, lines // rods)
    for first in range(0, len(rows), size):
        chosen = rows[first : first + size]
        done, end = (
            NOMINAL_SHARE + (1.0 - NOMINAL_SHARE) * number / len(rows)
            for number in (first, first + len(chosen))
        )
        middle = done + COASTING * (end - done)
        batch = _Batch(search, nominal, chosen)
        report_progress(progress, done)
        batch.coast(progress, done, middle)
        report_progress(progress, middle)
        batch.turn(progress, middle, end)
        out[first : first + len(chosen)] = batch.answers().reshape(-1, rods)
    return out


@dataclass(frozen=True, slots=True)
class _Nominal:
    """How the nominal lines sink on in gear: R curves against the hold, s.

    ``sinks`` gives how much lower they get, m, and ``turns`` after how long, s.
    """

    sinks: tuple[scipy.interpolate.PchipInterpolator, ...]
    turns: tuple[scipy.interpolate.PchipInterpolator, ...]


def _nominal(search: HoldSearch, progress: ProgressCallback | None) -> _Nominal:
    holds = np.array([share * search.longest for share in NOMINAL_HOLDS])
    found = respond(
        search.scenario,
        holds.tolist(),
        after=NOMINAL_AFTER,
        tolerance=LOOSE,
        longest=LONG,
        progress=part_of(progress, 0.0, NOMINAL_SHARE),
    )
    low = found.low[..., 2]
    at = np.nanargmin(low, axis=2)
    turns = np.maximum(found.time[at] - holds[:, None], 0.0)
    last = np.array([[np.interp(hold, found.time, z) for z in each]
                     for hold, each in zip(holds, low, strict=True)])  # fmt: skip
    sinks = np.maximum(last - np.nanmin(low, axis=2), 0.0)
    return _Nominal(
        tuple(scipy.interpolate.PchipInterpolator(holds, row) for row in sinks.T),
        tuple(scipy.interpolate.PchipInterpolator(holds, row) for row in turns.T),
    )


def _alone(scenario: Scenario) -> list[Scenario]:
    """Each line of a spread by itself, out of gear at t = 0."""
    out_of_gear = (Order(0.0, "out of gear"),)
    return [replace(scenario, rods=(rod,), orders=out_of_gear) for rod in scenario.rods]


class _Batch:
    """The lines of some samples, each put in gear at a hold of its own."""

    def __init__(self, search: HoldSearch, nominal: _Nominal, rows: Array) -> None:
        self._search, self._nominal = search, nominal
        spreads = [_alone(varied(search.scenario, row)) for row in rows]
        self._run = Run(
            [line for spread in spreads for line in spread], tolerance=LOOSE, longest=LONG
        )
        rods = len(search.scenario.rods)
        for k in range(0, len(spreads) * rods, rods):
            # she coasts once for all lines of a sample, and as far as any of them may want
            self._run.boat(search.longest, k)
        self._rod = np.tile(np.arange(rods), len(rows))
        self._depth = np.repeat(search.depth * rows[:, INPUTS.index("bottom")], rods)
        self._time: Array = np.zeros(1)
        self._height: Array = np.zeros((len(self._rod), 1))
        self._holds: Array = np.zeros(len(self._rod))

    def coast(self, progress: ProgressCallback | None, first: float, last: float) -> None:
        """Out of gear until every line is within the clearance, or for the longest hold."""
        run, end, clearance = self._run, self._search.longest, self._search.clearance
        until, now = np.zeros(len(self._rod)), 0.0
        while now < end and (falling := self._depth + run.lowest() > clearance).any():
            shares = np.interp([now, min(now + LEG, end)], [0.0, end], [first, last])
            now = min(now + LEG, end)
            until[falling] = now
            advance_reporting(run, until, progress, float(shares[0]), float(shares[1]))
        self._time = np.linspace(0.0, now, round(now / SPACING) + 1)
        # one that is near the bottom coasts no farther: what it would do there is not asked for
        self._height = self._depth[:, None] + self._low(self._time)
        sinks = np.stack([curve(self._time) for curve in self._nominal.sinks])
        self._holds = np.minimum(self._roots(sinks[self._rod]), now)

    def turn(self, progress: ProgressCallback | None, first: float, last: float) -> None:
        """In gear, each at its hold, until it no longer sinks."""
        for k, hold in enumerate(self._holds):
            self._run.order(Order(float(hold), "in gear"), k)
        advance_reporting(self._run, self._holds + self._after(), progress, first, last)

    def answers(self) -> Array:
        """The shortest hold of every line (L,), s."""
        sinks = np.empty_like(self._height)
        for k, after in enumerate(self._after()):
            hold, nominal = self._holds[k], self._nominal.sinks[self._rod[k]]
            low = self._run.lowest_at(np.arange(hold, hold + after, SPACING), k)[0]
            ours, usual = low[0] - low.min(), float(nominal(hold))
            scale = ours / usual if usual > LEAST_SINK else 1.0
            sinks[k] = scale * nominal(self._time)
        return self._roots(sinks)

    def _after(self) -> Array:
        """How long each line is followed after in gear (L,), s."""
        turns = np.stack([curve(self._holds) for curve in self._nominal.turns])
        out: Array = SPARE_TURN * turns[self._rod, np.arange(len(self._rod))] + 2.0
        return out

    def _low(self, time: Array) -> Array:
        """Where the lowest point of each line is (L, n), m up."""
        return np.concatenate([self._run.lowest_at(time, k) for k in range(len(self._rod))])

    def _roots(self, sinks: Array) -> Array:
        """When each coasting line is its ``sinks`` (L, n) m over the clearance, s, or inf."""
        least = np.minimum.accumulate(self._height - sinks, axis=1) - self._search.clearance
        start = self._search.shortest
        return np.array([_first_below(self._time, row, start) for row in least])


def _first_below(time: Array, value: Array, start: float) -> float:
    """The first time from ``start`` on, s, that a falling value (n,) is at or under 0, or inf."""
    below = np.flatnonzero(value <= 0.0)
    if not len(below):
        return float("inf")
    k = int(below[0])
    if k == 0:
        return start
    part = value[k - 1] / (value[k - 1] - value[k])
    return max(start, float(time[k - 1] + part * (time[k] - time[k - 1])))


def quantiles(holds: Array, shares: Sequence[float]) -> Array:
    """Shares of samples (S, R), the nearest sample's own value: (shares, R), inf as it comes."""
    ranked = np.sort(holds, axis=0)
    at = [round(share * (len(holds) - 1)) for share in shares]
    out: Array = ranked[at]
    return out
