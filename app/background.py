"""One worker thread for long computations; answers come back on the GUI thread.

Depends on: nothing of ours.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from threading import Event
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal

Job = Callable[[Event], Any]
"""Work to do; it should give up when the event it is handed is set."""


class Background(QObject):
    """Runs one job at a time, and knows only the newest waiting job of each kind.

    Signals: ``_done`` carries (kind, ticket, answer or exception) across
    threads; callers hand ``ask`` a function to be called with the answer.
    """

    _done = Signal(str, int, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="leadfall")
        self._stop = Event()
        self._ticket = 0
        self._newest: dict[str, int] = {}
        self._answer: dict[int, Callable[[Any], None]] = {}
        self._futures: dict[str, Future[Any]] = {}
        self._done.connect(self._deliver, Qt.ConnectionType.QueuedConnection)

    def ask(self, kind: str, job: Job, answer: Callable[[Any], None]) -> None:
        """Start a job; an older one of its kind that still waits is dropped.

        ``answer`` gets the job's result, or the exception it raised, on the
        GUI thread, unless a newer job of the kind was asked for meanwhile.
        """
        self._ticket += 1
        ticket = self._ticket
        waiting = self._futures.get(kind)
        if waiting is not None and waiting.cancel():
            self._answer.pop(self._newest[kind], None)
        self._newest[kind] = ticket
        self._answer[ticket] = answer
        future = self._pool.submit(job, self._stop)
        self._futures[kind] = future
        future.add_done_callback(lambda f: self._finished(kind, ticket, f))

    def busy(self, kind: str) -> bool:
        """Whether a job of this kind waits, runs, or has an answer on its way."""
        return self._newest.get(kind) in self._answer

    def close(self) -> None:
        """Give up all jobs and end the thread."""
        self._stop.set()
        self._answer.clear()
        self._pool.shutdown(wait=True, cancel_futures=True)

    def _finished(self, kind: str, ticket: int, future: Future[Any]) -> None:
        if future.cancelled() or self._stop.is_set():
            return
        error = future.exception()
        self._done.emit(kind, ticket, future.result() if error is None else error)

    def _deliver(self, kind: str, ticket: int, result: object) -> None:
        answer = self._answer.pop(ticket, None)
        if answer is not None and self._newest.get(kind) == ticket:
            answer(result)
