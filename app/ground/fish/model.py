"""View-model of a fish on one line: where the others go, and the speed that keeps them clear."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QObject, Signal

from app.common.units import FOOT
from app.ground.fish.job import bearing_on, boat_of, find_speed, refusal, run_fight, with_fight
from app.scenario.setup import Setup
from app.session.background import Background
from app.session.document import Document
from physics.answers.clear_speed import ClearSpeed
from physics.answers.fights import Fight
from physics.answers.fought import Fought
from physics.checks import InvalidValue

FIRST = 0.3
"""Share of the work that the first answer is taken to be."""

USUAL_LEFT = FOOT.to_si(15.0)
"""Line left out with the fish beside the boat, before anybody says, m (assumed)."""


class FishModel(QObject):
    """``changed``: another fight is asked, run, answered, or was of another scenario.

    ``found`` comes first, ``speed`` after it.
    """

    changed = Signal()
    progress_changed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.document = document
        self.background = Background(self)
        self.found: Fought | None = None
        self.speed: ClearSpeed | None = None
        self.trouble = ""
        self._fight = Fight(document.setup.rods[0].name, left=USUAL_LEFT)
        self._of: Setup | None = None
        self.background.progress.connect(self.progress_changed)
        document.setup_changed.connect(self._compare)
        document.catalog_changed.connect(self._forget)

    @property
    def names(self) -> list[str]:
        """The rods that a fish may be on."""
        return [rod.name for rod in self.document.setup.rods]

    @property
    def engines(self) -> int:
        """How many engines the boat has."""
        return boat_of(self.document.setup, self.document.catalog).engines

    @property
    def fight(self) -> Fight:
        """What is to be rehearsed."""
        return self._fight

    @property
    def busy(self) -> bool:
        """Whether anything is being worked out."""
        return self.background.busy("fight") or self.background.busy("speed")

    @property
    def progress(self) -> float:
        """Share of the work that is done."""
        if self.background.busy("fight"):
            return FIRST * self.background.share("fight")
        return FIRST + (1.0 - FIRST) * self.background.share("speed")

    def choose(self, fight: Fight) -> None:
        """Rehearse another; what was found is of the one before."""
        if fight != self._fight:
            self._fight = fight
            self._forget()

    def run(self) -> None:
        """Work it out for the scenario on screen."""
        self._clear()
        setup, catalog = self.document.setup, self.document.catalog
        self._of = bearing_on(setup)
        asked = setup, catalog, self._fight
        self.background.ask("fight", self._got, run_fight, *asked, reports=True)
        self.changed.emit()

    def stop(self) -> None:
        """Give up what is not there yet."""
        self._cancel()
        self.changed.emit()

    def put_into_orders(self) -> bool:
        """Make it the scenario's orders, undoably; False (and ``trouble``) if it makes no sense."""
        setup, catalog = self.document.setup, self.document.catalog
        try:
            new = with_fight(setup, catalog, self._fight)
        except InvalidValue as error:
            self.trouble = refusal(error)
            self.changed.emit()
            return False
        return self.document.edit(new, f"fish on {self._fight.hooked}")

    def close(self) -> None:
        """End the worker process."""
        self.background.close()

    def _cancel(self) -> None:
        for kind in ("fight", "speed"):
            self.background.cancel(kind)

    def _clear(self) -> None:
        self._cancel()
        self.found, self.speed, self.trouble, self._of = None, None, "", None

    def _forget(self) -> None:
        self._clear()
        self.changed.emit()

    def _compare(self) -> None:
        """Forget what another setup gave; its orders about the fish make no other one."""
        if self._of is not None and bearing_on(self.document.setup) != self._of:
            self._clear()
        self.changed.emit()

    def _got(self, result: Any) -> None:
        if isinstance(result, Fought):
            self.found = result
            asked = self.document.setup, self.document.catalog, self._fight
            self.background.ask("speed", self._got_speed, find_speed, *asked, reports=True)
        else:
            self._refused(result)
        self.changed.emit()

    def _got_speed(self, result: Any) -> None:
        if isinstance(result, ClearSpeed):
            self.speed = result
        else:
            self._refused(result)
        self.changed.emit()

    def _refused(self, result: Any) -> None:
        if isinstance(result, Exception):
            self.trouble = refusal(result)
