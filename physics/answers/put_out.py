"""What to put out: of every rod's options those that lift longest through the mark together.

At one speed, wait and hold each rod takes its own best option, because lines do not know of
each other. What binds them is that they share speed, wait and hold, and how nearly in unison
they are to lift.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from physics.answers.holds import Responses
from physics.answers.options import (
    Fineness,
    between_lengths,
    of_lines,
    placed,
    run_options,
    side_by_side,
)
from physics.answers.timing import FINE, Aim, lifting_and_clearance
from physics.answers.unison import lift_moments
from physics.environment.water import Bottom
from physics.line.tackle import Rod
from physics.progress import ProgressCallback, part_of, report_progress
from physics.simulation.scenario import Scenario

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

KNOTS = 5
"""Lengths of line run of one tackle; those between are interpolated."""

RUNS_SHARE = 0.6
"""Share of a speed's work that its runs are taken to be."""

LITTLE = 1e-3
"""What the greatest change counts against a window, s: of options as good the nearest wins."""


@dataclass(frozen=True, slots=True)
class RodOptions:
    """What one rod may have out.

    ``families`` are of lines alike but for how much is out, rising; ``change`` (O,), 0 to 1, is
    how far each option, in the order of the families, is from what is out now.
    """

    families: tuple[tuple[Rod, ...], ...]
    change: tuple[float, ...]

    @property
    def tip(self) -> Rod:
        """Any of its options: all have their tip in the same place."""
        return self.families[0][0]

    @property
    def count(self) -> int:
        """How many options there are."""
        return sum(map(len, self.families))


@dataclass(frozen=True, slots=True)
class Tried:
    """What every option does at one ``speed``, m/s: W waits, K holds, s; O options of each rod.

    Of each rod ``lifting`` (W, K, O) s, ``clearance`` (W, K, O) m and ``moments`` (K, O) s, as
    in TimingMap and Unison, ``deepest`` (K, O) m of the lure, and ``change`` (O,).
    """

    speed: float
    waits: Array
    holds: Array
    lifting: tuple[Array, ...]
    clearance: tuple[Array, ...]
    moments: tuple[Array, ...]
    deepest: tuple[Array, ...]
    change: tuple[Array, ...]


@dataclass(frozen=True, slots=True)
class Pick:
    """A choice: one of the ``options`` of each rod, a speed, m/s, a wait and a hold, s.

    ``each_line`` (R,) s are the strike windows.
    """

    speed: float
    wait: float
    hold: float
    options: tuple[int, ...]
    each_line: tuple[float, ...]

    @property
    def window(self) -> float:
        """The strike windows of all lines added up, s."""
        return sum(self.each_line)


def try_options(
    scenario: Scenario,
    rods: Sequence[RodOptions],
    aim: Aim,
    bottom: Bottom,
    waits: Sequence[float],
    holds: Sequence[float],
    run_holds: Sequence[float],
    fineness: Fineness,
    progress: ProgressCallback | None = None,
) -> Tried:
    """Run what is needed at the scenario's speed and place every option under its rod.

    ``bottom`` has its origin at the mark's place; ``run_holds`` are run, ``holds`` lie between.
    Raises InvalidValue, ConvergenceError, Cancelled.
    """
    run: dict[tuple[object, ...], Rod] = {}
    for rod in rods:
        for family in rod.families:
            run.update((_alike(one), one) for one in _knots(family))
    keys = list(run)
    found = run_options(
        scenario,
        list(run.values()),
        run_holds,
        fineness,
        any_ground=not bottom.is_level,
        progress=part_of(progress, 0.0, RUNS_SHARE),
    )
    lifting, clearance, moments, deepest = [], [], [], []
    for n, rod in enumerate(rods):
        report_progress(progress, RUNS_SHARE + (1.0 - RUNS_SHARE) * n / len(rods))
        own = _options(found, keys, rod)
        here = placed(own, range(rod.count), rod.tip, scenario.heading, holds)
        up, low = lifting_and_clearance(here, waits, aim, bottom)
        lifting.append(up)
        clearance.append(low)
        moments.append(lift_moments(here, aim.mark))
        deepest.append(-np.nanmin(here.lure[..., 2], axis=-1))
    return Tried(
        scenario.speed, np.asarray(waits, dtype=float), np.asarray(holds, dtype=float),
        tuple(lifting), tuple(clearance), tuple(moments), tuple(deepest),
        tuple(np.asarray(rod.change) for rod in rods),
    )  # fmt: skip


def _alike(rod: Rod) -> tuple[object, ...]:
    """What tells lines apart that are run."""
    return rod.sections, rod.lure, rod.height


def _knots(family: Sequence[Rod]) -> list[Rod]:
    """The lines of a family that are run."""
    at = np.linspace(0, len(family) - 1, min(KNOTS, len(family))).round().astype(int)
    return [family[k] for k in dict.fromkeys(at.tolist())]


def _options(found: Responses, keys: Sequence[tuple[object, ...]], rod: RodOptions) -> Responses:
    """All options of one rod, of lines that were run."""
    parts = []
    for family in rod.families:
        knots = _knots(family)
        own = of_lines(found, [keys.index(_alike(one)) for one in knots])
        parts.append(
            between_lengths([k.line_out for k in knots], own, [one.line_out for one in family])
        )
    return side_by_side(parts)


def choose(
    tried: Tried,
    clearance: float,
    unison: float | None = None,
    allowed: Sequence[Mask] | None = None,
) -> Pick | None:
    """The longest window of all lines added up, every line ``clearance`` m off the bottom.

    With ``unison`` every lure lifts through the mark, all within so many seconds. ``allowed``
    (O,) of each rod leaves options out. Among equals as ``timing.best``: the shortest hold,
    then the middle of the waits. None if there is no window at all.
    """
    scores = [_score(tried, r, clearance, None if allowed is None else allowed[r])
              for r in range(len(tried.lifting))]  # fmt: skip
    if unison is None:
        total = np.sum([score.max(axis=2) for score in scores], axis=0)
    else:
        together = [_Together.of(tried, scores, k, unison) for k in range(len(tried.holds))]
        total = np.stack([one.total for one in together], axis=1)
    top = float(total.max())
    if top <= LITTLE * len(scores):
        return None
    near = total >= top - FINE - 1e-9
    k = int(np.flatnonzero(near.any(axis=0))[0])
    rows = np.flatnonzero(near[:, k])
    w = int(rows[len(rows) // 2])
    if unison is None:
        options = [int(score[w, k].argmax()) for score in scores]
    else:
        options = together[k].options(w)
    each = tuple(float(tried.lifting[r][w, k, o]) for r, o in enumerate(options))
    return Pick(tried.speed, float(tried.waits[w]), float(tried.holds[k]), tuple(options), each)


def _score(tried: Tried, r: int, clearance: float, allowed: Mask | None) -> Array:
    """What each option of a rod is worth (W, K, O), s; -inf for one that may not be taken."""
    good = tried.clearance[r] >= clearance
    if allowed is not None:
        good = good & allowed
    out: Array = np.where(good, tried.lifting[r] - LITTLE * tried.change[r], -np.inf)
    return out


@dataclass(frozen=True, slots=True)
class _Together:
    """One hold's best with all lures in unison: ``total`` (W,) s.

    The first to lift is one of the F options: each is tried as the first. ``each`` of R rods
    (F, W, O) is what its options are worth then; ``first`` (W,) the best of them.
    """

    total: Array
    first: NDArray[np.intp]
    each: tuple[Array, ...]

    @classmethod
    def of(cls, tried: Tried, scores: Sequence[Array], k: int, within: float) -> _Together:
        known = np.concatenate([moments[k] for moments in tried.moments])
        firsts = np.unique(np.append(known[np.isfinite(known)], np.inf))
        each = []
        for moments, lifting, score in zip(tried.moments, tried.lifting, scores, strict=True):
            with np.errstate(invalid="ignore"):
                since = moments[k] - firsts[:, None]
                inside = (since >= 0.0) & (since <= within)
            here = np.where(lifting[:, k] > 0.0, score[:, k], -np.inf)
            each.append(np.where(inside[:, None], here[None], -np.inf))
        total = np.sum([one.max(axis=2) for one in each], axis=0)
        first = total.argmax(axis=0)
        return cls(total[first, np.arange(total.shape[1])], first, tuple(each))

    def options(self, w: int) -> list[int]:
        """The option of each rod at a wait."""
        return [int(one[self.first[w], w].argmax()) for one in self.each]
