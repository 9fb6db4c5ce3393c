"""TOML that would cost a parser its stack or the machine its memory is refused before parsing."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import pytest

from app.common.bad_input import BadInput
from app.common.files import parse_document, parse_toml
from app.common.toml_bounds import DEEPEST, LONGEST_WORD, MOST_TABLES, beyond_bounds
from app.gear.catalog import Catalog
from app.scenario.read import read_setup
from tests.app.scenario.malformed import GOOD

LONGEST_MESSAGE = 600

TOO_MUCH = {
    "key of 1,500 parts": ("a" + ".a" * 1500 + " = 1", "in line 1"),
    "key of 20,000 parts": ("a" + ".b" * 20_000 + " = 1", "in line 1"),
    "parts with spaces": ("x = 1\na" + " . a" * 1500 + " = 1", "a key of more than 20 parts"),
    "quoted parts": ('"a"' + '."a"' * 1500 + " = 1", "a key of more than 20 parts"),
    "heading of 1,500 parts": ("[a" + " .a" * 1500 + "]", "a key of more than 20 parts"),
    "key in a table": ("a = {a" + ".a" * 30 + " = 1}", "a key of more than 20 parts"),
    "brackets": ("a = " + "[" * 50_000, "brackets more than 20 deep"),
    "braces": ("a = " + "{a = " * 50_000, "brackets more than 20 deep"),
    "digits": ("\n\na = " + "9" * 5000, "a number or key of more than 1,000 characters in line 3"),
    "tables": ("[[a]]\n" * 300_000, "more than 10,000 tables in line 10001"),
    "tables in a row": ("a = [" + "{}," * 300_000 + "]", "more than 10,000 tables"),
    "tables of dotted keys": (
        "\n".join(".".join(f"k{row}x{part}" for part in range(15)) + " = 1" for row in range(900)),
        "more than 10,000 tables",
    ),
}


@pytest.mark.parametrize("what", TOO_MUCH)
def test_that_too_much_is_refused_before_it_is_parsed(
    what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def parsed(_: str) -> None:
        pytest.fail("it was parsed")

    monkeypatch.setattr("app.common.files.tomllib.loads", parsed)
    monkeypatch.setattr("app.common.files.tomlkit.parse", parsed)
    text, says = TOO_MUCH[what]
    for parse in (parse_toml, parse_document):
        with pytest.raises(BadInput, match=says) as refused:
            parse(text, "my.toml")
        assert len(str(refused.value)) < LONGEST_MESSAGE


@pytest.mark.parametrize(
    "text",
    [
        GOOD,
        "a = '" + "[" * 50 + "'  # " + "[" * 50,
        'a = "' + ".b" * 500 + '"',
        'a = "\\"' + "[" * 50 + '"',
        'a = """\n' + "[" * 50 + '\n"" \\""" """"',
        "a = '''\n" + "{" * 50 + "\n'' '''''",
        "# " + ".b" * 1500 + "\na = 1",
        "a = " + "[" * DEEPEST + "]" * DEEPEST,
        ".".join("abcdefghijklmnopqrst"[:DEEPEST]) + " = 1",
        "a = [" + "1.5, " * 50_000 + "]",
        "a = 1" + "0" * (LONGEST_WORD - 1),
        "[[a]]\n" * MOST_TABLES,
    ],
)
def test_that_strings_comments_and_long_lists_are_no_depth(text: str) -> None:
    assert beyond_bounds(text) == ""
    assert parse_toml(text, "my.toml") == tomllib.loads(text)


@pytest.mark.parametrize("opener", ['"""', "'''", '"', "'"])
def test_that_a_string_never_closed_is_still_refused(opener: str) -> None:
    with pytest.raises(BadInput, match="is not TOML"):
        parse_toml(f"a = {opener}" + "[" * 50, "my.toml")


def test_that_own_tackle_of_a_deep_key_leaves_the_shipped_tackle(tmp_path: Path) -> None:
    (tmp_path / "own.toml").write_text("a" + ".a" * 1500 + " = 1\n", encoding="utf-8")
    catalog, refusals = Catalog.load_what_can_be_read(tmp_path)
    assert catalog.lines.keys() == Catalog.load(None).lines.keys()
    assert ["own.toml" in str(refusal) for refusal in refusals] == [True]


NESTED: list[object] = []
for _ in range(5000):
    NESTED = [NESTED]


@pytest.mark.parametrize(
    "parts",
    [
        ("f" * 9000, "key", 1, "allowed", "problem"),
        ("my.toml", "k" * 2_000_000, 1, "allowed", "problem"),
        ("my.toml", "key", "v" * 2_000_000, "allowed", "problem"),
        ("my.toml", "key", NESTED, "allowed", "problem"),
        ("my.toml", "key", [[1.5] * 1000] * 1000, "allowed", "problem"),
        ("my.toml", "key", {f"k{n}": n for n in range(100_000)}, "allowed", "problem"),
        ("my.toml", "key", 10**5000, "allowed", "problem"),
        ("my.toml", "key", [date(2020, 1, 1)] * 99, "allowed", "problem"),
        ("my.toml", "key", 1, "a" * 2_000_000, "problem"),
        ("my.toml", "key", 1, "allowed", "p" * 2_000_000),
        ("f" * 9000, "k" * 9000, "v" * 9000, "a" * 9000, "p" * 9000),
    ],
    ids=range(11),
)
def test_that_no_message_is_longer_than_a_few_lines(
    parts: tuple[str, str, object, str, str],
) -> None:
    sentence = str(BadInput(*parts))
    assert len(sentence) < LONGEST_MESSAGE
    assert sentence.isprintable()


def test_that_a_long_message_keeps_the_name_of_the_file_and_what_was_meant() -> None:
    allowed = "one of " + ", ".join(f"'lure {n}'" for n in range(900)) + "; did you mean 'plug'?"
    sentence = str(BadInput("/deep" * 900 + "/my.toml", "rod 1, lure", "plugg", allowed))
    assert "/my.toml: rod 1, lure: 'plugg' is not usable; allowed: one of 'lure 0'" in sentence
    assert sentence.endswith("; did you mean 'plug'?")


def test_that_a_key_is_not_compared_with_every_one_of_a_hundred_thousand(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    compared: list[int] = []
    monkeypatch.setattr(
        "app.common.reading.difflib.get_close_matches",
        lambda _, given, **__: compared.append(len(given)),
    )
    text = "\n".join(f"leadfal{n} = 1" for n in range(3000))
    with pytest.raises(BadInput, match="is missing"):
        read_setup(parse_toml(text, "my.toml"), "my.toml")
    assert max(compared) <= 200
