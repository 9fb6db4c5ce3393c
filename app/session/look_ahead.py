"""What follows if the boat goes in gear now, or if nothing changes, on a branch of the live run."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from app.session.picture import PlacedMark
from physics.simulation.drop_facts import (
    SPACING,
    TOUCHING,
    deepest,
    first_below,
    nearest_ground,
    passing,
)
from physics.simulation.events import starts_to_lift
from physics.simulation.run import Run
from physics.vessel.boat import Order

Array = NDArray[np.float64]

HORIZON = 45.0
"""How far the look-ahead runs, rehearsal s: back at running depth in most drops."""

WORTH_A_WORD = 0.1
"""A lure that will sink by less than this holds its depth, m."""

DOT_SPACING = 0.7
"""Spacing of the dots a future is drawn with, m: some six pixels when all is in view."""


@dataclass(frozen=True, slots=True)
class LineAhead:
    """One lure's future. ``time`` (n,) s, ``place`` (n, 3) m over ground.

    ``dots`` (m, 4) are its times and places again, evenly spaced along the way
    it goes over ground, for drawing.

    ``deepest`` (s, m) is when and how deep the lure gets, None where it is not known;
    ``at_mark`` (time, height off bottom m, depth m) or None; ``touches_at`` s
    when lure or line first touches bottom, ``lifts_at`` s when the lure, deepest before, first
    lifts once in gear; or None.
    """

    time: Array
    place: Array
    dots: Array
    deepest: tuple[float, float] | None
    at_mark: tuple[float, float, float] | None
    touches_at: float | None
    lifts_at: float | None = None

    @property
    def turn(self) -> tuple[float, float] | None:
        """``deepest`` of a lure that is to go deeper by enough to be worth a word."""
        if self.deepest is None or self.deepest[1] <= -float(self.place[0, 2]) + WORTH_A_WORD:
            return None
        return self.deepest

    def shortened(self, until: float) -> LineAhead:
        """What is known of it when no more than up to ``until`` s is."""
        keep = self.time <= until
        keep[:2] = True

        def known(at: float | None) -> bool:
            return at is not None and at <= until

        return replace(
            self, time=self.time[keep], place=self.place[keep],
            dots=self.dots[self.dots[:, 0] <= until],
            deepest=self.deepest if self.deepest and known(self.deepest[0]) else None,
            at_mark=self.at_mark if self.at_mark and known(self.at_mark[0]) else None,
            touches_at=self.touches_at if known(self.touches_at) else None,
            lifts_at=self.lifts_at if known(self.lifts_at) else None,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class LookAhead:
    """All lines' futures from ``now`` s on.

    ``in_gear`` says whether they hold if the boat goes in gear at ``now``; else
    they hold if nothing is touched. Of one that is not ``whole``, what is not told may come.
    """

    now: float
    in_gear: bool
    lines: tuple[LineAhead, ...]
    whole: bool = True

    def shortened(self, reach: float) -> LookAhead:
        """The same, no further than ``reach`` s."""
        until = self.now + reach
        lines = tuple(line.shortened(until) for line in self.lines)
        return replace(self, lines=lines, whole=False)


def look_ahead(
    run: Run,
    now: float,
    mark: PlacedMark | None,
    shift: bool,
    horizon: float = HORIZON,
) -> LookAhead:
    """Carry ``run``, a branch that may be used up, on from ``now``. Raises ConvergenceError.

    With ``shift`` the boat goes in gear at ``now``.
    """
    run.advance_exactly(now)
    if shift:
        run.order(Order(now, "in gear"))
    run.advance(now + horizon)
    trajectory = run.trajectory()
    times: Array = now + SPACING * np.arange(int(horizon / SPACING) + 1, dtype=np.float64)
    lines = []
    for number, line in enumerate(trajectory.lines):
        place = line.lure(times)
        deep = deepest(times, -place[:, 2], trajectory.height(number, times))
        by = None if mark is None else passing(times, place, mark.x, mark.y)
        off_mark = 0.0 if by is None else float(trajectory.height(number, np.array([by.time]))[0])
        least = nearest_ground(line.nodes(times), trajectory.scenario.water.bottom)[1]
        lines.append(
            LineAhead(
                times,
                place,
                _dots(times, place),
                (deep.time, deep.depth),
                None if by is None else (by.time, off_mark, -float(by.place[2])),
                first_below(times, least, TOUCHING),
                starts_to_lift(line, times, max(deep.time, now)) if shift else None,
            )
        )
    return LookAhead(now, shift, tuple(lines))


def _dots(times: Array, place: Array) -> Array:
    """Times and places (m, 4) every DOT_SPACING m along a path."""
    way = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(place, axis=0), axis=1))])
    at = np.arange(0.0, way[-1], DOT_SPACING)
    rows = np.column_stack([times, place])
    return np.column_stack([np.interp(at, way, column) for column in rows.T])
