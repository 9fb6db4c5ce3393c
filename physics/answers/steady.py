"""Which wait and hold are right most often: every one of them for samples of uncertain inputs.

The samples are those of the bands (``vary.factors``). Each is run at a few holds over water
deeper than any line, those between are interpolated, and all are placed over the mark for each
wait, with the sample's own boat and bottom. A drop in which any line touches is worth nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import scipy
from numpy.typing import NDArray

from physics.answers.between import between, path_at
from physics.answers.chances import LINES, LONG, LOOSE, SPACING
from physics.answers.clearances import clearances
from physics.answers.holds import Responses, followed, respond_each
from physics.answers.timing import Aim, strike_windows
from physics.answers.vary import standard_error, varied, varied_bottom
from physics.environment.water import Bottom
from physics.progress import ProgressCallback, part_of, report_progress
from physics.simulation import drop_facts
from physics.simulation.drop_facts import TOUCHING
from physics.simulation.scenario import Scenario

Array = NDArray[np.float64]
Small = NDArray[np.float32]

RUN_SHARES = (0.1, 0.35, 0.6, 0.8, 1.0)
"""Holds that are run, as shares of the longest. Measured against 25 of them, over level ground:
least heights within 7 cm, mean windows within 0.1 s, and every sample touches at the same places;
over a shoal at 0.02 % of the places one does that did not."""

NARROW, FEW = 0.3, 4
"""Where the shortest hold is more than this share of the longest, so many evenly between do."""

WINDOWS = 0.2
"""Spacing at which the samples' windows are measured, s."""

APART = 2.0
"""Over ground that is not level least heights are told of holds so far apart, s, and straight
between: within 6 cm."""

RUNS_SHARE = 0.75
"""Share of the work that running them is taken to be."""


@dataclass(frozen=True, slots=True)
class SteadySearch:
    """What the samples are asked for.

    ``scenario`` is over level water deeper than any line; ``bottom`` has its origin at the
    mark's place; ``waits`` (W,) and ``holds`` (K,) s rise and are what is told apart.
    """

    scenario: Scenario
    bottom: Bottom
    aim: Aim
    waits: tuple[float, ...]
    holds: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Drops:
    """What S samples do at every wait (W,) and hold (K,), s.

    ``rows`` (S, inputs) as of vary.factors; ``window`` (S, W, K) strike windows of all lines
    added up, s, over water that nothing touches; ``clearance`` (S, W, K) least height of any
    lure or line off the bottom, m.
    """

    waits: Array
    holds: Array
    rows: Array
    window: Small
    clearance: Small

    def at(self, waits: Array, holds: Array) -> Drops:
        """Those at some of the waits and holds, s, so far as there are such."""
        w, k = (
            np.isin(np.round(own, 6), np.round(some, 6))
            for own, some in ((self.waits, waits), (self.holds, holds))
        )
        window, clearance = (one[:, w][:, :, k] for one in (self.window, self.clearance))
        return replace(
            self, waits=self.waits[w], holds=self.holds[k], window=window, clearance=clearance
        )

    @property
    def touches(self) -> NDArray[np.bool_]:
        """Whether (S, W, K) any line touches bottom."""
        out: NDArray[np.bool_] = self.clearance < TOUCHING
        return out

    @property
    def worth(self) -> Small:
        """The window (S, W, K) of a drop that touches nothing, s; 0 of one that does."""
        return np.where(self.touches, np.float32(0.0), self.window)


@dataclass(frozen=True, slots=True)
class Expected:
    """What the samples of ``Drops`` say together, (W, K) at ``waits`` and ``holds``, s.

    ``window`` s is the mean, drops that touch counted as none, and ``touch`` the chance that
    any line touches; with their standard errors (vary.standard_error).
    """

    waits: Array
    holds: Array
    window: Array
    window_error: Array
    touch: Array
    touch_error: Array

    @classmethod
    def of(cls, drops: Drops) -> Expected:
        """Of all samples."""
        worth, touch = drops.worth, drops.touches.mean(axis=0)
        return cls(
            drops.waits,
            drops.holds,
            worth.mean(axis=0, dtype=float),
            standard_error(worth, drops.rows),
            touch,
            standard_error(drops.touches, drops.rows),
        )

    def at(self, wait: float, hold: float) -> SteadyAnswer:
        """What is expected at the place nearest to a wait and hold, s."""
        w, k = int(np.abs(self.waits - wait).argmin()), int(np.abs(self.holds - hold).argmin())
        return answer_at(self, w, k)


@dataclass(frozen=True, slots=True)
class SteadyAnswer:
    """A wait and hold, s; its expected ``window``, s, and the chance ``touch`` that it touches."""

    wait: float
    hold: float
    window: float
    window_error: float
    touch: float
    touch_error: float


def drop_samples(
    search: SteadySearch, rows: Array, progress: ProgressCallback | None = None
) -> Drops:
    """Every wait and hold of the search for each of ``rows`` (S, inputs).

    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    shape = len(rows), len(search.waits), len(search.holds)
    window, clearance = np.empty((2, *shape), dtype=np.float32)
    size = max(1, LINES // len(search.scenario.rods))
    for first in range(0, len(rows), size):
        chosen = slice(first, first + size)
        done, end = first / len(rows), min(first + size, len(rows)) / len(rows)
        window[chosen], clearance[chosen] = _some(
            search, rows[chosen], part_of(progress, done, end)
        )
    return Drops(np.array(search.waits), np.array(search.holds), rows, window, clearance)


def all_drops(parts: Sequence[Drops]) -> Drops:
    """The samples of all parts, in their order."""
    rows, window, clearance = (
        np.concatenate([getattr(part, name) for part in parts])
        for name in ("rows", "window", "clearance")
    )
    return Drops(parts[0].waits, parts[0].holds, rows, window, clearance)


def steadiest(
    expected: Expected, allowed: float, clear: NDArray[np.bool_] | None = None
) -> SteadyAnswer | None:
    """The longest expected window whose chance of touching is ``allowed`` at most.

    ``clear`` (W, K) says where it may lie. Among equals the shortest hold, then the middle of
    the waits. None where nothing allowed has any window at all.
    """
    free = expected.touch <= allowed + 1e-9
    if clear is not None:
        free &= clear
    window = np.where(free, expected.window, -1.0)
    top = float(window.max())
    if top <= 0.0:
        return None
    same = window >= top - 1e-9
    k = int(np.flatnonzero(same.any(axis=0))[0])
    waits = np.flatnonzero(same[:, k])
    return answer_at(expected, int(waits[len(waits) // 2]), k)


def answer_at(expected: Expected, w: int, k: int) -> SteadyAnswer:
    """What is expected of one place in the tables."""
    names = ("window", "window_error", "touch", "touch_error")
    told = (float(getattr(expected, name)[w, k]) for name in names)
    return SteadyAnswer(float(expected.waits[w]), float(expected.holds[k]), *told)


def _some(
    search: SteadySearch, rows: Array, progress: ProgressCallback | None
) -> tuple[Array, Array]:
    """Windows and clearances (S, W, K) of samples that are run together."""
    told = part_of(progress, 0.0, RUNS_SHARE)
    some = _some_of(search.holds)
    level, rods = search.bottom.is_level, len(search.scenario.rods)
    found = runs_of(search.scenario, rows, search.holds, told, any_ground=not level)
    # what the lures do is worked out for all at once
    lures = np.concatenate([one.lure for one in found], axis=1)
    lure = np.stack([path_at(found[0].holds, found[0].time, lures, h) for h in search.holds])
    window, clearance = np.empty((2, len(rows), len(search.waits), len(search.holds)))
    for s, row in enumerate(rows):
        report_progress(progress, RUNS_SHARE + (1.0 - RUNS_SHARE) * s / len(rows))
        own = lure[:, s * rods : (s + 1) * rods]
        placed = replace(found[s], holds=np.array(search.holds), lure=own, low=own, along=None)
        window[s] = strike_windows(placed, search.waits, search.aim, WINDOWS)[0].sum(axis=2)
        bottom = varied_bottom(search.bottom, row)
        if level:
            clearance[s] = bottom.shallowest + least_of(found[s], search.holds).min(axis=1)
        else:
            spread = between(found[s], some)
            least = clearances(spread, search.waits, bottom).min(axis=2)
            if len(some) > 1:
                least = scipy.interpolate.interp1d(some, least, axis=1)(search.holds)
            clearance[s] = least
    return window, clearance


def _some_of(holds: Sequence[float]) -> list[float]:
    """As many of ``holds``, rising, s, as lie no closer than APART, and the last."""
    out = [holds[0]]
    for here, after in pairwise(holds[1:]):
        if after - out[-1] > APART:
            out.append(here)
    return [*out, *holds[-1:]] if len(holds) > 1 else out


def runs_of(
    scenario: Scenario,
    rows: Array,
    holds: Sequence[float],
    progress: ProgressCallback | None = None,
    *,
    any_ground: bool = False,
) -> list[Responses]:
    """The scenario for each of ``rows`` (S, inputs), run as ``holds``, rising, s, need it."""
    spacing = drop_facts.SPACING if any_ground else SPACING
    return respond_each(
        [varied(scenario, row) for row in rows], run_holds(holds, spacing),
        after=followed(any_ground), tolerance=LOOSE, longest=LONG, lines=LINES,
        any_ground=any_ground, spacing=spacing, progress=progress,
    )  # fmt: skip


def run_holds(holds: Sequence[float], spacing: float) -> list[float]:
    """The holds that are run so that ``holds`` can be told from them, s.

    All but the longest lie on samples: then others are read off without interpolating.
    """
    if len(holds) <= FEW:
        return list(holds)
    shortest, longest = holds[0], holds[-1]
    wanted: Sequence[float] = [share * longest for share in RUN_SHARES]
    if shortest > NARROW * longest:
        wanted = np.linspace(shortest, longest, FEW).tolist()
    inner = {spacing * round(hold / spacing) for hold in wanted[:-1]}
    return [*sorted(hold for hold in inner if hold < longest), longest]


def least_of(found: Responses, at: Sequence[float] | Array) -> Array:
    """The lowest each line comes with each hold (K, R), m up: it changes slowly with the hold."""
    low = np.nanmin(found.low[..., 2], axis=2)
    if len(low) == 1:
        return np.repeat(low, len(at), axis=0)
    out: Array = scipy.interpolate.PchipInterpolator(found.holds, low)(at)
    return out
