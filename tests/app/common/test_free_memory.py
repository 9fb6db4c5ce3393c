"""Memory that was freed goes back to the system."""

from __future__ import annotations

import os
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
