"""What a person said once of the day: it goes with all that is recorded until it is said
otherwise, or the day or the program ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from PySide6.QtCore import QObject, Signal


@dataclass(frozen=True, slots=True)
class Told:
    """Whether it is done on the water; the tide's ``stage`` and ``part``, said at ``since``; and
    the ``side`` of the rip, empty where the ground is to tell it. Words are those of an entry."""

    on_water: bool = False
    stage: str = ""
    part: str = ""
    since: datetime | None = None
    side: str = ""


class Today(QObject):
    """``changed``: something else holds now."""

    changed = Signal()

    def __init__(self, now: Callable[[], datetime], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._now = now
        self._told, self._day = Told(), now().date()

    @property
    def told(self) -> Told:
        """What holds now; nothing of what was said on another day."""
        return self._told if self._day == self._now().date() else Told()

    def say(self, **others: Any) -> None:
        """Say something of the day, by the names of ``Told``."""
        old, now = self.told, self._now()
        new = replace(old, **others)
        if not new.stage:
            new = replace(new, part="", since=None)
        elif (new.stage, new.part) != (old.stage, old.part):
            new = replace(new, since=now)
        self._told, self._day = new, now.date()
        if new != old:
            self.changed.emit()

    def look(self) -> None:
        """Tell it when the day is another one."""
        if self._told != self.told:
            self._told, self._day = Told(), self._now().date()
            self.changed.emit()
