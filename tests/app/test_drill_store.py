"""Results of drills: kept at once, given back as they were, never lost to a damaged file."""

from __future__ import annotations

import csv
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from app import drill_store
from app.bad_input import BadInput
from app.drill_questions import Card, Question
from app.drill_store import FILE, FORMAT, Progress, Result, Store, open_store
from physics.checks import Unusable

FULL = Result(
    "2031-05-02T06:10:00+00:00", 3, 2**31, 71.5, 12.25, 8.5, 11.0, 9.1, 2.4, 3.7, 1, 2,
    ("held too long", "out late", "held too long"),
)  # fmt: skip
BROKEN_OFF = Result("2031-05-02T06:20:00", 1, 0)
CARD = Card(Question(12.192, 73.152, 3.6), 2, date(2031, 5, 3))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "deep" / "results.sqlite3"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with open_store(path) as made:
        yield made


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A file of five pages and more, two trainees with rounds and a card."""
    made_at = tmp_path_factory.mktemp("filled") / "results.sqlite3"
    many = replace(FULL, errors=tuple(f"error of kind {n}, in many words" for n in range(100)))
    with open_store(made_at) as made:
        made.add("Bow")
        made.add("Stern")
        for _ in range(3):
            made.record("Bow", many)
        made.record("Stern", BROKEN_OFF)
        made.keep_card("Bow", "rip", CARD)
    return made_at.read_bytes()


@pytest.fixture
def full(path: Path, filled: bytes) -> Path:
    """The path, with that file there."""
    path.parent.mkdir()
    path.write_bytes(filled)
    return path


def change(path: Path, words: str) -> None:
    with closing(sqlite3.connect(path)) as base:
        base.executescript(words)


def test_that_it_is_kept_in_the_persons_own_folder(home: Path) -> None:
    with open_store() as made:
        made.add("Bow")
        assert made.told == ""
    assert (home / FILE).read_bytes().startswith(b"SQLite format 3")


def test_that_the_version_stands_in_the_file(store: Store, path: Path) -> None:
    with closing(sqlite3.connect(path)) as base:
        assert base.execute("PRAGMA user_version").fetchone() == (FORMAT,)


def test_that_rounds_come_back_as_they_were(path: Path) -> None:
    with open_store(path) as made:
        made.add("Bow")
        made.add("Stern")
        made.record("Bow", FULL)
        made.record("Stern", replace(FULL, seed=9))
        made.record("Bow", BROKEN_OFF)
    with open_store(path) as again:
        assert again.told == ""
        assert again.trainees() == ("Bow", "Stern")
        assert again.rounds("Bow") == (FULL, BROKEN_OFF)
        assert again.rounds("Stern") == (replace(FULL, seed=9),)


def test_that_a_write_is_there_for_others_at_once(store: Store, path: Path) -> None:
    store.add("Bow")
    store.record("Bow", FULL)
    store.keep_card("Bow", "rip", CARD)
    with open_store(path) as other:
        assert other.rounds("Bow") == (FULL,)
        assert other.cards("Bow", "rip") == (CARD,)
        other.remove("Bow")
    assert store.trainees() == ()


@pytest.mark.parametrize("again", ["Bow", " Bow ", "bow", "BOW"])
def test_that_a_second_of_the_same_name_is_refused_in_words(store: Store, again: str) -> None:
    store.add("Bow")
    with pytest.raises(BadInput, match="is there already; allowed: a name that no other"):
        store.add(again)
    assert store.trainees() == ("Bow",)


@pytest.mark.parametrize("name", ["", "   ", "x" * 41, "a\nb", "a\x00", "\ud800"])
def test_that_a_name_nobody_can_read_is_refused(store: Store, name: str) -> None:
    with pytest.raises(BadInput, match="1 to 40 printable characters"):
        store.add(name)
    assert store.trainees() == ()


def test_that_odd_names_are_only_names(store: Store) -> None:
    names = ["x" * 40, "'; DROP TABLE round; --", "Ünïcode 海"]
    for name in names:
        assert store.add(name) == name
        store.record(name, FULL)
    assert set(store.trainees()) == set(names)
    assert all(store.rounds(name) == (FULL,) for name in names)


def test_that_who_is_removed_is_gone_and_the_others_stay(store: Store, path: Path) -> None:
    for name in ("Bow-who-leaves", "Stern"):
        store.add(name)
        store.record(name, replace(FULL, errors=(f"error of {name}",)))
        store.keep_card(name, f"setup of {name}", CARD)
    store.remove("Bow-who-leaves")
    assert store.trainees() == ("Stern",)
    assert len(store.rounds("Stern")) == len(store.cards("Stern", "setup of Stern")) == 1
    with closing(sqlite3.connect(path)) as base:
        left = [base.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
                for table in ("trainee", "round", "error", "card")]  # fmt: skip
    assert left == [1, 1, 1, 1]
    store.close()
    assert b"who-leaves" not in path.read_bytes()


CALLS: list[Callable[[Store], object]] = [
    lambda s: s.remove("Nobody"), lambda s: s.rounds("Nobody"), lambda s: s.progress("Nobody"),
    lambda s: s.record("Nobody", FULL), lambda s: s.keep_card("Nobody", "rip", CARD),
    lambda s: s.cards("Nobody", "rip"),
]  # fmt: skip


@pytest.mark.parametrize("call", CALLS)
def test_that_a_stranger_is_told_of(store: Store, call: Callable[[Store], object]) -> None:
    store.add("Bow")
    with pytest.raises(BadInput, match="'Nobody' is not there"):
        call(store)


def test_that_progress_counts_errors_and_sets_the_last_ten_apart(store: Store) -> None:
    store.add("Bow")
    assert store.progress("Bow") == Progress()
    for score in range(13):
        errors = ("out late",) if score % 2 else ("out late", "touched")
        store.record("Bow", replace(FULL, score=float(score), errors=errors))
        store.record("Bow", BROKEN_OFF)
    found = store.progress("Bow")
    assert found == Progress(13, 13, {"out late": 13, "touched": 7}, 7.5, 1.0)
    assert list(found.errors) == ["out late", "touched"]


def test_that_there_is_no_before_within_the_first_ten(store: Store) -> None:
    store.add("Bow")
    for _ in range(10):
        store.record("Bow", FULL)
    assert (store.progress("Bow").last, store.progress("Bow").before) == (71.5, None)


def test_that_a_card_takes_the_place_of_its_last_self(store: Store) -> None:
    store.add("Bow")
    store.keep_card("Bow", "rip", CARD)
    store.keep_card("Bow", "shoal", CARD)
    later = Card(CARD.question, 3, date(2031, 5, 9))
    store.keep_card("Bow", "rip", later)
    assert store.cards("Bow", "rip") == (later,)
    assert store.cards("Bow", "shoal") == (CARD,)


BAD = [
    {"when": "yesterday"}, {"level": 0}, {"level": 6}, {"level": 1.5}, {"seed": -1},
    {"seed": 2**31 + 1}, {"score": float("nan")}, {"wait": -1.0}, {"hold": float("inf")},
    {"touches": -1}, {"crossings": 1.5}, {"errors": ("",)}, {"errors": "late"},
]  # fmt: skip


@pytest.mark.parametrize("bad", BAD)
def test_that_a_round_that_makes_no_sense_is_not_made(bad: dict[str, object]) -> None:
    with pytest.raises(Unusable, match=next(iter(bad))):
        replace(FULL, **bad)  # type: ignore[arg-type]


def test_that_an_export_has_a_line_a_round(store: Store, tmp_path: Path) -> None:
    for name in ("Stern, aft", "Bow"):
        store.add(name)
    store.record("Bow", FULL)
    store.record("Stern, aft", BROKEN_OFF)
    out = tmp_path / "all.csv"
    store.export_csv(out)
    rows = list(csv.DictReader(out.read_text(encoding="utf-8").splitlines()))
    assert [row["trainee"] for row in rows] == ["Bow", "Stern, aft"]
    assert rows[0]["score"] == "71.5"
    assert rows[0]["possible_window_s"] == "3.7"
    assert rows[0]["errors"] == "held too long; out late; held too long"
    assert rows[1]["score"] == rows[1]["hold_s"] == ""
    store.export_csv(out, "Bow")
    assert len(out.read_text(encoding="utf-8").splitlines()) == 2
    with pytest.raises(BadInput, match="is not there"):
        store.export_csv(out, "Nobody")
    with pytest.raises(BadInput, match="cannot be written"):
        store.export_csv(tmp_path / "nowhere" / "all.csv")


def test_that_the_file_the_damaged_ones_are_made_of_is_sound(full: Path) -> None:
    with open_store(full) as made:
        assert made.told == ""
        assert (len(made.rounds("Bow")), made.rounds("Stern")) == (3, (BROKEN_OFF,))
        assert made.cards("Bow", "rip") == (CARD,)


def damaged_then_begun_anew(path: Path) -> None:
    """Open a damaged file: its bytes must be kept aside, told, and a new one usable."""
    raw = path.read_bytes()
    before = set(path.parent.iterdir())
    with open_store(path) as made:
        new = [other for other in path.parent.iterdir() if other not in before]
        aside = [other for other in new if ".damaged" in other.name and other.suffix == path.suffix]
        assert len(aside) == 1
        assert aside[0].read_bytes() == raw
        assert aside[0].name in made.told
        assert path.name in made.told
        assert made.trainees() == ()
        made.add("Bow")
    with open_store(path) as again:
        assert again.told == ""
        assert again.trainees() == ("Bow",)


@pytest.mark.parametrize("raw", [b"not a database at all", b"x" * 5000, b"\x00" * 4096, b" "])
def test_that_no_database_is_set_aside(path: Path, raw: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(raw)
    damaged_then_begun_anew(path)


def test_that_one_cut_short_anywhere_is_set_aside(path: Path, filled: bytes) -> None:
    path.parent.mkdir()
    whole = filled
    assert len(whole) > 4 * 4096
    for length in (1, 50, 100, 511, 512, 1000, 4095, 4096, 4097, 8192, len(whole) // 2,
                   len(whole) - 4096, len(whole) - 1):  # fmt: skip
        path.write_bytes(whole[:length])
        damaged_then_begun_anew(path)
    assert len(list(path.parent.glob("*.damaged*"))) == 13


def test_that_a_page_overwritten_is_found(path: Path, filled: bytes) -> None:
    path.parent.mkdir()
    whole = filled
    for page in range(1, len(whole) // 4096):
        path.write_bytes(whole[: 4096 * page] + b"\xa5" * 4096 + whole[4096 * (page + 1) :])
        damaged_then_begun_anew(path)


WRONG = [
    "DROP TABLE error", "ALTER TABLE round ADD COLUMN more TEXT", "CREATE TABLE other (x)",
    "DROP INDEX round_of", "PRAGMA user_version = 0", "PRAGMA user_version = -1",
    "INSERT INTO card VALUES (99, 'rip', 1, 1, 1, 1, '2031-01-01')",
]  # fmt: skip


@pytest.mark.parametrize("words", WRONG)
def test_that_another_layout_is_set_aside(full: Path, words: str) -> None:
    path = full
    change(path, words)
    damaged_then_begun_anew(path)


def test_that_another_programs_database_is_set_aside(path: Path) -> None:
    path.parent.mkdir()
    change(path, "CREATE TABLE catch (fish); INSERT INTO catch VALUES ('bass')")
    damaged_then_begun_anew(path)


def test_that_what_lies_beside_a_damaged_file_goes_with_it(path: Path) -> None:
    path.parent.mkdir()
    path.write_bytes(b"no database" * 500)
    beside = path.with_name(path.name + "-wal")
    beside.write_bytes(b"kept")
    damaged_then_begun_anew(path)
    assert path.with_name("results.damaged.sqlite3-wal").read_bytes() == b"kept"


def test_that_an_empty_file_is_begun_and_told(path: Path) -> None:
    path.parent.mkdir()
    path.touch()
    with open_store(path) as made:
        assert "was empty" in made.told
        made.add("Bow")
    assert [other.name for other in path.parent.iterdir()] == [path.name]


def test_that_one_of_a_newer_version_is_left_alone(full: Path) -> None:
    path = full
    change(path, f"ALTER TABLE round ADD COLUMN more TEXT; PRAGMA user_version = {FORMAT + 1}")
    raw = path.read_bytes()
    with pytest.raises(BadInput, match="newer Leadfall"):
        open_store(path)
    assert path.read_bytes() == raw
    assert [other.name for other in path.parent.iterdir()] == [path.name]


def test_that_a_busy_file_is_not_taken_for_a_damaged_one(
    store: Store, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store.add("Bow")
    monkeypatch.setattr(drill_store, "PATIENCE", 0.05)
    with closing(sqlite3.connect(path)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(BadInput, match="locked"):
            open_store(path)
        other.rollback()
    with open_store(path) as again:
        assert again.trainees() == ("Bow",)


def test_that_a_folder_in_its_place_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="cannot be used"):
        open_store(tmp_path)
    (tmp_path / "file").touch()
    with pytest.raises(BadInput, match="cannot be used"):
        open_store(tmp_path / "file" / FILE)


def test_that_a_value_another_hand_wrote_is_told(full: Path) -> None:
    path = full
    change(path, "UPDATE round SET level = 'high'; UPDATE card SET due = 'soon'")
    with open_store(path) as made:
        with pytest.raises(BadInput, match="'high'"):
            made.rounds("Bow")
        with pytest.raises(BadInput, match="not usable"):
            made.cards("Bow", "rip")
        assert made.rounds


def test_that_half_a_round_is_never_kept(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    store.add("Bow")
    store._base.execute("CREATE TEMP TRIGGER no BEFORE INSERT ON error WHEN NEW.number = 1"
                        " BEGIN SELECT RAISE(ABORT, 'disk full'); END")  # fmt: skip
    with pytest.raises(BadInput, match="disk full"):
        store.record("Bow", FULL)
    assert store.rounds("Bow") == ()


def test_that_a_closed_store_says_so(path: Path) -> None:
    with open_store(path) as made:
        made.add("Bow")
    made.close()
    with pytest.raises(BadInput, match="closed"):
        made.trainees()
