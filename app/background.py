"""Worker processes for long computations; answers come back on the GUI thread.

Depends on: worker.

Processes and not threads: while a thread computes in Python, every painter
call of a frame has to wait its turn for the interpreter (measured: frames of
17 to 80 ms beside a look-ahead, against 6 ms).
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from app import worker

LOOK_MS = 100
"""Between looks at how far the jobs are, ms."""

MOST_KINDS = 16
"""Kinds of job one Background can tell apart."""


@dataclass(frozen=True, slots=True)
class _Job:
    ticket: int
    answer: Callable[[Any], None]
    future: Future[Any]
    told: bool


class Background(QObject):
    """Runs as many jobs at a time as it has workers, and only the newest of each kind.

    A job is a function of a module with arguments that can be sent to another
    process. A process starts when a job needs it. ``progress``: the ``share`` of
    some job is another one; looked for ten times a second while any is told.
    ``_done`` carries (kind, ticket, answer or exception) to the GUI thread.
    """

    progress = Signal()
    _done = Signal(str, int, object)

    def __init__(self, parent: QObject | None = None, workers: int = 1) -> None:
        super().__init__(parent)
        self._workers = workers
        self._context = multiprocessing.get_context("spawn")
        self._board = worker.Board(
            self._context.RawArray("q", MOST_KINDS), self._context.RawArray("d", MOST_KINDS)
        )
        self._pool: ProcessPoolExecutor | None = None
        self._ticket = worker.NOBODY
        self._slots: dict[str, int] = {}
        self._jobs: dict[str, _Job] = {}
        self._closed = False
        self._shares: dict[str, float] = {}
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self._look)
        self._done.connect(self._deliver, Qt.ConnectionType.QueuedConnection)

    def ask(
        self,
        kind: str,
        answer: Callable[[Any], None],
        job: Callable[..., Any],
        *args: Any,
        told: bool = False,
    ) -> None:
        """Start ``job(*args)``; an older one of its kind is given up as by ``cancel``.

        ``answer`` gets the job's result, or the exception it raised, on the
        GUI thread, unless the job is given up before. With ``told`` the job is
        called as ``job(*args, tell=tell)``: ``tell(share)`` notes the share
        done, 0 to 1, for ``share``, and is True once the job is given up. What
        the job gives or raises then is dropped. Raises ValueError for more
        than MOST_KINDS kinds.
        """
        if self._closed:
            return
        self.cancel(kind)
        if kind not in self._slots and len(self._slots) == MOST_KINDS:
            raise ValueError(f"more than {MOST_KINDS} kinds of job")
        slot = self._slots.setdefault(kind, len(self._slots))
        self._ticket += 1
        ticket = self._ticket
        self._board.wanted[slot] = ticket
        sent = worker.do, slot, ticket, told, job, *args
        try:
            future = self._started().submit(*sent)
        except BrokenProcessPool:
            # the worker was ended from outside: a new one takes over
            self._pool = None
            future = self._started().submit(*sent)
        self._jobs[kind] = _Job(ticket, answer, future, told)
        if told:
            self._timer.start()
        future.add_done_callback(lambda f: self._finished(kind, ticket, f))

    def cancel(self, kind: str) -> None:
        """Give up the job of this kind, if any; its answer is never called.

        One that waits never starts. One that runs and is told stops at its
        next pulse; one that is not told runs to its end.
        """
        job = self._jobs.pop(kind, None)
        if job is not None:
            self._board.wanted[self._slots[kind]] = worker.NOBODY
            job.future.cancel()

    def busy(self, kind: str) -> bool:
        """Whether a job of this kind waits, runs, or has an answer on its way."""
        return kind in self._jobs

    def share(self, kind: str) -> float:
        """Share done of this kind's job, 0 to 1, as it last told; 0 if there is none."""
        job = self._jobs.get(kind)
        return 0.0 if job is None else self._board.share(self._slots[kind], job.ticket)

    def close(self) -> None:
        """Give up all jobs and end the processes."""
        self._closed = True
        self._timer.stop()
        for kind in list(self._jobs):
            self.cancel(kind)
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)
            self._pool = None

    def _look(self) -> None:
        shares = {kind: self.share(kind) for kind, job in self._jobs.items() if job.told}
        if not shares:
            self._timer.stop()
        if shares != self._shares:
            self._shares = shares
            self.progress.emit()

    def _started(self) -> ProcessPoolExecutor:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(
                max_workers=self._workers,
                mp_context=self._context,
                initializer=worker.begin,
                initargs=(self._board,),
            )
        return self._pool

    def _finished(self, kind: str, ticket: int, future: Future[Any]) -> None:
        if self._closed:
            return
        try:
            result = future.result()
        except CancelledError:
            return
        except Exception as error:
            result = error
        self._done.emit(kind, ticket, result)

    def _deliver(self, kind: str, ticket: int, result: object) -> None:
        job = self._jobs.get(kind)
        if job is not None and job.ticket == ticket:
            del self._jobs[kind]
            job.answer(result)
