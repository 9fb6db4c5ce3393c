"""View-model of the Put out page: what is asked, and the suggestions. Signals announce."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.common import scales
from app.common.quantities import Quantity, spell
from app.planning.put_out import PutOut, Search, search
from app.planning.put_out_full import Suggestion
from app.planning.put_out_grid import (
    UNISON,
    USUAL_UNISON,
    PutOutRequest,
    RodFreedom,
    fishable_lures,
    usual_request,
)
from app.planning.put_out_stages import Stage
from app.planning.remedies import FASTEST, SLOWEST
from app.scenario import keys
from app.scenario.limits import WAIT
from app.scenario.setup import RodSetup, Setup
from app.session.background import Background
from app.session.document import Document
from physics.answers.holds import LONGEST_HOLD
from physics.checks import InvalidValue, Limits

USUAL_HOLD = 20.0
"""A hold to begin with where somebody wants one of their own, s (assumed)."""

QUANTITIES = {
    "hold": replace(keys.HOLD, limits=Limits(0.0, LONGEST_HOLD, "s"), words="hold just"),
    "wait": replace(WAIT, words="wait just"),
    "unison": Quantity(
        "unison", spell("unison", "s"), UNISON, USUAL_UNISON, scales.SECONDS, "lures lift within"
    ),
    "slowest": replace(
        keys.HELM_SPEED, limits=Limits(SLOWEST, FASTEST, "m/s"), words="slowest tried"
    ),
    "fastest": replace(
        keys.HELM_SPEED, limits=Limits(SLOWEST, FASTEST, "m/s"), words="fastest tried"
    ),
    "most": replace(keys.LINE_OUT, words="most colors out"),
}
"""What is entered on the page."""


@dataclass(frozen=True, slots=True)
class RodWish:
    """What may change of one rod, in ticks; ``most`` m of line at the most, None for its reel."""

    line: bool = True
    lure: bool = False
    leader: bool = False
    most: float | None = None


class Proposals(QObject):
    """``asked_changed``: another thing is asked for; ``changed``: it runs, stops, or is answered.

    ``using`` (wait, hold) comes just before others hear that a suggestion is in the scenario, and
    ``taken_back`` before they hear that it is so no longer.
    """

    asked_changed = Signal()
    changed = Signal()
    progress_changed = Signal()
    using = Signal(float, float)
    taken_back = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.background = Background(self)
        self.background.progress.connect(self.progress_changed)
        self.found: PutOut | None = None
        self.shown = 0
        self.trouble = ""
        self.refused: InvalidValue | None = None
        self.stopped = False
        self.on = {"hold": False, "wait": False, "unison": True, "speed": True}
        self.numbers = {
            "hold": USUAL_HOLD if document.setup.hold is None else document.setup.hold,
            "wait": 0.0,
            "unison": USUAL_UNISON,
        }
        self._speeds: tuple[float, float] | None = None
        self._of = document.setup.name
        self._wishes: dict[str, RodWish] = {}
        self._search: Search | None = None
        self._stage: Stage | None = None
        self._results: dict[int, Any] = {}
        self._used: Setup | None = None
        document.replaced.connect(self._tell_use)
        document.setup_changed.connect(self._compare)
        document.catalog_changed.connect(self._forget)

    # ---- what is asked

    @property
    def speeds(self) -> tuple[float, float]:
        """Least and most speed tried, m/s."""
        usual = self._speeds or usual_request(self.document.setup).speeds
        return usual or (self.document.setup.speed, self.document.setup.speed)

    def wish(self, name: str) -> RodWish:
        """What may change of a rod, by its name."""
        return self._wishes.get(name, RodWish())

    def wish_for(self, name: str, wish: RodWish) -> None:
        """Let something else of a rod change."""
        self._wishes[name] = wish
        self._asked()

    def switch(self, key: str, on: bool) -> None:
        """Ask for one of the wishes, or no longer."""
        if self.on[key] != on:
            self.on[key] = on
            self._asked()

    def enter(self, key: str, value: float) -> None:
        """A number of one of the wishes, SI. Raises InvalidValue for speeds that fall."""
        low, high = self.speeds
        if key == "slowest":
            self._take_speeds(value, high)
        elif key == "fastest":
            self._take_speeds(low, value)
        else:
            self.numbers[key] = value
        self._asked()

    def _take_speeds(self, low: float, high: float) -> None:
        if low > high:
            told = self.document.setup.speed_unit
            raise InvalidValue("speeds", low, f"the slowest below the fastest, {told.text(high)}")
        self._speeds = low, high

    def most_of(self, rod: RodSetup) -> float:
        """Most line a rod may have out, m."""
        most = self.wish(rod.name).most
        return max(rod.on_reel, rod.line_out) if most is None else most

    @property
    def request(self) -> PutOutRequest:
        """All of it, for the scenario on screen."""
        setup, catalog = self.document.setup, self.document.catalog
        lures, leaders = tuple(fishable_lures(catalog)), tuple(catalog.of_role("leader"))
        rods = tuple(
            RodFreedom(
                wish.line, self.most_of(rod), lures if wish.lure else (),
                leaders if wish.leader else (),
            )
            for rod, wish in ((rod, self.wish(rod.name)) for rod in setup.rods)
        )  # fmt: skip
        pinned = {key: self.numbers[key] if self.on[key] else None for key in self.numbers}
        return PutOutRequest(
            setup, rods, self.speeds if self.on["speed"] else None, pinned["hold"],
            pinned["wait"], pinned["unison"],
        )  # fmt: skip

    def _asked(self) -> None:
        """Something else is asked: what was found answers the question before."""
        self._cancel()
        self.asked_changed.emit()
        self.changed.emit()

    @property
    def stale(self) -> bool:
        """Whether what is shown answers another question than what is asked now."""
        if self.found is None:
            return False
        asked, now = self.found.request, self.request
        return replace(now, setup=asked.setup) != asked

    # ---- the search

    @property
    def busy(self) -> bool:
        """Whether it is being worked out."""
        return self._search is not None

    @property
    def doing(self) -> str:
        """What is being done."""
        return "" if self._stage is None else self._stage.doing

    @property
    def progress(self) -> float:
        """Share of the work that is done."""
        stage = self._stage
        if stage is None or not stage.jobs:
            return 0.0
        done = sum(
            1.0 if n in self._results else self.background.share(f"job {n}")
            for n in range(len(stage.jobs))
        )
        return stage.first + (stage.last - stage.first) * done / len(stage.jobs)

    def run(self) -> None:
        """Look for what to put out."""
        self._cancel()
        self._clear()
        # what is put out then moves the usual ones
        self._speeds = self.speeds
        self._search = search(self.request, self.document.catalog)
        self._advance(None)

    def stop(self) -> None:
        """Give it up."""
        self._cancel()
        self.stopped = True
        self.changed.emit()

    def _advance(self, results: list[Any] | None) -> None:
        going = self._search
        if going is None:
            return
        try:
            self._stage = next(going) if results is None else going.send(results)
        except StopIteration as done:
            self._search, self._stage, self.found = None, None, done.value
        except InvalidValue as error:
            self._fail("")
            self.refused = error
        else:
            self._results = {}
            for n, job in enumerate(self._stage.jobs):
                self.background.ask(
                    f"job {n}", partial(self._got, n), job.function, *job.args, reports=True
                )
        self.changed.emit()
        self.progress_changed.emit()

    def _got(self, number: int, result: Any) -> None:
        if isinstance(result, Exception):
            self._fail(f"It could not be worked out ({result}).")
            self.changed.emit()
            return
        self._results[number] = result
        stage = self._stage
        if stage is not None and len(self._results) == len(stage.jobs):
            self._advance([self._results[n] for n in range(len(stage.jobs))])

    def _fail(self, why: str) -> None:
        self._cancel()
        self.trouble = why

    def _clear(self) -> None:
        self.found, self.trouble, self.refused, self._used = None, "", None, None
        self.shown, self.stopped = 0, False

    def _cancel(self) -> None:
        if self._stage is not None:
            for n in range(len(self._stage.jobs)):
                self.background.cancel(f"job {n}")
        self._search, self._stage, self._results = None, None, {}

    # ---- what was found

    @property
    def offered(self) -> tuple[Suggestion, ...]:
        """The suggestions, or the nearest thing that can be done."""
        found = self.found
        if found is None:
            return ()
        return found.suggestions or (() if found.nearest is None else (found.nearest,))

    def show(self, number: int) -> None:
        """Look at another suggestion."""
        if number != self.shown and number < len(self.offered):
            self.shown = number
            self.changed.emit()

    def in_use(self, number: int) -> bool:
        """Whether a suggestion is what the scenario has out now."""
        return self.offered[number].looked.setup == self.document.setup

    def use(self, number: int) -> None:
        """Put a suggestion into the scenario, undoably."""
        self.document.edit(self.offered[number].looked.setup, "what to put out")

    def set_active(self, active: bool) -> None:
        """Work goes on only while somebody looks."""
        if not active and self.busy:
            self.stop()

    def close(self) -> None:
        """Give up all work."""
        self._cancel()
        self.background.close()

    def _tell_use(self) -> None:
        """Used, undone or done again: the wait and hold looked at go with what is out."""
        setup = self.document.setup
        for one in self.offered:
            if one.looked.setup == setup:
                if setup != self._used:
                    self._used = setup
                    self.using.emit(one.looked.wait, one.looked.hold)
                return
        if self._used is not None and self.found is not None:
            self._used = None
            if setup == self.found.request.setup:
                self.taken_back.emit()

    def _compare(self) -> None:
        """Forget what another setup gave; one of its own suggestions is none."""
        found, setup = self.found, self.document.setup
        own = found is not None and setup in (
            found.request.setup, *(one.looked.setup for one in self.offered)
        )  # fmt: skip
        if not own:
            self._cancel()
            self._clear()
        if setup.name != self._of:
            self._of, self._speeds, self._wishes = setup.name, None, {}
        self.asked_changed.emit()
        self.changed.emit()

    def _forget(self) -> None:
        self._cancel()
        self.found = None
        self.asked_changed.emit()
        self.changed.emit()
