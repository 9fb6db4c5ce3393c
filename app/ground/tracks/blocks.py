"""A large file in blocks, as bytes or as UTF-8, telling how far it is."""

from __future__ import annotations

import codecs
from collections.abc import Iterator
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.files import exists
from physics.progress import ProgressCallback, report_progress

LARGEST_LOG = 1_000_000_000
"""Bytes; ten seasons of a plotter's log."""

BLOCK = 1 << 20

ALLOWED = "an NMEA 0183 log, or a GPX, CSV or GeoJSON file, of at most 1 GB"

UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
"""How a file of two bytes a letter begins."""

READING = 0.9
"""Share of the work that reading is taken to be; cleaning is the rest."""


def blocks(path: Path, progress: ProgressCallback | None = None) -> Iterator[bytes]:
    """The bytes of a file, a megabyte at a time. Raises BadInput, Cancelled."""
    name = str(path)
    try:
        if not exists(path):
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
                report_progress(progress, READING * min(done / max(size, 1), 1.0))
    except OSError as error:
        problem = f"cannot be read ({error.strerror or 'unknown reason'})"
        raise BadInput(name, "", None, ALLOWED, problem) from error
    except ValueError as error:
        raise BadInput(name, "", None, ALLOWED, "is not a file name") from error


def utf8_blocks(path: Path, progress: ProgressCallback | None = None) -> Iterator[bytes]:
    """As ``blocks``, a file that begins as UTF_16 turned to UTF-8; other bytes as they are.

    Raises BadInput, also for one in UTF-16 that does not say so.
    """
    decoder: codecs.IncrementalDecoder | None = None
    for number, block in enumerate(blocks(path, progress)):
        if number == 0 and block.startswith(UTF_16):
            decoder = codecs.getincrementaldecoder("utf-16")(errors="replace")
        elif number == 0 and _wide(block[:4096]):
            problem = "seems to be UTF-16 without the mark that says so: save it as UTF-8"
            raise BadInput(str(path), "", None, ALLOWED, problem)
        yield block if decoder is None else decoder.decode(block).encode("utf-8", "replace")


def _wide(head: bytes) -> bool:
    """Whether every other byte, and no other, is zero, as in plain text in UTF-16."""
    return any(
        head[k::2].count(0) > 0.9 * len(head[k::2]) and head[1 - k :: 2].count(0) == 0
        for k in (0, 1)
        if len(head) > 3
    )
