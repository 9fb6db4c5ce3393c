"""What stands on a day's sheet: its time line, and a row a drop with what was different."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby, pairwise

from app.common.units import SECOND, Unit
from app.log import words
from app.log.as_typed import number_text
from app.log.differences import differences
from app.log.entry import Entry
from app.log.light import light_of
from physics.environment.sun import sun

MOST_ROWS = 60
"""Rows that can be read on one page; of a longer day those without a hit are counted."""

SUN_EVERY = timedelta(minutes=10)

LEFT_OUT = ("Day", "Time", "Note", "Setup")
"""Differences that need no words."""


@dataclass(frozen=True, slots=True)
class Row:
    """One drop or pass: its time, how it was done, what came of it, what was different."""

    entry: Entry
    done: str
    came: str
    different: str


@dataclass(frozen=True, slots=True)
class Stretch:
    """One of the tide's stages as it was told, from one entry to another."""

    start: datetime
    end: datetime
    word: str


@dataclass(frozen=True, slots=True)
class DaySheet:
    """All of a day, oldest first. ``sun`` holds times, heights and bearings, rad, where a place
    is known; ``left_out`` counts the drops without a hit that have no row."""

    day: str
    told: str
    start: datetime
    end: datetime
    entries: tuple[Entry, ...]
    tide: tuple[Stretch, ...]
    sun: tuple[tuple[datetime, float, float], ...]
    rows: tuple[Row, ...]
    left_out: int


def day_sheet(entries: Sequence[Entry], speed: Unit, length: Unit) -> DaySheet:
    """The sheet of a day's entries, at least one."""
    kept = tuple(sorted(entries, key=lambda entry: entry.at))
    start = kept[0].at.replace(minute=0, second=0, microsecond=0)
    end = kept[-1].at.astimezone(start.tzinfo) + timedelta(minutes=1)
    end = end.replace(minute=0, second=0, microsecond=0) + timedelta(hours=1)
    before = dict(zip((e.id for e in kept), (None, *kept), strict=False))
    shown = kept if len(kept) <= MOST_ROWS else tuple(e for e in kept if e.hits)[:MOST_ROWS]
    rows = tuple(_row(entry, before[entry.id], speed, length) for entry in shown)
    hits, landed = sum(e.hits for e in kept), sum(e.landed for e in kept)
    many = words.counted(len(kept), "drop or pass", "drops and passes")
    rehearsed = sum(e.rehearsal for e in kept)
    told = f"{many}, {words.counted(hits, 'hit')}, {landed} landed"
    told += f"; {rehearsed} rehearsed only" if rehearsed else ""
    return DaySheet(
        kept[0].at.date().isoformat(), told, start, end, kept, _tide(kept), _sun(kept, start, end),
        rows, len(kept) - len(shown),
    )  # fmt: skip


def _row(entry: Entry, before: Entry | None, speed: Unit, length: Unit) -> Row:
    parts = [
        f"wait {number_text(entry.wait, SECOND, 0)} s" if entry.wait is not None else "",
        f"hold {number_text(entry.hold, SECOND, 0)} s" if entry.hold else "no drop"
        if entry.hold == 0.0 else "",
        speed.text(entry.speed, 1) if entry.speed is not None else "",
        words.SIDE[entry.side] if entry.side else "",
        words.TIDE[entry.tide] if entry.tide else "",
        words.stage_of(entry),
        words.LIGHT[light_of(entry)] if light_of(entry) else "",
    ]  # fmt: skip
    hit = [f"{line.rod}: {words.line_in_words(line)}" for line in entry.lines
           if line.hit or line.fouled or line.weed or line.touched]  # fmt: skip
    return Row(
        entry,
        ", ".join(part for part in parts if part),
        "; ".join(hit) or "nothing",
        "" if before is None else _different(before, entry, speed, length),
    )


def _different(before: Entry, entry: Entry, speed: Unit, length: Unit) -> str:
    """What was done otherwise than the time before."""
    found = differences(before, entry, speed, length)
    told = [
        f"{_called(each.what)}{each.second}, was {each.first}"
        for each in found
        if each.what not in LEFT_OUT and not each.what.endswith(("what came", "the model"))
    ]
    return "; ".join(told) or "as before"


def _called(what: str) -> str:
    """What a difference is in, where its words do not say so themselves."""
    if what in ("Side of the rip", "Heading", "Tide", "Light"):
        return ""
    return f"{what.lower() if what in _OWN else what} "


_OWN = ("Kind", "Wait", "Hold", "Speed", "Course", "Wind", "Place", "Tags")
"""Words of the form; others begin with the name of a line."""


def _tide(entries: Sequence[Entry]) -> tuple[Stretch, ...]:
    """Each stage from its first entry to the next one's first."""
    out: list[Stretch] = []
    for word, group in groupby(entries, key=words.stage_of):
        some = list(group)
        out.append(Stretch(some[0].at, some[-1].at, word))
    joined = [Stretch(a.start, b.start, a.word) for a, b in pairwise(out)]
    return tuple(each for each in (*joined, *out[-1:]) if each.word)


def _sun(
    entries: Sequence[Entry], start: datetime, end: datetime
) -> tuple[tuple[datetime, float, float], ...]:
    place = next((entry.place for entry in entries if entry.place is not None), None)
    if place is None:
        return ()
    times = [start + number * SUN_EVERY for number in range(int((end - start) / SUN_EVERY) + 1)]
    seen = sun([time.timestamp() for time in times], *place)
    return tuple(zip(times, seen.height.tolist(), seen.bearing.tolist(), strict=True))
