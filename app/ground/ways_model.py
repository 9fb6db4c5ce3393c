"""View-model of the same drop four ways, worked out in the background."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.ground.ways_job import Way, four_ways, ways
from app.scenario.setup import Setup
from app.session.background import Background
from app.session.document import Document
from physics.checks import InvalidValue


class FourWays(QObject):
    """``changed``: other ways are there, on their way, or refused in ``trouble``."""

    changed = Signal()

    def __init__(self, document: Document, hold: float, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.background = Background(self)
        self.found: tuple[Way, ...] = ()
        self.trouble = ""
        self.wait, self.hold = 0.0, hold
        self._asked: tuple[Setup, float, float] | None = None
        self._begun: tuple[Setup, float, float] | None = None
        self._active = False
        document.setup_changed.connect(self._again)
        document.catalog_changed.connect(self._forget)

    @property
    def busy(self) -> bool:
        """Whether the ways are being worked out."""
        return self.background.busy("ways")

    def set_active(self, active: bool) -> None:
        """Work while somebody looks."""
        self._active = active
        if active:
            self._again()
        else:
            self._asked = None if self.busy or not self.found else self._asked
            self.background.cancel("ways")

    def choose(self, wait: float, hold: float) -> None:
        """Another wait and hold, s."""
        self.wait, self.hold = wait, hold
        self._again()

    def close(self) -> None:
        """End the worker process."""
        self.background.close()

    def _forget(self) -> None:
        self.background.cancel("ways")
        self._asked = None
        self._again()

    def _again(self) -> None:
        setup = self._document.setup
        asked = (replace(setup, wait=None, hold=None), self.wait, self.hold)
        if not self._active or asked == self._asked:
            return
        self._asked, self.trouble = asked, ""
        try:
            ways(setup)
        except InvalidValue as error:
            self.background.cancel("ways")
            self.found = ()
            self.trouble = f"Nothing to compare: {error.allowed} is wanted."
            self.changed.emit()
            return
        if not self.busy:
            self._ask()
        self.changed.emit()

    def _ask(self) -> None:
        assert self._asked is not None
        self._begun = self._asked
        setup, *drop = self._begun
        catalog = self._document.catalog
        self.background.ask("ways", self._got, four_ways, setup, catalog, *drop, reports=True)

    def _got(self, result: Any) -> None:
        overtaken = self._begun != self._asked
        if not isinstance(result, Exception):
            self.found, self.trouble = result, ""
        elif not overtaken:
            self.found, self.trouble = (), f"This drop could not be computed ({result})."
        if overtaken:
            # what there is is shown as the hand goes on; now what it has come to
            self._ask()
        self.changed.emit()
