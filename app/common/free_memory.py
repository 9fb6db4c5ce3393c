"""Memory that was freed goes back to the system.

The C library of Linux keeps freed pages below others that are in use, and gives every thread a
heap of its own to keep them in. Measured: a worker that found a plan with its card has 146 MB,
116 of them in use; a window used for a quarter of an hour had 30 MB free in the heaps of the two
threads that hand jobs to workers. Elsewhere nothing needs to be done.
"""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Callable

M_MMAP_THRESHOLD, M_ARENA_MAX = -3, -8
"""What ``mallopt`` calls them: mallopt(3), Linux man-pages; values of glibc's malloc.h."""

LARGE = 256 * 1024
"""A piece of so many bytes is had from the system by itself and given back when it is freed;
set by itself the limit no longer grows with what was freed."""


def _c_library(name: str) -> Callable[..., int] | None:
    """A function of the C library, where it has one."""
    if not sys.platform.startswith("linux"):
        return None
    try:
        found: Callable[..., int] = getattr(ctypes.CDLL(None), name)
    except (OSError, AttributeError):
        return None
    return found


def _trim() -> Callable[[int], int] | None:
    found = _c_library("malloc_trim")
    return None if found is None else lambda pad: found(ctypes.c_size_t(pad))


TRIM = _trim()
"""What does it; None where nothing needs to be done."""


def give_back() -> None:
    """Give freed pages back; some ms."""
    if TRIM is not None:
        TRIM(0)


def keep_little() -> None:
    """Have one heap for all threads of this process, and large pieces beside it.

    Of use where much comes and goes while little is computed, as in a window. Before threads begin.
    """
    tune = _c_library("mallopt")
    if tune is not None:
        tune(M_ARENA_MAX, 1)
        tune(M_MMAP_THRESHOLD, LARGE)
