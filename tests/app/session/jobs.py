"""Jobs for the tests of the workers; they speak through files and load little, to start fast."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from pathlib import Path

PULSE = 0.01
"""Seconds between two looks."""

GIVES_UP = 30.0
"""Seconds after which a job that waits in vain ends, so that a broken worker fails a test."""


class Cancelled(Exception):
    """The work was told to stop."""


def note(path: Path, text: str) -> str:
    """Write a text, and give it."""
    path.write_text(text)
    return text


def until(path: Path) -> bool:
    """Wait for a file; whether it came."""
    return _within(path.exists)


def at_work(path: Path, share: float, *, progress: Callable[[float], bool]) -> None:
    """Tell a share again and again until told to stop, and note how that ended.

    Raises Cancelled.
    """
    path.write_text("at work")
    path.write_text("stopped" if _within(lambda: progress(share)) else "never told to stop")
    raise Cancelled


def pulses(times: int, *, progress: Callable[[float], bool]) -> list[bool]:
    """Tell so many shares; what was said each time."""
    return [progress(n / times) for n in range(times)]


def for_ever(path: Path) -> None:
    """Say that it has begun, and never end."""
    path.touch()
    while True:
        time.sleep(PULSE)


def dies(path: Path) -> None:
    """Leave a letter, and end the process."""
    with path.open("a") as file:
        file.write("x")
    os._exit(1)


def dies_once(path: Path) -> str:
    """End the process the first time."""
    if not path.exists():
        dies(path)
    return "alive"


LEFT: list[bytes] = []
"""What ``scatter`` keeps."""


def scatter(pieces: int, size: int) -> None:
    """Fill so many pieces of memory and keep the last alone: those below it are free."""
    LEFT[:] = [bytes(size) for _ in range(pieces)][-1:]


def work(seconds: float) -> None:
    """Keep the processor busy for so long."""
    end = time.process_time() + seconds
    while time.process_time() < end:
        pass


def _within(done: Callable[[], bool]) -> bool:
    end = time.monotonic() + GIVES_UP
    while not done():
        if time.monotonic() > end:
            return False
        time.sleep(PULSE)
    return True


def threads() -> int:
    """Threads of this process once it has multiplied matrices."""
    import numpy as np

    whole = np.ones((400, 400))
    assert (whole @ whole)[0, 0] == len(whole)
    return len(os.listdir("/proc/self/task"))
