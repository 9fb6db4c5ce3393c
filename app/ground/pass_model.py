"""View-model of a pass over the ground: which line fouls, when, and what clears it."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QObject, Signal

from app.ground.pass_job import PassPlan, plan_pass, towed_of
from app.scenario.setup import Setup
from app.session.background import Background
from app.session.document import Document
from physics.checks import InvalidValue


class PassModel(QObject):
    """``changed``: a pass is being run, is there, or is of another scenario by now."""

    changed = Signal()
    progress_changed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.background = Background(self)
        self.found: PassPlan | None = None
        self.trouble = ""
        self.background.progress.connect(self.progress_changed)
        self._of: Setup | None = None
        document.setup_changed.connect(self._compare)
        document.catalog_changed.connect(self._forget)

    @property
    def busy(self) -> bool:
        """Whether a pass is being run."""
        return self.background.busy("pass")

    @property
    def progress(self) -> float:
        """Share of the work that is done."""
        return self.background.share("pass")

    def run(self) -> None:
        """Run the scenario on screen over its bottom, in gear all the way."""
        self.found, self.trouble = None, ""
        setup, catalog = self._document.setup, self._document.catalog
        self._of = towed_of(setup)
        self.background.ask("pass", self._got, plan_pass, setup, catalog, reports=True)
        self.changed.emit()

    def stop(self) -> None:
        """Give it up."""
        self.background.cancel("pass")
        self.changed.emit()

    def close(self) -> None:
        """End the worker process."""
        self.background.close()

    def _compare(self) -> None:
        """Forget the pass of another setup; what the helm is told makes no other one."""
        if towed_of(self._document.setup) != self._of:
            self._forget()

    def _forget(self) -> None:
        """What was run was another pass."""
        self.background.cancel("pass")
        self.found, self.trouble = None, ""
        self.changed.emit()

    def _got(self, result: Any) -> None:
        if isinstance(result, PassPlan):
            self.found = result
        elif isinstance(result, InvalidValue):
            self.trouble = f"No pass: {result.field} is {result.value}; wanted is {result.allowed}."
        else:
            self.trouble = f"This pass could not be computed ({result})."
        self.changed.emit()
