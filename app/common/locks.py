"""One writer at a time for what all windows of the program share."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import BaseFileLock, FileLock, Timeout

from app.common.bad_input import BadInput
from app.common.files import WRITABLE, make_folder

WAIT_S = 2.0
"""Another window is waited for this long; it writes for some milliseconds."""


def lock_of(path: Path) -> BaseFileLock:
    """The lock that goes with a file. The system lets it go with its process, however that ends."""
    return FileLock(path.with_name(f".{path.name}.lock"), poll_interval=0.01)


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Nobody else writes a file of the user's folder meanwhile. Raises BadInput."""
    make_folder(path.parent)
    if not os.access(path.parent, os.W_OK):
        raise BadInput(str(path), "", None, WRITABLE, "is in a write-protected folder")
    lock = lock_of(path)
    try:
        lock.acquire(timeout=WAIT_S)
    except Timeout as error:
        problem = "is being written by another window of Leadfall"
        raise BadInput(str(path), "", None, "trying again in a moment", problem) from error
    except OSError as error:
        problem = f"cannot be written ({error.strerror or 'unknown reason'})"
        raise BadInput(str(path), "", None, WRITABLE, problem) from error
    try:
        yield
    finally:
        lock.release()
