"""What workers find beside a live run: where its lures would go, and what has happened.

Signals announce; views pull. No widgets here.
"""

from __future__ import annotations

import time as wall
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.session.background import Background
from app.session.helm_reading import HelmReading
from app.session.look_ahead import LookAhead, look_ahead
from app.session.pool import Rank
from physics.simulation.events import Event, find_events

AHEAD_EVERY = 0.03
"""Wall seconds between look-aheads while out of gear or after an order, at the least: every other
frame. One at a time, and a worker rests as long as the last one took."""

CALM_AHEAD_EVERY = 0.5
"""Wall seconds between look-aheads in gear, when nothing is to be decided."""

AHEAD_TOLERANCE, AHEAD_LONGEST = 0.01, 2.0
"""Step tolerance, m, and longest step, s, of a look-ahead: within a centimeter of the live run."""

EVENTS_EVERY = 1.0
"""Wall seconds between searches for events."""

EVENTS_BACK = 600.0
"""Events are looked for no further back than this, s."""


class Outlook(QObject):
    """The look-ahead of a live run and its events, each worked out again when it is due.

    Signals: ``ahead_changed`` a new look-ahead or none; ``events_changed``.
    """

    ahead_changed = Signal()
    events_changed = Signal()

    def __init__(self, background: Background, parent: QObject) -> None:
        super().__init__(parent)
        self._background = background
        self.looks_ahead = True
        self.ahead: LookAhead | None = None
        self.events: list[Event] = []
        self._orders, self._looked_for = 0, -1
        self._out = False
        self._ahead_took = 0.0
        self._now = 0.0
        # nothing has happened yet that events could tell of
        self._asked = {"ahead": -1.0, "events": wall.perf_counter()}
        self._due = False

    def begin(self) -> None:
        """Another run begins; what was found of the one before is let go."""
        self.ahead, self.events = None, []
        self._due = True
        self.ahead_changed.emit()
        self.events_changed.emit()

    def overtake(self) -> None:
        """What is being worked out will not hold: an order was given, or another run is to come."""
        self._orders += 1
        self._due = True

    def drop_ahead(self) -> None:
        """The look-ahead on screen no longer holds."""
        self.ahead = None
        self.ahead_changed.emit()

    def look(self, helm: HelmReading, *, moves: bool) -> None:
        """Ask for what is due now; ``moves`` says that time does not stand still."""
        self._now, self._out = helm.now, not helm.in_gear and helm.under_orders
        moves = moves or self._due
        clock = wall.perf_counter()
        if self.looks_ahead and not self._background.busy("ahead"):
            self._look_ahead(helm, clock, moves=moves)
        due = clock - self._asked["events"] >= EVENTS_EVERY
        if moves and due and not self._background.busy("events"):
            self._look_back(helm, clock)

    def _look_ahead(self, helm: HelmReading, clock: float, *, moves: bool) -> None:
        calm = not self._out and self._orders == self._looked_for
        every = CALM_AHEAD_EVERY
        if not calm:
            every = max(AHEAD_EVERY, min(2.0 * self._ahead_took, every))
        if clock - self._asked["ahead"] < every or not (moves or self.ahead is None):
            return
        self._asked["ahead"], self._looked_for = clock, self._orders
        answer = partial(self._got_ahead, self._orders, self._out)
        branch = helm.run.branch(helm.now, AHEAD_TOLERANCE, AHEAD_LONGEST)
        asked = branch, helm.now, helm.mark, self._out
        self._background.ask("ahead", answer, look_ahead, *asked, rank=Rank.AHEAD)

    def _look_back(self, helm: HelmReading, clock: float) -> None:
        self._asked["events"] = clock
        self._due = False
        spells = helm.spells
        since = spells[-2][0] if len(spells) > 1 else 0.0
        past = helm.run.trajectory(since=max(since - 2.0, helm.now - EVENTS_BACK, 0.0))
        answer = partial(self._got_events, self._orders)
        self._background.ask("events", answer, find_events, past, rank=Rank.TOW)

    def _got_ahead(self, orders: int, out: bool, result: Any) -> None:
        self._ahead_took = wall.perf_counter() - self._asked["ahead"]
        stale = orders != self._orders or out != self._out
        if stale:
            # with time standing still nothing else would ask anew
            self._due = True
        elif isinstance(result, LookAhead):
            self.ahead = result
            self.ahead_changed.emit()

    def _got_events(self, orders: int, result: Any) -> None:
        if orders != self._orders:
            self._due = True
        elif isinstance(result, list):
            self.events = [event for event in result if event.time <= self._now]
            self.events_changed.emit()
