"""How the worker process behaves; loads no Qt, so that it starts fast.

Depends on: nothing of ours.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from threading import Thread


def begin() -> None:
    """In the worker: step back, leave Ctrl+C to the program, and do not outlive it."""
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
