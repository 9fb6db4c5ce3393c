"""GPX tracks, read as they stream by, with depths where a plotter writes them.

Parsed with the standard library's expat and not by gpxpy 1.6.2, which parses the whole file
into a tree first (its parser.py reads it into one string and that into one element). A
document type is refused before anything in it is expanded: no GPX needs one, and entities
that multiply hide in one. GPX 1.0 and 1.1 have no depth; plotters write it under
``extensions`` as some element named depth, in meters, and speed as one named speed, in m/s.
"""

from __future__ import annotations

from array import array
from pathlib import Path
from xml.parsers.expat import ExpatError, ParserCreate

import numpy as np

from app.common.bad_input import BadInput
from app.ground.tracks.blocks import blocks
from app.ground.tracks.clean import cleaned
from app.ground.tracks.instant import NotATime, seconds_of
from app.ground.tracks.log import GroundLog, Raw
from app.ground.tracks.report import Report
from physics.progress import ProgressCallback

ALLOWED = "a GPX file with a recorded track (trkpt with time)"

DEPTHS = ("depth", "waterdepth", "water_depth")
LONGEST_WORD = 64

LONGEST_TAG = 4_000_000
"""Bytes of one tag or comment; expat looks all through it again with every block."""

DEEPEST = 100
"""Elements within elements; GPX itself has five."""


def read_gpx(path: Path, progress: ProgressCallback | None = None) -> GroundLog:
    """A cleaned track. ``progress`` hears the share done. Raises BadInput, Cancelled."""
    report = Report()
    points = _Points(report)
    name, fed = str(path), 0
    try:
        for block in blocks(path, progress):
            points.parser.Parse(block, False)
            fed += len(block)
            if fed - points.parser.CurrentByteIndex > LONGEST_TAG:
                raise _Endless(f"line {points.parser.CurrentLineNumber} has a tag without end")
        points.parser.Parse(b"", True)
    except ExpatError as error:
        if not points.rows:
            problem = f"line {error.lineno} is not GPX"
            raise BadInput(name, "", None, ALLOWED, problem) from error
        report.remarks.append(f"the file breaks off at line {error.lineno}: read up to there")
    except _Endless as error:
        if not points.rows:
            raise BadInput(name, "", None, ALLOWED, str(error)) from error
        report.remarks.append(f"{error}: read up to there")
    except _Refused as error:
        raise BadInput(name, "", None, ALLOWED, str(error)) from error
    except (LookupError, ValueError) as error:
        problem = f"is in an encoding that cannot be read ({error})"
        raise BadInput(name, "", None, ALLOWED, problem) from error
    if not points.rows:
        raise BadInput(name, "", None, ALLOWED, "has no recorded track")
    table = np.frombuffer(points.rows).reshape(-1, 5)
    time, lat, lon, depth, speed = table.T
    depths = np.stack([time, depth], axis=1)[np.isfinite(depth)]
    nothing = np.broadcast_to(np.nan, len(time))
    raw = Raw(time, lat, lon, speed, nothing, depths, np.zeros((0, 4)), True, "unknown")
    return cleaned(raw, path.name, report, progress)


class _Refused(Exception):
    """The file has something in it that no GPX needs."""


class _Endless(Exception):
    """A tag goes on and on."""


class _Points:
    """Track points as they come: rows of time, lat, lon, depth, speed."""

    def __init__(self, report: Report) -> None:
        self.rows: array[float] = array("d")
        self._report = report
        self._point: list[float] | None = None
        self._word: list[str] | None = None
        self._odd = False
        self._depth = 0
        self.parser = ParserCreate()
        self.parser.buffer_text = True
        self.parser.StartDoctypeDeclHandler = _no_document_type
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        if self._depth > DEEPEST:
            raise _Refused(f"has elements more than {DEEPEST} deep")
        tag = tag.rpartition(":")[2].lower()
        if tag == "trkpt":
            self._report.read += 1
            self._odd = False
            try:
                place = float(attributes["lat"]), float(attributes["lon"])
            except (KeyError, ValueError):
                place, self._odd = (float("nan"), float("nan")), True
            self._point = [float("nan"), *place, float("nan"), float("nan")]
        elif self._point is not None and (tag in ("time", "speed") or tag in DEPTHS):
            self._word = []

    def _text(self, text: str) -> None:
        if self._word is not None and len(self._word) < LONGEST_WORD:
            self._word.append(text[:LONGEST_WORD])

    def _end(self, tag: str) -> None:
        self._depth -= 1
        tag = tag.rpartition(":")[2].lower()
        point = self._point
        if point is None:
            return
        if tag == "trkpt":
            if self._odd:
                self._report.leave("unreadable")
            elif np.isnan(point[0]):
                self._report.leave("no_time")
            else:
                self.rows.extend(point)
            self._point = None
        elif self._word is not None:
            word, self._word = "".join(self._word).strip(), None
            try:
                if tag == "time":
                    point[0] = seconds_of(word)
                else:
                    point[4 if tag == "speed" else 3] = float(word)
            except (ValueError, NotATime):
                self._odd = True


def _no_document_type(*_: object) -> None:
    raise _Refused("has a document type, which no GPX needs")
