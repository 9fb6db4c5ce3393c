"""A large file in blocks, telling how far it is.

Depends on: bad_input; physics.holds.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from app.bad_input import BadInput
from physics.holds import Tell, pulse

LARGEST_LOG = 1_000_000_000
"""Bytes; ten seasons of a plotter's log."""

BLOCK = 1 << 20

ALLOWED = "an NMEA 0183 log, a GPX file or a CSV file of at most 1 GB"

READING = 0.9
"""Share of the work that reading is taken to be; cleaning is the rest."""


def blocks(path: Path, tell: Tell | None = None) -> Iterator[bytes]:
    """The bytes of a file, a megabyte at a time. Raises BadInput, holds.Stopped."""
    name = str(path)
    try:
        if not path.exists():
            raise BadInput(name, "", None, ALLOWED, "there is no such file")
        if not path.is_file():
            raise BadInput(name, "", None, ALLOWED, "is not an ordinary file")
        size = path.stat().st_size
        if size > LARGEST_LOG:
            raise BadInput(name, "", None, ALLOWED, "is too large")
        done = 0
        with path.open("rb") as file:
            while block := file.read(BLOCK):
                done += len(block)
                yield block
                pulse(tell, READING * min(done / max(size, 1), 1.0))
    except OSError as error:
        problem = f"cannot be read ({error.strerror or 'unknown reason'})"
        raise BadInput(name, "", None, ALLOWED, problem) from error
    except ValueError as error:
        raise BadInput(name, "", None, ALLOWED, "is not a file name") from error
