"""NMEA 0183 logs, read as they stream by: RMC, GGA, GLL, VTG, DBT, DBS, DPT, MWV.

Field meanings follow the descriptions that receiver and sounder makers publish (the
standard itself is sold; not read). Parsed here and not by a library: of two tried on the
same 5 MB, the well-kept pynmeagps 1.1.8 took 7.1 s, 140 s for a log of 100 MB where 30 s are
allowed, and pynmea2 1.19 0.75 s before a single field was turned into a number. Checksums,
sentence kinds and cuts are found a block at a time with numpy; only good sentences of the
eight kinds are then looked at one by one.
"""

from __future__ import annotations

from array import array
from datetime import date
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.common.bad_input import BadInput
from app.common.units import FATHOM, FOOT, KILOMETER_PER_HOUR, KNOT, METER_PER_SECOND, MILE_PER_HOUR
from app.ground.tracks.blocks import utf8_blocks
from app.ground.tracks.clean import cleaned
from app.ground.tracks.log import DepthFrom, GroundLog, Raw
from app.ground.tracks.report import Report
from physics.progress import ProgressCallback

Array = NDArray[np.float64]

ALLOWED = "an NMEA 0183 log with RMC, GGA or GLL sentences"

PLACES = ("RMC", "GGA", "GLL")
"""Kinds of sentence with a place, the one that says most first."""

KINDS = (*PLACES, "VTG", "DPT", "DBT", "DBS", "MWV")

CHECKED = 0.1
"""A log in which a smaller share of sentences has a checksum is taken as one without."""

SILENT = 3.0
"""A second instrument is heard where the first is silent for longer, s."""

LONGEST_LINE = 4096
DAY = 86400.0

FIRST_DATED = 2.0 * DAY
"""In a log with dates what is earlier was said before the first of them, s since 1970."""

_CODES = np.array([int.from_bytes(kind.encode("ascii"), "big") for kind in KINDS])
_HEX = np.full(256, 255, dtype=np.uint8)
for _digit in range(16):
    _HEX[[ord(f"{_digit:x}"), ord(f"{_digit:X}")]] = _digit

_MWV_SPEED = {b"N": KNOT, b"K": KILOMETER_PER_HOUR, b"M": METER_PER_SECOND, b"S": MILE_PER_HOUR}


def read_nmea(path: Path, progress: ProgressCallback | None = None) -> GroundLog:
    """A cleaned track. ``progress`` hears the share done. Raises BadInput, Cancelled."""
    report = Report()
    tape = _Tape(report)
    left = b""
    for block in utf8_blocks(path, progress):
        text = left + block
        end = text.rfind(b"\n") + 1 or text.rfind(b"\r") + 1
        left = text[end:]
        tape.feed(text[:end])
        if len(left) > LONGEST_LINE:
            left = left[-LONGEST_LINE:]
    tape.feed(left)
    if not tape.fixes():
        raise BadInput(str(path), "", None, ALLOWED, "has no places")
    return cleaned(tape.raw(), path.name, report, progress)


class _Tape:
    """What was said so far, by talker and kind."""

    def __init__(self, report: Report) -> None:
        self._report = report
        self._said: dict[str, array[float]] = {}
        self._checked: bool | None = None
        self._day, self._last, self._now = 0.0, float("nan"), float("nan")
        self._days: dict[bytes, float] = {}
        self._hear = {kind: getattr(self, f"_{kind.lower()}") for kind in KINDS}

    def feed(self, text: bytes) -> None:
        """Take whole lines. Sentences of other kinds pass unheard."""
        raw = np.frombuffer(text, dtype=np.uint8)
        starts = np.flatnonzero(raw == ord("$"))
        starts = starts[starts + 7 < len(raw)]
        if not len(starts):
            return
        kind = (raw[starts + 3].astype(np.int64) << 16) | (raw[starts + 4].astype(np.int64) << 8)
        kind |= raw[starts + 5]
        ours = np.isin(kind, _CODES) & (raw[starts + 6] == ord(","))
        ends = np.flatnonzero((raw == 10) | (raw == 13) | (raw == ord("$")))
        ends = np.append(ends, len(raw))
        stop = ends[np.searchsorted(ends, starts, side="right")]
        stars = np.append(np.flatnonzero(raw == ord("*")), len(raw))
        star = stars[np.searchsorted(stars, starts)]
        whole = star + 2 < stop
        if self._checked is None and ours.any():
            self._checked = bool(whole[ours].mean() >= CHECKED)
        starts, stop, star, whole = starts[ours], stop[ours], star[ours], whole[ours]
        self._report.read += len(starts)
        if self._checked:
            xor = np.bitwise_xor.accumulate(raw)
            star_in = np.where(whole, star, 1)
            said = (_HEX[raw[star_in + 1]] << 4) | (
                _HEX[raw[np.minimum(star_in + 2, len(raw) - 1)]]
            )
            right = said == (xor[star_in - 1] ^ xor[starts])
            self._report.leave("cut", int((~whole).sum()))
            self._report.leave("bad_checksum", int((whole & ~right).sum()))
            keep = whole & right
            starts, stop = starts[keep], star[keep]
        else:
            stop = np.minimum(stop, star)
        hear = self._hear
        for a, b in zip(starts.tolist(), stop.tolist(), strict=True):
            words = text[a + 1 : b].split(b",")
            head = words[0].decode("ascii", "replace")
            try:
                hear[head[2:]](head, words)
            except (KeyError, ValueError, IndexError, OverflowError):
                self._report.leave("unreadable")

    def _keep(self, head: str, *values: float) -> None:
        if head not in self._said:
            self._said[head] = array("d")
        self._said[head].extend(values)

    def _clock(self, word: bytes) -> float:
        """The time of a time of day on the day nearest to the last time heard."""
        time = self._day + _second_of_day(word)
        if time < self._last - 0.5 * DAY:
            time += DAY
        elif time > self._last + 0.5 * DAY:
            time -= DAY
        return time

    def _heard(self, time: float) -> None:
        self._last = self._now = time
        self._day = time - time % DAY

    def _rmc(self, head: str, words: list[bytes]) -> None:
        if words[2] != b"A":
            self._report.leave("no_fix")
            return
        if dated := words[9]:
            if dated not in self._days:
                self._days[dated] = _day_of(dated)
            clock = self._days[dated] + _second_of_day(words[1])
        else:
            clock = self._clock(words[1])
        lat, lon = _degrees(words[3], words[4], b"NS"), _degrees(words[5], words[6], b"EW")
        self._heard(clock)
        self._keep(head, clock, lat, lon, _or_nan(words[7]), _or_nan(words[8]))

    def _gga(self, head: str, words: list[bytes]) -> None:
        if words[6] in (b"0", b""):
            self._report.leave("no_fix")
            return
        clock = self._clock(words[1])
        lat, lon = _degrees(words[2], words[3], b"NS"), _degrees(words[4], words[5], b"EW")
        self._heard(clock)
        self._keep(head, clock, lat, lon, float("nan"), float("nan"))

    def _gll(self, head: str, words: list[bytes]) -> None:
        if len(words) < 6 or not words[5]:
            self._report.leave("no_time")
            return
        if words[6:7] == [b"V"]:
            self._report.leave("no_fix")
            return
        clock = self._clock(words[5])
        lat, lon = _degrees(words[1], words[2], b"NS"), _degrees(words[3], words[4], b"EW")
        self._heard(clock)
        self._keep(head, clock, lat, lon, float("nan"), float("nan"))

    def _vtg(self, head: str, words: list[bytes]) -> None:
        self._keep(head, self._now, _or_nan(words[5]), _or_nan(words[1]))

    def _dpt(self, head: str, words: list[bytes]) -> None:
        offset = float(words[2]) if len(words) > 2 and words[2].strip() else 0.0
        below = float(words[1])
        if below <= 0.0:
            self._report.leave("no_depth")
            return
        # a positive offset is the transducer under the surface, a negative one the keel under it
        name = f"{head}+" if offset > 0.0 else head
        self._keep(name, self._now, below + max(offset, 0.0))

    def _dbt(self, head: str, words: list[bytes]) -> None:
        self._keep(head, self._now, _depth(words))

    def _dbs(self, head: str, words: list[bytes]) -> None:
        self._keep(head, self._now, _depth(words))

    def _mwv(self, head: str, words: list[bytes]) -> None:
        if words[5][:1] == b"A":
            if words[4] not in _MWV_SPEED:
                raise ValueError
            speed = _MWV_SPEED[words[4]].to_si(float(words[3]))
            self._keep(head, self._now, float(words[1]), speed, float(words[2] == b"T"))

    def fixes(self) -> bool:
        """Whether any place was heard."""
        return any(head[2:] in PLACES for head in self._said)

    def raw(self) -> Raw:
        """Everything heard, each thing from one instrument."""
        # a receiver says one place in several kinds of sentence; mixed they would only jitter
        found = [self._of(kind, 5) for kind in PLACES]
        fixes = next(rows for rows in found if len(rows) >= 0.5 * max(map(len, found)))
        if self._days:
            early = fixes[:, 0] < FIRST_DATED
            self._report.leave("no_time", int(early.sum()))
            fixes = fixes[~early]
        time, lat, lon, speed, course = fixes.T
        speed = KNOT.to_si(speed)
        vtg = self._of("VTG", 3)
        if np.isnan(speed).all() and len(vtg) > 1:
            order = np.argsort(vtg[:, 0], kind="stable")
            speed = np.interp(time, vtg[order, 0], KNOT.to_si(vtg[order, 1]))
            course = vtg[order, 2][np.clip(np.searchsorted(vtg[order, 0], time), 0, len(vtg) - 1)]
        depths, depth_from = self._depths()
        winds = self._of("MWV", 4)
        over_water = winds[:, 3] > 0.5
        if over_water.any():
            winds = winds[over_water]
        return Raw(time, lat, lon, speed, course, depths, winds, bool(self._days), depth_from)

    def _depths(self) -> tuple[Array, DepthFrom]:
        """The depths of the kind most often sent; alike, the one that says most."""
        found: list[tuple[int, int, Array, DepthFrom]] = []
        kinds: tuple[tuple[str, DepthFrom], ...] = (
            ("DPT+", "surface"), ("DBS", "surface"), ("DPT", "transducer"), ("DBT", "transducer"),
        )  # fmt: skip
        for rank, (kind, depth_from) in enumerate(kinds):
            rows = self._of(kind, 2)
            if len(rows):
                found.append((len(rows), -rank, rows, depth_from))
        if not found:
            return np.zeros((0, 2)), "none"
        most = max(count for count, *_ in found)
        best = max((one for one in found if one[0] >= 0.9 * most), key=lambda one: one[1])
        return best[2], best[3]

    def _of(self, kind: str, width: int) -> Array:
        """Rows (n, width) of one kind, timed; a second talker only where the first is silent."""
        tables = [
            np.frombuffer(values).reshape(-1, width)
            for head, values in self._said.items()
            if head[2:] == kind
        ]
        tables.sort(key=len, reverse=True)
        if not tables:
            return np.zeros((0, width))
        best = _timed(tables[0], self._report)
        for rows in tables[1:]:
            more = _timed(rows, self._report)
            when = np.sort(best[:, 0])
            at = np.searchsorted(when, more[:, 0])
            if len(when):
                gap = np.minimum(
                    np.abs(more[:, 0] - when[np.minimum(at, len(when) - 1)]),
                    np.abs(more[:, 0] - when[np.maximum(at - 1, 0)]),
                )
            else:
                gap = np.full(len(more), np.inf)
            self._report.leave("other_talker", int((gap <= SILENT).sum()))
            best = np.concatenate([best, more[gap > SILENT]])
        return best


def _timed(rows: Array, report: Report) -> Array:
    """Rows that came after some fix."""
    good = np.isfinite(rows[:, 0])
    report.leave("no_time", int((~good).sum()))
    out: Array = rows[good]
    return out


def _degrees(word: bytes, side: bytes, sides: bytes) -> float:
    """Degrees of ddmm.mmmm and a hemisphere. Raises ValueError."""
    point = word.find(b".")
    whole = len(word) if point < 0 else point
    degrees = float(word[: whole - 2]) + float(word[whole - 2 :]) / 60.0
    if len(side) != 1 or side not in sides or whole < 3:
        raise ValueError
    return degrees if side == sides[:1] else -degrees


def _second_of_day(word: bytes) -> float:
    """Seconds since midnight of hhmmss.ss. Raises ValueError."""
    hour, minute, second = int(word[:2]), int(word[2:4]), float(word[4:])
    if not (0 <= hour < 24 and 0 <= minute < 60 and 0.0 <= second < 61.0):
        raise ValueError
    return 3600.0 * hour + 60.0 * minute + second


def _day_of(word: bytes) -> float:
    """Seconds from 1970 to the start of the day ddmmyy. Raises ValueError."""
    day, month, year = int(word[:2]), int(word[2:4]), int(word[4:6])
    century = 1900 if year >= 80 else 2000
    return DAY * (date(century + year, month, day).toordinal() - date(1970, 1, 1).toordinal())


def _or_nan(word: bytes) -> float:
    return float(word) if word else float("nan")


def _depth(words: list[bytes]) -> float:
    """Meters of DBT or DBS: from meters, else feet, else fathoms. Raises ValueError."""
    if words[3]:
        return float(words[3])
    return FOOT.to_si(float(words[1])) if words[1] else FATHOM.to_si(float(words[5]))
