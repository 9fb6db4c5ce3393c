"""GeoJSON tracks of crowd-sourced bathymetry (IHO B-12), read as they stream by.

A FeatureCollection of points, each with its depth, m, and its time; "Crowdsourced Bathymetry File
Formats for Submission to the IHO Data Center for Digital Bathymetry", version 3.0 of 7 April 2022
(READ), and the schema of 3.1 (READ), which moved the metadata. One feature after another is
decoded, because a tree of the whole takes ten times the file.
"""

from __future__ import annotations

import codecs
import json
import re
from array import array
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from app.common.bad_input import BadInput
from app.ground.tracks.blocks import utf8_blocks
from app.ground.tracks.clean import cleaned
from app.ground.tracks.instant import NotATime, seconds_of
from app.ground.tracks.log import DepthFrom, GroundLog, Raw
from app.ground.tracks.report import Report
from physics.progress import ProgressCallback

ALLOWED = "crowd-sourced bathymetry as GeoJSON (points with depth and time)"

LONGEST_VALUE = 4_000_000
"""Characters of one feature, or of all the metadata."""

REFERENCES: dict[object, DepthFrom] = {"transducer": "transducer", "waterline": "surface"}
"""What a file says its depths are from."""

_SPACE = re.compile(r"[ \t\r\n]*")


def read_geojson(path: Path, progress: ProgressCallback | None = None) -> GroundLog:
    """A cleaned track. ``progress`` hears the share done. Raises BadInput, Cancelled."""
    name, report = str(path), Report()
    text, points, told = _Text(utf8_blocks(path, progress)), _Points(report), dict[str, object]()
    try:
        for key in text.members():
            if key == "features":
                for feature in text.elements():
                    points.take(feature)
            else:
                told[key] = text.value()
    except _NotJson as error:
        if not points.rows:
            raise BadInput(name, "", None, ALLOWED, str(error)) from error
        report.remarks.append(f"{error}, after {report.read:,} points: read up to there")
    if "CSB" not in str(_said(told, "convention")):
        problem = "does not say that it is crowd-sourced bathymetry (convention: GeoJSON CSB)"
        raise BadInput(name, "", None, ALLOWED, problem)
    if not points.rows:
        raise BadInput(name, "", None, ALLOWED, "has no points with a time")
    time, lat, lon, depth = np.frombuffer(points.rows).reshape(-1, 4).T
    depths = np.stack([time, depth], axis=1)[np.isfinite(depth)]
    nothing = np.broadcast_to(np.nan, len(time))
    reference = _said(told, "verticalReferenceOfDepth") or _at(told, "crs", "vertical")
    depth_from = REFERENCES.get(str(reference).casefold(), "unknown")
    raw = Raw(time, lat, lon, nothing, nothing, depths, np.zeros((0, 4)), True, depth_from)
    return cleaned(raw, path.name, report, progress)


def _at(value: object, *keys: str) -> object:
    """What stands in tables within tables; None for nothing."""
    for key in keys:
        value = value.get(key) if isinstance(value, dict) else None
    return value


def _said(told: dict[str, object], key: str) -> object:
    """A word about the whole file, where 3.1 or 3.0 has it."""
    return _at(told, "properties", "trustedNode", key) or _at(told, "properties", key)


class _Points:
    """Rows of time, lat, lon, depth."""

    def __init__(self, report: Report) -> None:
        self.rows: array[float] = array("d")
        self._report = report

    def take(self, feature: object) -> None:
        """One feature; what is no timed point is counted as left out."""
        self._report.read += 1
        place = _at(feature, "geometry", "coordinates")
        time, depth = _at(feature, "properties", "time"), _at(feature, "properties", "depth")
        if not (
            _at(feature, "geometry", "type") == "Point"
            and isinstance(place, list)
            and len(place) in (2, 3)
            and all(isinstance(each, float) for each in place)
            and isinstance(depth, float | None)
        ):
            self._report.leave("unreadable")
        elif not isinstance(time, str):
            self._report.leave("no_time")
        else:
            try:
                when = seconds_of(time.upper())
            except NotATime:
                self._report.leave("unreadable")
                return
            self.rows.extend((when, place[1], place[0], float("nan") if depth is None else depth))


class _NotJson(Exception):
    """It goes on as no JSON does."""


class _Text:
    """The members of an object, and the elements of an array in it, as they come.

    Integers come as floats: what is read here is measured.
    """

    def __init__(self, blocks: Iterator[bytes]) -> None:
        self._blocks = blocks
        self._decoder = codecs.getincrementaldecoder("utf-8-sig")(errors="replace")
        self._json = json.JSONDecoder(parse_int=float)
        self._text, self._at = "", 0

    def members(self) -> Iterator[str]:
        """Names of an object's members; who hears one takes what it stands for."""
        self._take("{")
        while self._next() != "}":
            key = self.value()
            if not isinstance(key, str):
                raise _NotJson("is not GeoJSON")
            self._take(":")
            yield key
            if self._next() != "}":
                self._take(",")

    def elements(self) -> Iterator[object]:
        """The elements of an array."""
        self._take("[")
        while self._next() != "]":
            yield self.value()
            if self._next() != "]":
                self._take(",")
        self._take("]")

    def value(self) -> object:
        """The whole of what comes next."""
        self._next()
        while True:
            try:
                value, end = self._json.raw_decode(self._text, self._at)
                whole = end < len(self._text)
            except RecursionError as error:
                raise _NotJson("has values nested too deep") from error
            except ValueError:
                value, end, whole = None, self._at, False
            if not whole:
                if len(self._text) - self._at > LONGEST_VALUE:
                    raise _NotJson("has a value without end")
                if self._more():
                    continue
                if end == self._at:
                    raise _NotJson("breaks off")
            self._at = end
            return value

    def _next(self) -> str:
        """The next character that is no space, which stays. Raises _NotJson at the end."""
        while True:
            found = _SPACE.match(self._text, self._at)
            self._at = found.end() if found else self._at
            if self._at < len(self._text):
                return self._text[self._at]
            if not self._more():
                raise _NotJson("breaks off")

    def _take(self, wanted: str) -> None:
        if self._next() != wanted:
            raise _NotJson("is not GeoJSON")
        self._at += 1

    def _more(self) -> bool:
        """Read on; whether there was more."""
        block = next(self._blocks, None)
        if block is None:
            return False
        self._text = self._text[self._at :] + self._decoder.decode(block)
        self._at = 0
        return True
