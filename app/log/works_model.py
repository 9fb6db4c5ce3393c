"""View-model of what works: learned anew in a worker when the log is another."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QObject, Signal

from app.log.learn.applied import Applied, applied
from app.log.learn.findings import Learned
from app.log.learn.job import learned_of
from app.log.model import Log
from app.session.background import Background
from app.session.document import Document
from app.session.pool import Rank


class Works(QObject):
    """Signals: ``changed`` something else was learned, or is being; ``trouble`` (text) to be
    read. It learns only while somebody looks."""

    changed = Signal()
    trouble = Signal(str)

    def __init__(self, log: Log, document: Document, background: Background) -> None:
        super().__init__(log)
        self._log, self._document, self._background = log, document, background
        self.learned = Learned()
        self._active, self._stale = False, True
        log.changed.connect(self._other)

    @property
    def busy(self) -> bool:
        """Whether it is learning."""
        return self._background.busy("works")

    def set_active(self, active: bool) -> None:
        """Whether somebody looks."""
        self._active = active
        self._learn()

    def _other(self) -> None:
        self._stale = True
        self._learn()

    def _learn(self) -> None:
        if self._active and self._stale:
            self._stale = False
            self._background.ask(
                "works", self._got, learned_of, self._log.store.path, rank=Rank.ANSWER
            )
            self.changed.emit()

    def _got(self, result: Any) -> None:
        if isinstance(result, Learned):
            self.learned = result
        else:
            self.trouble.emit(f"The log could not be learned from ({result}).")
        self.changed.emit()

    def set_up(self) -> Applied | None:
        """Put what to try next into the setup, as one edit; None if it changes nothing there."""
        document = self._document
        done = applied(document.setup, self.learned.changes, document.catalog)
        if done.setup == document.setup or not document.edit(done.setup, "set up what to try"):
            return None
        return done
