"""A look at something in a process of its own, which it may take down with it."""

from __future__ import annotations

import multiprocessing
import re
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Any

from app.common.error_line import in_a_line

PATIENCE = 120.0
"""Seconds a part tried in another process may take; a busy machine needs some five."""

Tell = Callable[[str], None]
"""Takes the last words of a process."""

AGAIN = "Install Leadfall again."


def remedy(said: str) -> str:
    """What to do about what went wrong: Linux names a library that the system lacks."""
    lacks = re.search(r"(\S+\.so[.\d]*): cannot open shared object file", said)
    if lacks is None:
        return AGAIN
    return f"Have {lacks[1]} installed: README has the packages of Debian and Ubuntu."


class NotOk(Exception):
    """What is wrong, and what to do."""


def apart(do: Callable[[Tell], Any]) -> Any:
    """What ``do`` gives in a process of its own, which may end as it likes. Raises NotOk."""
    spawn = multiprocessing.get_context("spawn")
    line, far = spawn.Pipe(duplex=False)
    process = spawn.Process(target=_send, args=(far, do), daemon=True)
    process.start()
    far.close()
    try:
        if not line.poll(PATIENCE):
            raise NotOk(f"no answer within {PATIENCE:.0f} s. Close other programs, and try again.")
        wrong, given = line.recv()
    except (EOFError, OSError) as error:
        process.join(PATIENCE)
        raise NotOk(f"the process ended by itself (code {process.exitcode}). {AGAIN}") from error
    finally:
        process.kill()
        process.join()
        line.close()
    if wrong:
        raise NotOk(f"it failed ({given}). {remedy(given)}")
    return given


def _send(line: Connection, do: Callable[[Tell], Any]) -> None:
    def tell(words: str) -> None:
        line.send((True, words))

    try:
        line.send((False, do(tell)))
    except Exception as error:
        tell(in_a_line(error))
