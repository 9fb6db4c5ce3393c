"""Long computations in worker processes; answers come back on the GUI thread.

Processes and not threads: while a thread computes in Python, every painter
call of a frame has to wait its turn for the interpreter (measured: frames of
17 to 80 ms beside a look-ahead, against 6 ms).
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from traceback import format_exception
from typing import Any

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from app.common.log_file import LOG
from app.session.pool import PROGRAM, Job, Pool, Rank

LOOK_MS = 100
"""Between looks at how far the jobs are, ms."""


@dataclass(frozen=True, slots=True)
class _Asked:
    job: Job
    answer: Callable[[Any], None]


class Background(QObject):
    """A view-model's handle of the program's pool: the newest job of each of its own kinds.

    A job is a function of a module with arguments that can be sent to another
    process. ``progress``: the ``share`` of some job is another one; looked for
    ten times a second while any is told. ``_done`` carries (kind, job, answer
    or exception) to the GUI thread.
    """

    progress = Signal()
    _done = Signal(str, object, object)

    def __init__(self, parent: QObject | None = None, pool: Pool = PROGRAM) -> None:
        super().__init__(parent)
        self._pool = pool
        self._jobs: dict[str, _Asked] = {}
        self._closed = False
        self._shares: dict[str, float] = {}
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self._look)
        self._done.connect(self._deliver, Qt.ConnectionType.QueuedConnection)
        pool.hold()

    def ask(
        self,
        kind: str,
        answer: Callable[[Any], None],
        job: Callable[..., Any],
        *args: Any,
        reports: bool = False,
        rank: Rank = Rank.ANSWER,
    ) -> None:
        """Start ``job(*args)``; an older one of its kind is given up as by ``cancel``.

        ``answer`` gets the job's result, or the exception it raised, on the
        GUI thread, unless the job is given up before. With ``reports`` the job is
        called as ``job(*args, tell=tell)``: ``tell(share)`` notes the share
        done, 0 to 1, for ``share``, and is True once the job is given up or has
        to make way for one of a lower ``rank``. What the job gives or raises
        then is dropped; one that made way is begun anew.
        """
        if self._closed:
            return
        self.cancel(kind)
        asked = Job(rank, reports, job, args, partial(self._finished, kind))
        self._jobs[kind] = _Asked(asked, answer)
        if reports:
            self._timer.start()
        self._pool.submit(asked)

    def cancel(self, kind: str) -> None:
        """Give up the job of this kind, if any; its answer is never called.

        One that waits never starts. One that runs and reports stops at its
        next report; one that does not report runs to its end.
        """
        if (asked := self._jobs.pop(kind, None)) is not None:
            self._pool.give_up(asked.job)

    def busy(self, kind: str) -> bool:
        """Whether a job of this kind waits, runs, or has an answer on its way."""
        return kind in self._jobs

    def share(self, kind: str) -> float:
        """Share done of this kind's job, 0 to 1, as it last told; 0 if there is none."""
        asked = self._jobs.get(kind)
        return 0.0 if asked is None else self._pool.share(asked.job)

    def close(self) -> None:
        """Give up all jobs; the last handle of the pool to close ends its processes."""
        if self._closed:
            return
        self._closed = True
        self._timer.stop()
        for kind in list(self._jobs):
            self.cancel(kind)
        self._pool.release()

    def _look(self) -> None:
        shares = {kind: self.share(kind) for kind, asked in self._jobs.items() if asked.job.reports}
        if not shares:
            self._timer.stop()
        if shares != self._shares:
            self._shares = shares
            self.progress.emit()

    def _finished(self, kind: str, job: Job, result: Any) -> None:
        if not self._closed:
            # in a thread of the pool: the handle may just be taken down
            with suppress(RuntimeError):
                self._done.emit(kind, job, result)

    def _deliver(self, kind: str, job: Job, result: object) -> None:
        asked = self._jobs.get(kind)
        if asked is not None and asked.job is job:
            del self._jobs[kind]
            if isinstance(result, Exception):
                LOG.info("%s failed: %s", kind, "".join(format_exception(result)).rstrip())
            asked.answer(result)
