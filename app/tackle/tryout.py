"""View-model of the thing in hand: how it does on its own, found in the background."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QObject, Signal

from app.gear.tackle_file import LineKind
from app.session.background import Background
from app.session.document import Document
from app.tackle.job import Trial, trial
from physics.line.tackle import Lure
from physics.vessel.boat import Boat


class Tryout(QObject):
    """``changed``: another thing in hand, or its trial is there."""

    changed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.background = Background(self)
        self.thing: LineKind | Lure | Boat | None = None
        self.found: Trial | None = None
        self.trouble = ""
        document.setup_changed.connect(self._again)
        self._density = document.setup.water.density
        self._active = False

    def set_active(self, active: bool) -> None:
        """Try things while somebody looks; what is not there yet is tried when they look again."""
        self._active = active
        if not active or self.found is None:
            self._ask()

    def take(self, thing: LineKind | Lure | Boat | None) -> None:
        """Take a thing in hand."""
        if thing == self.thing and self.found is not None:
            return
        self.thing, self.found, self.trouble = thing, None, ""
        self._ask()
        self.changed.emit()

    def close(self) -> None:
        """End the worker process."""
        self.background.close()

    def _again(self) -> None:
        """Other water: fall again."""
        density = self._document.setup.water.density
        if density != self._density:
            self._density, self.found = density, None
            self._ask()

    def _ask(self) -> None:
        if self.thing is None or not self._active:
            self.background.cancel("trial")
            return
        water = self._document.setup.water
        self.background.ask("trial", self._got, trial, self.thing, water)

    def _got(self, result: Any) -> None:
        if isinstance(result, Trial):
            self.found, self.trouble = result, ""
        else:
            self.found, self.trouble = None, f"It could not be tried ({result})."
        self.changed.emit()
