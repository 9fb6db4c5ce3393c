"""Logs of other makes: columns and units guessed, asked about, and what makes no sense told."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, timedelta

import pytest

from app.common import units
from app.common.bad_input import BadInput
from app.log.foreign import Read, entries_of
from app.log.foreign_columns import DAY_FIRST, UTC_CLOCK, Told, guessed, read_table
from tests.app.log.made import NOW

TEXT = """Date,Time,Speed (mph),Hold sec,Line,Lure,Colors,Hit,Species,Landed,Tide,Side,Notes
5/1/2026,6:42 am,3.0,20,port,plug,5,on the drop,bluefish,yes,early flood,deep,"first, good"
5/1/2026,6:42 am,3.0,20,starboard,plug,6,no,,,early flood,deep,
5/1/2026,7:15 am,3.5,25,port,plug,5,hit,,no,slack,shallow,
"""


def read(text: str, **told: object) -> Read:
    table = read_table(text, "hits.csv")
    return entries_of(table, replace(guessed(table), **told), NOW)  # type: ignore[arg-type]


def test_that_headings_tell_columns_units_and_lines_of_one_drop() -> None:
    found = read(TEXT)
    assert not found.left_out
    assert not found.questions
    first, second = found.entries
    assert [line.rod for line in first.lines] == ["port", "starboard"]
    assert [line.outcome for line in first.lines] == ["drop", "nothing"]
    assert (first.hold, first.stage, first.part, first.side) == (20.0, "flood", "early", "deep")
    assert first.speed == pytest.approx(units.MILE_PER_HOUR.to_si(3.0))
    assert first.lines[0].out == pytest.approx(units.COLOR.to_si(5.0))
    assert (first.lines[0].fish, first.lines[0].landed) == ("bluefish", True)
    assert (first.at.hour, first.at.minute, first.at.month) == (6, 42, 5)
    assert first.at.tzinfo is not None
    # a plain hit is what a person says it was
    assert second.lines[0].outcome == "drop"
    assert read(TEXT, hit="troll").entries[1].lines[0].outcome == "troll"


@pytest.mark.parametrize("text", ["no", "None", "nothing on the drop", "hit: no", "-", "0"])
def test_that_nothing_is_nothing_however_it_is_written(text: str) -> None:
    (_, second) = read(TEXT.replace(",hit,", f",{text},")).entries
    assert second.lines[0].outcome == "nothing"


def test_that_a_file_read_twice_gives_the_same_entries() -> None:
    assert [e.id for e in read(TEXT).entries] == [e.id for e in read(TEXT).entries]
    assert len({e.id for e in read(TEXT).entries}) == 2


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("5/1/2026,7:15", "2/30/2026,7:15", "line 4, day '2/30/2026': there is no such day"),
        ("5/1/2026,7:15", "5/1/2031,7:15", "from 1950 to now"),
        ("5/1/2026,7:15", "0001-01-01,7:15", "day '0001-01-01': allowed is a day from 1950 on"),
        ("7:15 am", "27:15", "there is no such time"),
        ("7:15 am", "soon", "allowed is a time like"),
        ("3.5,25", "3.5,long", "is not a number"),
        ("3.5,25", "3.5,9999", "allowed is 0 to 600 s"),
        (",hit,", ",perhaps,", "allowed is nothing, hit"),
    ],
)
def test_that_a_row_that_makes_no_sense_is_left_out_and_told(old: str, new: str, said: str) -> None:
    found = read(TEXT.replace(old, new))
    assert len(found.entries) == 1
    (told,) = found.left_out
    assert said in told


def test_that_numbers_of_another_unit_are_asked_about() -> None:
    (question,) = read(TEXT.replace("Colors", "Line out ft")).questions
    assert "Line out of 5 feet" in question
    assert "In colors" in question


def test_that_days_and_clocks_are_read_as_told() -> None:
    day = TEXT.replace("5/1/2026", "13/5/2026")
    assert guessed(read_table(day, "x")).dates == DAY_FIRST
    assert read(day).entries[0].at.day == 13
    assert read(TEXT, dates=DAY_FIRST).entries[0].at.month == 1
    assert read(TEXT, clock=UTC_CLOCK).entries[0].at.tzinfo == UTC
    zoned = TEXT.replace("6:42 am", "06:42 -04:00")
    assert read(zoned).entries[0].at.utcoffset() == timedelta(hours=-4)
    iso = TEXT.replace("Date,Time", "When,x").replace("5/1/2026,6:42 am", "2026-05-01T06:42:10Z,")
    at = read(iso.replace("5/1/2026,7:15 am", "2026-05-01 07:15,")).entries[0].at
    assert (at.hour, at.second, at.tzinfo) == (6, 10, UTC)


def test_that_a_table_without_a_day_or_rows_is_told() -> None:
    with pytest.raises(BadInput, match="no rows"):
        read_table("Date,Hold\n", "x")
    table = read_table("Hold\n20\n", "x")
    with pytest.raises(BadInput, match="no day"):
        entries_of(table, guessed(table), NOW)
    table = read_table("Date,b\n5/1/2026,5/1/2026\n", "x")
    with pytest.raises(BadInput, match="twice"):
        entries_of(table, Told(("day", "day"), (None, None)), NOW)
