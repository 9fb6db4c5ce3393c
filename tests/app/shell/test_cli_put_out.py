"""``leadfall put-out``: the page, JSON, and what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from app.scenario.file import demos
from app.shell import cli
from tests.app.scenario.json_paths import without_unit

Capture = pytest.CaptureFixture[str]

QUICK = "\n[run]\nduration_s = 90\nline_elements = 8\nleader_elements = 2\n"


@pytest.fixture
def quick(tmp_path: Path) -> Path:
    """The first demo with one rod on coarse lines."""
    text = demos()[0].read_text("utf-8").replace("\n[run]\nduration_s = 90\n", QUICK)
    start = text.index('[[rod]]\nname = "starboard"')
    path = tmp_path / "quick.toml"
    path.write_text(text[:start] + text[text.index("\n[run]") :], encoding="utf-8")
    return path


def test_that_what_to_put_out_is_printed_and_written(
    quick: Path, tmp_path: Path, capsys: Capture
) -> None:
    out = tmp_path / "out.json"
    words = ["put-out", str(quick), "--hold", "20", "--keep-speed", "--json", str(out)]
    assert cli.main(words) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Two rods, level bottom"
    assert lines[1] == "Mark at 24 ft, bottom at 30 ft; hold 20 s"
    whole = json.loads(out.read_text("utf-8"))
    assert lines[3] == whole["sentence"]
    assert whole["asked"]["hold_s"] == 20.0
    assert whole["asked"]["speeds_mps"][0] == whole["asked"]["speeds_mps"][1]
    assert not without_unit(whole, ["port"])
    offered = whole["suggestions"] or ([whole["nearest"]] if whole["nearest"] else [])
    for one in whole["suggestions"]:
        assert one["hold_s"] == 20.0
    for one in offered:
        assert one["reason"].startswith("Why: ")
        assert all(text in "\n".join(lines) for text in one["changes"])


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["--hold", "500"], "--hold: 500.0 is not usable; allowed: 0 to 120 s"),
        (["--wait", "-1"], "--wait: -1.0 is not usable; allowed: 0 to 600 s"),
        (["--unison", "0"], "--unison: 0.0 is not usable; allowed: 0.2 to 60 s"),
    ],
)
def test_that_a_number_out_of_range_is_refused(
    quick: Path, capsys: Capture, words: list[str], why: str
) -> None:
    assert cli.main(["put-out", str(quick), *words]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    assert why in shown.err
    assert shown.err.count("\n") == 1
