"""Matrix libraries compute in one thread.

Our matrices are small and cores are few: a second thread takes longer to wake than it saves, and
spins while it waits for a core that is busy. Measured on two busy cores: to multiply (60, 300) by
(300, 60) takes 0.05 ms of processor time in one thread, and 4 ms in two.
"""

from __future__ import annotations

import os

NAMES = (
    "OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS",
)  # fmt: skip
"""Environment variables they read when they are loaded."""


def compute_in_one_thread() -> None:
    """Have matrix libraries that this process, and those it starts, have not loaded yet use one
    thread, unless the person who starts it says otherwise."""
    for name in NAMES:
        os.environ.setdefault(name, "1")
