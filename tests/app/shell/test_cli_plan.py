"""``leadfall plan``: the page, JSON, cards, and what is refused."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from pypdf import PdfReader

from app.scenario.file import demos
from app.shell import cli
from tests.app.scenario.json_paths import paths, without_unit

ROOT = Path(__file__).resolve().parents[3]
DEMO = demos()[0]

Capture = pytest.CaptureFixture[str]

QUICK = "\n[run]\nduration_s = 90\nline_elements = 8\nleader_elements = 2\n"

PLAN = {
    "leadfall", "format", "name", "mark.depth_m", "mark.at_s", "mark.band_m", "radius_m",
    "clearance_m", "bottom_at_mark_m", "answer.wait_s", "answer.hold_s", "answer.window_s",
    "answer.each_line_s", "already_out.each_line_s",
    "already_out.wait_s", "already_out.hold_s", "already_out.window_s", "sentence",
    "point.wait_s", "point.hold_s", "rods.number", "rods.name", "rods.run_depth_m",
    "rods.deepest_m", "rods.deepest_at_s", "rods.sank_on_s", "rods.least_height_m",
    "rods.at_mark_m", "rods.at_mark_rate_mps", "rods.lifting_s", "rods.falling_s", "rods.miss_m",
    "rods.lifts_at_m", "rods.hold_to_clearance_s", "rods.touches", "unison.moments_s",
    "unison.depths_m", "unison.apart_s", "unison.depths_apart_m", "mends", "shortfalls", "misses",
    "map.waits_s", "map.holds_s", "map.window_s", "map.clear", "chances.words", "chances.time_s",
    "chances.depth_10_50_90_m", "chances.touch.*", "chances.driver", "chances.longest_hold_s",
    "chances.hold_10_50_90_s", "chances.band_words",
}  # fmt: skip
"""Every key of a plan's JSON."""


@pytest.fixture(scope="module")
def quick(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The first demo with one rod on coarse lines."""
    text = DEMO.read_text("utf-8").replace("\n[run]\nduration_s = 90\n", QUICK)
    start = text.index('[[rod]]\nname = "starboard"')
    path = tmp_path_factory.mktemp("plan") / "quick.toml"
    path.write_text(text[:start] + text[text.index("\n[run]") :], encoding="utf-8")
    return path


def refused(capture: Capture, *words: str) -> str:
    """The one line on stderr of a call that must end with code 2."""
    assert cli.main(["plan", *words]) == 2
    shown = capture.readouterr()
    assert shown.out == ""
    assert shown.err.count("\n") == 1
    assert shown.err.startswith("leadfall: ")
    return shown.err


def test_that_a_plan_is_printed_and_written_without_qt(quick: Path, tmp_path: Path) -> None:
    out, card = tmp_path / "plan.json", tmp_path / "card.csv"
    code = (
        "import sys\n"
        "from app.shell.cli import main\n"
        f"assert main(['plan', {str(quick)!r}, '--bands', '--json', {str(out)!r},"
        f" '--card', {str(card)!r}]) == 0\n"
        "bad = [m for m in sys.modules if m.split('.')[0] in ('PySide6', 'shiboken6')]\n"
        "sys.exit(', '.join(bad) or 0)\n"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_DATA_HOME": os.devnull}
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=environment, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert lines[0] == "Two rods, level bottom"
    assert "7.5 kn; mark at 24 ft, 6.0 ft off bottom; every line to keep 2.0 ft" in lines[1]
    whole = json.loads(out.read_text("utf-8"))
    assert lines[3] == whole["sentence"]
    assert whole["answer"]["wait_s"] == whole["point"]["wait_s"]
    row = next(line for line in lines if line.startswith("port "))
    reach = whole["rods"][0]["hold_to_clearance_s"]
    assert float(row.split()[1]) == pytest.approx(reach, abs=0.051)
    assert not without_unit(whole, ["port"])
    assert {path for path, _ in paths(whole, ["port"])} == PLAN
    assert any("drops of 10" in line for line in lines)
    assert len(whole["map"]["window_s"]) == len(whole["map"]["waits_s"]) == 91
    assert len(whole["map"]["window_s"][0]) == 61
    assert len(whole["chances"]["depth_10_50_90_m"]) == 3
    assert card.read_text("utf-8").startswith("rods,what,bottom_ft,")


def test_that_a_card_is_drawn_where_there_is_no_screen(quick: Path, tmp_path: Path) -> None:
    path = tmp_path / "card.pdf"
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_DATA_HOME": os.devnull}
    for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY"):
        environment.pop(name, None)
    done = subprocess.run(
        [sys.executable, "-m", "app", "plan", str(quick), "--card", str(path)],
        capture_output=True,
        text=True,
        env=environment,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    words = PdfReader(path).pages[0].extract_text().split()
    assert {"HOLD", "WAIT", "SINKS", "RUNNING"} <= set(words)


def test_that_a_clearance_in_feet_is_kept(capsys: Capture, quick: Path) -> None:
    assert cli.main(["plan", str(quick), "--clearance", "5"]) == 0
    assert "keep 5.0 ft off bottom" in capsys.readouterr().out


@pytest.fixture
def careful(quick: Path, tmp_path: Path) -> Callable[[str], Path]:
    """The same with a clearance of its own."""

    def make(clearance: str) -> Path:
        text = quick.read_text("utf-8").replace("[mark]", f"[timing]\n{clearance}\n\n[mark]")
        path = tmp_path / "careful.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return make


def test_that_the_scenarios_own_clearance_is_kept_unless_told_otherwise(
    capsys: Capture, careful: Callable[[str], Path]
) -> None:
    path = str(careful("clearance_m = 1.2192"))
    assert cli.main(["plan", path]) == 0
    assert "keep 4.0 ft off bottom" in capsys.readouterr().out
    assert cli.main(["plan", path, "--clearance", "3"]) == 0
    assert "keep 3.0 ft off bottom" in capsys.readouterr().out


@pytest.mark.parametrize("feet", ["30", "1000", "-1", "nan", "inf"])
def test_that_a_clearance_no_water_has_is_refused(capsys: Capture, quick: Path, feet: str) -> None:
    said = refused(capsys, str(quick), "--clearance", feet)
    assert f"command line: --clearance: {float(feet):.1f} ft" in said
    assert said.endswith("allowed: 0 to less than the water's depth, 30.0 ft (9.1 m)\n")


def test_that_a_scenarios_clearance_no_water_has_is_refused_by_its_file(
    capsys: Capture, careful: Callable[[str], Path]
) -> None:
    path = careful("clearance_m = 9.5")
    said = refused(capsys, str(path))
    assert f"{path}: timing, clearance: 31.2 ft (9.5 m) is not usable" in said
    assert said.endswith("less than the water's depth, 30.0 ft (9.1 m)\n")
    assert cli.main(["plan", str(path), "--clearance", "3"]) == 0


def test_that_over_a_slope_the_shallowest_water_bounds_the_clearance(
    capsys: Capture, quick: Path, tmp_path: Path
) -> None:
    slope = "[water.bottom_profile]\nbearing_deg = 0\npoints_ft = [[0, 30], [99, 9]]"
    path = tmp_path / "my.toml"
    path.write_text(quick.read_text("utf-8").replace("bottom_ft = 30", slope), encoding="utf-8")
    said = refused(capsys, str(path), "--clearance", "10")
    assert said.endswith("less than the water's depth where it is shallowest, 9.0 ft (2.7 m)\n")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("depth_ft = 24", "depth_ft = 31", "mark, depth_ft: 31"),
        ("band_ft = 3", "band_ft = -3", "mark, band_ft: -3"),
        ("hold_s = 20\n", "", None),
    ],
)
def test_that_a_mark_that_cannot_be_is_refused(
    capsys: Capture, quick: Path, tmp_path: Path, old: str, new: str, words: str | None
) -> None:
    path = tmp_path / "my.toml"
    path.write_text(quick.read_text("utf-8").replace(old, new), encoding="utf-8")
    if words is None:
        assert cli.main(["plan", str(path)]) == 0
    else:
        assert words in refused(capsys, str(path))


def test_that_a_mark_under_the_bottom_at_its_place_is_refused_in_feet(
    capsys: Capture, quick: Path, tmp_path: Path
) -> None:
    text = quick.read_text("utf-8").replace(
        "bottom_ft = 30",
        "[water.bottom_profile]\nbearing_deg = 30\npoints_ft = [[50, 30], [99, 9]]",
    )
    path = tmp_path / "my.toml"
    path.write_text(text, encoding="utf-8")
    said = refused(capsys, str(path))
    assert "mark depth: 24.0" in said
    assert "no deeper than the bottom there" in said


def test_that_an_empty_spread_is_refused(capsys: Capture, quick: Path, tmp_path: Path) -> None:
    text = quick.read_text("utf-8")
    path = tmp_path / "my.toml"
    rod = text[text.index("[[rod]]") : text.index("\n[run]")]
    path.write_text(text.replace(rod, ""), encoding="utf-8")
    assert "rod: " in refused(capsys, str(path))


def test_that_places_that_cannot_be_written_are_refused_before_the_work(
    capsys: Capture, quick: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def work(*_: object) -> None:
        raise AssertionError("planned in vain")

    monkeypatch.setattr("app.shell.plan.full_answer", work)
    nowhere = str(tmp_path / "none" / "out")
    assert "no such folder" in refused(capsys, str(quick), "--json", nowhere)
    assert "no such folder" in refused(capsys, str(quick), "--card", nowhere + ".pdf")
    assert "is a folder" in refused(capsys, str(quick), "--json", str(tmp_path))
    assert "--card: " in refused(capsys, str(quick), "--card", str(tmp_path / "card.docx"))
    assert "already in use" in refused(capsys, str(quick), "--json", str(quick))
