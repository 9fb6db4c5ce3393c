"""Wall time to rehearsal time: pause, speed-up, and catch-up that admits running late."""

from __future__ import annotations

import time
from collections.abc import Callable

SPEEDS = (1, 2, 3, 4, 5, 6, 7, 8)
"""How many times faster than life a rehearsal may run."""

MOST_CATCH_UP = 0.1
"""Wall seconds one tick may make up for, s; what is beyond is lost and shown as late."""

LATE_SHOWN_FOR = 1.5
"""How long a late tick stays on show, wall s."""


class Clock:
    """Rehearsal time ``now`` in s, moved on by ``tick``.

    ``wall`` gives wall time in s and can be replaced by a test's own. Time is
    measured, never counted in ticks, so a slow screen shows fewer frames of
    the same drop.
    """

    def __init__(self, wall: Callable[[], float] = time.perf_counter) -> None:
        self._wall = wall
        self._last = wall()
        self._late_at: float | None = None
        self.now = 0.0
        self.speed = 1
        self.paused = False

    def tick(self) -> float:
        """Move on by the wall time since the last tick; the rehearsal seconds gained."""
        wall = self._wall()
        passed, self._last = wall - self._last, wall
        if self.paused:
            return 0.0
        if passed > MOST_CATCH_UP:
            self._late_at = wall
        gained = min(max(passed, 0.0), MOST_CATCH_UP) * self.speed
        self.now += gained
        return gained

    def restart(self) -> None:
        """Back to zero; pause and speed stay."""
        self.now = 0.0
        self._last = self._wall()
        self._late_at = None

    def hold_back(self, time: float) -> None:
        """Stay at ``time`` because the computation got no further, and say so."""
        self.now = time
        self._late_at = self._last

    @property
    def late(self) -> bool:
        """Whether the program was lately too slow to keep its pace."""
        return self._late_at is not None and self._last - self._late_at < LATE_SHOWN_FOR
