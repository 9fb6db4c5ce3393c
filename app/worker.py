"""How a worker process behaves; loads no Qt, so that it starts fast.

Depends on: nothing of ours.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable, MutableSequence
from dataclasses import dataclass
from functools import partial
from threading import Thread
from typing import Any

NOBODY = 0
"""The ticket of no job."""


@dataclass(frozen=True, slots=True)
class Board:
    """What the program and its workers both see, a slot for each kind of job.

    ``wanted`` has the ticket of the job that is wanted. ``done`` has ticket +
    share / 2 of the job that pulsed last: one number, so that a share is never
    taken for that of another job of its kind.
    """

    wanted: MutableSequence[int]
    done: MutableSequence[float]

    def tell(self, slot: int, ticket: int, share: float) -> bool:
        """Note the share done, 0 to 1; True if the job is no longer wanted."""
        if self.wanted[slot] != ticket:
            return True
        self.done[slot] = ticket + min(max(share, 0.0), 1.0) / 2.0
        return False

    def share(self, slot: int, ticket: int) -> float:
        """Share done of this job, 0 to 1; 0 before its first pulse."""
        done = self.done[slot]
        return 2.0 * (done - ticket) if int(done) == ticket else 0.0


_board = Board([], [])
"""The worker's own view of the program's board."""


def begin(board: Board) -> None:
    """In the worker: step back, leave Ctrl+C to the program, and do not outlive it."""
    global _board
    _board = board
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


def do(slot: int, ticket: int, told: bool, job: Callable[..., Any], *args: Any) -> Any:
    """In the worker: what the job gives, or None if it is no longer wanted.

    A job that is ``told`` gets ``tell`` too: a function of the share done, 0 to
    1, that is True once the job is no longer wanted.
    """
    # a job already on its way to a worker can only be given up here
    if _board.wanted[slot] != ticket:
        return None
    if told:
        return job(*args, tell=partial(_board.tell, slot, ticket))
    return job(*args)
