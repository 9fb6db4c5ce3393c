"""View-model of the drill: one round at a time on a live drop of its own, then its debrief.

Signals announce; views pull. The drop on the Rehearse page is not touched.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import numpy as np
from PySide6.QtCore import QObject, Signal

from app.common.bad_input import BadInput
from app.drill.file import Planned
from app.drill.record import Record
from app.drill.round import FREE, LEVELS, Level, Round
from app.drill.score import Best, Ended, Score, Taken, find_best, measure, score
from app.drill.store import Result, Store, Trainee
from app.gear.catalog import Catalog
from app.planning.situation import HOLDS, WAITS
from app.planning.steady import SteadyPlan, steady_plan
from app.session.background import Background
from app.session.clock import Clock
from app.session.document import Document
from app.session.keeper import Keeper
from app.session.live_run import LiveRun
from app.session.look_ahead import HORIZON, LineAhead, LookAhead
from app.session.pool import Rank
from physics.checks import InvalidValue
from physics.line.march import ConvergenceError
from physics.simulation.drop_facts import deepest
from physics.vessel.boat import Order

FIRST_NAME = "New hand"
"""Who trains before anybody has given a name."""

FADES_IN = 12.0
"""Where the look-ahead fades, it is gone this long after out of gear, s."""


class Drill(QObject):
    """A round, its trainee, and what came of it.

    Signals: ``stage_changed`` another of start, play, debrief and cards;
    ``made`` the first round has its live drop; ``called`` a fish is on;
    ``beat`` another second out of gear; ``scored`` the debrief knows more;
    ``people_changed`` trainees or their results; ``trouble`` (text).
    """

    waits, holds = WAITS, HOLDS
    """What is tried for the best answer, s."""

    stage_changed = Signal()
    made = Signal()
    called = Signal()
    beat = Signal()
    scored = Signal()
    people_changed = Signal()
    trouble = Signal(str)

    def __init__(
        self,
        host: Document,
        parent: QObject | None = None,
        clock: Callable[[], Clock] | None = None,
        store: Store | None = None,
    ) -> None:
        super().__init__(parent)
        self._host, self._clock = host, clock or Clock
        self.background = Background(self)
        self.store = store or Store()
        self.keeper = Keeper(self.store.flush, "Results of the drill", self)
        self.keeper.trouble.connect(self.trouble)
        self.keeper.caught_up.connect(self.people_changed)
        self.record = Record(
            self.store, self.keeper, self.background, self.people_changed.emit, self.trouble.emit
        )
        self.stage = "start"
        self.live_run: LiveRun | None = None
        self.round: Round | None = None
        self.planned: list[Planned] = []
        self.at = 0
        self.best: Best | None = None
        self.taken: Taken | None = None
        self.score: Score | None = None
        self.steady: SteadyPlan | None = None
        self.fish_on = False
        self.read_safety = False
        self._active = False
        self._number: int | None = None
        self._ended: Ended | None = None
        # a round whose score is kept and whose steady answer is not yet
        self._scored: int | None = None
        self._beats = 0
        people = self.store.trainees() or [self.store.add(FIRST_NAME)]
        self.trainee = people[0]

    # ---- what is on screen

    @property
    def catalog(self) -> Catalog:
        """The tackle to choose from."""
        return self._host.catalog

    @property
    def level(self) -> Level:
        """What the round's level asks."""
        return LEVELS[self.round.level if self.round is not None else 1]

    @property
    def last(self) -> bool:
        """Whether no round of the set is left."""
        return self.at >= len(self.planned) - 1

    def people(self) -> list[Trainee]:
        """Everybody."""
        return self.store.trainees()

    def results(self) -> list[Result]:
        """What the trainee did, oldest first."""
        return self.store.results(self.trainee)

    def own_setup(self) -> Planned:
        """A round on the scenario on screen."""
        return Planned(FREE, 1, self._host.setup)

    # ---- rounds

    def begin_set(self, rounds: Sequence[Planned]) -> bool:
        """Begin the first of some rounds."""
        self.planned, self.at = list(rounds), 0
        return self.begin()

    def begin(self) -> bool:
        """Begin the round that is due; False and ``trouble`` if it makes no sense."""
        self.break_off()
        try:
            self.round = self.planned[self.at].made(self.catalog)
            self._open(self.round)
        except InvalidValue as error:
            self.trouble.emit(f"{error.field.capitalize()}: allowed is {error.allowed}.")
            return False
        except ConvergenceError as error:
            self.trouble.emit(f"No steady tow found for this spread ({error}).")
            return False
        self.read_safety = True
        self.best = self.taken = self.score = self.steady = None
        self.fish_on, self._beats = False, 0
        self._number = self.store.begin(self.trainee, self.round.level, self.round.seed)
        self.keeper.keep()
        self.background.cancel("measure")
        self._go_to("play")
        self._find_best()
        return True

    def _find_best(self) -> None:
        """Look for the best answer to the round while somebody looks, unless it is there."""
        wanted = self._active and self.stage in ("play", "debrief") and self.best is None
        if not wanted or self.round is None:
            self.background.cancel("best")
        elif not self.background.busy("best"):
            asked = self.round, self.catalog, self.waits, self.holds
            self.background.ask("best", self._got_best, find_best, *asked, reports=True)
        self._find_steady()

    def _find_steady(self) -> None:
        """Once the best is there, look for what would have been right most often."""
        best, wanted = self.best, self._active and self.stage in ("play", "debrief")
        if best is None or best.plan.answer is None or self.steady is not None or not wanted:
            self.background.cancel("steady")
        elif not self.background.busy("steady"):
            self.background.ask(
                "steady", self._got_steady, steady_plan, best.plan, self.catalog,
                reports=True, rank=Rank.BANDS,
            )  # fmt: skip

    def next_round(self) -> bool:
        """The next of the set, or another of the same level."""
        if not self.last:
            self.at += 1
        elif self.planned:
            now = self.planned[self.at]
            self.planned[self.at] = replace(now, seed=(now.seed + 1) % 10**6)
        return self.begin()

    def _open(self, round_: Round) -> None:
        live_run = self.live_run
        if live_run is None:
            self.live_run = live_run = LiveRun(
                Document(self.catalog, round_.setup, parent=self), self._clock(), self
            )
            live_run.frame.connect(self._watch)
            live_run.ahead_changed.connect(self._fade)
            live_run.trouble.connect(self.trouble)
            self.made.emit()
        else:
            live_run.document.open(round_.setup, self.catalog)
        live_run.outlook.looks_ahead = round_.help != "off"
        live_run.clock.paused = False
        if self._active:
            live_run.start()

    def break_off(self) -> None:
        """Leave a round: before its end it is kept as broken off, after it scored in time."""
        if self.stage == "play" and self._number is not None:
            self.record.break_off(self._number, self._orders_text())
        if self._ended is not None:
            self.record.score_left(self._ended, self.waits, self.holds)
        if self._scored is not None and self.best is not None:
            self.record.steady_left(self._scored, self.best, self.catalog)
        self._number = self._ended = self._scored = None
        self.background.cancel("best")
        self.background.cancel("steady")
        self.background.cancel("measure")
        if self.live_run is not None:
            self.live_run.stand_by()

    def leave(self, stage: str = "start") -> None:
        """Back to where a round is chosen, or on to the question cards."""
        self.break_off()
        self._go_to(stage)

    def _go_to(self, stage: str) -> None:
        self.stage = stage
        self.stage_changed.emit()
        self.people_changed.emit()

    def _orders(self) -> list[Order]:
        assert self.live_run is not None
        return self.live_run.run.track().orders

    def _orders_text(self) -> str:
        now = 0.0 if self.live_run is None else self.live_run.now
        given = [o for o in self._orders() if o.time <= now]
        return json.dumps([[round(o.time, 3), o.action, o.value] for o in given])

    # ---- while it runs

    def set_active(self, active: bool) -> None:
        """Time stands still while nobody looks."""
        self._active = active
        self._find_best()
        if self.live_run is None:
            return
        if active and self.stage == "play":
            self.live_run.start()
        else:
            self.live_run.stand_by()

    def close(self) -> None:
        """Break off a round that runs, and end the workers."""
        self.break_off()
        self.background.close()
        self.record.close()
        self.keeper.close()
        if self.live_run is not None:
            self.live_run.close()
        self.store.close()

    def _watch(self) -> None:
        """Every frame: the count, the call, and the end."""
        live_run, round_ = self.live_run, self.round
        if self.stage != "play" or live_run is None or round_ is None or live_run.settling:
            return
        beats = int(live_run.hold_so_far() or 0.0)
        if beats != self._beats:
            self._beats = beats
            if beats:
                self.beat.emit()
        orders, now = self._orders(), live_run.now
        call = round_.call_time(orders)
        if call is not None and now >= call and not self.fish_on:
            self.fish_on = True
            self.called.emit()
        if now >= round_.end_time(orders):
            self._end()

    def _fade(self) -> None:
        """Where the look-ahead fades, show less of it the longer she is out of gear."""
        live_run = self.live_run
        if live_run is None or self.stage != "play" or self.round is None:
            return
        hold = live_run.hold_so_far()
        if live_run.ahead is None or self.round.help != "fades" or hold is None:
            return
        live_run.outlook.ahead = live_run.ahead.shortened(HORIZON * max(1.0 - hold / FADES_IN, 0.0))

    def set_throttle(self, speed: float) -> None:
        """Throttle to ``speed`` m/s."""
        if self.live_run is not None and self.stage == "play":
            self.live_run.set_throttle(speed)

    # ---- the end

    def _end(self) -> None:
        live_run, round_ = self.live_run, self.round
        assert live_run is not None
        assert round_ is not None
        live_run.stand_by()
        # one that is on its way would lie in the replay's way
        live_run.background.cancel("ahead")
        live_run.outlook.ahead = None
        run = live_run.run.trajectory()
        if self._number is not None:
            self._ended = Ended(self._number, round_, self.catalog, run, self._orders_text())
            self._number = None
        self._go_to("debrief")
        # the frame that ended the round came after its end
        live_run.look_back(round_.end_time(self._orders()))
        self.background.ask("measure", self._got_taken, measure, round_, run)

    def _got_best(self, result: Any) -> None:
        if not isinstance(result, Best):
            self.trouble.emit(f"The best answer could not be computed ({result}).")
            return
        self.best = result
        self._debrief()
        self._find_steady()

    def _got_steady(self, result: Any) -> None:
        if not isinstance(result, SteadyPlan):
            self.trouble.emit(f"The steady answer could not be computed ({result}).")
            return
        self.steady = result
        self._keep_steady()
        self.scored.emit()

    def _keep_steady(self) -> None:
        """Beside the score, once both are there."""
        if self._scored is not None and self.steady is not None:
            self.record.tell_steady(self._scored, self.steady)
            self._scored = None

    def _got_taken(self, result: Any) -> None:
        if not isinstance(result, Taken):
            self.trouble.emit(f"This round could not be measured ({result}).")
            return
        self.taken = result
        self._debrief()

    def _debrief(self) -> None:
        """Score once both are there."""
        if self.taken is None or self.best is None:
            self.scored.emit()
            return
        self.score = score(self.taken, self.best)
        if self._ended is not None:
            self.record.finish(self._ended, self.taken, self.best)
            self._scored, self._ended = self._ended.number, None
            self._keep_steady()
        self.show_best()
        self.scored.emit()
        self.people_changed.emit()

    def show_best(self) -> None:
        """Lay the best track of every lure over the replay, as dots."""
        live_run, best, round_ = self.live_run, self.best, self.round
        if live_run is None or best is None or round_ is None or best.plan.answer is None:
            return
        boat = live_run.run.boat(round_.mark.time)
        time, places = best.path()
        time = time + round_.mark.time
        lines = tuple(
            _line_ahead(time, place + np.array([boat.x, boat.y, 0.0])) for place in places
        )
        live_run.outlook.ahead = LookAhead(0.0, True, lines)
        live_run.look_back(live_run.now)

    # ---- people

    def choose(self, trainee: Trainee) -> None:
        """Somebody else trains."""
        if trainee != self.trainee:
            self.trainee = trainee
            self.people_changed.emit()

    def add(self, name: str) -> bool:
        """Somebody new trains; False and ``trouble`` if the name will not do."""
        return self._named(partial(self.store.add, name))

    def rename(self, name: str) -> bool:
        """The trainee gets another name."""
        return self._named(partial(self.store.rename, self.trainee, name))

    def _named(self, do: Callable[[], Trainee]) -> bool:
        try:
            self.trainee = do()
        except BadInput as error:
            self.trouble.emit(str(error))
            return False
        except sqlite3.Error as error:
            self.trouble.emit(f"This name could not be kept ({error}).")
            return False
        self.people_changed.emit()
        return True

    def delete(self) -> None:
        """The trainee goes, with everything they did."""
        try:
            self.store.delete(self.trainee)
            people = self.store.trainees() or [self.store.add(FIRST_NAME)]
        except sqlite3.Error as error:
            self.trouble.emit(f"{self.trainee.name} could not be deleted ({error}).")
            return
        self.trainee = people[0]
        self.people_changed.emit()


def _line_ahead(time: np.ndarray, place: np.ndarray) -> LineAhead:
    """The best track of one lure: all of it is drawn, whatever the time."""
    known = np.isfinite(place[:, 2])
    time, place = time[known], place[known]
    deep = deepest(time, -place[:, 2])
    dots = np.column_stack([np.full(len(time), np.inf), place])
    return LineAhead(time, place, dots, (deep.time, deep.depth), None, None)
