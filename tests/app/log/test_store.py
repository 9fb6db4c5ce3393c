"""The log on disk: nothing lost, whatever happens to the file, and two who write at once."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, timedelta
from pathlib import Path

import pytest

from app.common.bad_input import BadInput
from app.log import backups, opening, tables
from app.log.entry import Entry
from app.log.find import Wanted
from app.log.merging import Merged
from app.log.store import Store
from tests.app.log.made import NOW, a_drop, season


def as_kept(entry: Entry | None) -> Entry | None:
    """Without when it was changed."""
    return None if entry is None else replace(entry, changed=NOW)


def kept(log: Store) -> list[Entry | None]:
    return [as_kept(entry) for entry in log.entries()]


def add(log: Store, *entries: Entry) -> None:
    log.change([(None, entry) for entry in entries])


def test_that_entries_are_there_at_the_next_start(home: Path) -> None:
    log, drop = Store(), a_drop("first", setup="name = 'x'")
    add(log, drop, a_drop("second"))
    log.change([(drop, replace(drop, note="mended"))])
    log.close()
    log = Store()
    assert not log.told
    assert {entry.note for entry in log.entries()} == {"mended", "second"}
    assert as_kept(log.entry(drop.id)) == as_kept(replace(drop, note="mended"))
    log.close()


def test_that_what_was_removed_is_gone_and_comes_back_by_undo(home: Path) -> None:
    log, drop = Store(), a_drop("one")
    add(log, drop)
    log.change([(log.entry(drop.id), None)])
    assert kept(log) == []
    log.change([(None, drop)])
    assert kept(log) == [as_kept(drop)]
    log.close()


def test_that_entries_are_found_filtered_and_sorted(home: Path) -> None:
    log = Store()
    entries = [replace(each, note=f"n{k}") for k, each in enumerate(season(60))]
    add(log, *entries)
    assert [day.entries for day in log.days()] == [20, 20, 20]

    def found(**wanted: object) -> list[str]:
        numbers = log.find(Wanted(**wanted)).numbers  # type: ignore[arg-type]
        rows = log.rows(("note",), numbers)
        return [rows[number][0] for number in numbers]

    assert found(falling=False) == [f"n{k}" for k in range(60)]
    assert found(day="2020-05-02", falling=False) == [f"n{k}" for k in range(20, 40)]
    into = [e.note for e in entries if e.tide == "into"]
    assert found(choices=(("tide", "into"),), falling=False) == into
    assert found(hits=True, falling=False) == [e.note for e in entries if e.hits]
    assert found(rehearsal=True) == []
    both = [e.note for e in entries if any(x.outcome == "lift" for x in e.lines)]
    assert found(text="MIDDLE hit lift", falling=False) == both or set(both) <= set(
        found(text="MIDDLE hit lift")
    )
    speeds = sorted(entries, key=lambda e: e.speed or 0.0)
    assert found(by="speed", falling=False) == [e.note for e in speeds]
    hits = log.find(Wanted()).hits
    assert hits == sum(e.hits for e in entries) > 0
    log.close()


def test_that_two_who_change_other_things_of_one_entry_both_stay(home: Path) -> None:
    one, drop = Store(), a_drop("as typed")
    add(one, drop)
    two = Store()
    theirs = two.entry(drop.id)
    assert theirs is not None
    one.change([(drop, replace(drop, tide="with"))])
    two.change([(theirs, replace(theirs, note="mended"))])
    both = one.entry(drop.id)
    assert both is not None
    assert (both.tide, both.note) == ("with", "mended")
    assert one.earlier(drop.id) == []
    assert one.changed_outside()
    assert not one.changed_outside()
    one.close()
    two.close()


def test_that_where_two_change_the_same_thing_the_earlier_is_kept_beside(home: Path) -> None:
    one, drop = Store(), a_drop("as typed")
    add(one, drop)
    two = Store()
    one.change([(drop, replace(drop, note="mine"))])
    two.change([(drop, replace(drop, note="theirs"))])
    now = one.entry(drop.id)
    assert now is not None
    assert now.note == "theirs"
    assert [entry.note for entry in one.earlier(drop.id)] == ["mine"]
    # what one removes and another changed stays
    two.change([(drop, None)])
    assert one.entry(drop.id) is not None
    one.close()
    two.close()


def test_that_what_cannot_be_written_is_seen_waits_and_is_written_later(home: Path) -> None:
    log, drop = Store(), a_drop("there", setup="old")
    add(log, drop)
    with closing(sqlite3.connect(log.path)) as busy:
        busy.execute("begin immediate")
        new = a_drop("waits", setup="new")
        add(log, new)
        log.change([(drop, replace(drop, note="changed"))])
        assert {entry.note for entry in log.entries()} == {"waits", "changed"}
        assert {entry.setup for entry in log.entries()} == {"old", "new"}
        assert len(log.find(Wanted(text="changed")).numbers) == 1
        assert not log.find(Wanted(text="there")).numbers
        log.change([(new, None)])
        assert {entry.note for entry in log.entries()} == {"changed"}
        with pytest.raises(BadInput, match="cannot be written now"):
            log.flush()
        busy.rollback()
    log.flush()
    log.close()
    log = Store()
    assert {entry.note for entry in log.entries()} == {"changed"}
    log.close()


def refusing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The file may be read, but not written."""
    connect = sqlite3.connect

    def opened(path: Path | str, timeout: float = 5.0, uri: bool = False) -> sqlite3.Connection:
        if uri or path == ":memory:":
            return connect(path, uri=uri)
        return connect(f"file:{path}?mode=ro", uri=True)

    monkeypatch.setattr(sqlite3, "connect", opened)


def test_that_a_log_that_may_only_be_read_is_told_shown_and_written_once_it_may(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = Store()
    add(log, a_drop("there"))
    log.close()
    with monkeypatch.context() as patch:
        refusing(patch)
        log = Store()
        assert "cannot be written" in log.told
        add(log, a_drop("waits"))
        assert {entry.note for entry in log.entries()} == {"there", "waits"}
        with pytest.raises(BadInput, match="cannot be written"):
            log.flush()
    log.flush()
    log.close()
    log = Store()
    assert {entry.note for entry in log.entries()} == {"there", "waits"}
    log.close()


def test_that_a_folder_in_the_way_is_told_and_what_is_typed_waits(home: Path) -> None:
    home.write_text("in the way")
    log = Store()
    assert "cannot be made" in log.told
    add(log, a_drop("waits"))
    assert [entry.note for entry in log.entries()] == ["waits"]
    home.unlink()
    log.flush()
    log.close()
    log = Store()
    assert [entry.note for entry in log.entries()] == ["waits"]
    log.close()


def test_that_a_full_disk_is_told_and_nothing_is_lost(home: Path) -> None:
    log = Store()
    add(log, a_drop("there"))
    pages = log._db.execute("pragma page_count").fetchone()[0]
    log._db.execute(f"pragma max_page_count = {pages}")
    many = [replace(a_drop("waits"), setup="x" * 9000) for _ in range(3)]
    add(log, *many)
    with pytest.raises(BadInput, match="full"):
        log.flush()
    assert len(kept(log)) == 4
    log._db.execute("pragma max_page_count = 100000")
    log.flush()
    log.close()
    log = Store()
    assert len(kept(log)) == 4
    log.close()


@pytest.mark.parametrize("harm", ["words", "half", "other tables"])
def test_that_a_damaged_log_is_set_aside_and_the_newest_good_copy_offered(
    harm: str, home: Path
) -> None:
    log, drop = Store(), a_drop("kept")
    add(log, drop)
    backups.back_up(log.path, "2026-05-01")
    os.utime(backups.copies(log.path)[0], (1, 1))
    good = backups.copies(log.path)[0]
    bad = backups.folder_of(log.path) / "log-2026-05-02.sqlite"
    bad.write_bytes(good.read_bytes()[:3000])
    log.close()
    if harm == "words":
        log.path.write_bytes(b"no database at all " * 400)
    elif harm == "half":
        log.path.write_bytes(log.path.read_bytes()[:4096] + b"\x07" * 90000)
    else:
        log.path.unlink()
        with closing(sqlite3.connect(log.path)) as db:
            db.execute("create table cargo (what text)")
            db.commit()
    harmed = log.path.read_bytes()
    log = Store()
    assert "damaged" in log.told
    assert kept(log) == []
    assert log.offer == good
    (aside,) = home.glob("log.damaged*.sqlite")
    assert aside.read_bytes() == harmed
    assert log.merge_file(log.offer) == Merged(added=1)
    assert kept(log) == [as_kept(drop)]
    log.close()


def test_that_a_log_of_a_newer_program_is_left_alone(home: Path) -> None:
    log = Store()
    log._db.execute(f"pragma user_version = {tables.SCHEMA.version + 1}")
    log.close()
    before = log.path.read_bytes()
    log = Store()
    assert "newer Leadfall" in log.told
    add(log, a_drop("waits"))
    assert [entry.note for entry in log.entries()] == ["waits"]
    with pytest.raises(BadInput, match="left as it is"):
        log.flush()
    log.close()
    assert log.path.read_bytes() == before
    other = Store(home / "other.sqlite")
    with pytest.raises(BadInput, match="newer Leadfall"):
        other.merge_file(log.path)
    other.close()


def test_that_an_older_log_is_copied_before_it_is_led_up(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log, drop = Store(), a_drop("old")
    add(log, drop)
    log.close()

    def step(db: sqlite3.Connection) -> None:
        db.execute("alter table line add column moon text")

    newer = replace(
        tables.SCHEMA,
        tables=tables.TABLES.replace("tackle text,", "tackle text, moon text,"),
        version=2,
        steps={1: step},
    )
    for module in (opening, backups):
        monkeypatch.setattr(module, "SCHEMA", newer)
    log = Store()
    assert not log.told
    assert kept(log) == [as_kept(drop)]
    (copy,) = backups.copies(log.path)
    assert copy.name == "log-before-2.sqlite"
    with closing(sqlite3.connect(copy)) as db:
        assert db.execute("pragma user_version").fetchone() == (1,)
    log.close()


def test_that_a_step_that_fails_leaves_the_older_log_as_it_was(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = Store()
    add(log, a_drop("old"))
    log.close()

    def step(db: sqlite3.Connection) -> None:
        db.execute("alter table line add column moon text")
        db.execute("insert into nowhere values (1)")

    monkeypatch.setattr(opening, "SCHEMA", replace(tables.SCHEMA, version=2, steps={1: step}))
    log = Store()
    assert "cannot be written" in log.told
    log.close()
    monkeypatch.undo()
    monkeypatch.setattr("platformdirs.user_data_dir", lambda *_a, **_w: str(home))
    log = Store()
    assert not log.told
    assert [entry.note for entry in log.entries()] == ["old"]
    log.close()


def test_that_the_last_ten_copies_are_kept(home: Path) -> None:
    log = Store()
    add(log, a_drop())
    for number in range(12):
        backups.back_up_daily(log.path, date(2026, 5, 1) + timedelta(days=number))
        os.utime(backups.copies(log.path)[0], (number, number))
    assert backups.back_up_daily(log.path, date(2026, 5, 12)) is None
    names = [copy.name for copy in backups.copies(log.path)]
    assert len(names) == backups.KEPT
    assert names[0] == "log-2026-05-12.sqlite"
    log.close()


def test_that_todays_copy_stays_though_the_clock_was_set_back(home: Path) -> None:
    log = Store()
    add(log, a_drop())
    for number in range(backups.KEPT):
        copy = backups.back_up_daily(log.path, date(2036, 5, 1) + timedelta(days=number))
        assert copy is not None
        os.utime(copy, (3e9 + number, 3e9 + number))
    copy = backups.back_up_daily(log.path, date(2026, 5, 1))
    assert copy is not None
    assert copy.exists()
    assert len(backups.copies(log.path)) == backups.KEPT
    log.close()


def test_that_a_change_is_newer_than_what_it_changed_though_the_clock_was_set_back(
    home: Path,
) -> None:
    log, ahead = Store(), a_drop("first", changed=NOW.replace(year=2999))
    log.merge([ahead])
    for note in ("second", "first"):
        there = log.entry(ahead.id)
        assert there is not None
        log.change([(there, replace(there, note=note, changed=ahead.changed))])
        now = log.entry(ahead.id)
        assert now is not None
        assert now.changed > there.changed
    log.close()


def test_that_two_logs_are_merged_without_doubles_and_the_newest_stands(home: Path) -> None:
    mine, theirs = Store(home / "mine.sqlite"), Store(home / "theirs.sqlite")
    same, changed, removed = a_drop("same"), a_drop("first"), a_drop("goes")
    mine.merge([same, changed, removed])
    theirs.merge([same, changed, removed])
    theirs.change([(changed, replace(changed, note="theirs, later"))])
    theirs.change([(removed, None)])
    add(theirs, a_drop("only theirs"))
    assert mine.merge_file(theirs.path) == Merged(added=1, newer=1, same=1)
    assert {entry.note for entry in mine.entries()} == {"same", "theirs, later", "only theirs"}
    assert [entry.note for entry in mine.earlier(changed.id)] == ["first"]
    assert mine.merge_file(theirs.path) == Merged(same=3)
    old = replace(changed, note="older still", changed=NOW - timedelta(days=3000))
    assert mine.merge([old]) == Merged(older=1)
    assert {e.note for e in mine.earlier(changed.id)} == {"first", "older still"}
    assert mine.merge([replace(same, note="by hand in a table")]) == Merged(newer=1)
    mine.close()
    theirs.close()


def test_that_a_file_that_is_no_log_is_not_merged(home: Path) -> None:
    log = Store()
    note = home / "note.sqlite"
    note.write_bytes(b"a shopping list")
    for path in (note, home / "nowhere.sqlite"):
        with pytest.raises(BadInput, match=path.name):
            log.merge_file(path)
    assert NOW.tzinfo is UTC
    log.close()
