"""CSV tracks, read as they stream by: columns for time, place, depth and speed.

Headings are found by their words, in any order; a unit stands in the heading of its column:
``Depth (ft)``, ``speed_kn``. A depth or speed whose heading names none is refused, because
feet taken for meters would look right. Times are ISO 8601, h:mm:ss, or seconds.

Crowd-sourced bathymetry of the IHO has headings without units, and depths in meters: they are
known by the whole of them (its XYZ files: "Crowdsourced Bathymetry File Formats for Submission to
the IHO Data Center for Digital Bathymetry", version 3.0 of 7 April 2022; those of its archive:
"Crowdsourced Bathymetry in the NOAA Open Data Dissemination Program"; both READ). An archive's
file may hold many vessels: the one with most lines is taken.
"""

from __future__ import annotations

import codecs
import re
from array import array
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from app.common.bad_input import BadInput
from app.common.csv_read import LENGTHS, SPEEDS, delimiter_of, rows_of, units_named, words_of
from app.common.units import METER, Unit
from app.ground.tracks.blocks import utf8_blocks
from app.ground.tracks.clean import cleaned
from app.ground.tracks.instant import second_of_day, seconds_of
from app.ground.tracks.log import GroundLog, Raw
from app.ground.tracks.report import Report
from physics.progress import ProgressCallback

ALLOWED = "a CSV file with headings for time, latitude and longitude"

WORDS = {
    "time": ("time", "timestamp", "datetime", "utc", "date", "seconds"),
    "lat": ("lat", "latitude"),
    "lon": ("lon", "lng", "long", "longitude"),
    "depth": ("depth", "sounder", "bottom"),
    "speed": ("speed", "sog"),
}
"""Words in a heading that tell what its column is."""

MEASURED = {"depth": LENGTHS, "speed": SPEEDS}

SHARED = (
    "LON,LAT,DEPTH,TIME",
    "LAT,LON,DEPTH,TIME",
    "UNIQUE_ID,FILE_UUID,LON,LAT,DEPTH,TIME,PLATFORM_NAME,PROVIDER",
)
"""The headings of crowd-sourced bathymetry."""

VESSEL = "UNIQUE_ID"

DAY = 86400.0
SINCE_1970 = 1e8
"""Seconds beyond this count from 1970, not from some start; beyond a thousand times it they
are of the next smaller unit: ms, us, ns."""

MOST_SECONDS = 1e11
"""No time is later than this."""

LONGEST_LINE = 100_000


def read_csv(path: Path, progress: ProgressCallback | None = None) -> GroundLog:
    """A cleaned track. ``progress`` hears the share done. Raises BadInput, Cancelled."""
    name, report = str(path), Report()
    lines = _lines(path, progress)
    first = next((line for line in lines if line.strip()), "")
    delimiter = delimiter_of([first])
    headings = next(rows_of([first], delimiter, name, ALLOWED), (1, []))[1]
    shared = ",".join(headings) in SHARED
    if shared:
        report.remarks.append("headings are those of crowd-sourced bathymetry: depths are meters")
    columns = _columns(headings, name, shared)
    vessel = headings.index(VESSEL) if shared and VESSEL in headings else None
    vessels, whose = dict[str, int](), array("q")
    clock = _Clock()
    rows: array[float] = array("d")
    decimal_comma = delimiter == ";"
    for _, cells in rows_of(lines, delimiter, name, ALLOWED, first=2):
        report.read += 1
        try:
            rows.extend(_row(cells, columns, clock, decimal_comma))
        except (ValueError, IndexError):
            report.leave("unreadable")
            continue
        if vessel is not None:
            whose.append(vessels.setdefault(cells[vessel], len(vessels)))
    if not rows:
        raise BadInput(name, "", None, ALLOWED, "has no lines that can be used")
    table = np.frombuffer(rows).reshape(-1, 5)
    if len(vessels) > 1:
        ours = np.bincount(whose).argmax() == whose
        report.leave("other_vessel", int((~ours).sum()))
        table = table[ours]
    time, lat, lon, depth, speed = table.T
    depths = np.stack([time, depth], axis=1)[np.isfinite(depth)]
    nothing = np.broadcast_to(np.nan, len(time))
    raw = Raw(time, lat, lon, speed, nothing, depths, np.zeros((0, 4)), clock.dated, "unknown")
    return cleaned(raw, path.name, report, progress)


class _Clock:
    """Reads times of a file's own way, and counts days where it gives none."""

    def __init__(self) -> None:
        self.dated = True
        self._day, self._last = 0.0, 0.0

    def read(self, text: str) -> float:
        """Seconds. Raises ValueError."""
        if text[4:5] == "-":
            return seconds_of(text)
        if re.fullmatch(r"\d+([.,]\d+)?", text):
            seconds = float(text.replace(",", "."))
            while 1000.0 * SINCE_1970 < seconds < 1e20:
                seconds *= 1e-3
            if seconds > MOST_SECONDS:
                raise ValueError
            self.dated = self.dated and seconds > SINCE_1970
            return seconds
        if "-" in text or "/" in text or "T" in text:
            return seconds_of(text.replace("/", "-"))
        self.dated = False
        time = self._day + second_of_day(text)
        if time < self._last - 0.5 * DAY:
            self._day += DAY
            time += DAY
        self._last = time
        return time


def _lines(path: Path, progress: ProgressCallback | None) -> Iterator[str]:
    """Lines of text. Raises BadInput."""
    decoder = codecs.getincrementaldecoder("utf-8-sig")(errors="replace")
    left = ""
    for block in utf8_blocks(path, progress):
        text = left + decoder.decode(block)
        if "\0" in text:
            raise BadInput(str(path), "", None, ALLOWED, "is not text")
        *whole, left = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
        if max(map(len, (*whole, left))) > LONGEST_LINE:
            raise BadInput(str(path), "", None, ALLOWED, "has a line without end")
        yield from whole
    if left:
        yield left


def _columns(headings: Sequence[str], name: str, meters: bool) -> dict[str, tuple[int, Unit]]:
    """Number and unit of each column that is used; ``meters`` where it is known without being said.

    Raises BadInput.
    """
    out: dict[str, tuple[int, Unit]] = {}
    for number, heading in enumerate(headings):
        words = words_of(heading)
        kind = next((k for k, known in WORDS.items() if any(w in known for w in words)), None)
        if kind is None or kind in out:
            continue
        unit = METER
        if kind in MEASURED:
            named = [unit for unit in units_named(words) if unit in MEASURED[kind]]
            named = named or [METER] * meters
            if not named:
                allowed = ", ".join(u.symbol for u in MEASURED[kind] if u.symbol)
                raise BadInput(name, heading, None, f"a unit in the heading: {allowed}",
                               "names no unit")  # fmt: skip
            unit = named[-1]
        out[kind] = number, unit
    missing = [kind for kind in ("time", "lat", "lon") if kind not in out]
    if missing:
        word = {"time": "time", "lat": "latitude", "lon": "longitude"}[missing[0]]
        raise BadInput(name, "", None, ALLOWED, f"has no column for {word}")
    return out


def _row(
    cells: Sequence[str], columns: dict[str, tuple[int, Unit]], clock: _Clock, decimal_comma: bool
) -> tuple[float, ...]:
    """Time, lat, lon, depth, speed. Raises ValueError, IndexError."""

    measured = []
    for kind in MEASURED:
        value = float("nan")
        if kind in columns:
            at, unit = columns[kind]
            if text := cells[at].strip():
                value = unit.to_si(float(text.replace(",", ".") if decimal_comma else text))
        measured.append(value)
    return (
        clock.read(cells[columns["time"][0]].strip()),
        _place(cells[columns["lat"][0]], decimal_comma),
        _place(cells[columns["lon"][0]], decimal_comma),
        *measured,
    )


def _place(text: str, decimal_comma: bool) -> float:
    """Degrees, with a sign or a letter for the side. Raises ValueError."""
    try:
        return float(text)
    except ValueError:
        pass
    text = text.strip().upper().replace("°", "")
    if decimal_comma:
        text = text.replace(",", ".")
    sign = 1.0
    if text[-1:] in "NSEW" and text:
        sign, text = (-1.0 if text[-1] in "SW" else 1.0), text[:-1].strip()
    return sign * float(text)
