"""A teacher's set of rounds: read as written, refused by file, key and value."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.bad_input import BadInput
from app.drill_file import MOST_ROUNDS, DrillSet, SetRound, load, save
from physics.checks import Unusable

SET = DrillSet(
    "First evening",
    (
        SetRound(1, 0),
        SetRound(5, 2**31, 'The rip.\nWatch "port"\\starboard.'),
        SetRound(3, 77, "x"),
    ),
)

TEXT = """version = 1
name = "Ours"

[[round]]
level = 2
seed = 5

[[round]]
level = 3
seed = 6
words = "Slow."
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "set.toml"


def refused(path: Path, text: str) -> str:
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        load(path)
    assert str(path) in str(caught.value)
    return str(caught.value)


def test_that_what_is_saved_is_what_is_loaded(path: Path) -> None:
    save(SET, path)
    assert load(path) == SET


def test_that_a_set_written_by_hand_is_read(path: Path) -> None:
    path.write_text(TEXT, encoding="utf-8")
    assert load(path) == DrillSet("Ours", (SetRound(2, 5), SetRound(3, 6, "Slow.")))


shown = st.characters(exclude_categories=("C", "Z")) | st.sampled_from(" \n\"\\'")
rounds = st.builds(
    SetRound, st.integers(1, 5), st.integers(0, 2**31), st.text(shown, max_size=30).filter(
        lambda words: all(c.isprintable() or c == "\n" for c in words)
    ),
)  # fmt: skip
names = st.text(shown, min_size=1, max_size=60).filter(lambda n: n.strip() and n.isprintable())


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.builds(DrillSet, names, st.lists(rounds, min_size=1, max_size=4).map(tuple)))
def test_that_any_set_comes_back(path: Path, made: DrillSet) -> None:
    save(made, path)
    assert load(path) == made


BAD = [
    ("version = 1", "version = 2", "version", "newer Leadfall"),
    ("version = 1\n", "", "version", "is missing"),
    ("version = 1", "version = 1\nlevl = 3", "levl", "unknown key"),
    ("seed = 5", "seed = 5\nsead = 3", "round 1, sead", "did you mean seed?"),
    ("level = 3", "level = 6", "round 2, level", "1 to 5"),
    ("level = 3", "level = 0", "round 2, level", "1 to 5"),
    ("level = 3", "level = 2.5", "round 2, level", "whole number"),
    ("level = 3", "level = true", "round 2, level", "a number"),
    ("seed = 6", "seed = -1", "round 2, seed", "0 to"),
    ("seed = 6", "seed = 2147483649", "round 2, seed", "0 to"),
    ("seed = 6", "seed = nan", "round 2, seed", "0 to"),
    ("seed = 6\n", "", "round 2, seed", "is missing"),
    ('"Slow."', "7", "round 2, words", "text in quotes"),
    ('"Slow."', '"a\\u0007b"', "round 2, words", "printable"),
    ('"Ours"', '""', "name", "1 to 60"),
    ("version = 1", "version = ", "line 1", "is not TOML"),
]


@pytest.mark.parametrize(("old", "new", "where", "says"), BAD)
def test_that_what_cannot_be_used_is_refused_in_words(
    path: Path, old: str, new: str, where: str, says: str
) -> None:
    assert old in TEXT
    said = refused(path, TEXT.replace(old, new, 1))
    assert where in said
    assert says in said


def test_that_a_newer_file_is_known_before_its_new_keys_are_complained_of(path: Path) -> None:
    assert "newer" in refused(path, TEXT.replace("version = 1", "version = 2\nweather = 4"))


def test_that_two_hundred_rounds_are_the_most(path: Path) -> None:
    one = "\n[[round]]\nlevel = 1\nseed = 1\n"
    head = 'version = 1\nname = "Long"\n'
    path.write_text(head + one * MOST_ROUNDS, encoding="utf-8")
    assert len(load(path).rounds) == MOST_ROUNDS == 200
    assert "201" in refused(path, head + one * 201)
    assert "round" in refused(path, head)


@pytest.mark.parametrize(("level", "seed"), [(0, 1), (6, 1), (1, -1), (1, 2**31 + 1), (True, 1)])
def test_that_a_round_that_no_file_may_hold_is_not_made(level: int, seed: int) -> None:
    with pytest.raises(Unusable):
        SetRound(level, seed)


def test_that_an_empty_or_nameless_set_is_not_made() -> None:
    with pytest.raises(Unusable, match="rounds"):
        DrillSet("none", ())
    with pytest.raises(Unusable, match="name"):
        DrillSet(" ", SET.rounds)


def test_that_a_place_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="cannot be written"):
        save(SET, tmp_path / "nowhere" / "set.toml")
