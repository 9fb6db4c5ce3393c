"""How long work says how far it is, and how it is cancelled."""

from __future__ import annotations

from collections.abc import Callable

ProgressCallback = Callable[[float], bool]
"""Gets the share of the work done, 0 to 1; returns True to cancel the work (Cancelled)."""


class Cancelled(Exception):
    """The progress callback cancelled the work."""


def report_progress(progress: ProgressCallback | None, share: float) -> None:
    """Report the share done, 0 to 1. Raises Cancelled if the callback cancels the work."""
    if progress is not None and progress(share):
        raise Cancelled


def part_of(
    progress: ProgressCallback | None, first: float, last: float
) -> ProgressCallback | None:
    """The callback of one part of the work, which goes from share ``first`` to ``last`` of all."""
    if progress is None:
        return None
    return lambda share: progress(min(first + (last - first) * share, last))
