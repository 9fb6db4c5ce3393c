"""Keeping what is done on the pages on which the drop goes on: one key, or two with a hit."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.log import words
from app.log.done import BACK, due_of, helm_then, kept, known_then, outcome_of
from app.log.entry import (
    LASTS,
    Entry,
    LineEntry,
    new_id,
    same_but_changed,
)
from app.log.model import Log
from app.log.said import said_of, tackle_of, with_said
from app.session.live_run import LiveRun

ARMED_MS = 6000
"""After H a line's number is waited for so long, ms."""

LATER = 90.0
"""A hit so long after in gear is one on the troll, and has an entry of its own, s."""


@dataclass
class Drop:
    """The drop or pass that was kept last: of which run with which ``rods``, from ``start`` s on,
    out of gear at ``out`` s or never; ``hits`` are instants by line, ``due`` when the model is
    asked again. ``entry`` is as it was kept: a person may have changed it since."""

    entry: Entry
    run: object
    rods: tuple[str, ...]
    start: float
    out: float | None
    hits: dict[int, float] = field(default_factory=dict)
    due: float | None = None


class Recorder(QObject):
    """``said`` (text) tells quietly what was kept, and what is waited for."""

    said = Signal(str)

    def __init__(self, log: Log, live_run: LiveRun, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._log, self._live_run = log, live_run
        self._last: Drop | None = None
        self._hit_at: float | None = None
        self._armed = QTimer(self)
        self._armed.setSingleShot(True)
        self._armed.setInterval(ARMED_MS)
        self._armed.timeout.connect(self._lapse)
        live_run.figures.connect(self._watch)
        live_run.restarted.connect(self._lapse)

    # ---- keys

    def hit(self) -> None:
        """A line is hit, now; with more than one out its number comes next."""
        names = [rod.name for rod in self._live_run.scenario.rods]
        self._hit_at = self._live_run.now
        if len(names) == 1:
            self.number(1)
            return
        self._armed.start()
        listed = ", ".join(f"{number} {name}" for number, name in enumerate(names, 1))
        self.said.emit(f"Hit on which line? {listed}")

    def number(self, line: int) -> bool:
        """A number is pressed, from 1; whether it was waited for."""
        at = self._hit_at
        if at is None:
            return False
        self._lapse()
        if line > len(self._live_run.scenario.rods):
            self.said.emit(f"There is no line {line}; nothing is kept.")
        else:
            self._keep_hit(line - 1, at)
        return True

    def _lapse(self) -> None:
        self._armed.stop()
        self._hit_at = None

    def no_hit(self) -> None:
        """Keep the drop, or the pass, without a hit."""
        self._lapse()
        live_run = self._live_run
        spells = live_run.spells()
        out = spells[-1][0] if spells and not self._went_on(spells[-1][0]) else None
        if self._same(out):
            self.said.emit("This drop is in the log already.")
            return
        entry = self._begin(live_run.now, out)
        if entry is not None:
            self._told("The pass without a hit" if out is None else "The drop without a hit")

    # ---- what is kept

    def _keep_hit(self, line: int, at: float) -> None:
        spells = self._live_run.spells()
        out, back = spells[-1] if spells else (None, -math.inf)
        if at > back + LATER:
            out = None
        if not self._same(out) and self._begin(at, out) is None:
            return
        last = self._last
        assert last is not None
        last.hits[line] = at
        rod, outcome = last.rods[line], outcome_of(self._live_run, line, at)
        after = None if last.out is None else at - last.out

        def with_hit(old: Entry) -> Entry:
            there = {each.rod: each for each in old.lines}
            there[rod] = replace(there.get(rod, LineEntry(rod)), outcome=outcome, after=after)
            return replace(old, lines=tuple(there.values()))

        self._mend(with_hit)
        self._ask(last)
        self._told(f"{rod}, {words.OUTCOME[outcome]}")

    def _same(self, out: float | None) -> bool:
        """Whether the drop that began at ``out`` s is the one kept last, and still there."""
        last = self._last
        if last is None or out is None or last.run is not self._live_run.run or last.out != out:
            return False
        return self._log.store.entry(last.entry.id) is not None

    def _went_on(self, out: float) -> bool:
        """Whether a pass that ended after out of gear at ``out`` s is what was kept last."""
        last = self._last
        if last is None or last.run is not self._live_run.run or last.out is not None:
            return False
        return self._ended(last) > out

    def _begin(self, at: float, out: float | None) -> Entry | None:
        """An entry of the drop that went out of gear at ``out`` s, or of a pass."""
        live_run, log = self._live_run, self._log
        if live_run.settling:
            self.said.emit("The lines are still settling; nothing is kept.")
            return None
        run, before = live_run.run, self._last
        start = 0.0
        if before is not None and before.run is run:
            start = max(self._ended(before), 0.0)
        now = log.now()
        newest = log.newest(now)
        told = log.today.told
        entry = Entry(
            new_id(), now, rehearsal=not told.on_water,
            place=None if newest is None else newest.place, stage=told.stage, part=told.part,
            lasted=kept(max(at - start, 0.0), LASTS), **helm_then(live_run, out),
            **known_then(live_run, at if out is None else out, told.side),
        )  # fmt: skip
        if not log.edit((), (entry,), "log a drop", f"log {entry.id}"):
            return None
        rods = tuple(line.rod for line in entry.lines)
        self._last = Drop(entry, run, rods, min(start, at), out, due=due_of(live_run, out))
        self._ask(self._last)
        return entry

    def _ended(self, drop: Drop) -> float:
        return drop.start + (drop.entry.lasted or 0.0)

    # ---- what comes later

    def _watch(self) -> None:
        """Once the boat is in gear again the hold is known, and later what the lures did."""
        last = self._last
        if last is None or last.out is None or last.run is not self._live_run.run:
            return
        if last.entry.hold is None:
            helm = helm_then(self._live_run, last.out)
            if helm["hold"] is None:
                return
            self._mend(lambda old: old if old.hold else replace(old, hold=helm["hold"]))
            last.due = due_of(self._live_run, last.out)
        if last.due is not None and self._live_run.now >= last.due:
            last.due = None
            lasted = kept(max(self._live_run.now - last.start, 0.0), LASTS)
            was = last.entry.lasted
            self._mend(lambda old: replace(old, lasted=lasted) if old.lasted == was else old)
            self._ask(last)

    def _mend(self, change: Callable[[Entry], Entry]) -> None:
        """More is known of the entry kept last, as a person left it; where nobody changed it,
        one undo takes it all back."""
        last = self._last
        there = None if last is None else self._log.store.entry(last.entry.id)
        if last is None or there is None:
            return
        old = last.entry if same_but_changed(there, last.entry) else there
        new = change(old)
        if self._log.edit((old,), (new,), "log a drop", f"log {new.id}"):
            last.entry = new

    def _ask(self, drop: Drop) -> None:
        """Have a worker say what each lure did, for the entry."""
        run, live_run = self._live_run.run, self._live_run
        end = min(max([live_run.now, *drop.hits.values()]), run.reached())
        start = max(drop.start, end - BACK, 0.0)
        past = run.trajectory(since=max(start - 1.0, 0.0))
        start = max(start, past.start)
        if end <= start:
            return
        hits: Mapping[int, float] = dict(drop.hits)
        self._log.background.ask(
            "said", partial(self._got, drop), said_of, past, start, end, hits,
            tackle_of(live_run.scenario),
        )  # fmt: skip

    def _got(self, drop: Drop, result: Any) -> None:
        if self._last is drop and isinstance(result, tuple):
            lasted = drop.entry.lasted or 0.0
            said = {
                rod: replace(each, ran=max(lasted - each.fell - each.lifted, each.ran))
                for rod, each in zip(drop.rods, result, strict=True)
            }
            self._mend(lambda old: with_said(old, [said.get(line.rod) for line in old.lines]))

    def _told(self, what: str) -> None:
        assert self._last is not None
        self.said.emit(
            f"{what[:1].upper()}{what[1:]}: kept in the log ({kept_in_words(self._last.entry)}). "
            "Ctrl+Z undoes it."
        )


def kept_in_words(entry: Entry) -> str:
    """Kind, heading to the tide, side and stage of what was recorded, and what a person may say
    yet."""
    parts = [words.KIND[entry.rehearsal]]
    parts += [words.TIDE[entry.tide]] * bool(entry.tide)
    parts += [words.SIDE[entry.side]] * bool(entry.side)
    parts += [words.stage_of(entry) or "tide's stage not said, F10"]
    return ", ".join(parts)
