"""Memory that was freed goes back to the system."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from app.common.free_memory import TRIM, give_back

PIECES, PIECE = 2000, 30_000
"""Pieces of memory, and the bytes of each: together much, and one by one too small to go back."""


def resident() -> int:
    """Resident memory, bytes."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")


@pytest.mark.skipif(TRIM is None, reason="the system gets it back by itself")
def test_that_pages_below_others_in_use_go_back() -> None:
    pieces = [bytes(PIECE) for _ in range(PIECES)]
    last = pieces[-1]
    del pieces
    full = resident()
    give_back()
    assert resident() < full - 0.8 * PIECES * PIECE
    assert len(last) == PIECE


HEAPS = """
import ctypes, sys, threading
from app.common.free_memory import keep_little
if sys.argv[1] == "little":
    keep_little()
held, met = [], threading.Barrier(3)
def fill():
    held.append([bytes(9_000) for _ in range(200)])
    met.wait()
threads = [threading.Thread(target=fill) for _ in range(3)]
for thread in threads: thread.start()
for thread in threads: thread.join()
library = ctypes.CDLL(None)
library.malloc_info(0, ctypes.c_void_p.in_dll(library, "stdout"))
library.fflush(None)
"""
"""Prints the heaps of a process whose threads all hold memory, with little kept or as it is."""


@pytest.mark.skipif(TRIM is None, reason="threads have no heaps of their own")
@pytest.mark.parametrize(("kept", "heaps"), [("little", 1), ("usual", 4)])
def test_that_all_threads_of_a_window_share_one_heap(kept: str, heaps: int) -> None:
    command = [sys.executable, "-c", HEAPS, kept]
    told = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60).stdout
    assert told.count("<heap nr=") == heaps
