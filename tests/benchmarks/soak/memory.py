"""What the window and its workers take of the machine."""

from __future__ import annotations

import multiprocessing
import os
import statistics
from pathlib import Path


def resident(pid: int | str) -> float:
    """Resident memory of a process, MB."""
    try:
        pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    except OSError:
        return float("nan")
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def workers() -> list[float]:
    """Resident memory of every worker, MB."""
    return [resident(process.pid or 0) for process in multiprocessing.active_children()]


def handles() -> float:
    """Open files, pipes and the like of this process."""
    try:
        return float(len(os.listdir("/proc/self/fd")))
    except OSError:
        return float("nan")


def grown(minutes: list[float]) -> str:
    """How much memory, MB, changed from the second quarter of the minutes to the last.

    Of their middles: one minute has longer jobs than another.
    """
    quarter = max(len(minutes) // 4, 1)
    warm = statistics.median(minutes[quarter : 2 * quarter] or minutes)
    return f"{100.0 * (statistics.median(minutes[-quarter:]) / warm - 1.0):+.1f} %"
