"""How a worker process behaves; loads no Qt, so that it starts fast."""

from __future__ import annotations

import multiprocessing
import os
import pickle
import pkgutil
import signal
import time
import traceback
from collections.abc import Callable, MutableSequence
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from threading import Thread
from typing import Any

from app.common.free_memory import give_back
from app.common.one_thread import compute_in_one_thread

NOBODY = 0
"""The ticket of no job."""


WORKED = 0.5
"""After so much work, s of processor time, a worker gives freed memory back; it takes some ms."""


@dataclass(frozen=True, slots=True)
class Board:
    """What the program and one worker both see, a cell each.

    ``wanted`` has the ticket of the job that is wanted. ``done`` has ticket +
    share / 2 of the job that reported last: one number, so that a share is never
    taken for that of another job.
    """

    wanted: MutableSequence[int] = field(default_factory=lambda: [NOBODY])
    done: MutableSequence[float] = field(default_factory=lambda: [0.0])

    def wants(self, ticket: int) -> bool:
        """Whether a job is still wanted."""
        return self.wanted[0] == ticket

    def want(self, ticket: int) -> None:
        """Want a job from its beginning, or with NOBODY none any more."""
        if ticket != NOBODY:
            self.done[0] = 0.0
        self.wanted[0] = ticket

    def note(self, ticket: int, share: float) -> None:
        """Note the share done, 0 to 1."""
        self.done[0] = ticket + min(max(share, 0.0), 1.0) / 2.0

    def share(self, ticket: int) -> float:
        """Share done of this job, 0 to 1; 0 before its first report."""
        done = self.done[0]
        return 2.0 * (done - ticket) if int(done) == ticket else 0.0


@dataclass(slots=True)
class Answer:
    """What came of a job; ``stopped`` if it was cancelled, and then nothing is meant by it."""

    result: Any
    stopped: bool = False


def work(line: Connection, board: Board) -> None:
    """In the worker: do what comes down the line, one job after another, until it is cut."""
    _step_back()
    compute_in_one_thread()
    tidy = time.process_time()
    try:
        while True:
            line.send_bytes(_packed(_do(line.recv_bytes(), board)))
            if time.process_time() > tidy + WORKED:
                give_back()
                tidy = time.process_time()
    except (EOFError, OSError):
        return


def _step_back() -> None:
    """Let the screen go first, leave Ctrl+C to the program, and do not outlive it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if hasattr(os, "nice"):
        # the screen comes first where cores are few
        os.nice(5)
    parent = multiprocessing.parent_process()

    def watch() -> None:
        if parent is not None:
            parent.join()
            os._exit(0)

    Thread(target=watch, daemon=True).start()


def _do(packed: bytes, board: Board) -> Answer:
    """What a job gives, or raises.

    One that ``reports`` gets a ``progress`` callback: it notes the share done, 0 to 1, and is
    True once the job is no longer wanted.
    """
    stopped = False

    def progress(share: float) -> bool:
        nonlocal stopped
        stopped = stopped or not board.wants(ticket)
        if not stopped:
            board.note(ticket, share)
        return stopped

    try:
        ticket, reports, job, args = pickle.loads(packed)
        if not board.wants(ticket):
            return Answer(None, stopped=True)
        return Answer(job(*args, progress=progress) if reports else job(*args), stopped)
    except Exception as error:
        # a traceback itself does not go to another process
        error.add_note("".join(traceback.format_tb(error.__traceback__)).rstrip())
        return Answer(error, stopped)


def _packed(answer: Answer) -> bytes:
    try:
        return pickle.dumps(answer)
    except Exception as error:
        return pickle.dumps(Answer(RuntimeError(f"the answer could not be sent ({error})")))


def call(name: str) -> None:
    """Call ``module:function``: a job for one who would not load the module himself."""
    pkgutil.resolve_name(name)()


Job = Callable[..., Any]
"""A function of a module; its arguments and what it gives can be sent to another process."""
