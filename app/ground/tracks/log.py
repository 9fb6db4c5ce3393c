"""A recorded track in memory: places, depths, speed and wind against time, cleaned."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from app.ground.tracks.report import Report

Array = NDArray[np.float64]

APART = 6.0 * 3600.0
"""Longer without a place one trip has ended and another begun, s."""

DepthFrom = Literal["surface", "transducer", "unknown", "none"]
"""What depths are measured from; ``none`` where there are no depths."""


@dataclass(frozen=True, slots=True)
class Raw:
    """What a file says, in its order, before anything is left out. SI, angles in degrees.

    Fixes (n,): ``time`` s (since 1970 UTC when ``dated``, else since some midnight),
    ``lat``, ``lon`` degrees, ``speed`` over ground m/s and ``course`` degrees, NaN where
    not given. Depths and winds come at times of their own: ``depths`` (m, 2) of time
    and depth m; ``winds`` (k, 4) of time, angle off the bow in degrees, m/s, and 1 when
    it is what blows over the water, 0 when it is what is felt on board.
    """

    time: Array
    lat: Array
    lon: Array
    speed: Array
    course: Array
    depths: Array
    winds: Array
    dated: bool
    depth_from: DepthFrom


@dataclass(frozen=True, slots=True)
class GroundLog:
    """A track that is fit to use; all arrays (n,) but ``wind``.

    ``time`` s since the first fix, rising; ``lat`` and ``lon`` degrees; ``depth`` m and
    ``speed`` m/s over ground, NaN where not known; ``wind`` (n, 2) the air's velocity
    (east, north), m/s, the way it blows towards, NaN where not known. ``began`` is when,
    UTC, or None in a file without dates. ``report`` says what was left out.
    """

    name: str
    began: datetime | None
    time: Array
    lat: Array
    lon: Array
    depth: Array
    speed: Array
    wind: Array
    depth_from: DepthFrom
    report: Report

    def __len__(self) -> int:
        return len(self.time)

    def between(self, since: float, until: float) -> GroundLog:
        """The part from ``since`` to ``until``, s; times stay as they are."""
        a, b = np.searchsorted(self.time, [since, np.nextafter(until, np.inf)])
        return self._rows(int(a), int(b))

    def split(self, gap: float) -> tuple[GroundLog, ...]:
        """The parts between which there is no place for more than ``gap`` s; times stay."""
        ends = np.flatnonzero(np.diff(self.time) > gap) + 1
        return tuple(self._rows(a, b) for a, b in pairwise([0, *ends.tolist(), len(self)]))

    def trips(self) -> tuple[GroundLog, ...]:
        """The trips in it, APART from each other, each timed from its own first fix.

        A place alone is no trip, unless there is nothing else.
        """
        parts = [part for part in self.split(APART) if len(part) > 1]
        return tuple(part._from_zero() for part in parts) or (self,)

    def _from_zero(self) -> GroundLog:
        start = float(self.time[0])
        began = None if self.began is None else self.began + timedelta(seconds=start)
        return replace(self, began=began, time=self.time - start)

    def _rows(self, a: int, b: int) -> GroundLog:
        return replace(
            self, time=self.time[a:b], lat=self.lat[a:b], lon=self.lon[a:b],
            depth=self.depth[a:b], speed=self.speed[a:b], wind=self.wind[a:b],
        )  # fmt: skip
