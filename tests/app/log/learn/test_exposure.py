import math
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.common.units import KNOT
from app.log.entry import Entry, LineEntry, Said, new_id
from app.log.learn.exposure import rows_of
from app.log.learn.findings import learn
from app.log.learn.job import learned_of
from app.log.learn.table import Columns
from app.log.store import Store
from tests.app.log.learn.row_by_row import row_by_row
from tests.app.log.made import entries

EAST = timezone(timedelta(hours=-4))
SAID = Said(8.0, 2.0, 2.1, "running", 1.2, 18.0, 9.0, 600.0, "0.1.0", "abc", 2.4, 1.5)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with closing(Store(tmp_path / "log.sqlite")) as made:
        yield made


def rows(store: Store, *kept: Entry) -> tuple[Columns, Columns]:
    """The rows of a log that holds these entries alone."""
    store.change([(old, None) for old in store.entries()])
    store.merge([replace(one, id=new_id()) for one in kept])
    return rows_of(store)


def entry(**changed) -> Entry:
    made = Entry(
        new_id(), datetime(2026, 5, 2, 21, 30, tzinfo=EAST), hold=20.0, lasted=700.0,
        speed=KNOT.to_si(7.0), side="deep", tide="into",
        lines=(LineEntry("port", "plug", 45.0, said=SAID), LineEntry("starboard", "jig", 60.0)),
    )  # fmt: skip
    return replace(made, **changed)


def test_that_every_line_of_an_entry_is_a_row_with_what_it_fished(store: Store) -> None:
    lines, phases = rows(store, entry())
    assert list(lines.seconds) == [700.0, 700.0]
    assert list(lines.values["lure"]) == ["plug", "jig"]
    assert list(lines.values["hold"]) == [20.0, 20.0]
    # off bottom and speed at the lift, which nobody knows of a line the model was not asked of
    assert [lines.values[key][0] for key in ("off_bottom", "lure_speed")] == [2.4, 1.5]
    assert all(math.isnan(lines.values[key][1]) for key in ("off_bottom", "lure_speed"))
    assert len(set(lines.day)) == len(set(lines.drop)) == 1
    assert phases.values["phase"] == ["falling", "lifting", "running"]
    assert list(phases.seconds) == [18.0, 9.0, 673.0]


def test_that_a_line_counts_by_the_hour_only_where_somebody_knows_how_long_it_fished(
    store: Store,
) -> None:
    lines, phases = rows(store, entry(lasted=None))
    assert all(map(math.isnan, lines.seconds))
    assert len(phases.seconds) == 0


def test_that_a_day_is_that_of_the_place_whatever_it_is_in_utc(store: Store) -> None:
    late = entry()
    days = rows(store, late, entry(at=late.at - timedelta(hours=3)))[0].day
    assert len(set(days)) == 1
    days = rows(store, late, entry(at=late.at + timedelta(hours=3)))[0].day
    assert len(set(days)) == 2


def test_that_nothing_is_learned_from_rehearsals_nor_from_what_was_deleted(store: Store) -> None:
    assert not len(rows(store, entry(rehearsal=True))[0].hits)
    store.change([(None, entry(rehearsal=n > 0)) for n in range(5)])
    assert learned_of(store.path).drops == 1


def test_that_no_factor_of_a_row_hangs_on_whether_there_was_a_hit(store: Store) -> None:
    """The model tells of the instant of the hit: a row that took that would find what it made."""
    at_hit = replace(SAID, off_bottom=9.0, speed=3.3, depth=1.0, phase="running")
    running = LineEntry("port", "plug", 45.0, "troll", said=at_hit)
    none = LineEntry("port", "plug", 45.0, said=SAID)
    hit, quiet = (rows(store, entry(lines=(line,)))[0] for line in (running, none))
    assert list(hit.hits) != list(quiet.hits)
    for key, values in hit.values.items():
        same = quiet.values[key]
        assert values[0] == same[0] or (math.isnan(values[0]) and math.isnan(same[0])), key


def test_that_a_hit_is_of_what_the_lure_did_then(store: Store) -> None:
    for outcome, after, phase in (
        ("lift", None, "lifting"), ("drop", None, "falling"), ("slowing", 3.0, "running"),
    ):  # fmt: skip
        line = LineEntry("port", "plug", 45.0, outcome, after, said=SAID)
        phases = rows(store, entry(lines=(line,)))[1]
        hit = [p for p, h in zip(phases.values["phase"], phases.hits, strict=True) if h]
        assert hit == [phase]


def test_that_a_hit_at_an_unknown_moment_is_of_no_phase(store: Store) -> None:
    line = LineEntry("port", "plug", 45.0, "turn", said=SAID)
    lines, phases = rows(store, entry(lines=(line,)))
    assert list(lines.hits) == [1.0]
    assert not len(phases.hits)


def test_that_an_entry_of_which_little_is_known_is_learned_from_all_the_same(store: Store) -> None:
    bare = Entry(new_id(), datetime(2026, 5, 2, 6, 0, tzinfo=EAST), lines=(LineEntry("port"),))
    learned = learn(*rows(store, bare, replace(bare, id=new_id(), lines=())))
    assert learned.lines == 1
    assert learned.findings == ()
    assert learned.changes == ()


def plain(columns: Columns, key: str) -> list[Any]:
    """A column with None for what is not known."""
    values = {"hit": columns.hits, "seconds": columns.seconds, **columns.values}[key]
    return [None if value != value else value for value in values]


SHARED = [HealthCheck.function_scoped_fixture]


@settings(deadline=None, max_examples=10, suppress_health_check=SHARED)
@given(st.lists(entries, max_size=6, unique_by=lambda one: one.at))
def test_that_bare_columns_tell_the_same_as_whole_entries(store: Store, kept: list[Entry]) -> None:
    made = rows(store, *kept)
    for columns, slow in zip(made, row_by_row(store.entries()), strict=True):
        assert len(columns.hits) == len(slow)
        for key in slow[0].keys() - {"day", "drop"} if slow else ():
            assert plain(columns, key) == [row[key] for row in slow], key
        for key, codes in (("day", columns.day), ("drop", columns.drop)):
            names = [row[key] for row in slow]
            assert len(set(zip(codes, names, strict=True))) == len(set(codes)) == len(set(names))
            if key == "day":
                assert [sorted(set(names)).index(name) for name in names] == [
                    sorted(set(codes)).index(code) for code in codes
                ]
            else:
                assert list(codes) == sorted(codes)
