"""Hostile files of the log, and all that is done with what is taken of them."""

from __future__ import annotations

import random
import sqlite3
import tempfile
from collections.abc import Iterable, Sequence
from contextlib import closing, suppress
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from app.common.bad_input import BadInput
from app.common.units import FOOT, KNOT
from app.log import csv_rows, json_file
from app.log.columns import COLUMNS, READ
from app.log.day_words import day_sheet
from app.log.differences import differences
from app.log.entry import Entry, LineEntry, Said
from app.log.files import is_ours, read_entries, read_log
from app.log.find import SORTED, Wanted
from app.log.foreign import entries_of
from app.log.foreign_columns import DAY_FIRST, guessed, read_table
from app.log.learn.exposure import rows_of
from app.log.merging import OtherLog, merge
from app.log.opening import in_memory
from app.log.reading import Entries
from app.log.store import LEFT_ALONE, Store
from app.log.tables import SCHEMA
from tests.app.log.made import NOW, a_drop

LONGEST = 600
MOST_SHOWN = 200


class Untrue(Exception):
    """What was taken could not be used."""


def good_entries() -> list[Entry]:
    """A morning with all that an entry may hold, always the same."""
    said = Said(6.0, 1.5, 1.2, "lifting", 0.4, 9.0, 3.0, 60.0, "0.1.0", "0123456789ab", 1.4, 1.1)
    both = [
        LineEntry("port", "plug, 5 in", 50.0, "lift", 14.5, True, "bluefish", said=said),
        LineEntry("starboard", "=plug", 60.1, weed=True, touched=True),
    ]
    return [
        replace(
            a_drop("“quoted”, with a comma\nand a line", lines=tuple(both[: number % 3])),
            id=f"00000000-0000-4000-8000-{number:012d}", side="deep", light="into",
            place=(30.0, -40.5), wind_speed=4.0, wind_from=1.0, heading=0.3, lasted=1200.0,
            tags=("dawn", "rip"), setup="name = 'x'\n", at=NOW - timedelta(minutes=20 * number),
            rehearsal=number == 4, changed=NOW - timedelta(days=number),
        )
        for number in range(7)
    ]  # fmt: skip


def log_texts() -> list[bytes]:
    """Good logs as CSV and JSON."""
    entries = good_entries()
    return [csv_rows.dumps(entries).encode(), json_file.dumps(entries).encode()]


def other_logs() -> list[bytes]:
    """Good tables of others."""
    return [
        b"Date,Time,Speed (mph),Hold sec,Line,Lure,Colors,Hit,Species,Landed,Tide,Notes\n"
        b'5/1/2026,6:42 am,3.0,20,port,plug,5,on the drop,bluefish,yes,early flood,"a, b"\n'
        b"5/1/2026,7:15 am,3.5,25,port,plug,5,hit,,no,slack,\n",
        b"when;wait s;wind kn;lat;lon;side;heading;light;tags;minutes\n"
        b"2026-05-01 06:42;12,5;10;30 21.0 N;40 31.2 W;deep;into;out;a, b;20\n"
        b"2026-05-02T07:00Z;9;8;30.3;-40.5;top;with;flat;;30\n",
    ]


def log_files() -> list[bytes]:
    """The file of a good log."""
    with tempfile.TemporaryDirectory() as folder:
        store = Store(Path(folder) / "log.sqlite")
        store.merge(good_entries())
        store.merge([replace(good_entries()[0], note="by hand")])
        store.change([(store.entry(good_entries()[1].id), None)])
        store._db.execute("pragma journal_mode = delete").fetchall()
        store.close()
        return [store.path.read_bytes()]


VALUES = (
    None, "", "x", "nan", "-1", 0, 1, -1, 2**62, 1e308, float("inf"), 0.5, b"\x00\xff", "x" * 5000,
    "9999-12-31T23:59:59+14:00", "0001-01-01T00:00:00-14:00", "[1, {}]", "[" * 3000, "\u202e",
)  # fmt: skip


def made_log(draw: random.Random, seeds: Sequence[bytes]) -> bytes:
    """The file of a log with any values in its cells, of another version, or without a part."""
    with closing(sqlite3.connect(":memory:")) as db:
        db.deserialize(draw.choice(seeds))
        # what is deserialized is in memory alone, and cannot have a log beside it
        for _ in range(draw.choice((1, 1, 3, 10))):
            table = draw.choice(SCHEMA.kept)
            column = draw.choice([row[1] for row in db.execute(f"pragma table_info({table})")])
            with suppress(sqlite3.Error):
                db.execute(f"update {table} set {column} = ?", (draw.choice(VALUES),))
        db.commit()
        if draw.random() < 0.1:
            db.execute(f"drop table {draw.choice(SCHEMA.kept)}")
        if draw.random() < 0.1:
            db.execute(f"pragma user_version = {draw.choice((0, 2, -1, 2**31 - 1))}")
        db.commit()
        return db.serialize()


def log_text(path: Path) -> None:
    """Take in a log as CSV or JSON."""
    if not is_ours(read_log(path)):
        raise BadInput(str(path), "", None, "a log", "is somebody else's table")
    used(read_entries(path, NOW))


def other_log(path: Path) -> None:
    """Take in somebody else's table, in every way its dates may be meant."""
    table = read_table(read_log(path), path.name)
    told = guessed(table)
    for each in (told, replace(told, dates=DAY_FIRST, clock="UTC", hit="troll")):
        read = entries_of(table, each, NOW)
        if any(len(line) > LONGEST for line in (*read.left_out, *read.questions)):
            raise Untrue("a line is refused at great length")
        used(read.entries)


def log_file(path: Path) -> None:
    """Take in another log's file, and then have it for one's own."""
    refused: list[BadInput] = []
    try:
        with closing(OtherLog(path)) as other:
            _merged(other.entries())
            _merged(other.entries(gone=True))
    except BadInput as error:
        refused.append(error)
    try:
        new = a_drop("after the harm")
        with closing(Store(path)) as store:
            shown(store)
            store.change([(None, new)])
            shown(store)
            told = store.told
        with closing(Store(path)) as store:
            if store.entry(new.id) is None and LEFT_ALONE not in told:
                raise Untrue("what was done after the harm is lost")
    finally:
        for beside in path.parent.glob("hostile*"):
            if beside.is_file() and beside != path:
                with suppress(OSError):
                    beside.unlink()
    if told:
        raise BadInput(path.name, "", None, "a log", told)
    if refused:
        raise Untrue("no log to others, and yet a good one of one's own")


def used(entries: Sequence[Entry]) -> None:
    """All that is done with entries that were taken in."""
    if not entries:
        return
    for file in (csv_rows, json_file):
        # of two with one id the table makes one, and neither is an honest log
        alone = len({entry.id for entry in entries}) == len(entries)
        if alone and list(file.loads(file.dumps(entries), "again", NOW)) != list(entries):
            raise Untrue("entries read back otherwise")
    kept = _merged(entries)
    if len(kept) != len({entry.id for entry in entries}):
        raise Untrue("not all that was taken in is there")
    differences(entries[0], entries[-1], KNOT, FOOT)
    day = max(entries, key=lambda entry: entry.at).at.date()
    day_sheet([entry for entry in kept if entry.at.date() == day], KNOT, FOOT)


def _merged(entries: Iterable[Entry]) -> list[Entry]:
    with closing(in_memory()) as db:
        there = Entries(db)
        merge(there, db, entries)
        shown(there)
        return list(there.entries())


def shown(log: Entries) -> None:
    """All that the page asks of a log."""
    log.days()
    numbers: list[int] = []
    for by in SORTED:
        numbers = log.find(Wanted(by=by)).numbers
    log.find(Wanted(text="plug drop", hits=True, choices=(("side", "deep"),)))
    for row in log.rows(READ, numbers[:MOST_SHOWN]).values():
        for column in COLUMNS:
            column.text(dict(zip(READ, row, strict=True)), KNOT)
    for entry in log.entries():
        log.earlier(entry.id)
    rows_of(log)
