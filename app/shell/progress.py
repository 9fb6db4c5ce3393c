"""How far a long run without a screen is, told on a terminal."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TextIO

PATIENCE = 2.0
"""A run shorter than this says nothing, s."""

EVERY = 0.5
"""Seconds between two looks at the share done."""


class Progress:
    """Called with the share done, 0 to 1; never asks to stop.

    Says it on one line of ``stream`` (stderr), if that is a terminal; ``end``
    wipes the line.
    """

    def __init__(self, what: str, stream: TextIO | None = None) -> None:
        self._what, self._stream = what, stream or sys.stderr
        self._begun = self._said = time.monotonic()
        self._width = 0
        self._terminal = self._stream.isatty()

    def __call__(self, share: float) -> bool:
        now = time.monotonic()
        spent = now - self._begun
        if self._terminal and spent > PATIENCE and now - self._said > EVERY and share > 0.0:
            self._said = now
            left = spent * (1.0 - share) / share
            self._write(f"{self._what}: {100.0 * share:.0f} %, about {left:.0f} s left")
        return False

    def end(self) -> None:
        """Wipe the line."""
        if self._width:
            self._write("")
            self._stream.write("\r")
            self._stream.flush()

    def _write(self, text: str) -> None:
        self._stream.write("\r" + text.ljust(self._width))
        self._stream.flush()
        self._width = len(text)


@contextmanager
def telling(what: str) -> Iterator[Progress]:
    """The progress of something, its line wiped when that is over, whichever way it ends."""
    progress = Progress(what)
    try:
        yield progress
    finally:
        progress.end()
