"""View-model of the live drop of a document: its run, the helm, and the picture of now.

Signals announce; views pull. No widgets here.
"""

from __future__ import annotations

import sys
import time as wall
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.common.scales import Scale
from app.scenario.courses import course_now
from app.scenario.keys import HELM_SPEED
from app.session.automatic import Automatic
from app.session.background import Background
from app.session.clock import Clock
from app.session.document import Document
from app.session.helm_reading import HelmReading
from app.session.look_ahead import LookAhead
from app.session.outlook import Outlook
from app.session.picture import PlacedMark, Track, pictured
from app.session.pool import Rank
from physics.checks import InvalidValue, Limits
from physics.line.line_orders import LineAction, LineOrder
from physics.line.march import ConvergenceError
from physics.simulation.cost import nodes_of
from physics.simulation.events import Event
from physics.simulation.past import STEP_BYTES
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Action, Leg, Order
from physics.vessel.helm import HelmTrack

FRAME_MS = 16
"""Frame timer, ms: 60 a second."""

FIGURES_EVERY = 0.2
"""Wall seconds between new figures: slow enough to read."""

KEPT, KEPT_BYTES = 1800.0, 150e6
"""Steps longer ago than this, s, or beyond so much memory, may be forgotten: a window may stay
open for days, and nothing on screen asks further back than the last two times out of gear, or
a round of the drill. A run without a screen keeps everything: its events and tables want it."""

LEAD = 0.2
"""The computation keeps this many wall seconds ahead of the screen."""

BUDGET = 0.004
"""Wall seconds a frame may spend computing before it draws what there is."""

DEFAULT_HOLD = 20.0
"""Automatic hold offered when a scenario names none, s."""

DEFAULT_WAIT = 15.0
"""Automatic wait offered before any was planned, s."""

LEAD_IN = 5.0
"""A plan without a mark of the setup's own is rehearsed on a mark this long after the start, s."""


class LiveRun(QObject):
    """The live drop of a document, begun anew when the document changes what is run.

    Signals: ``frame`` a new picture is there; ``figures`` slow readouts may be
    read anew; ``restarted`` the tow began again; ``helm_changed`` gear,
    throttle, engines, pause, speed or automatic hold; ``ahead_changed`` a new
    look-ahead or none; ``events_changed``; ``trouble`` (text) something the
    person should read.
    """

    frame = Signal()
    figures = Signal()
    restarted = Signal()
    helm_changed = Signal()
    ahead_changed = Signal()
    events_changed = Signal()
    trouble = Signal(str)

    def __init__(
        self, document: Document, clock: Clock | None = None, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self.document = document
        self.clock = clock or Clock()
        self.background = Background(self)
        self.timer = QTimer(self)
        self.timer.setInterval(FRAME_MS)
        self.timer.timeout.connect(self.tick)
        self.outlook = Outlook(self.background, self)
        self.outlook.ahead_changed.connect(self.ahead_changed)
        self.outlook.events_changed.connect(self.events_changed)
        self.auto_wait = Automatic(document, "wait", DEFAULT_WAIT, self.helm_changed.emit)
        self.auto_hold = Automatic(document, "hold", DEFAULT_HOLD, self.helm_changed.emit)
        self._mark_to_give: float | None = None
        self.settling = False
        self._standing_by = self._settle_due = False
        self._stuck = False
        self._figures_read = -1.0
        self._wanted = document.scenario()
        self._begin(Run([self._wanted], keep=_kept(self._wanted)))
        document.opened.connect(self._begin_another)
        document.replaced.connect(self._follow)

    # ---- what is on screen

    @property
    def scenario(self) -> Scenario:
        """What is running: the setup as physics has it, or the one before while settling."""
        return self._run.scenarios[0]

    @property
    def run(self) -> Run:
        """The live run."""
        return self._run

    @property
    def ahead(self) -> LookAhead | None:
        """Where the lures would go, as far as it was worked out."""
        return self.outlook.ahead

    @property
    def events(self) -> list[Event]:
        """What has happened lately, as far as it was looked for."""
        return self.outlook.events

    @property
    def now(self) -> float:
        """Time since the start, s."""
        return self.clock.now

    @property
    def helm(self) -> HelmReading:
        """What the helm says now."""
        return HelmReading(self._run, self.now)

    @property
    def in_gear(self) -> bool:
        """What the lever says."""
        return self.helm.in_gear

    @property
    def under_orders(self) -> bool:
        """Whether the helm answers: not when the motion is prescribed."""
        return self.helm.under_orders

    def throttle(self) -> tuple[float, int]:
        """Throttle, m/s, and engines in use now."""
        return self.helm.throttle

    def wheel(self) -> float:
        """Curvature the wheel asks for, 1/m, positive to starboard."""
        return self.helm.wheel

    def spells(self) -> list[tuple[float, float]]:
        """(out of gear, in gear) times so far, s; infinity while still out."""
        return self.helm.spells

    def hold_so_far(self) -> float | None:
        """Seconds out of gear now, or None in gear."""
        return self.helm.hold_so_far

    def last_hold(self) -> float | None:
        """Length of the last finished hold, s."""
        return self.helm.last_hold

    def mark(self) -> PlacedMark | None:
        """The newest mark that has been under the sounder."""
        return self.helm.mark

    def run_depth(self, number: int) -> float:
        """Depth at which one rod's lure ran in the steady tow at the start, m."""
        return self._run_depths[number]

    # ---- running

    def start(self) -> None:
        """Start the frame timer; what was changed while it stood by is settled first."""
        self._standing_by = False
        if self._settle_due:
            self._ask_settle()
        self.clock.tick()
        self.timer.start()

    def close(self) -> None:
        """Stop the timer and end the worker process."""
        self.timer.stop()
        self.background.close()

    def tick(self) -> None:
        """One frame: move time on, compute as far as needed, announce the picture."""
        before = self.clock.now
        self.clock.tick()
        if not self.settling:
            self._end_wait(before)
            self._finish_hold(before)
            self._compute()
        else:
            self.clock.now = before
        self._paint()
        now = wall.perf_counter()
        if now - self._figures_read >= FIGURES_EVERY:
            self._figures_read = now
            self.figures.emit()
        if not self.settling:
            self.outlook.look(self.helm, moves=not self.clock.paused)

    def _compute(self) -> None:
        if self._stuck and self.clock.paused:
            return
        self._stuck = False
        goal = self.clock.now + LEAD * self.clock.speed
        started = wall.perf_counter()
        try:
            while not self._run.advance(goal, most_rounds=1):
                if wall.perf_counter() - started > BUDGET:
                    break
        except Exception as error:
            if not isinstance(error, ConvergenceError):
                sys.excepthook(*sys.exc_info())
            self._stuck = self.clock.paused = True
            self.helm_changed.emit()
            self.trouble.emit(
                f"The lines could not be computed beyond {self.now:.1f} s ({error}). "
                "Paused; start over, or change the spread."
            )
        reached = self._run.reached()
        if reached < self.clock.now:
            self.clock.hold_back(reached)

    def _paint(self) -> None:
        self._take_picture()
        self.track.add(self.picture)
        self.frame.emit()

    def _take_picture(self) -> None:
        self.picture = pictured(self._run, self.clock.now, self.mark())

    def _end_wait(self, drawn: float) -> None:
        """Go out of gear when the automatic wait after a mark is over; a wait missed is missed."""
        due = self.wait_ends()
        if due is not None and drawn - 1e-9 <= due <= self.now:
            self._order("out of gear", at=max(due, drawn))

    def wait_ends(self) -> float | None:
        """When the boat is to go out of gear by itself, s; None if she is not."""
        return self.helm.wait_ends(self.auto_wait.seconds) if self.auto_wait.on else None

    def _finish_hold(self, drawn: float) -> None:
        """Go in gear when the automatic hold is over, but not before what is drawn already, s."""
        due = self.helm.hold_ends(self.auto_hold.seconds) if self.auto_hold.on else None
        if due is not None and self.now >= due:
            self._order("in gear", at=max(due, drawn))

    # ---- orders

    def _order(
        self,
        action: Action,
        value: float = 0.0,
        at: float | None = None,
        legs: tuple[Leg, ...] = (),
    ) -> None:
        """Give an order, now unless ``at`` says when, s; one that makes no sense is told."""

        def give() -> None:
            self._run.order(Order(self.now if at is None else at, action, value, legs))

        if not self._obeyed(give):
            return
        if action in ("in gear", "out of gear"):
            self.outlook.drop_ahead()
        self.helm_changed.emit()

    def _obeyed(self, give: Callable[[], None]) -> bool:
        """Give an order; one that is not taken changes nothing, and that is told."""
        try:
            give()
        except InvalidValue as error:
            self.trouble.emit(f"{error.field.capitalize()}: allowed is {error.allowed}.")
            return False
        except Exception as error:
            sys.excepthook(*sys.exc_info())
            self.trouble.emit(
                f"That order was not taken ({error}). Boat and lines go on as they were."
            )
            return False
        self._stuck = False
        self.outlook.overtake()
        return True

    def shift(self) -> None:
        """Out of gear if in, in gear if out."""
        self._order("out of gear" if self.in_gear else "in gear")

    @property
    def throttles(self) -> Limits:
        """What the throttle may be set for with this boat, m/s."""
        low, high, unit = HELM_SPEED.limits
        return Limits(low, min(high, self.scenario.boat.fastest), unit)

    def set_throttle(self, speed: float) -> None:
        """Throttle to ``speed`` m/s, now."""
        low, high, _ = self.throttles
        if not low <= speed <= high:
            allowed = Scale(self.document.setup.speed_unit, 1, 0.1).range_text(low, high)
            self.trouble.emit(f"Throttle: allowed is {allowed}.")
        elif abs(speed - self.throttle()[0]) > 1e-9:
            self._order("throttle", speed)

    def set_engines(self, engines: int) -> None:
        """One engine or two, now."""
        if engines != self.throttle()[1]:
            self._order("engines", engines)

    def set_wheel(self, curvature: float) -> None:
        """Wheel over to a curvature of the track through the water, 1/m, now; ends a course."""
        if abs(curvature - self.wheel()) > 1e-9 or course_now(self._run, self.now):
            self._order("wheel", curvature)

    def order_line(
        self, rod: str, action: LineAction, value: float = 0.0, rate: float = 0.5
    ) -> None:
        """Order something of one line, now; one that makes no sense is told."""

        def give() -> None:
            self._run.order_line(LineOrder(self.now, rod, action, value, rate))

        if self._obeyed(give):
            self.outlook.drop_ahead()
            self.helm_changed.emit()

    def steer(self, legs: tuple[Leg, ...]) -> None:
        """Steer a course from here, now."""
        self._order("course", legs=legs)

    def drop_mark(self) -> None:
        """A fish under the sounder, now, at the setup's mark depth."""
        self._order("mark", self.document.mark_depth())

    def rehearse(self, wait: float, hold: float, mark_depth: float) -> None:
        """Start over and do a planned drop by itself: ``wait`` and ``hold`` s.

        On the setup's own mark, or on one at ``mark_depth`` m soon after the start.
        """
        planned = replace(self.document.setup, wait=wait, hold=hold)
        if not self.document.edit(planned, "wait and hold of the plan"):
            return
        self._mark_to_give = mark_depth if self.document.setup.mark is None else None
        self.clock.paused = False
        self._settle()

    def stand_by(self) -> None:
        """Let time stand still while nobody looks; ``start`` goes on."""
        self._standing_by = True
        self.timer.stop()

    def look_back(self, time: float) -> None:
        """Show the drop as it was at ``time`` s, of what was computed; only while standing by."""
        self.clock.now = min(max(time, 0.0), self._run.reached())
        self._take_picture()
        self.frame.emit()

    def pause(self) -> None:
        """Pause, or go on."""
        self.clock.paused = not self.clock.paused
        self.helm_changed.emit()

    def set_speed(self, times: int) -> None:
        """Run ``times`` faster than life, 1 to 8."""
        self.clock.speed = times
        self.helm_changed.emit()

    def start_over(self) -> None:
        """Back to the steady tow at the start of this setup."""
        self._settle()

    # ---- the document

    def _begin_another(self) -> None:
        for automatic in (self.auto_wait, self.auto_hold):
            automatic.offer_usual()
        self._wanted = self.document.scenario()
        self._settle()

    def _follow(self) -> None:
        """Settle anew if the document changed what is run; a mark alone is moved as it goes on."""
        old = self._wanted
        self._wanted = new = self.document.scenario()
        moved = new.mark != old.mark
        # the old mark over the new bottom may be no mark at all: both are compared without
        other = replace(new, name=old.name, notes=old.notes, mark=None) != replace(old, mark=None)
        if other or (moved and self.settling):
            self._settle()
        elif moved:
            self._mark_to_come()

    def _mark_to_come(self) -> None:
        """The setup's marks that have not been under the sounder yet, as they now are."""
        track, scenario = self._run.track(), self._wanted
        mark = scenario.mark
        if isinstance(track, HelmTrack):
            track.withdraw_marks(self.now)
            listed = [order for order in scenario.orders if order.action == "mark"]
            if mark is not None:
                listed.append(Order(mark.time, "mark", mark.depth))
            for order in listed:
                if order.time > self.now:
                    track.order(order)

    def _settle(self) -> None:
        """Find the steady tow in the background, then begin there; once somebody looks."""
        self.outlook.overtake()
        self.settling = self._settle_due = True
        if self._standing_by:
            # a number dragged on another page would keep the workers busy with tows
            self.background.cancel("settle")
        else:
            self._ask_settle()
        self.helm_changed.emit()

    def _ask_settle(self) -> None:
        self._settle_due = False
        scenario = self._wanted
        live = partial(Run, keep=_kept(scenario))
        self.background.ask("settle", self._settled, live, [scenario], rank=Rank.TOW)

    def _settled(self, result: Any) -> None:
        self.settling = False
        if isinstance(result, Exception):
            self.trouble.emit(
                f"No steady tow found for this spread ({result}). "
                "The last one that worked is still running; undo, or change the spread."
            )
            self.helm_changed.emit()
            return
        self._begin(result)

    def _begin(self, run: Run) -> None:
        self._run = run
        self._stuck = False
        if self._mark_to_give is not None:
            run.order(Order(LEAD_IN, "mark", self._mark_to_give))
            self._mark_to_give = None
        self.clock.restart()
        self.track = Track(len(run.scenarios[0].rods))
        self._run_depths = [-float(z) for z in run.lures_at(0.0)[0][:, 2]]
        self._take_picture()
        self.track.begin(self.picture)
        self.track.add(self.picture)
        self.restarted.emit()
        self.helm_changed.emit()
        self.outlook.begin()
        self.frame.emit()


def _kept(scenario: Scenario) -> float:
    """How much of a live run is kept, s."""
    return min(KEPT, KEPT_BYTES / (STEP_BYTES * nodes_of(scenario)))
