"""View-model of the log: what is looked at, what is changed, and an entry brought back.

Signals announce; views pull. Every change is undone through the one undo stack.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from app.common.bad_input import BadInput
from app.log import backups
from app.log.applying import Change
from app.log.entry import CLOCKS_DIFFER, Entry, LineEntry, check, new_id
from app.log.find import Wanted
from app.log.from_setup import from_setup
from app.log.merging import Merged
from app.log.reading import AT_ONCE, Day, Found
from app.log.said import said_anew, setup_of, with_said
from app.log.stepping import Marking
from app.log.store import Store
from app.log.today import Today
from app.log.words import counted
from app.scenario.setup import HOLD_LIMITS, Setup
from app.session.background import Background
from app.session.document import Document
from app.session.edit import Edit, Step, push
from app.session.keeper import Keeper
from app.session.pool import Rank
from physics.checks import InvalidValue

LOOK_MS = 2000
"""What another window wrote is looked for so often while the page is in front, ms."""

Entries = tuple[Entry, ...]


def here_and_now() -> datetime:
    """The time with this place's offset from UTC, to the second."""
    return datetime.now().astimezone().replace(microsecond=0)


class Log(QObject):
    """Signals: ``changed`` other entries, ``shown`` others are looked at, ``rescued`` the file
    became damaged and what could be read of it was saved; ``trouble`` (text) to be read.
    ``today`` is what was said of the day."""

    changed = Signal()
    shown = Signal()
    rescued = Signal()
    trouble = Signal(str)

    def __init__(
        self,
        document: Document,
        parent: QObject | None = None,
        store: Store | None = None,
        now: Callable[[], datetime] = here_and_now,
    ) -> None:
        super().__init__(parent)
        self._document, self.now = document, now
        self.store = store or Store()
        self.store.on_rescue = self._rescued
        self.background = Background(self)
        self.keeper = Keeper(self.store.flush, "Entries of the log", self)
        self.keeper.trouble.connect(self.trouble)
        self.today = Today(self._clock, self)
        self.wanted = Wanted()
        self.found = Found([], 0, 0)
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self._look)
        self.background.ask(
            "copy", self._copied, backups.back_up_daily, self.store.path, now().date(),
            rank=Rank.CARD,
        )  # fmt: skip
        self._find()

    def _clock(self) -> datetime:
        return self.now()

    # ---- what is looked at

    def set_active(self, active: bool) -> None:
        """Look out for other windows while somebody looks."""
        if active:
            self._look()
            self._timer.start()
        else:
            self._timer.stop()

    def close(self) -> None:
        """Write what waits, and let the file go."""
        self._timer.stop()
        self.background.close()
        self.keeper.close()
        self.store.close()

    def _look(self) -> None:
        self.today.look()
        if self.store.changed_outside():
            self._renew()

    def want(self, wanted: Wanted) -> None:
        """Look at other entries, or in another order."""
        if wanted != self.wanted:
            self.wanted = wanted
            self._find()
            self.shown.emit()

    def _find(self) -> None:
        self.found = self.store.find(self.wanted)

    def _renew(self) -> None:
        self._find()
        self.changed.emit()

    def days(self) -> list[Day]:
        """Every day with entries, the newest first."""
        return self.store.days()

    def entry(self, number: int) -> Entry | None:
        """An entry by its number."""
        return self.store.numbered(number)

    def entries(self, numbers: Sequence[int]) -> list[Entry]:
        """Entries by their numbers, in that order."""
        return list(self.store.of_numbers(numbers))

    def number_of(self, entry: Entry) -> int | None:
        """An entry's number by now."""
        return self.store.number(entry.id)

    # ---- changes

    def edit(self, old: Sequence[Entry], new: Sequence[Entry], text: str, key: str = "") -> bool:
        """Put ``new`` entries in the place of ``old`` ones, undoably; False (and ``trouble``) if
        one makes no sense. What only one of both has is added, or removed."""
        latest = self.latest(*old)
        try:
            for entry in new:
                check(entry, latest)
        except InvalidValue as error:
            self.trouble.emit(f"{error.field.capitalize()}: allowed is {error.allowed}.")
            return False
        if tuple(old) != tuple(new):
            step = Step(self._adopt, tuple(old), tuple(new), text, key)
            push(self._document.undo_stack, step)
        return True

    def _adopt(self, old: Entries, new: Entries) -> None:
        before = {entry.id: entry for entry in old}
        after = {entry.id: entry for entry in new}
        self._change([(before.get(id_), after.get(id_)) for id_ in {**before, **after}])

    def _mark(self, marking: Marking) -> None:
        self._change([marking])

    def _change(self, changes: Sequence[Change]) -> None:
        self.store.change(changes)
        self.keeper.keep()
        self._renew()

    def latest(self, *kept: Entry) -> datetime:
        """The latest time an entry may be of; where the clock was set back, what is ``kept`` is
        of later and may stay so."""
        return max([self.now() + CLOCKS_DIFFER, *(entry.at for entry in kept)])

    def begin(self) -> Entry:
        """A new entry, now, that goes on from the newest of its day: a person mends it then."""
        now = self.now()
        newest = self.newest(now)
        entry = Entry(new_id(), now, rehearsal=False)
        if newest is None:
            entry = replace(entry, **from_setup(self._document.setup))
        else:
            lines = tuple(LineEntry(x.rod, x.lure, x.out) for x in newest.lines)
            entry = replace(
                newest, id=entry.id, at=now, rehearsal=False, side="", light="", note="", tags=(),
                lines=lines,
            )  # fmt: skip
        self.edit((), (entry,), "new entry")
        return entry

    def newest(self, now: datetime) -> Entry | None:
        """The newest entry of the day, if there is one."""
        return next(self.store.entries(Wanted(day=now.date().isoformat())), None)

    def remove(self, numbers: Sequence[int]) -> None:
        """Take entries away, by their numbers: those that undo brings back whole, whatever became
        of the file, or more than that as they lie in it."""
        text = f"delete {counted(len(numbers), 'entry', 'entries')}"
        if len(numbers) <= AT_ONCE:
            self.edit(self.entries(numbers), (), text)
            return
        seen = self.store.last_changed(numbers)
        back, gone = Marking(seen, gone=False), Marking(seen, gone=True)
        push(self._document.undo_stack, Edit(self._mark, back, gone, text, ""))

    # ---- bring back, and anew

    def setup_of(self, entry: Entry) -> Setup:
        """The setup of an entry with its hold as it was done. Raises BadInput."""
        setup = setup_of(entry, self._document.catalog)
        low, high, _ = HOLD_LIMITS
        if entry.hold is not None and low <= entry.hold <= high and setup.motion is None:
            setup = replace(setup, hold=entry.hold)
        return setup

    def bring_back(self, entry: Entry) -> bool:
        """Make an entry's setup that of all pages, as one edit; False (and ``trouble``) if not."""
        if not entry.setup:
            self.trouble.emit("This entry was typed without a setup, so there is none to set up.")
            return False
        try:
            setup = self.setup_of(entry)
        except BadInput as error:
            self.trouble.emit(str(error))
            return False
        if setup == self._document.setup:
            self.trouble.emit("This setup is on screen already.")
            return False
        return self._document.edit(setup, f"bring back {entry.at:%Y-%m-%d %H:%M}")

    def ask_anew(self, entry: Entry) -> None:
        """Have the model say anew what the lures of an entry did."""
        if not entry.setup:
            self.trouble.emit("This entry was typed without a setup to work with.")
            return

        def got(result: Any) -> None:
            self._got_anew(entry, result)

        self.background.ask("anew", got, said_anew, entry, self._document.catalog, reports=True)

    def _got_anew(self, entry: Entry, result: Any) -> None:
        if not isinstance(result, tuple):
            self.trouble.emit(f"The model has no answer for this entry ({result}).")
            return
        there = self.store.entry(entry.id)
        if there is not None and len(there.lines) == len(result):
            self.edit((there,), (with_said(there, result),), "model's answer")

    # ---- files

    def _rescued(self) -> None:
        # not within the question that met the damage
        QTimer.singleShot(0, self, self._tell_rescued)

    def _tell_rescued(self) -> None:
        self.trouble.emit(self.store.told)
        self._renew()
        self.rescued.emit()

    def renew(self) -> None:
        """The file was written by somebody else."""
        self.store.changed_outside()
        self._renew()

    def restore(self) -> Merged | None:
        """Take in the copy that is offered for a damaged log; None (and ``trouble``) if that
        cannot be."""
        offer, self.store.offer = self.store.offer, None
        if offer is None:
            return None
        try:
            merged = self.store.merge_file(offer)
        except BadInput as error:
            self.trouble.emit(str(error))
            return None
        self._renew()
        return merged

    def merge(self, entries: Sequence[Entry]) -> Merged:
        """Take in entries. Raises BadInput."""
        merged = self.store.merge(entries)
        self._renew()
        return merged

    def _copied(self, result: Any) -> None:
        if isinstance(result, Exception):
            self.trouble.emit(f"Today's copy of the log could not be made: {result}.")
