"""View-model of files that are taken in and given out, one at a time, while the window goes on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.common.bad_input import BadInput
from app.log.files_job import Look, Tally, give_out, take_in, take_in_as, tally
from app.log.foreign_columns import Told
from app.log.merging import Merged
from app.log.model import Log

JOB, TALLY = "file", "tally"

NOT_IN = "These entries could not be imported"
NOT_OUT = "These entries could not be exported"


class InOut(QObject):
    """Signals: ``changed`` how far the work is, ``looked`` (Look) a table's columns are to be told,
    ``tallied`` (Tally, or the reason there is none) what a table gives as told, ``done`` (text)
    what was done, ``refused`` (title, text) to be read."""

    changed = Signal()
    looked = Signal(object)
    tallied = Signal(object)
    done = Signal(str)
    refused = Signal(str, str)

    def __init__(self, log: Log) -> None:
        super().__init__(log)
        self._log = log
        self._background = log.background
        self.what = ""
        self._background.progress.connect(self.changed)

    @property
    def busy(self) -> bool:
        """Whether a file is being taken in or given out."""
        return self._background.busy(JOB)

    @property
    def share(self) -> float:
        """How much of it is done, 0 to 1."""
        return self._background.share(JOB)

    def stop(self) -> None:
        """Give up what is being done: then nothing of it was."""
        if self.busy:
            self._background.cancel(JOB)
            self.done.emit(f"{self.what} was stopped.")
            self.changed.emit()

    def take_in(self, path: Path) -> None:
        """Take in the entries of a file."""
        log = self._log
        self._do(f"The import of {path.name}", NOT_IN, self._taken_in(path), take_in,
                 log.store.path, path, log.latest())  # fmt: skip

    def take_in_as(self, look: Look, told: Told) -> None:
        """Take in somebody else's table as told."""
        log, path = self._log, look.path
        self._do(f"The import of {path.name}", NOT_IN, self._taken_in(path), take_in_as,
                 log.store.path, path, look.digest, told, log.latest())  # fmt: skip

    def tally(self, look: Look, told: Told) -> None:
        """Count what a table gives as told."""
        self._background.ask(
            TALLY, self._tallied, tally, look.path, look.digest, told, self._log.latest(),
            reports=True,
        )  # fmt: skip

    def tally_no_more(self) -> None:
        """Nobody waits for the count."""
        self._background.cancel(TALLY)

    def give_out(self, path: Path) -> None:
        """Write what is looked at into a file."""
        log = self._log

        def given(result: Any) -> None:
            self.done.emit(f"{result:,} entries are in {path.name}.")

        self._do(f"The export to {path.name}", NOT_OUT, given, give_out,
                 log.store.path, log.store.waiting, log.wanted, path)  # fmt: skip

    def _taken_in(self, path: Path) -> Callable[[Any], None]:
        def taken(result: Any) -> None:
            if isinstance(result, Merged):
                self._log.renew()
                self.done.emit(f"{path.name}: {result.in_words()}.")
            else:
                self.looked.emit(result)

        return taken

    def _do(
        self, what: str, title: str, answer: Callable[[Any], None], job: Callable[..., Any],
        *args: Any,
    ) -> None:  # fmt: skip
        """Have a worker do something; another thing while it does is refused."""
        if self.busy:
            self.done.emit(f"{self.what} is not done yet.")
            return

        def got(result: Any) -> None:
            if isinstance(result, Exception):
                self.refused.emit(title, _why(result))
            else:
                answer(result)
            self.changed.emit()

        self.what = what
        if title == NOT_IN:
            try:
                # what waits here comes first
                self._log.store.flush()
            except BadInput as error:
                self.refused.emit(title, str(error))
                return
        self._background.ask(JOB, got, job, *args, reports=True)
        self.changed.emit()

    def _tallied(self, result: Any) -> None:
        self.tallied.emit(result if isinstance(result, Tally) else _why(result))


def _why(error: Exception) -> str:
    return str(error) if isinstance(error, BadInput) else f"Something failed ({error})."
