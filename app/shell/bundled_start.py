"""Run before all else in a stand-alone Leadfall on Linux: Qt wants some of the system's libraries
even where it does not use them, and a bare system lacks them."""

import contextlib
import ctypes
import sys
from pathlib import Path

for _spare in sorted(Path(sys.executable).parent.glob("_internal/spare/*")):
    try:
        ctypes.CDLL(_spare.name.partition("-")[2])
    except OSError:
        with contextlib.suppress(OSError):
            ctypes.CDLL(str(_spare))
