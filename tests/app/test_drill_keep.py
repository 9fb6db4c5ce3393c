"""What trainees did and a teacher's sets: kept, told apart, damaged, newer, exported, deleted."""

from __future__ import annotations

import csv
import sqlite3
from pathlib import Path

import pytest

from app.bad_input import BadInput
from app.catalog import Catalog
from app.drill_file import FORMAT, Planned, load, save
from app.drill_round import FREE
from app.drill_store import BROKEN_OFF, SCORED, Card, Result, Store
from app.setup import Setup


@pytest.fixture
def store(tmp_path: Path):
    made = Store(tmp_path / "drill.sqlite")
    yield made
    made.close()


def done(points: float) -> Result:
    return Result(
        "", 0, 0, SCORED, points, 4.0, 5.0, 8.0, 20.0, 7.0, 19.0, 1, 0, "long,touched", "out 8"
    )


def test_that_rounds_are_kept_over_a_restart_and_one_cut_short_is_broken_off(
    store: Store,
) -> None:
    ann = store.add("ann")
    store.finish(store.begin(ann, 2, 7), done(80.0))
    store.begin(ann, 3, 9)
    store.close()
    again = Store(store.path)
    (same,) = again.trainees()
    first, second = again.results(same)
    assert (first.level, first.seed, first.state, first.points) == (2, 7, SCORED, 80.0)
    assert first.errors == "long,touched"
    assert (second.level, second.state, second.points) == (3, BROKEN_OFF, None)
    again.close()


def test_that_two_of_one_name_are_refused_whatever_the_capitals(store: Store) -> None:
    store.add("Ann")
    bob = store.add("bob")
    for attempt in (lambda: store.add(" ann "), lambda: store.rename(bob, "ANN")):
        with pytest.raises(BadInput, match="is taken"):
            attempt()
    for name in ("", "   ", "x" * 41, "a\x07b"):
        with pytest.raises(BadInput, match="printable"):
            store.add(name)
    assert [t.name for t in store.trainees()] == ["Ann", "bob"]


def test_that_a_deleted_trainee_takes_all_of_theirs_and_nothing_of_others(store: Store) -> None:
    ann, bob = store.add("ann"), store.add("bob")
    for who in (ann, bob):
        store.finish(store.begin(who, 1, 1), done(50.0))
        store.put_card(who, Card("q", 2, 5))
    store.delete(ann)
    assert store.trainees() == [bob]
    assert len(store.results(bob)) == 1
    assert store.cards(bob) == [Card("q", 2, 5)]
    assert store.results(ann) == []


def test_that_cards_move_between_boxes_and_askings_are_counted(store: Store) -> None:
    ann = store.add("ann")
    store.put_card(ann, Card("a", 1, 1))
    store.put_card(ann, Card("b", 3, 4))
    store.put_card(ann, Card("a", 2, 6))
    assert store.cards(ann) == [Card("a", 2, 6), Card("b", 3, 4)]
    assert store.asked(ann) == 3


@pytest.mark.parametrize("damage", [b"not a database at all, but longer than a header is",
                                    b"SQLite format 3\x00" + b"\xff" * 400])  # fmt: skip
def test_that_a_damaged_file_is_set_aside_untouched_and_told(tmp_path: Path, damage: bytes) -> None:
    path = tmp_path / "drill.sqlite"
    path.write_bytes(damage)
    store = Store(path)
    assert "damaged" in store.told
    assert (tmp_path / "drill.damaged-1.sqlite").read_bytes() == damage
    store.add("ann")
    store.close()
    assert Store(path).told == ""


def test_that_another_programs_database_is_set_aside_too(tmp_path: Path) -> None:
    path = tmp_path / "drill.sqlite"
    with sqlite3.connect(path) as db:
        db.execute("create table trainee (id integer)")
    db.close()
    store = Store(path)
    assert "damaged" in store.told
    assert (tmp_path / "drill.damaged-1.sqlite").exists()
    store.close()


def test_that_a_newer_file_is_left_alone_and_nothing_written_to_it(tmp_path: Path) -> None:
    path = tmp_path / "drill.sqlite"
    with sqlite3.connect(path) as db:
        db.execute("pragma user_version = 99")
        db.execute("create table trainee (id integer)")
    db.close()
    before = path.read_bytes()
    store = Store(path)
    assert "newer Leadfall" in store.told
    store.add("ann")
    store.close()
    assert path.read_bytes() == before


def test_that_rounds_are_exported_and_no_name_becomes_a_formula(
    store: Store, tmp_path: Path
) -> None:
    eve = store.add("=eve")
    store.finish(store.begin(eve, 2, 7), done(80.0))
    path = tmp_path / "out.csv"
    store.export(eve, path)
    (row,) = csv.DictReader(path.read_text("utf-8").splitlines())
    assert row["trainee"] == "'=eve"
    assert (row["level"], row["seed"], row["points"]) == ("2", "7", "80.0")
    with pytest.raises(BadInput):
        store.export(eve, tmp_path / "nowhere" / "out.csv")


# ---- sets


def test_that_a_set_is_read_back_with_its_own_scenario(
    tmp_path: Path, catalog: Catalog, demo: Setup
) -> None:
    path = tmp_path / "evening.toml"
    rounds = [Planned(1, 3), Planned(4, 12), Planned(FREE, 5, demo, "full")]
    save("first evening", rounds, path)
    name, back = load(path, catalog)
    assert name == "first evening"
    assert [(r.level, r.seed, r.help) for r in back] == [(1, 3, "off"), (4, 12, "off"),
                                                         (FREE, 5, "full")]  # fmt: skip
    own = back[2].setup
    assert own is not None
    assert [rod.name for rod in own.rods] == [rod.name for rod in demo.rods]
    assert back[0].made(catalog) == Planned(1, 3).made(catalog)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (f"leadfall_drill = {FORMAT + 1}\n", "newer Leadfall"),
        ("name = 'x'\n", "leadfall_drill"),
        ("leadfall_drill = 1\nname = 'x'\n", "round"),
        ("leadfall_drill = 1\nname = 'x'\n[[round]]\nlevel = 9\nseed = 1\n", "level"),
        ("leadfall_drill = 1\nname = 'x'\n[[round]]\nlevel = 1\nseed = -1\n", "seed"),
        ("leadfall_drill = 1\nname = 'x'\n[[round]]\nlevel = 1\nseed = 1\nhelp = 3\n", "help"),
        ("leadfall_drill = 1\nname = 'x'\n[[round]]\nlevel = 0\nseed = 1\n", "scenario"),
        ("[[round]\n", "not TOML"),
    ],
)
def test_that_a_set_that_cannot_be_used_is_refused_by_file_and_key(
    tmp_path: Path, catalog: Catalog, text: str, words: str
) -> None:
    path = tmp_path / "set.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as refused:
        load(path, catalog)
    assert str(path) in str(refused.value)
    assert words in str(refused.value)
