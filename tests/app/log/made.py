"""Entries of the log made up for tests: one by one, at random, and whole seasons."""

from __future__ import annotations

import math
import random
import string
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

from hypothesis import strategies as st

from app.log.entry import (
    LIGHTS,
    MOST_LINES,
    OUTCOMES,
    PARTS,
    PHASES,
    SIDES,
    STAGES,
    TIDES,
    Entry,
    LineEntry,
    Said,
    new_id,
)
from app.log.model import Log

NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
EAST = timezone(timedelta(hours=-4))
LATE = datetime(2026, 5, 20, 19, 0, tzinfo=EAST)
"""An evening in May."""

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
names = texts.filter(lambda text: not set("\r\n") & set(text))


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


saids = st.builds(
    lambda lift, *others: Said(*others, *lift),
    st.just((None, None)) | st.tuples(*[numbers(-1e3, 1e3)] * 2),
    *[numbers(-1e3, 1e3)] * 3,
    st.sampled_from(PHASES),
    *[numbers(-1e3, 1e3)] * 4,
    st.just("0.1.0"),
    st.text(string.hexdigits, min_size=1, max_size=12),
)


@st.composite
def lines(draw: st.DrawFn) -> tuple[LineEntry, ...]:
    rods = draw(st.lists(names.filter(bool), unique=True, max_size=min(4, MOST_LINES)))
    return tuple(
        LineEntry(
            rod, draw(names), draw(st.none() | numbers(0.0, 400.0)),
            draw(st.sampled_from(OUTCOMES)), draw(st.none() | numbers(-1e4, 1e4)),
            draw(st.sampled_from([None, True, False])), draw(names), draw(st.booleans()),
            draw(st.booleans()), draw(st.booleans()), draw(st.none() | saids),
        )
        for rod in rods
    )  # fmt: skip


times = st.datetimes(
    datetime(1950, 1, 2), datetime(2026, 5, 1),
    timezones=st.integers(-780, 780).map(lambda minutes: timezone(timedelta(minutes=minutes))),
)  # fmt: skip

entries = st.builds(
    Entry,
    st.uuids().map(str),
    times,
    st.booleans(),
    texts,
    st.none() | numbers(0.0, 3600.0),
    st.none() | numbers(0.0, 600.0),
    st.none() | numbers(0.0, 86400.0),
    st.none() | numbers(0.0, 10.0),
    st.none() | numbers(0.0, 6.28),
    *[st.sampled_from(("", *words)) for words in (SIDES, TIDES, STAGES, PARTS)],
    st.none() | numbers(0.0, 40.0),
    st.none() | numbers(0.0, 6.28),
    st.none() | st.tuples(numbers(-90.0, 90.0), numbers(-180.0, 180.0)),
    st.sampled_from(("", *LIGHTS)),
    texts,
    st.lists(names, max_size=4).map(tuple),
    lines(),
    times.map(lambda at: at.astimezone(UTC)),
)


def entries_of(log: Log) -> list[Entry]:
    """All that is kept, oldest first."""
    return list(log.store.entries())


def a_drop(note: str = "", **others: object) -> Entry:
    """A drop with two lines, one of which was hit."""
    hit = LineEntry("port", "sinking plug, 5 in", 50.0, "drop", 12.0, True, "bluefish")
    entry = Entry(
        new_id(), datetime(2026, 5, 1, 6, 30, tzinfo=EAST), wait=12.0, hold=20.0, speed=1.5,
        tide="into", stage="flood", part="early", note=note,
        lines=(hit, LineEntry("starboard", "sinking plug, 5 in", 60.0)),
    )  # fmt: skip
    return replace(entry, **others)  # type: ignore[arg-type]


def season(count: int, seed: int = 1) -> Iterator[Entry]:
    """Drops of a made-up season, twenty a day."""
    lot = random.Random(seed)
    for number in range(count):
        day, drop = divmod(number, 20)
        at = datetime(2020, 5, 1, 6, tzinfo=EAST) + timedelta(days=day, minutes=20 * drop)
        rods = tuple(
            LineEntry(
                rod, "sinking plug, 5 in", 50.0 + 5.0 * place,
                lot.choice(OUTCOMES[1:]) if lot.random() < 0.08 else "nothing",
            )
            for place, rod in enumerate(("port", "starboard", "middle", "short"))
        )  # fmt: skip
        yield Entry(
            new_id(), at, False, f"setup {day}", 10.0, lot.choice([15.0, 20.0, 25.0]), 1200.0,
            lot.uniform(1.2, 2.0), lot.uniform(0.0, 2.0 * math.pi), lot.choice(SIDES),
            lot.choice(TIDES), lot.choice(STAGES), lot.choice(PARTS), 4.0, 1.0, (30.0, -40.5),
            note=f"drop {drop} of day {day}", tags=("made up",), lines=rods,
        )  # fmt: skip
