"""A recorded track from any kind of file that is known."""

from __future__ import annotations

import re
from pathlib import Path

from app.common.bad_input import BadInput
from app.ground.tracks.blocks import ALLOWED, utf8_blocks
from app.ground.tracks.csv import read_csv
from app.ground.tracks.geojson import read_geojson
from app.ground.tracks.gpx import read_gpx
from app.ground.tracks.log import GroundLog
from app.ground.tracks.nmea import read_nmea
from physics.progress import ProgressCallback

_SENTENCE = re.compile(rb"[$!][A-Z]{2}[A-Z]{3},")


def read_ground(path: Path, progress: ProgressCallback | None = None) -> GroundLog:
    """A cleaned track; the kind of file is told by what is in it, not by its name.

    ``progress`` hears the share done and stops the work by answering True. Raises BadInput,
    Cancelled.
    """
    start = next(utf8_blocks(path), b"")
    if not start.strip():
        raise BadInput(str(path), "", None, ALLOWED, "is empty")
    head = start[:65536]
    begins = head.lstrip(b"\xef\xbb\xbf \t\r\n")[:1]
    if begins == b"<":
        return read_gpx(path, progress)
    if begins == b"{":
        return read_geojson(path, progress)
    if _SENTENCE.search(head):
        return read_nmea(path, progress)
    return read_csv(path, progress)
