"""The candidates' own file: kept as written, refused by file, key and value, never lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.common.bad_input import BadInput
from app.common.units import COLOR, FOOT
from app.compare.candidates import Candidate, Lineup
from app.compare.file import forget, load, place, save

LINEUP = Lineup(
    (
        Candidate("port, the long one", "sinking plug, 5 in"),
        Candidate("alone", "ball sinker, 4 oz", alone=True),
        Candidate("plain", "spoon “of ours”", line=None, backing="30 lb mono backing",
                  line_out=COLOR.to_si(4.5), leader_length=FOOT.to_si(12.5)),
        Candidate("all on", "light jig, 1 oz", line="45 lb leadcore", on_reel=COLOR.to_si(6.0),
                  astern=FOOT.to_si(9.0), height=FOOT.to_si(11.5), named=True),
    ),
    hold=17.5,
    depth=FOOT.to_si(22.0),
)  # fmt: skip


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "deep" / "compare.toml"


def test_that_what_is_saved_is_what_is_loaded(path: Path) -> None:
    save(LINEUP, path)
    assert load(path) == LINEUP


def test_that_the_file_is_in_the_units_of_the_trade(path: Path) -> None:
    save(LINEUP, path)
    text = path.read_text(encoding="utf-8")
    for words in ("hold_s = 17.5", "depth_ft = 22\n", "colors_out = 4.5", "leader_ft = 12.5",
                  'line = "none"', "alone = true"):  # fmt: skip
        assert words in text


def test_that_names_in_an_earlier_file_are_a_persons(path: Path) -> None:
    save(LINEUP, path)
    text = path.read_text(encoding="utf-8").replace("compare = 2", "compare = 1")
    path.write_text(text.replace("named = true\n", ""), encoding="utf-8")
    found = load(path)
    assert found is not None
    assert all(candidate.named for candidate in found.candidates)


def test_that_no_file_is_nobodys_candidates(path: Path) -> None:
    assert load(path) is None


def test_that_it_is_in_the_persons_own_folder(home: Path) -> None:
    assert place() == home / "compare.toml"


BAD = [
    ("hold_s = 17.5", "hold_s = 0", "hold_s", "0.5 to 120 s"),
    ("hold_s = 17.5", "hold_s = -3", "-3", "0.5 to 120 s"),
    ("depth_ft = 22", 'depth_ft = "deep"', "'deep'", "a number"),
    ("colors_out = 4.5", "colors_out = -4.5", "candidate 3, colors_out", "0.1 to 40 colors"),
    ("leader_ft = 12.5", "leader_ft = -1", "candidate 3, leader_ft", "to 100 ft"),
    ('name = "plain"', 'name = "alone"', "candidate 3, name", "a different name"),
    ("compare = 2", "compare = 3", "newer Leadfall", "2"),
    ("tip_height_ft = 11.5", "tip_height_ft = 900", "candidate 4, tip_height_ft", "ft"),
    ("named = true", "named = 3", "candidate 4, named", "true or false"),
    ("alone = true", 'alone = "yes"', "candidate 2, alone", "true or false"),
    ("[[candidate]]", "[[candidat]]", "candidat", "candidate"),
    ("hold_s = 17.5", "hold_s = 17.5\nmood = 3", "mood", "hold_s"),
    ("hold_s = 17.5", "hold_s = = 17.5", "line 3", "TOML"),
]


@pytest.mark.parametrize(("old", "new", "says", "allowed"), BAD, ids=[bad[1] for bad in BAD])
def test_that_a_damaged_file_is_refused_by_name_key_and_value(
    path: Path, old: str, new: str, says: str, allowed: str
) -> None:
    save(LINEUP, path)
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1) if "candidat]]" not in new
                    else text.replace(old, new), encoding="utf-8")  # fmt: skip
    with pytest.raises(BadInput) as refused:
        load(path)
    told = str(refused.value)
    assert str(path) in told
    assert says in told
    assert allowed in told


def test_that_nine_candidates_are_refused(path: Path) -> None:
    save(LINEUP, path)
    text = path.read_text(encoding="utf-8")
    one = text[text.index("[[candidate]]") :].split("[[candidate]]")[1]
    more = "".join("[[candidate]]" + one.replace("port, the long one", f"n {k}") for k in range(5))
    path.write_text(text + more, encoding="utf-8")
    with pytest.raises(BadInput, match="1 to 8"):
        load(path)


def test_that_tackle_that_has_gone_is_no_damage(path: Path) -> None:
    save(LINEUP, path)
    assert load(path) is not None, "the third names a spoon that no catalog has"


def test_that_a_place_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(BadInput, match="file"):
        save(LINEUP, tmp_path / "file" / "compare.toml")


def test_that_forgetting_is_harmless_twice(path: Path) -> None:
    save(LINEUP, path)
    forget(path)
    forget(path)
    assert not path.exists()
