"""The log as CSV and JSON: every entry comes back as it was, and what is wrong is told."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest
from hypothesis import given, settings

from app.common.bad_input import BadInput
from app.common.units import COLOR, DEGREE, FOOT, KNOT, MINUTE
from app.log import csv_rows, json_file
from app.log.entry import EARLIEST, Entry, Said
from tests.app.log.made import NOW, a_drop, entries, numbers


@settings(deadline=None, max_examples=60)
@given(entries)
def test_that_any_entry_comes_back_from_csv_and_json_as_it_was(entry: Entry) -> None:
    for file in (csv_rows, json_file):
        (back,) = file.loads(file.dumps([entry]), "log", NOW)
        assert back == entry
        assert back.at.utcoffset() == entry.at.utcoffset()


@settings(deadline=None)
@given(numbers(-1e4, 1e4))
def test_that_a_number_in_trade_units_is_the_same_to_the_last_bit(value: float) -> None:
    for unit, si in ((KNOT, "m/s"), (FOOT, "m"), (COLOR, "m"), (DEGREE, "rad"), (MINUTE, "s")):
        cell = csv_rows.Cell("x", "x", unit, si)
        assert csv_rows._number_in(cell, csv_rows.exact(value, unit, si)) == value


def test_that_csv_is_in_the_units_of_the_trade() -> None:
    text = csv_rows.dumps([a_drop(speed=KNOT.to_si(3.5))])
    first, second = csv.DictReader(io.StringIO(text))
    assert (first["speed_kn"], first["hold_s"], first["outcome"]) == ("3.5", "20", "drop")
    assert (second["rod"], second["outcome"]) == ("starboard", "nothing")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("2026-05-01T06:30:00-04:00", "2026-05-01T06:30:00", "offset"),
        ("2026-05-01T06:30:00-04:00", "2026-02-30T06:30:00-04:00", "time"),
        ("2026-05-01T06:30:00-04:00", "2031-05-01T06:30:00-04:00", "from 1950 to now"),
        (",20,", ",minus,", "hold_s"),
        (",into,", ",sideways,", "one of nothing, into"),
        (",water,", ",dream,", "no kind of entry"),
        (",drop,", ",leap,", "outcome"),
    ],
)
def test_that_a_csv_row_that_makes_no_sense_is_told_by_line(old: str, new: str, said: str) -> None:
    text = csv_rows.dumps([a_drop()])
    assert old in text
    with pytest.raises(BadInput, match="log, line 2") as told:
        csv_rows.loads(text.replace(old, new), "log", NOW)
    assert said in str(told.value)


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("at", "2026-05-01T06:30:00", "offset"),
        ("at", "yesterday", "time"),
        ("at", "2031-05-01T06:30:00-04:00", "now"),
        ("hold_s", "long", "a number"),
        ("hold_s", 1e9, "0 to 600 s"),
        ("rehearsal", 1, "true or false"),
        ("wind_kmh", 3, "not known"),
        ("note", "\ud800", "whole characters"),
    ],
)
def test_that_a_json_entry_that_makes_no_sense_is_told(key: str, value: object, said: str) -> None:
    table = json_file.table_of(a_drop()) | {key: value}
    text = json.dumps({"leadfall_log": 1, "entries": [table]})
    with pytest.raises(BadInput, match="log, entry 1") as told:
        json_file.loads(text, "log", NOW)
    assert said in str(told.value)


@pytest.mark.parametrize("key", ["wait_s", "out_m", "latitude"])
def test_that_a_number_of_hundreds_of_digits_is_told(key: str) -> None:
    table = json.loads(json_file.dumps([a_drop(place=(30.0, -40.0))]))
    (entry,) = table["entries"]
    if key == "latitude":
        entry["place_deg"][0] = 10**400
    else:
        (entry["lines"][0] if key == "out_m" else entry)[key] = 10**400
    with pytest.raises(BadInput, match="too large"):
        json_file.loads(json.dumps(table), "log", NOW)


def test_that_a_setup_of_any_length_comes_back() -> None:
    entry = a_drop(setup="depths = [1.0]\n" * 20_000)
    for file in (csv_rows, json_file):
        assert file.loads(file.dumps([entry]), "log", NOW) == [entry]


@pytest.mark.parametrize("changed", ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00"])
def test_that_a_change_beyond_the_calendar_is_told(changed: str) -> None:
    for file in (csv_rows, json_file):
        text = file.dumps([a_drop()]).replace(EARLIEST.isoformat(), changed)
        assert changed in text
        with pytest.raises(BadInput, match="changed"):
            file.loads(text, "log", NOW)


def test_that_a_line_without_a_name_is_told() -> None:
    for file in (csv_rows, json_file):
        text = file.dumps([a_drop()])
        for old in (",starboard,", '"starboard"'):
            text = text.replace(old, old.replace("starboard", ""))
        with pytest.raises(BadInput, match="rod"):
            file.loads(text, "log", NOW)


def test_that_half_a_lift_is_refused() -> None:
    speed = KNOT.to_si(2.75)
    said = Said(8.0, 2.0, 2.1, "running", 1.2, 18.0, 9.0, 600.0, "0.1.0", "abc", 2.4, speed)
    drop = a_drop()
    drop = replace(drop, lines=(replace(drop.lines[0], said=said), drop.lines[1]))
    for file, whole, half in (
        (csv_rows, ",2.75,", ",,"), (json_file, f', "speed_at_lift_m_s": {speed!r}', ""),
    ):  # fmt: skip
        text = file.dumps([drop])
        assert text.count(whole) == 1
        with pytest.raises(BadInput, match="both off bottom and speed"):
            file.loads(text.replace(whole, half), "log", NOW)


def test_that_a_file_of_a_newer_program_is_told() -> None:
    with pytest.raises(BadInput, match="newer Leadfall"):
        json_file.loads('{"leadfall_log": 2, "entries": []}', "log", NOW)
