"""The program's worker processes: which job is done next, by whom, and which gives way.

Not ``concurrent.futures``: that knows no priorities, waits for what runs when it
is closed, and cannot go on after one of its processes has died.
"""

from __future__ import annotations

import multiprocessing
import pickle
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import IntEnum
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection
from multiprocessing.context import SpawnProcess
from threading import Condition, Thread
from typing import Any

from app.session import worker
from app.session.worker import Answer, Board

WORKERS = 2
"""Worker processes at the most: each takes some 80 MB, and cores are few at sea."""

IDLE = 30.0
"""A process that has had nothing to do for this long is ended, s."""

LIVE = 1.0
"""One worker is kept for looking ahead until none was asked for this long, s."""

TRIES = 2
"""A job whose process dies is begun so often before its death is the answer."""

PATIENCE = 0.2
"""Threads and processes that are ended get this long to be gone, s; they need some ms."""

_spawn = multiprocessing.get_context("spawn")


class Rank(IntEnum):
    """What is done first."""

    AHEAD = 0
    """What the live screen shows next."""
    TOW = 1
    """The steady tow that the live screen waits for."""
    ANSWER = 2
    """What a person asked."""
    BANDS = 3
    """How sure it is."""
    CARD = 4
    """What may be wanted later."""


@dataclass(eq=False, slots=True)
class Job:
    """``do(*args)`` in a worker; ``answer(job, result)`` gets what it gives or raises.

    ``answer`` is called in a thread of the pool. A job that ``reports`` is called with
    a ``progress`` callback: it stops at its next report when it is given up, or when it has to make
    way for one of a lower rank, and begins anew later.
    """

    rank: Rank
    reports: bool
    do: worker.Job
    args: tuple[Any, ...]
    answer: Callable[[Job, Any], None]
    ticket: int = worker.NOBODY
    begun: int = 0
    wanted: bool = True
    by: _Worker | None = None


@contextmanager
def _undisturbed() -> Iterator[None]:
    """What a terminal says to all (Ctrl+C, that it closes) does not come to a process started in
    here, nor to the one that multiprocessing starts with the first: the program ends them."""
    if sys.platform == "win32":
        yield
        return
    said = {signal.SIGINT, signal.SIGHUP}
    before = signal.pthread_sigmask(signal.SIG_BLOCK, said)
    try:
        resource_tracker.ensure_running()
        # which has let them through again
        signal.pthread_sigmask(signal.SIG_BLOCK, said)
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


@dataclass(eq=False, slots=True)
class _Worker:
    """A thread of the program that keeps one process busy; the process comes with the first job."""

    board: Board = field(
        default_factory=lambda: Board(_spawn.RawArray("q", 1), _spawn.RawArray("d", 1))
    )
    job: Job | None = None
    since: float = 0.0
    over: bool = False
    process: SpawnProcess | None = None
    line: Connection | None = None
    thread: Thread | None = None

    @property
    def stopping(self) -> bool:
        """Whether it is about to be free."""
        return self.job is not None and self.job.reports and not self.board.wants(self.job.ticket)

    def connected(self) -> Connection:
        """The line to a process that lives."""
        if self.line is not None and self.process is not None and self.process.is_alive():
            return self.line
        self.end()
        self.line, far = _spawn.Pipe()
        self.process = _spawn.Process(target=worker.work, args=(far, self.board), daemon=True)
        with _undisturbed():
            self.process.start()
        far.close()
        return self.line

    def end(self) -> None:
        """End the process at once, whatever it does."""
        process, self.process = self.process, None
        line, self.line = self.line, None
        if process is not None and process.pid is not None:
            process.kill()
            process.join(PATIENCE)
        if line is not None:
            line.close()


class Pool:
    """Does the most urgent jobs first, in two processes at the most.

    A process is started when a job needs it and ended when it rests for
    ``idle`` s. One worker is always left to look ahead while that is wanted: a
    job that cannot be stopped never runs beside another, and while looks ahead
    keep coming nothing else runs beside another either.
    """

    def __init__(self, idle: float = IDLE) -> None:
        self._idle = idle
        self._changed = Condition()
        self._workers: list[_Worker] = []
        self._waiting: list[Job] = []
        self._ticket = worker.NOBODY
        self._looked = float("-inf")
        self._held = 0

    def hold(self) -> None:
        """Somebody has jobs to give."""
        self._held += 1

    def release(self) -> None:
        """They have none any more; the last one to say so ends the processes."""
        self._held -= 1
        if self._held == 0:
            self.end()

    def submit(self, job: Job) -> None:
        """Have a job done as soon as its rank allows."""
        with self._changed:
            if not self._workers:
                self._workers = [_Worker() for _ in range(WORKERS)]
                for one in self._workers:
                    one.thread = Thread(target=self._keep_busy, args=(one,), daemon=True)
                    one.thread.start()
            self._ticket += 1
            job.ticket = self._ticket
            if job.rank == Rank.AHEAD:
                self._looked = time.monotonic()
            self._waiting.append(job)
            self._dispatch()

    def give_up(self, job: Job) -> None:
        """A job is not wanted any more: its answer is never called from here on.

        One that waits never starts. One that runs and reports stops at its next
        report; one that does not report runs to its end.
        """
        with self._changed:
            job.wanted = False
            if job in self._waiting:
                self._waiting.remove(job)
            elif job.by is not None:
                job.by.board.want(worker.NOBODY)

    def share(self, job: Job) -> float:
        """Share done of a job, 0 to 1, as it last told; 0 while it waits."""
        by = job.by
        return 0.0 if by is None else by.board.share(job.ticket)

    def end(self) -> None:
        """Forget all jobs and end the processes at once, busy or not; waits for no job.

        What is submitted afterwards starts others.
        """
        with self._changed:
            ended, self._workers = self._workers, []
            self._waiting.clear()
            for one in ended:
                one.over = True
                if one.process is not None and one.process.pid is not None:
                    one.process.kill()
            self._changed.notify_all()
        until = time.monotonic() + PATIENCE
        for one in ended:
            if one.thread is not None:
                one.thread.join(max(until - time.monotonic(), 0.0))

    # ---- who does what

    def _dispatch(self) -> None:
        """Give waiting jobs to workers; the lock is held."""
        self._waiting.sort(key=lambda job: (job.rank, job.ticket))
        for job in list(self._waiting):
            one = self._free_for(job)
            if one is None:
                self._make_way(job)
                continue
            self._waiting.remove(job)
            one.job, job.by = job, one
            one.board.want(job.ticket)
        self._changed.notify_all()

    def _free_for(self, job: Job) -> _Worker | None:
        free = [one for one in self._workers if one.job is None]
        if not free:
            return None
        long = [one.job for one in self._workers if one.job and one.job.rank > Rank.TOW]
        if job.rank > Rank.TOW and long:
            live = time.monotonic() - self._looked < LIVE
            if live or not (job.reports or all(other.reports for other in long)):
                return None
        return min(free, key=lambda one: one.process is None)

    def _make_way(self, job: Job) -> None:
        """Let the least urgent job that can be stopped begin anew later, one at a time.

        Not where a worker is free before long anyway.
        """
        if any(one.stopping or (one.job and one.job.rank <= Rank.TOW) for one in self._workers):
            return
        less = [
            one for one in self._workers
            if one.job is not None and one.job.reports and one.job.rank > job.rank
        ]  # fmt: skip
        if less:
            least = max(less, key=lambda one: (one.job.rank, one.job.ticket) if one.job else (0, 0))
            least.board.want(worker.NOBODY)

    # ---- in the thread of a worker

    def _keep_busy(self, one: _Worker) -> None:
        while (job := self._next(one)) is not None:
            answer = self._ask(one, job)
            with self._changed:
                one.job = job.by = None
                one.since = time.monotonic()
                if one.over or not job.wanted:
                    deliver = False
                elif answer is None or answer.stopped:
                    deliver = False
                    self._waiting.append(job)
                else:
                    deliver = True
                self._dispatch()
            if deliver and answer is not None:
                job.answer(job, answer.result)
            # what it was about may be large, and whoever asked may keep the job
            if not job.wanted or deliver:
                job.args = ()
            del job, answer
        one.end()

    def _next(self, one: _Worker) -> Job | None:
        """The job this worker is given, or None when all is over."""
        while True:
            with self._changed:
                if one.job is None and not one.over:
                    left = None
                    if one.process is not None:
                        left = max(one.since + self._idle - time.monotonic(), 0.0)
                    self._changed.wait(LIVE if self._waiting else left)
                    self._dispatch_late()
                if one.over:
                    return None
                if one.job is not None:
                    return one.job
                rested = time.monotonic() - one.since >= self._idle
            # not under the lock, which the window may want meanwhile
            if rested:
                one.end()

    def _dispatch_late(self) -> None:
        """A job may have waited only for looks ahead that no longer come."""
        if any(self._free_for(job) for job in self._waiting):
            self._dispatch()

    def _ask(self, one: _Worker, job: Job) -> Answer | None:
        """What came of a job; None if it has to be begun again."""
        try:
            packed = pickle.dumps((job.ticket, job.reports, job.do, job.args))
        except Exception as error:
            return Answer(error)
        job.begun += 1
        try:
            line = one.connected()
            if one.over:
                return None
            line.send_bytes(packed)
            answer = line.recv_bytes()
        except (EOFError, OSError):
            # the process was ended from outside
            one.end()
            if job.begun < TRIES:
                return None
            return Answer(RuntimeError("the process that worked on it was ended"))
        except Exception as error:
            return Answer(error)
        try:
            back: Answer = pickle.loads(answer)
        except Exception as error:
            return Answer(error)
        if back.stopped:
            job.begun -= 1
        return back


PROGRAM = Pool()
"""The one pool that everything in the program shares."""
