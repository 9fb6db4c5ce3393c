"""Results on disk, sets of rounds as files, and the boxes of question cards."""

from __future__ import annotations

import csv
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from app.common.bad_input import BadInput
from app.common.units import FOOT, KNOT, MILE_PER_HOUR
from app.drill import file as drill_file
from app.drill import store as drill_store
from app.drill.file import Planned
from app.drill.questions import BOXES, KINDS, REST, Answered, Question, answer, boxed, next_question
from app.drill.store import BROKEN_OFF, SCORED, Card, Result, Store
from app.gear.catalog import Catalog
from app.scenario.setup import Setup
from physics.answers.steady import SteadyAnswer

STEADY = SteadyAnswer(5.0, 16.0, 3.4, 0.1, 0.08, 0.03)
DONE = Result("", 2, 7, SCORED, 81.5, 3.2, 4.1, 5.0, 20.0, 4.0, 18.0, 1, 0, "long hold", "[]")


def test_that_rounds_are_kept_and_one_that_was_cut_short_is_broken_off(home: Path) -> None:
    store = Store()
    mate = store.add("Mate")
    store.finish(store.begin(mate, 2, 7), DONE)
    store.begin(mate, 3, 8)
    store.close()
    store = Store()
    assert not store.told
    first, second = store.results(mate)
    store.close()
    assert (first.points, first.errors, first.level, first.seed) == (81.5, "long hold", 2, 7)
    assert (second.state, second.points) == (BROKEN_OFF, None)


def test_that_the_steady_answer_is_kept_beside_a_result_whichever_is_there_first(
    home: Path, tmp_path: Path
) -> None:
    store = Store()
    mate = store.add("Mate")
    for first in (store.finish, store.tell_steady):
        number = store.begin(mate, 2, 7)
        known = {store.finish: DONE, store.tell_steady: STEADY}
        first(number, known[first])  # type: ignore[arg-type]
        (other,) = known.keys() - {first}
        other(number, known[other])  # type: ignore[arg-type]
    store.export(mate, tmp_path / "drill.csv")
    results = store.results(mate)
    store.close()
    rows = list(csv.DictReader((tmp_path / "drill.csv").read_text("utf-8").splitlines()))
    for result, row in zip(results, rows, strict=True):
        assert (result.points, result.best_hold_s, result.orders) == (81.5, 18.0, "[]")
        assert (result.steady_wait_s, result.steady_hold_s) == (5.0, 16.0)
        assert (result.steady_window_s, result.steady_touch) == (3.4, 0.08)
        assert (row["steady_hold_s"], row["steady_touch_error"]) == ("16.0", "0.03")


def test_that_a_file_without_steady_answers_is_read_and_gets_them(home: Path) -> None:
    home.mkdir()
    db = sqlite3.connect(home / "drill.sqlite")
    db.executescript(
        """
        create table trainee (id integer primary key, name text not null unique collate nocase);
        create table round (
            id integer primary key,
            trainee integer not null references trainee (id) on delete cascade,
            at text not null, level integer not null, seed integer not null,
            state text not null, points real, window_s real, possible_s real,
            wait_s real, hold_s real, best_wait_s real, best_hold_s real,
            touched integer, crossed integer, errors text not null default '',
            orders text not null default ''
        );
        create table card (
            trainee integer not null references trainee (id) on delete cascade,
            question text not null, box integer not null, due integer not null,
            asked integer not null, primary key (trainee, question)
        );
        insert into trainee values (1, 'Mate');
        insert into round values (
            1, 1, '2026-05-01 06:00:00', 2, 7, 'scored', 81.5, 3.2, 4.1, 5.0, 20.0, 4.0, 18.0, 1, 0,
            'long hold', '[]'
        );
        pragma user_version = 1;
        """
    )
    db.close()
    store = Store()
    assert not store.told
    (mate,) = store.trainees()
    (result,) = store.results(mate)
    assert result == replace(DONE, at="2026-05-01 06:00:00")
    store.tell_steady(1, STEADY)
    assert store.results(mate)[0].steady_hold_s == 16.0
    store.close()


@pytest.mark.parametrize("name", ["", "   ", "x" * 41, "a\x00b"])
def test_that_a_name_that_is_none_is_refused(name: str, home: Path) -> None:
    store = Store()
    with pytest.raises(BadInput, match="trainee"):
        store.add(name)
    store.close()


def test_that_two_cannot_have_one_name(home: Path) -> None:
    store = Store()
    store.add("Ann")
    other = store.add("Bo")
    with pytest.raises(BadInput, match="is taken"):
        store.add(" ann ")
    with pytest.raises(BadInput, match="is taken"):
        store.rename(other, "ANN")
    assert [person.name for person in store.trainees()] == ["Ann", "Bo"]
    store.close()


@pytest.mark.parametrize("harm", ["words", "half", "other tables", "a column short"])
def test_that_a_damaged_file_is_set_aside_and_told(harm: str, home: Path) -> None:
    store = Store()
    store.add("Ann")
    store.close()
    whole = store.path.read_bytes()
    if harm == "words":
        store.path.write_bytes(b"no database at all " * 40)
    elif harm == "half":
        store.path.write_bytes(whole[:4096] + b"\x07" * 9000)
    elif harm == "a column short":
        db = sqlite3.connect(store.path)
        db.execute("alter table round drop column errors")
        db.commit()
        db.close()
    else:
        store.path.unlink()
        db = sqlite3.connect(store.path)
        db.execute("create table cargo (what text)")
        db.commit()
        db.close()
    harmed = store.path.read_bytes()
    again = Store()
    assert "damaged" in again.told
    assert again.trainees() == []
    assert again.add("Bo").name == "Bo"
    again.close()
    (aside,) = home.glob("drill.damaged*.sqlite")
    assert aside.read_bytes() == harmed


def write_protected(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """What opens the store's file from now on may not write it."""
    connect = sqlite3.connect

    def opened(path: Path | str, timeout: float = 5.0) -> sqlite3.Connection:
        known = path != ":memory:"
        return connect(f"file:{path}?mode=ro", uri=True) if known else connect(path)

    store.close()
    monkeypatch.setattr(sqlite3, "connect", opened)


def test_that_a_write_protected_file_is_told_and_left_alone(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Store()
    store.begin(store.add("Ann"), 1, 1)
    write_protected(store, monkeypatch)
    before = store.path.read_bytes()
    again = Store()
    assert "readonly" in again.told
    assert "kept only until you quit" in again.told
    again.finish(again.begin(again.add("Bo"), 1, 1), DONE)
    again.close()
    assert store.path.read_bytes() == before
    assert not list(home.glob("*damaged*"))


def test_that_a_damaged_file_that_cannot_be_moved_is_left_alone(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home.mkdir()
    path = home / "drill.sqlite"
    path.write_bytes(b"no database at all " * 40)
    monkeypatch.setattr(drill_store, "set_database_aside", lambda _path: None)
    store = Store()
    assert "cannot be moved" in store.told
    assert store.add("Bo").name == "Bo"
    store.close()
    assert path.read_bytes() == b"no database at all " * 40


def test_that_a_folder_that_cannot_be_made_is_told(home: Path) -> None:
    home.write_text("in the way")
    store = Store()
    assert "cannot be made" in store.told
    assert store.add("Bo").name == "Bo"
    store.close()


def test_that_a_newer_file_is_left_alone(home: Path) -> None:
    store = Store()
    store.close()
    db = sqlite3.connect(store.path)
    db.execute("pragma user_version = 9")
    db.close()
    before = store.path.read_bytes()
    newer = Store()
    assert "newer Leadfall" in newer.told
    newer.add("Ann")
    newer.close()
    assert store.path.read_bytes() == before


def test_that_deleting_somebody_takes_their_rounds_and_cards_alone(home: Path) -> None:
    store = Store()
    ann, bo = store.add("Ann"), store.add("Bo")
    for person in (ann, bo):
        store.finish(store.begin(person, 1, 1), DONE)
        store.put_card(person, Card("hold|30|8|7", 1, 1))
    store.delete(ann)
    assert (store.results(ann), store.cards(ann)) == ([], [])
    assert len(store.results(bo)) == len(store.cards(bo)) == 1
    store.close()


def test_that_results_go_to_a_table(home: Path, tmp_path: Path) -> None:
    store = Store()
    mate = store.add('=Mate, the "first"')
    store.finish(store.begin(mate, 2, 7), DONE)
    path = tmp_path / "out.csv"
    store.export(mate, path)
    (row,) = csv.DictReader(path.read_text(encoding="utf-8").splitlines())
    assert row["trainee"] == '\'=Mate, the "first"'
    assert (row["level"], row["points"], row["errors"]) == ("2", "81.5", "long hold")
    with pytest.raises(BadInput):
        store.export(mate, tmp_path / "no" / "out.csv")
    store.close()


def test_that_a_set_of_rounds_comes_back(tmp_path: Path, demo: Setup, catalog: Catalog) -> None:
    rounds = [Planned(1, 4), Planned(0, 9, demo, "fades"), Planned(5, 4)]
    path = tmp_path / "set.toml"
    drill_file.save("Monday", rounds, path)
    name, back = drill_file.load(path, catalog)
    assert name == "Monday"
    assert [(p.level, p.seed, p.help) for p in back] == [(1, 4, "off"), (0, 9, "fades"),
                                                         (5, 4, "off")]  # fmt: skip
    assert back[1].made(catalog).setup.rods == demo.rods
    assert back[1].made(catalog).mark.time == rounds[1].made(catalog).mark.time


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("leadfall_drill = 1", "leadfall_drill = 2", "newer Leadfall"),
        ("level = 1", "level = 9", "round 1, level"),
        ("level = 1", "level = 0", "scenario"),
        ("seed = 4", "seed = -4", "round 1, seed"),
        ("seed = 4", "seed = 4\nsead = 4", "sead"),
        ("[[round]]", "[round]", "round"),
    ],
)
def test_that_a_set_that_cannot_be_used_is_told_where(
    old: str, new: str, told: str, tmp_path: Path, catalog: Catalog
) -> None:
    path = tmp_path / "set.toml"
    drill_file.save("Monday", [Planned(1, 4)], path)
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    with pytest.raises(BadInput, match=told):
        drill_file.load(path, catalog)


def test_that_a_question_known_rests_longer_and_one_missed_comes_soon() -> None:
    question = Question("hold", 30.0, 8.0, 7.0)
    cards: list[Card] = []
    for asked, box in enumerate((1, 2, 3, 4, 5, 5)):
        cards = [boxed(question, cards, asked, right=True)]
        assert (cards[0].box, cards[0].due) == (box, asked + 1 + REST[box - 1])
    missed = boxed(question, cards, 10, right=False)
    assert (missed.box, missed.due) == (1, 12)
    assert next_question([missed], 11, [], 1) != question
    assert next_question([missed], 12, [], 1) == question
    resting = Card(question.key, 5, 99)
    assert next_question([resting], 11, [], 1) != question
    assert boxed(question, [Card(question.key, BOXES, 0)], 3, right=True).box == BOXES


def test_that_errors_made_in_rounds_are_asked_about_more() -> None:
    def share(errors: list[str]) -> float:
        kinds = [next_question([], asked, errors, 3).kind for asked in range(60)]
        return kinds.count("wait") / len(kinds)

    assert share(["late out"] * 8) > share([]) + 0.3


def test_that_the_answers_come_from_the_model(catalog: Catalog) -> None:
    shallow = answer(Question("hold", 26.0, 8.0, 7.0), catalog)
    deep = answer(Question("hold", 36.0, 8.0, 7.0), catalog)
    assert shallow.seconds is not None
    assert deep.seconds is not None
    assert 5.0 < shallow.seconds < deep.seconds < 60.0
    never = answer(Question("hold", 300.0, 5.0, 7.0), catalog)
    assert never.seconds is None
    assert not never.right(20.0)


def test_that_near_enough_is_right_and_further_is_not() -> None:
    question = Question("wait", 30.0, 8.0, 7.0)
    assert Answered(question, 5.0).tolerance == KINDS["wait"]
    assert Answered(question, 5.0).right(6.9)
    assert not Answered(question, 5.0).right(7.1)
    assert Answered(question, 40.0).right(45.9)
    assert question.text(FOOT, KNOT).startswith("Bottom 30 ft, 8 colors, 7 kn: ")
    assert question.text(FOOT, MILE_PER_HOUR).startswith("Bottom 30 ft, 8 colors, 8.1 mph: ")
    assert Question.of(question.key) == question


@pytest.mark.parametrize("how", ["deleted", "with its folder"])
def test_that_rounds_done_after_the_file_went_are_kept_with_all_before(
    how: str, home: Path, tmp_path: Path
) -> None:
    store = Store()
    anna = store.add("Anna")
    store.finish(store.begin(anna, 1, 7), Result("", 1, 7, SCORED, 80.0))
    if how == "deleted":
        store.path.unlink()
    else:
        home.rename(tmp_path / "elsewhere")
    store.finish(store.begin(anna, 2, 8), Result("", 2, 8, SCORED, 90.0))
    store.add("Ben")
    store.close()
    store = Store()
    assert not store.told
    assert [trainee.name for trainee in store.trainees()] == ["Anna", "Ben"]
    assert [result.points for result in store.results(anna)] == [80.0, 90.0]
    store.close()


def test_that_rounds_wait_where_another_file_was_put_in_the_place_of_theirs(
    home: Path, tmp_path: Path
) -> None:
    other = Store(tmp_path / "other.sqlite")
    other.add("Ben")
    other.close()
    store = Store()
    anna = store.add("Anna")
    (tmp_path / "other.sqlite").replace(store.path)
    store.begin(anna, 1, 7)
    with pytest.raises(BadInput, match="another file has its name"):
        store.flush()
    store.close()
    store = Store()
    assert [trainee.name for trainee in store.trainees()] == ["Ben"]
    store.close()
