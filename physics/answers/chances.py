"""How sure the answer is: the drop again and again with inputs as uncertain as they are.

Samples do not know of each other: ``sample`` runs some, anywhere, and
``gathered`` makes one answer of all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from physics.answers.doubt import INPUTS, Doubt
from physics.answers.hold_times import HoldSearch, quantiles, shortest_holds
from physics.answers.holds import Responses, bare
from physics.answers.timing import Aim, strike_windows
from physics.answers.vary import factors, standard_error, varied
from physics.progress import ProgressCallback, part_of, report_progress
from physics.simulation.advance import advance_reporting
from physics.simulation.drop_facts import TOUCHING, nearest_ground
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order

Array = NDArray[np.float64]

SPACING = 0.5
"""Spacing of the bands' points, s."""

LOOSE = 0.05
"""Step tolerance of the repeated runs, m: far inside the spread they are to show."""

LONG = 2.0
"""Longest step of the repeated runs, s."""

LINES = 64
"""Lines of the repeated runs stepped together: coarse ones fit the cache in greater number."""

SHARES = (0.1, 0.5, 0.9)

HOLDS_SHARE = 0.5
"""Share of the work that the shortest holds are, where they are asked for."""


@dataclass(frozen=True, slots=True)
class Samples:
    """S samples of one drop; R rods, n times.

    ``depth`` (S, R, n) m against ``time`` (n,) s; ``clearance`` (S, R) least
    height off bottom, m; ``holds`` (S, R) the shortest hold that brings a line
    within the clearance of the bottom, s, inf where the ``longest`` tried, s,
    does not; ``windows`` (S, R) strike window of each lure, s. NaN if not asked for.
    """

    time: Array
    depth: Array
    clearance: Array
    holds: Array
    longest: float
    windows: Array


@dataclass(frozen=True, slots=True)
class Chances:
    """What S samples of one wait-and-hold say; R rods, n times from out of gear.

    ``rows`` (S, inputs) are what their inputs were multiplied by;
    ``bands`` (3, R, n) m: 10, 50 and 90 % of depth against ``time`` (n,) s;
    ``touch`` (R,) chance that lure or line touches bottom; ``clearance``
    (S, R) least height off bottom, m; ``correlation`` (inputs,) rank correlation of
    each input with the least clearance of the whole spread; ``holds`` (3, R) s:
    10, 50 and 90 % of the shortest hold that brings each line within the
    clearance of the bottom, each a sample's own and inf where that one does not
    come there with the ``longest`` hold tried, s; ``windows`` (S, R) strike window of each
    lure, s. NaN if not asked for.
    """

    rows: Array
    time: Array
    bands: Array
    touch: Array
    clearance: Array
    correlation: Array
    holds: Array
    longest: float
    windows: Array

    @property
    def touch_error(self) -> Array:
        """Standard error of ``touch`` (R,).

        The draws are seeded, so that the same question has the same answer every time: it errs
        all the same.
        """
        return standard_error(self.clearance < TOUCHING, self.rows)

    @property
    def touches(self) -> NDArray[np.bool_]:
        """In which of the samples (S,) any lure or line of the spread touches bottom."""
        out: NDArray[np.bool_] = self.clearance.min(axis=1) < TOUCHING
        return out

    @property
    def any_touch(self) -> float:
        """Chance that any lure or line of the spread touches bottom."""
        return float(self.touches.mean())

    @property
    def expected(self) -> float:
        """Strike windows of all lures added up, s: the mean, a drop that touches having none."""
        return float(self._worth().mean())

    @property
    def expected_error(self) -> float:
        """Standard error of ``expected``, as ``touch_error``."""
        return float(standard_error(self._worth(), self.rows))

    def _worth(self) -> Array:
        return np.where(self.touches, 0.0, self.windows.sum(axis=1))

    @property
    def any_touch_error(self) -> float:
        """Standard error of ``any_touch``, as ``touch_error``."""
        return float(standard_error(self.touches, self.rows))

    @property
    def driver(self) -> str:
        """Name of the input that matters most."""
        return INPUTS[int(np.abs(self.correlation).argmax())]


def chances(
    scenario: Scenario,
    hold: float,
    doubt: Doubt,
    *,
    count: int = 64,
    after: float = 40.0,
    seed: int = 1,
    search: HoldSearch | None = None,
    progress: ProgressCallback | None = None,
) -> Chances:
    """Drop ``count`` times with varied inputs, all here. See ``sample``."""
    rows = factors(doubt, count, seed)
    return gathered(
        [sample(scenario, hold, rows, after=after, search=search, progress=progress)], rows
    )


def sample(
    scenario: Scenario,
    hold: float,
    rows: Array,
    *,
    after: float = 40.0,
    search: HoldSearch | None = None,
    windows: tuple[float, Aim] | None = None,
    progress: ProgressCallback | None = None,
) -> Samples:
    """Drop once for each of ``rows`` (S, inputs), followed ``after`` s after in gear.

    Out of gear at t = 0; a bottom profile is met as it lies from there. With
    ``search`` the shortest holds are looked for too, and with ``windows``, a wait in s and
    what is aimed at, the strike windows. ``progress`` as in
    holds.respond. Raises ConvergenceError, Cancelled.
    """
    time: Array = np.arange(0.0, hold + after + 1e-9, SPACING)
    rods, count = len(scenario.rods), len(rows)
    depth = np.empty((count, rods, len(time)))
    clearance = np.empty((count, rods))
    seconds = np.full((count, rods), np.nan)
    orders = (Order(0.0, "out of gear"), Order(hold, "in gear"))
    size = max(1, LINES // rods)
    whole = 1.0 if search is None else 1.0 - HOLDS_SHARE
    for first in range(0, count, size):
        chosen = range(first, min(first + size, count))
        many = [replace(varied(bare(scenario), rows[k]), orders=orders) for k in chosen]
        run = Run(many, tolerance=LOOSE, longest=LONG)
        shares = whole * first / count, whole * (chosen[-1] + 1) / count
        report_progress(progress, shares[0])
        advance_reporting(run, hold + after, progress, *shares)
        for number, k in enumerate(chosen):
            bottom = many[number].water.bottom
            lure = np.empty((1, rods, len(time), 3))
            for r, line in enumerate(run.trajectory(number).lines):
                nodes = line.nodes(time)
                lure[0, r] = 0.5 * (nodes[:, :, -2] + nodes[:, :, -1])
                clearance[k, r] = nearest_ground(nodes, bottom)[1].min()
            depth[k] = -lure[0, ..., 2]
            if windows is not None:
                velocity = np.array(run.track(number).at(-1.0).velocity)
                one = Responses(np.array([hold]), time, lure, lure, velocity)
                seconds[k] = strike_windows(one, windows[:1], windows[1])[0][0, 0]
            report_progress(progress, shares[1])
    holds, longest = np.full((count, rods), np.nan), float("nan")
    if search is not None:
        holds = shortest_holds(search, rows, LINES, part_of(progress, whole, 1.0))
        longest = search.longest
    return Samples(time, depth, clearance, holds, longest, seconds)


def gathered(parts: Sequence[Samples], rows: Array) -> Chances:
    """What all samples of one drop say together; ``rows`` (S, inputs) are those of all parts."""
    depth, clearance, holds, windows = (
        np.concatenate([getattr(part, name) for part in parts])
        for name in ("depth", "clearance", "holds", "windows")
    )
    bands: Array = np.quantile(depth, SHARES, axis=0)
    touch = (clearance < TOUCHING).mean(axis=0)
    correlation = np.array(
        [_rank_correlation(rows[:, i], clearance.min(axis=1)) for i in range(len(INPUTS))]
    )
    return Chances(
        rows,
        parts[0].time,
        bands,
        touch,
        clearance,
        correlation,
        quantiles(holds, SHARES),
        parts[0].longest,
        windows,
    )


def _rank_correlation(a: Array, b: Array) -> float:
    """Spearman's rank correlation; 0 where one of them does not vary."""
    if np.ptp(a) == 0.0 or np.ptp(b) == 0.0:
        return 0.0
    ranks = [np.argsort(np.argsort(values)).astype(float) for values in (a, b)]
    return float(np.corrcoef(ranks)[0, 1])
