"""A worker process for long computations; answers come back on the GUI thread.

Depends on: worker.

A process and not a thread: while a thread computes in Python, every painter
call of a frame has to wait its turn for the interpreter (measured: frames of
17 to 80 ms beside a look-ahead, against 6 ms).
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal

from app import worker


class Background(QObject):
    """Runs one job at a time, and keeps only the newest waiting job of each kind.

    A job is a function of a module with arguments that can be sent to another
    process. The process starts with the first job. ``_done`` carries (kind,
    ticket, answer or exception) to the GUI thread.
    """

    _done = Signal(str, int, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool: ProcessPoolExecutor | None = None
        self._ticket = 0
        self._newest: dict[str, int] = {}
        self._answer: dict[int, Callable[[Any], None]] = {}
        self._futures: dict[str, Future[Any]] = {}
        self._closed = False
        self._done.connect(self._deliver, Qt.ConnectionType.QueuedConnection)

    def ask(
        self, kind: str, answer: Callable[[Any], None], job: Callable[..., Any], *args: Any
    ) -> None:
        """Start ``job(*args)``; an older one of its kind that still waits is dropped.

        ``answer`` gets the job's result, or the exception it raised, on the
        GUI thread, unless a newer job of the kind was asked for meanwhile.
        """
        if self._closed:
            return
        self._ticket += 1
        ticket = self._ticket
        waiting = self._futures.get(kind)
        if waiting is not None:
            waiting.cancel()
            self._answer.pop(self._newest[kind], None)
        self._newest[kind] = ticket
        self._answer[ticket] = answer
        try:
            future = self._workers().submit(job, *args)
        except BrokenProcessPool:
            # the worker was ended from outside: a new one takes over
            self._pool = None
            future = self._workers().submit(job, *args)
        self._futures[kind] = future
        future.add_done_callback(lambda f: self._finished(kind, ticket, f))

    def busy(self, kind: str) -> bool:
        """Whether a job of this kind waits, runs, or has an answer on its way."""
        return self._newest.get(kind) in self._answer

    def close(self) -> None:
        """Give up all jobs and end the process."""
        self._closed = True
        self._answer.clear()
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)
            self._pool = None

    def _workers(self) -> ProcessPoolExecutor:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(
                max_workers=1,
                mp_context=multiprocessing.get_context("spawn"),
                initializer=worker.begin,
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
        answer = self._answer.pop(ticket, None)
        if answer is not None and self._newest.get(kind) == ticket:
            answer(result)
