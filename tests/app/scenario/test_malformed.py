"""Every way a scenario file can be wrong, each refused in one line that helps."""

import random
from pathlib import Path

import pytest

from app.common.bad_input import BadInput
from app.common.files import LARGEST_FILE
from app.gear.catalog import Catalog
from app.scenario.file import load, loads
from tests.app.scenario.malformed import CASES, GOOD, Case

CATALOG = Catalog.load(None)
SEED = 20240611


def test_that_the_text_the_cases_are_made_from_is_good() -> None:
    assert len(loads(GOOD, "my.toml", CATALOG).rods) == 2


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.what)
def test_that_a_malformed_file_is_refused_with_file_key_value_and_range(case: Case) -> None:
    assert GOOD.count(case.old) == 1
    with pytest.raises(BadInput) as refused:
        loads(GOOD.replace(case.old, case.new), "my.toml", CATALOG)
    sentence = str(refused.value)
    assert sentence.startswith("my.toml: ")
    assert sentence.isprintable()
    assert refused.value.key == case.key
    assert case.value in sentence
    assert case.allowed in sentence.partition("allowed: ")[2]


def test_that_no_rods_and_seven_rods_are_refused() -> None:
    head, _, rods = GOOD.partition("[[rod]]")
    with pytest.raises(BadInput, match=r"my.toml: rod: 0 is not usable; allowed: 1 to 6"):
        loads(head, "my.toml", CATALOG)
    one = "[[rod]]" + rods.partition("[[rod]]")[0]
    many = head + "".join(one.replace('"port"', f'"rod {n}"') for n in range(7))
    with pytest.raises(BadInput, match=r"my.toml: rod: 7 is not usable; allowed: 1 to 6"):
        loads(many, "my.toml", CATALOG)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "leadfall: is missing"),
        (b"leadfall = 1\nname = \n", "line 2, column 8"),
        (b"\xff\xfe\x00", "line 1 is not UTF-8"),
        (b"name = 1\n# caf\xe9\n", "line 2 is not UTF-8"),
        (b"\x00\x01\x02", "is not TOML"),
        (b"just words\n", "line 1, column"),
        (b"#" * 50_000_000, "is too large"),
    ],
    ids=["empty", "syntax", "UTF-16", "Latin-1", "binary", "words", "50 MB"],
)
def test_that_a_file_that_is_no_scenario_is_refused(
    tmp_path: Path, content: bytes, says: str
) -> None:
    path = tmp_path / "my.toml"
    path.write_bytes(content)
    with pytest.raises(BadInput, match=says) as refused:
        load(path, CATALOG)
    assert refused.value.file == str(path)
    assert "allowed: " in str(refused.value)


def test_that_a_folder_a_missing_file_and_a_device_are_refused(tmp_path: Path) -> None:
    for path, says in (
        (tmp_path, "is a folder"),
        (tmp_path / "none.toml", "there is no such file"),
        (tmp_path / ("x" * 300), "cannot be read|no such file"),
        (Path("/dev/zero"), "is not an ordinary file|no such file"),
    ):
        with pytest.raises(BadInput, match=says):
            load(path, CATALOG)


def test_that_a_mark_of_windows_and_its_line_ends_do_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert load(path, CATALOG) == loads(GOOD, "my.toml", CATALOG)


def test_that_a_file_of_the_largest_size_is_still_read(tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    path.write_text(GOOD + "#" * (LARGEST_FILE - len(GOOD)), encoding="utf-8")
    assert load(path, CATALOG).name == "A drop"


def test_that_random_damage_is_either_read_or_refused() -> None:
    draw = random.Random(SEED)
    pieces = ["-", "nan", "[", "]", '"', "=", "\n", "9" * 30, "{}", "true", "1e308", "rod", "é", ""]
    refused: list[str] = []
    for _ in range(1500):
        text = GOOD
        for _ in range(draw.randint(1, 3)):
            at = draw.randrange(len(text))
            text = text[:at] + draw.choice(pieces) + text[at + draw.randrange(4) :]
        try:
            loads(text, "my.toml", CATALOG)
        except BadInput as error:
            refused.append(str(error))
    assert len(refused) > 500
    assert all(sentence.isprintable() for sentence in refused)
