"""View-model of the timing of a drop: the plan for the setup on screen, found in the background.

Every change of the setup starts over: a quick answer first, then the full one,
then how sure it is, then the table of holds. While changes keep coming, as from a number
that is dragged, an answer on its way is still waited for and shown, and then the newest setup
is asked about: so the hand sees answers as it moves. Signals announce; views pull.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.common.scales import always
from app.common.units import SECOND, Unit
from app.planning.card_table import CardNumbers, card_numbers
from app.planning.plan import Plan, finish, first_answer, halves, respond_part, run_holds
from app.planning.rods import RodPlan
from app.planning.situation import HOLDS, WAITS, PlanRequest, Situation, depth_at_mark, situation
from app.scenario.keys import HOLD
from app.scenario.limits import WAIT
from app.scenario.setup import Setup
from app.session.background import Background
from app.session.live_run import LiveRun
from app.timing.alike import another_scenario, card_wish, planned_part, same_runs
from app.timing.live_drop import LiveDrop, live_drop
from app.timing.stages import ANSWERS, STAGES, rank_of
from app.timing.steady_work import SteadyWork
from app.timing.sure_work import SureWork
from physics.answers.between import joined
from physics.answers.holds import LONGEST_HOLD, Responses
from physics.checks import InvalidValue, Limits

SAMPLES = 64

POINT_REST_MS = 100
"""A moved point is looked at closely once it has been left alone this long, ms."""

STEP = 0.5
"""A point is moved in steps of this, s."""

POINT_WAIT = replace(WAIT, scales=always(SECOND, 1, STEP))
POINT_HOLD = replace(HOLD, limits=Limits(0.0, LONGEST_HOLD, "s"), scales=always(SECOND, 1, STEP))
"""The point looked at. No file keeps it."""


class Planner(QObject):
    """The plan of the setup on screen.

    Signals: ``changed`` another plan (and what it makes of the point), another
    refusal, or none; ``point_moved`` another wait and hold is looked at;
    ``sure_changed``; ``steady_changed``; ``card_changed``; ``progress_changed``.
    """

    waits, holds, samples = WAITS, HOLDS, SAMPLES
    """What is tried, s, and how many drops tell how sure it is."""

    changed = Signal()
    point_moved = Signal()
    sure_changed = Signal()
    steady_changed = Signal()
    card_changed = Signal()
    progress_changed = Signal()

    def __init__(self, live_run: LiveRun, unit: Unit, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._live_run, self._unit = live_run, unit
        self._document = live_run.document
        self.background = Background(self)
        self.plan: Plan | None = None
        self.rods: tuple[RodPlan, ...] = ()
        self.card: CardNumbers | None = None
        self.live: LiveDrop | None = None
        self.refused: InvalidValue | None = None
        self.trouble = ""
        self.stopped = False
        self.chosen: tuple[float, float] | None = None
        self._planned: Setup | None = None
        self._stale = False
        self._overtaken = False
        self._active = False
        self._parts: dict[int, Responses] = {}
        self._done: set[str] = set()
        self.sure = SureWork(self._ask, self._skip, self._sure_told)
        self.steady = SteadyWork(self._ask, self._skip, self.steady_changed.emit)
        self.background.progress.connect(self.progress_changed)
        self._rest = QTimer(self)
        self._rest.setInterval(POINT_REST_MS)
        self._rest.setSingleShot(True)
        self._rest.timeout.connect(self._look_closely)
        self._document.setup_changed.connect(self._setup_changed)
        self._document.catalog_changed.connect(self._catalog_changed)

    # ---- what is on screen

    @property
    def request(self) -> PlanRequest:
        """What is asked now."""
        return PlanRequest(self._document.setup, self.waits, self.holds, chosen=self.chosen)

    @property
    def fresh(self) -> bool:
        """Whether the plan on screen is of the setup on screen."""
        unusable = self.refused is not None or bool(self.trouble)
        return self.plan is not None and not self._stale and not unusable

    @property
    def point(self) -> tuple[float, float]:
        """The (wait, hold) looked at, s."""
        if self.chosen is not None:
            return self.chosen
        return self.plan.point if self.plan is not None else (0.0, 0.0)

    def path(self) -> Responses | None:
        """Every lure's path at the point, K = 1, or None without a plan."""
        if self.plan is None:
            return None
        if self.plan.touched is not None and self.plan.point == self.point:
            return self.plan.touched
        return self.plan.paths(self.point[1])

    def check(self, setup: Setup) -> InvalidValue | None:
        """What makes a setup impossible to plan, if anything."""
        try:
            situation(PlanRequest(setup), self._document.catalog)
        except InvalidValue as error:
            return error
        return None

    def depth_at_mark(self, setup: Setup) -> float:
        """How deep the water is at a setup's mark, m; the deepest where that cannot be said."""
        try:
            return depth_at_mark(setup, self._document.catalog)
        except InvalidValue:
            return setup.water.bottom.deepest

    @property
    def busy(self) -> bool:
        """Whether anything is being computed."""
        return any(self.background.busy(kind) for kind, _, _ in STAGES)

    @property
    def doing(self) -> str:
        """What is being computed, or an empty text."""
        for kind, words, _ in STAGES:
            if self.background.busy(kind):
                return words
        return ""

    @property
    def progress(self) -> float:
        """Share of the work that is done, 0 to 1."""
        return sum(
            weight * (1.0 if kind in self._done else self.background.share(kind))
            for kind, _, weight in STAGES
        )

    # ---- to do

    def set_active(self, active: bool) -> None:
        """Plan while somebody looks; give up what is left when nobody does."""
        self._active = active
        if active:
            if self._planned is None or not self._finished():
                self.replan()
            else:
                self._setup_changed()
            self.take_live()
        else:
            self._cancel()
            self.progress_changed.emit()

    def set_unit(self, unit: Unit) -> None:
        """Another unit of depths for the table of holds."""
        if unit is not self._unit:
            self._unit = unit
            self._ask_card()

    def stop(self) -> None:
        """Give up what is being computed; what there is stays."""
        self._cancel()
        self.stopped = True
        self.progress_changed.emit()

    def replan(self) -> None:
        """Begin anew with the setup on screen."""
        old, self._planned = self._planned, self._document.setup
        other = old is not None and another_scenario(old, self._planned)
        coming = (
            [] if other or old is None else [kind for kind in ANSWERS if self.background.busy(kind)]
        )
        told = self._overtaken
        self._cancel(but=coming)
        self._done.clear()
        self._parts.clear()
        self.stopped = False
        self.refused, self.trouble, self._stale = None, "", True
        if other:
            self.chosen = None
        request = self.request
        try:
            found = situation(request, self._document.catalog)
        except InvalidValue as error:
            self._cancel()
            self._refuse(error)
            return
        self.sure.forget()
        self.steady.forget()
        self.card = self.card if self._same_card(old) else None
        self._overtaken = bool(coming)
        if coming:
            pass
        elif self.plan is not None and not self.plan.coarse and same_runs(self.plan, found):
            self._done |= {"first", "half 0", "half 1"}
            self._ask_finish(self.plan.responses)
        else:
            catalog = self._document.catalog
            got = partial(self._got_first, found)
            self._ask("first", got, first_answer, request, catalog)
        if coming and told:
            # that what is shown is of another setup is shown since the change before
            return
        self.changed.emit()
        self.sure_changed.emit()
        self.card_changed.emit()
        self.progress_changed.emit()

    def choose(self, wait: float, hold: float, *, settled: bool = True) -> None:
        """Look at another wait and hold by hand, s, in whole steps; ``settled`` once it let go."""
        self.look_at(round(wait / STEP) * STEP, round(hold / STEP) * STEP, settled=settled)

    def look_at(self, wait: float, hold: float, *, settled: bool = True) -> None:
        """Look at just this wait and hold, s, so far as they are tried."""
        if self.plan is None:
            return
        table = self.plan.map
        wait = min(max(wait, float(table.waits[0])), float(table.waits[-1]))
        hold = min(max(hold, float(table.holds[0])), float(table.holds[-1]))
        if (wait, hold) != self.point:
            self.chosen = (wait, hold)
            self._place()
        if settled:
            self._rest.start()

    def follow(self) -> None:
        """Look at the answer again."""
        if self.chosen is None:
            return
        self.chosen = None
        plan = self.plan
        if plan is not None and plan.answer is not None:
            at = plan.answer.wait, plan.answer.hold
            self.plan = replace(plan, point=at, rods=plan.at(*at), touched=None)
            self._place()
            self._rest.start()
        elif plan is not None and not plan.coarse:
            self._ask_finish(plan.responses)

    def allow(self, chance: float) -> None:
        """Let the steady answer touch in another share of the drops, undoably."""
        setup = self._document.setup
        timing = replace(setup.timing, touch_chance=chance)
        self._document.change(
            replace(setup, timing=timing), "how often a line may touch", "plan touch chance"
        )

    def rehearse(self) -> None:
        """Send the point to the live page."""
        if self.plan is not None:
            wait, hold = self.point
            self._live_run.rehearse(wait, hold, self.plan.situation.aim.mark.depth)

    def take_live(self) -> None:
        """Measure the live page's last drop, if it is of this spread."""
        self.live = None
        run = self._live_run.run
        settled = not self._live_run.settling
        if (
            self.plan is not None
            and settled
            and run.scenarios[0].rods == self.plan.situation.scenario.rods
        ):
            self.live = live_drop(run, self._live_run.now, self.plan.situation.aim)
        self.point_moved.emit()

    def close(self) -> None:
        """Give up everything and end the worker processes."""
        self._rest.stop()
        self.background.close()

    # ---- inside

    def _finished(self) -> bool:
        return self._done >= {kind for kind, _, _ in STAGES} or self.stopped

    def _same_card(self, old: Setup | None) -> bool:
        now = self._document.setup
        return old is not None and (planned_part(old), card_wish(old)) == (
            planned_part(now), card_wish(now)
        )  # fmt: skip

    def _setup_changed(self) -> None:
        if not self._active:
            return
        setup = self._document.setup
        if self._planned is not None and planned_part(self._planned) == planned_part(setup):
            old, self._planned = self._planned, setup
            if old.doubt != setup.doubt:
                self.sure.forget()
                self.steady.forget()
                self._ask_sure()
            if (old.doubt, old.timing) != (setup.doubt, setup.timing):
                self._ask_steady()
                self.progress_changed.emit()
            if card_wish(old) != card_wish(setup):
                self.card = None
                self.card_changed.emit()
                if "finish" in self._done:
                    self._ask_card()
                self.progress_changed.emit()
            return
        self.replan()

    def _catalog_changed(self) -> None:
        """Other tackle: what was planned with the old is worth nothing any more."""
        self._planned = None
        if self._active:
            self.replan()

    def _refuse(self, error: InvalidValue) -> None:
        self.refused = error
        self.changed.emit()
        self.progress_changed.emit()

    def _ask(self, kind: str, answer: Any, job: Any, *args: Any) -> None:
        self._done.discard(kind)
        self.stopped = False
        self.background.ask(
            kind,
            partial(self._answered, kind, answer),
            job,
            *args,
            reports=True,
            rank=rank_of(kind),
        )

    def _skip(self, kind: str) -> None:
        """This job is not needed: what it would find is known."""
        self.background.cancel(kind)
        self._done.add(kind)

    def _answered(self, kind: str, answer: Any, result: Any) -> None:
        if self._overtaken:
            # what went wrong with a setup that is gone is nobody's trouble
            self._overtaken = False
            if isinstance(result, Plan):
                self._take(result, stale=True)
            self.replan()
            return
        if isinstance(result, Exception):
            self._cancel()
            self.trouble = f"This drop could not be computed ({result})."
            self.changed.emit()
        else:
            self._done.add(kind)
            answer(result)
        self.progress_changed.emit()

    def _cancel(self, but: Collection[str] = ()) -> None:
        for kind, _, _ in STAGES:
            if kind not in but:
                self.background.cancel(kind)
        self._overtaken = False
        self._rest.stop()

    def _got_first(self, found: Situation, plan: Plan) -> None:
        """Show the first answer, and only then begin the long work: it would hold this one up."""
        for number, holds in enumerate(halves(run_holds(plan.request))):
            got = partial(self._got_half, number)
            self._ask(f"half {number}", got, respond_part, found, holds)
        self._take(plan)

    def _got_half(self, number: int, part: Responses) -> None:
        self._parts[number] = part
        if len(self._parts) == 2:
            whole = joined([self._parts[0], self._parts[1]])
            self._parts.clear()
            self._ask_finish(whole)

    def _ask_finish(self, responses: Responses) -> None:
        catalog = self._document.catalog
        self._ask("finish", self._got_plan, finish, self.request, catalog, responses)

    def _got_plan(self, plan: Plan) -> None:
        self._take(plan)
        self._ask_sure()
        self._ask_steady()
        if self.card is None:
            self._ask_card()
        else:
            self._done.add("card")

    def _take(self, plan: Plan, *, stale: bool = False) -> None:
        self.plan, self._stale = plan, stale
        self._place(told=False)
        self.changed.emit()

    def _place(self, *, told: bool = True) -> None:
        """Work out what every rod does at the point; unless something else is told that says so."""
        assert self.plan is not None
        same = self.point == self.plan.point
        self.rods = self.plan.rods if same else self.plan.at(*self.point)
        if not same and self.sure.chances is not None:
            self.sure.chances = None
            self.sure_changed.emit()
        if told:
            self.point_moved.emit()

    def _look_closely(self) -> None:
        """The point once it rests: run over the ground it touches, and how sure it is."""
        if self.plan is None or self.plan.coarse or not self._active:
            return
        if any(rod.touches for rod in self.rods):
            self.background.cancel("sure 0")
            self.background.cancel("sure 1")
            self._ask_finish(self.plan.responses)
        else:
            self.plan = replace(self.plan, point=self.point, rods=self.rods, touched=None)
            self.changed.emit()
            self._ask_sure()
        self.progress_changed.emit()

    def _ask_sure(self) -> None:
        known = self.steady.seen.get(self.point)
        self.sure.begin(self.request, self._document.catalog, self.point, self.samples, known)

    def _sure_told(self) -> None:
        if self.sure.chances is not None:
            self.steady.take(self.sure.at, self.sure.chances)
        self.sure_changed.emit()

    def _ask_steady(self) -> None:
        """What is right most often, with what the setup on screen says of doubt and touching."""
        if self.plan is None or self.plan.coarse or self.refused is not None or not self._active:
            return
        request = replace(self.request, chosen=None)
        plan = replace(self.plan, request=request)
        self.steady.begin(plan, self._document.catalog, self.samples)
        self.steady_changed.emit()

    def _ask_card(self) -> None:
        if self.plan is None or self.refused is not None or not self._active:
            # worked out once somebody looks again
            self.card = None
            self._done.discard("card")
            return
        catalog = self._document.catalog
        self._ask("card", self._got_card, card_numbers, self.request, catalog, self._unit)

    def _got_card(self, numbers: CardNumbers) -> None:
        self.card = numbers
        self.card_changed.emit()
