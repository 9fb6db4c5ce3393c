"""View-model of the Compare page: the candidates, and what each of them does.

What is known is kept by what it was computed from, so an edit has only that
computed which it touches, and taking it back nothing. While edits keep coming, as from a
number that is dragged, what is on its way is waited for and shown, and then the newest is
asked about. Signals announce; views pull.
"""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.common import files
from app.common.bad_input import BadInput
from app.common.units import COLOR, KNOT
from app.compare import file as compare_file
from app.compare.candidates import Candidate, Lineup, usual_lineup
from app.compare.job import Drop, Failed, drops, falls, still, tows
from app.session.background import Background
from app.session.document import Document
from app.session.edit import Edit, push
from app.session.keeper import Keeper
from physics.answers.run_depths import TowDepths
from physics.answers.sink import Fall
from physics.vessel.boat import Boat

KEPT = 150
"""Results kept, newest first: of the last dozen changes of eight candidates, in some 4 MB."""

SAVE_MS = 800
"""Candidates are put by when they have been left alone this long, ms."""

SPEEDS = tuple(KNOT.to_si(knots) for knots in (1.5, 2.0, 3.0, 4.5, 6.5, 10.0))
"""Speeds every line is towed at, m/s; curves lie between."""

SLOW = tuple(KNOT.to_si(knots) for knots in (0.45, 1.0))
FAST = (KNOT.to_si(14.0), KNOT.to_si(20.5))
"""Speeds added for a boat that is slower or faster than that, m/s."""

USUAL_MOST = COLOR.to_si(15.0)
"""Curves by colors out go this far, m, or half as far again as the longest line of all."""

Key = Hashable
Result = Fall | Drop | TowDepths | Failed


@dataclass(frozen=True, slots=True)
class Row:
    """One candidate and what is known of it; None where it does not apply or is not known yet.

    ``trouble`` says what could not be looked up or computed. While ``stale``
    drop or tow is the one before the last change: the new one is on its way.
    """

    number: int
    candidate: Candidate
    trouble: str
    fall: Fall | None = None
    drop: Drop | None = None
    tow: TowDepths | None = None
    stale: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class _Wanted:
    """One thing to know: its key, and what it is computed from."""

    key: Key
    item: Any


Place = tuple[int, str]
"""A candidate's number, and what is known of it by Row's names."""


class Comparison(QObject):
    """The candidates on screen and what they do.

    Signals: ``lineup_changed`` other candidates, hold or depth; ``chosen_changed``
    another one is looked at; ``results_changed`` something more is known, or
    no longer; ``trouble`` (text) something the person should read.
    """

    lineup_changed = Signal()
    chosen_changed = Signal()
    results_changed = Signal()
    trouble = Signal(str)

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.background = Background(self)
        self.chosen = 0
        self.damaged = ""
        self._active = False
        self._known: OrderedDict[Key, Result] = OrderedDict()
        self._shown: dict[Place, Result] = {}
        self._asked: dict[str, dict[Key, list[Place]]] = {}
        self._places: dict[Key, list[Place]] = {}
        self._file = compare_file.place()
        self._may_save = True
        self._saved = self._kept()
        self._usual = usual_lineup(document.setup, document.catalog)
        self._lineup = self._base = self._saved or self._usual
        self.keeper = Keeper(self._save, "The candidates", self)
        self.keeper.trouble.connect(self.trouble)
        self._save_soon = QTimer(self)
        self._save_soon.setInterval(SAVE_MS)
        self._save_soon.setSingleShot(True)
        self._save_soon.timeout.connect(self.keeper.keep)
        document.setup_changed.connect(self._setup_changed)
        document.catalog_changed.connect(self._setup_changed)

    def _kept(self) -> Lineup | None:
        try:
            return compare_file.load(self._file)
        except BadInput as error:
            aside = files.set_aside(self._file)
            self._may_save = aside is not None
            then = files.aside_in_words(aside)
            self.damaged = f"{error}. {then} The usual candidates are shown."
            return None

    # ---- what is on screen

    @property
    def lineup(self) -> Lineup:
        """The candidates, the hold and the depth asked about."""
        return self._lineup

    @property
    def candidate(self) -> Candidate:
        """The one looked at."""
        return self._lineup.candidates[self.chosen]

    @property
    def speed(self) -> float:
        """Speed before the drop, m/s."""
        return self.document.setup.speed

    @property
    def most_out(self) -> float:
        """Most line that curves go to, m."""
        longest = max(c.line_out for c in self._lineup.candidates)
        colors = math.ceil(COLOR.from_si(1.5 * longest) / 5.0 - 1e-9) * 5.0
        return min(max(USUAL_MOST, COLOR.to_si(colors)), COLOR.to_si(40.0))

    @property
    def speeds(self) -> tuple[float, ...]:
        """Speeds every line is towed at, m/s, with the setup's own among or between them."""
        slow = SLOW if self.speed < SPEEDS[0] else ()
        return (*slow, *SPEEDS, *(FAST if self.speed > SPEEDS[-1] else ()))

    @property
    def busy(self) -> bool:
        """Whether anything is being computed."""
        return any(self.background.busy(kind) for kind in self._asked)

    def rows(self) -> list[Row]:
        """Every candidate with what is known of it."""
        out = []
        for number, candidate in enumerate(self._lineup.candidates):
            trouble = candidate.missing(self.document.catalog)
            if trouble:
                out.append(Row(number, candidate, trouble[0].upper() + trouble[1:] + "."))
                continue
            out.append(self._row(number, candidate))
        return out

    def _row(self, number: int, candidate: Candidate) -> Row:
        trouble = ""
        found: dict[str, Any] = {}
        stale = set()
        for what, wanted in self._wanted(candidate).items():
            result = self._known.get(wanted.key)
            if isinstance(result, Failed):
                trouble = f"This one could not be computed ({result.why})."
                continue
            before = self._shown.get((number, what))
            if result is not None:
                self._shown[number, what] = result
            elif before is not None and what != "fall":
                result = before
                stale.add(what)
            found[what] = result
        return Row(number, candidate, trouble, **found, stale=frozenset(stale))

    # ---- to do

    def set_active(self, active: bool) -> None:
        """Compute while somebody looks; give up what is left when nobody does."""
        self._active = active
        if active:
            self._ask()
        else:
            self._cancel()
            self.results_changed.emit()

    def choose(self, number: int) -> None:
        """Look at another candidate."""
        if number != self.chosen and 0 <= number < len(self._lineup.candidates):
            self.chosen = number
            self.chosen_changed.emit()

    def edit(self, lineup: Lineup, text: str, key: str = "") -> None:
        """Change the candidates, undoably. Raises InvalidValue if they make no sense."""
        lineup.check()
        if lineup != self._lineup:
            change = Edit(self._adopt, self._lineup, lineup, f"{text} (Compare)", key)
            push(self.document.undo_stack, change)

    def change(self, text: str, **changes: Any) -> None:
        """Change the chosen candidate; a name makes it named. Raises InvalidValue."""
        if "name" in changes:
            changes["named"] = bool(changes["name"])
        new = replace(self.candidate, **changes)
        lineup = self._lineup.changed(self.chosen, new)
        self.edit(lineup, text, f"{text} {self.chosen}")

    def add(self) -> None:
        """A copy of the chosen one beside it, and look at it. Raises InvalidValue beyond MOST."""
        self.edit(self._lineup.with_copy(self.chosen), "add a candidate")
        self.choose(self.chosen + 1)

    def of_lures(self, lures: Sequence[str]) -> None:
        """Some lures, each fished as the chosen candidate is. Raises InvalidValue."""
        self.edit(self._lineup.of_lures(self.chosen, lures), "these lures")

    def remove(self) -> None:
        """Take the chosen one away. Raises InvalidValue if it is the only one."""
        self.edit(self._lineup.without(self.chosen), "remove a candidate")

    def back_to_usual(self) -> None:
        """The usual candidates of this setup again."""
        self.edit(self._usual, "the usual candidates")

    def close(self) -> None:
        """Put the candidates by if they changed, and end the worker processes."""
        if self._save_soon.isActive():
            self._save_soon.stop()
            self.keeper.keep()
        self.keeper.close()
        # what came from another window while saving is saved already
        self._save_soon.stop()
        self.background.close()

    # ---- inside

    def _adopt(self, lineup: Lineup) -> None:
        self._take(lineup)
        self._save_soon.start()

    def _take(self, lineup: Lineup) -> None:
        self._keep_places(lineup)
        self._lineup = lineup
        last = len(lineup.candidates) - 1
        moved = self.chosen > last
        self.chosen = min(self.chosen, last)
        self.lineup_changed.emit()
        if moved:
            self.chosen_changed.emit()
        self._ask()

    def _keep_places(self, lineup: Lineup) -> None:
        """What is shown, and on its way, goes with its candidate to where that is now."""
        old = [candidate.name for candidate in self._lineup.candidates]
        new = [candidate.name for candidate in lineup.candidates]
        if len(old) == len(new):
            return
        now = {old.index(name): new.index(name) for name in old if name in new}
        self._shown = {(now[k], what): one for (k, what), one in self._shown.items() if k in now}
        for asked in self._asked.values():
            for key, places in asked.items():
                asked[key] = [(now[k], what) for k, what in places if k in now]

    def _setup_changed(self) -> None:
        old = self._usual
        self._usual = usual_lineup(self.document.setup, self.document.catalog)
        if self._lineup == old and self._usual != old and self._saved is None:
            # nothing of the person's own: what is offered follows the setup
            self._base = self._usual
            self._take(self._usual)
            return
        self.results_changed.emit()
        self._ask()

    def _save(self) -> None:
        if not self._may_save:
            return
        lineup, aside = compare_file.update(self._file, self._base, self._lineup, self._usual)
        self._base = lineup
        self._saved = None if lineup == self._usual else lineup
        if aside is not None:
            self.trouble.emit(f"Other candidates were in {self._file.name}; see {aside.name}.")
        if lineup != self._lineup:
            # undone like any change, so that no older step takes it away unasked
            stack, text = self.document.undo_stack, "candidates of another window (Compare)"
            push(stack, Edit(self._adopt, self._lineup, lineup, text, ""))
            self.trouble.emit("Another window changed the candidates too; here they are together.")

    def _boat(self) -> Boat:
        boat = self.document.setup.boat
        return self.document.catalog.boats[boat] if isinstance(boat, str) else boat

    def _wanted(self, candidate: Candidate) -> dict[str, _Wanted]:
        """What is to be known of a candidate whose tackle is all there, by Row's names."""
        setup, catalog = self.document.setup, self.document.catalog
        water = still(setup.water)
        lure = catalog.lures[candidate.lure]
        wanted = {"fall": _Wanted(("fall", lure, water), lure)}
        if not candidate.alone:
            rod = candidate.rod(catalog)
            longest = replace(candidate, line_out=self.most_out).rod(catalog)
            drop: Key = ("drop", rod, water, self._boat(), setup.speed, self._lineup.hold)
            wanted["drop"] = _Wanted(drop, rod)
            wanted["tow"] = _Wanted(("tow", longest, water, self.speeds), longest)
        return wanted

    def _ask(self) -> None:
        """Have computed what is not known; drops first, they are what changes most."""
        if not self._active:
            return
        unknown: dict[str, dict[Key, Any]] = {"fall": {}, "drop": {}, "tow": {}}
        self._places = {}
        on_the_way = {key for kind in self._asked for key in self._going(kind)}
        catalog = self.document.catalog
        for number, candidate in enumerate(self._lineup.candidates):
            if candidate.missing(catalog):
                continue
            for what, wanted in self._wanted(candidate).items():
                if wanted.key in self._known:
                    self._known.move_to_end(wanted.key)
                    continue
                self._places.setdefault(wanted.key, []).append((number, what))
                if wanted.key not in on_the_way:
                    unknown[what][wanted.key] = wanted.item
        setup = self.document.setup
        water = still(setup.water)
        rest = water, self._boat(), setup.speed, self._lineup.hold
        for number, part in enumerate(_halves(unknown["drop"])):
            self._start(f"drop {number}", part, drops, *rest)
        self._start("fall", unknown["fall"], falls, water)
        for number, part in enumerate(_halves(unknown["tow"])):
            self._start(f"tow {number}", part, tows, water, self.speeds)
        self.results_changed.emit()

    def _start(self, kind: str, some: dict[Key, Any], job: Callable[..., Any], *rest: Any) -> None:
        places = {key: self._places[key] for key in some}
        wanted = {place for its_places in places.values() for place in its_places}
        if any(
            key in self._places or not wanted.isdisjoint(its_places)
            for key, its_places in self._going(kind).items()
        ):
            # shown as soon as it is there, and then what is wanted by then is asked about
            return
        self.background.cancel(kind)
        self._asked.pop(kind, None)
        if not some:
            return
        self._asked[kind] = places
        answer = partial(self._got, places)
        self.background.ask(kind, answer, job, list(some.values()), *rest, reports=True)

    def _going(self, kind: str) -> dict[Key, list[Place]]:
        """What a job on its way is about."""
        return self._asked.get(kind, {}) if self.background.busy(kind) else {}

    def _got(self, places: dict[Key, list[Place]], result: Any) -> None:
        found = [Failed(str(result))] * len(places) if isinstance(result, Exception) else result
        for (key, its_places), one in zip(places.items(), found, strict=True):
            self._known[key] = one
            if not isinstance(one, Failed):
                self._shown.update(dict.fromkeys(its_places, one))
        while len(self._known) > KEPT:
            self._known.popitem(last=False)
        self._ask()
        if not self._active:
            self.results_changed.emit()

    def _cancel(self) -> None:
        for kind in list(self._asked):
            self.background.cancel(kind)
        self._asked.clear()


def _halves(some: dict[Key, Any]) -> tuple[dict[Key, Any], dict[Key, Any]]:
    """Every other one, for two workers."""
    items = list(some.items())
    return dict(items[::2]), dict(items[1::2])
