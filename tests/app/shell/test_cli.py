"""The command line, run as a person runs it: outputs, exit codes, messages, and no Qt."""

import csv
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from app.common.units import POUND_FORCE
from app.common.version import stepper, version
from app.gear.catalog import Catalog
from app.scenario.file import demos, load
from app.shell import cli
from physics.line.march import ConvergenceError
from tests.app.scenario.json_paths import paths, without_unit

ROOT = Path(__file__).resolve().parents[3]
DEMO = demos()[0]
ROD_COLUMNS = ("depth_m", "astern_m", "height_m", "tension_n")

Capture = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def _no_tackle_of_this_machine(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr("app.common.resources.tackle_folder", lambda: tmp_path / "no tackle")


def run(*words: str) -> subprocess.CompletedProcess[str]:
    # a data folder that is none keeps this machine's own tackle out
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_DATA_HOME": os.devnull}
    return subprocess.run(
        [sys.executable, *words], capture_output=True, text=True, env=environment, check=False
    )


def refused(capture: Capture, *words: str) -> str:
    """The one line on stderr of a call that must end with code 2."""
    assert cli.main(words) == 2
    shown = capture.readouterr()
    assert shown.out == ""
    assert shown.err.count("\n") == 1
    assert shown.err.startswith("leadfall: ")
    return shown.err


def test_that_physics_and_a_run_without_a_screen_load_no_qt() -> None:
    code = (
        "import sys, pkgutil, importlib, physics\n"
        "for module in pkgutil.iter_modules(physics.__path__):\n"
        "    importlib.import_module('physics.' + module.name)\n"
        "from app.shell.cli import main\n"
        f"assert main(['simulate', {str(DEMO)!r}]) == 0\n"
        "bad = [m for m in sys.modules if m.split('.')[0] in"
        " ('PySide6', 'shiboken6', 'pyqtgraph', 'PyQt6', 'PyQt5')]\n"
        "sys.exit(', '.join(bad) or 0)\n"
    )
    done = run("-c", code)
    assert (done.returncode, done.stderr) == (0, "")
    assert "port" in done.stdout


def test_that_the_module_runs_as_a_program_and_ends_with_its_code() -> None:
    done = run("-m", "app", "simulate", "no such file.toml")
    assert done.returncode == 2
    assert done.stderr == (
        "leadfall: no such file.toml: there is no such file;"
        " allowed: a UTF-8 TOML file of at most 2 MB\n"
    )


def spoken_to(stdout: str, *words: str) -> subprocess.CompletedProcess[str]:
    """The program with its standard output closed, full, or a pipe nobody reads."""
    prepare = {
        "unread": "read, write = os.pipe(); os.close(read); os.dup2(write, 1)",
        "closed": "os.close(1)",
        "full": "os.dup2(os.open('/dev/full', os.O_WRONLY), 1)",
    }[stdout]
    code = f"import os, sys; {prepare}; os.execv(sys.executable, [sys.executable, *{words!r}])"
    return run("-c", code)


posix = pytest.mark.skipif(os.name != "posix", reason="needs /dev and inherited descriptors")


@posix
@pytest.mark.parametrize(
    "words",
    [
        ("simulate", str(DEMO)),
        ("simulate", str(DEMO), "--csv", "/dev/stdout"),
        ("simulate", str(DEMO), "--json", "/dev/stdout"),
        ("demos",),
        ("--help",),
    ],
    ids=["table", "csv", "json", "demos", "help"],
)
def test_that_a_pipe_nobody_reads_ends_the_program_quietly(words: tuple[str, ...]) -> None:
    done = spoken_to("unread", "-m", "app", *words)
    assert (done.returncode, done.stderr) == (0, "")


@posix
def test_that_a_closed_output_is_no_trouble() -> None:
    done = spoken_to("closed", "-m", "app", "demos")
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
@pytest.mark.parametrize("words", [("demos",), ("--help",)], ids=["demos", "help"])
def test_that_an_output_with_no_room_is_told_in_one_line(words: tuple[str, ...]) -> None:
    done = spoken_to("full", "-m", "app", *words)
    assert done.returncode == 2
    assert done.stderr.startswith("leadfall: output: cannot be written (No space left")
    assert done.stderr.count("\n") == 1


IMPOSSIBLE = ("x" * 300, "x" * 5000, "none/out.csv", "a\0b.csv", "out\udcff\n/x.csv", "")


@pytest.mark.parametrize("name", IMPOSSIBLE, ids=range(len(IMPOSSIBLE)))
@pytest.mark.parametrize(
    "words", [("simulate", "--csv"), ("simulate", "--json"), ("plan", "--json"), ("plan", "--card")]
)
def test_that_an_impossible_name_is_refused_before_the_work_begins(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch, words: tuple[str, str], name: str
) -> None:
    def begun(*_: object, **__: object) -> None:
        pytest.fail("the work has begun")

    monkeypatch.setattr("app.shell.cli.run_setup", begun)
    monkeypatch.setattr("app.shell.plan.run_plan", begun)
    refused(capsys, words[0], str(DEMO), words[1], name)


@pytest.mark.parametrize("name", IMPOSSIBLE, ids=range(len(IMPOSSIBLE)))
@pytest.mark.parametrize("command", ["simulate", "plan"])
def test_that_a_scenario_of_an_impossible_name_is_refused(
    capsys: Capture, command: str, name: str
) -> None:
    refused(capsys, command, name)


def test_that_the_csv_has_its_columns_and_a_row_every_quarter_second(tmp_path: Path) -> None:
    out = tmp_path / "out.csv"
    assert cli.main(["simulate", str(DEMO), "--csv", str(out)]) == 0
    with out.open(encoding="utf-8", newline="") as file:
        head, *rows = csv.reader(file)
    rods = [f"{rod}.{column}" for rod in ("port", "starboard") for column in ROD_COLUMNS]
    assert head == ["time_s", "boat_speed_mps", "gear", *rods]
    assert len(rows) == 90 * 4 + 1
    assert [float(row[0]) for row in rows] == [0.25 * n for n in range(361)]
    gear = {float(row[0]): row[2] for row in rows}
    assert (gear[9.75], gear[10.25], gear[29.75], gear[30.25]) == ("in", "out", "out", "in")
    assert float(rows[0][1]) == pytest.approx(3.858333, abs=1e-6)


def test_that_the_step_sets_the_rows(tmp_path: Path) -> None:
    out = tmp_path / "out.csv"
    assert cli.main(["simulate", str(DEMO), "--csv", str(out), "--step", "7"]) == 0
    assert len(out.read_text("utf-8").splitlines()) == 1 + 13


def test_that_the_json_holds_events_running_depths_samples_and_inputs(tmp_path: Path) -> None:
    out, table = tmp_path / "out.json", tmp_path / "out.csv"
    words = ["simulate", str(DEMO), "--json", str(out), "--csv", str(table), "--step", "5"]
    assert cli.main(words) == 0
    whole = json.loads(out.read_text("utf-8"))
    assert whole["leadfall"] == version()
    assert whole["format"] == 2
    names = ["port", "starboard"]
    assert not without_unit(whole, names)
    found = {path for path, _ in paths(whole, names) if not path.startswith("inputs.")}
    assert {path for path in found if not path.startswith("events.")} == {
        "leadfall", "format", "running_depth_m.*", "time_s", "boat_speed_mps", "gear",
        "rods.*.depth_m", "rods.*.astern_m", "rods.*.height_m", "rods.*.tension_n",
    }  # fmt: skip
    assert {"events.kind", "events.time_s", "events.rod"} < found
    assert whole["inputs"]["water"]["bottom"]["points_along_depth_m"][0][1] == pytest.approx(9.144)
    assert [order["action"] for order in whole["inputs"]["orders"]] == ["out of gear", "in gear"]
    kinds = [event["kind"] for event in whole["events"]]
    assert kinds[:2] == ["out of gear", "in gear"]
    assert {"deepest", "passes the mark"} <= set(kinds)
    with table.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for rod in ("port", "starboard"):
        depths = whole["rods"][rod]["depth_m"]
        assert depths[0] == pytest.approx(whole["running_depth_m"][rod], abs=1e-9)
        assert depths == pytest.approx([float(row[f"{rod}.depth_m"]) for row in rows], abs=1e-6)
    assert len(whole["time_s"]) == len(whole["gear"]) == len(rows) == 19


def test_that_the_table_tells_the_drop_in_trade_units(capsys: Capture) -> None:
    assert cli.main(["simulate", str(DEMO)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Two rods, level bottom"
    assert "7.5 kn (8.6 mph) over a bottom of 30 ft; mark at 24 ft" in lines[1]
    assert lines[2] == "out of gear at 10.0 s, in gear at 30.0 s"
    name, running, deepest, when, after, off, above, pull = lines[-1].split()
    assert name == "starboard"
    assert float(deepest) > float(running)
    assert float(when) == pytest.approx(30.0 + float(after), abs=0.11)
    # the lure's lower end is measured, its middle gives the depth: under half a lure apart
    assert 0.0 < 30.0 - float(deepest) - float(off) < 0.3
    assert float(above) < 24.0
    assert 1.0 < float(pull) < 20.0


def test_that_gear_orders_of_the_file_win_over_its_hold(capsys: Capture, tmp_path: Path) -> None:
    path = tmp_path / "my.toml"
    orders = 'hold_s = 20\norders = [{at_s = 12, do = "out of gear"}]'
    path.write_text(DEMO.read_text("utf-8").replace("hold_s = 20", orders), encoding="utf-8")
    assert cli.main(["simulate", str(path)]) == 0
    assert capsys.readouterr().out.splitlines()[2] == "out of gear at 12.0 s"


def test_that_a_rod_name_with_a_comma_stays_one_column(tmp_path: Path) -> None:
    path, out = tmp_path / "my.toml", tmp_path / "out.csv"
    text = DEMO.read_text("utf-8").replace('name = "port"', "name = 'port, \"long\"'")
    path.write_text(text, encoding="utf-8")
    assert cli.main(["simulate", str(path), "--csv", str(out), "--step", "30"]) == 0
    with out.open(encoding="utf-8", newline="") as file:
        head = next(csv.reader(file))
    assert (head[3], len(head)) == ('port, "long".depth_m', 11)


@pytest.mark.parametrize("step", ["0", "-1", "nan", "inf", "1e-9", "91", "8e-6"])
def test_that_a_step_no_table_can_have_is_refused(capsys: Capture, step: str) -> None:
    assert "--step: " in refused(capsys, "simulate", str(DEMO), "--step", step)


def test_that_words_the_program_does_not_know_are_refused_in_one_line() -> None:
    for words in (["simulate"], ["simulate", str(DEMO), "--step", "x"], ["--fast"], ["a", "b"]):
        done = run("-m", "app", *words)
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr.count("\n") == 1
        assert done.stderr.startswith("leadfall")


def test_that_an_output_that_cannot_be_written_is_refused(capsys: Capture, tmp_path: Path) -> None:
    for option in ("--csv", "--json"):
        place = str(tmp_path / "none" / "out")
        assert place in refused(capsys, "simulate", str(DEMO), option, place)
        assert "is a folder" in refused(capsys, "simulate", str(DEMO), option, str(tmp_path))


def test_that_no_output_is_written_over_the_scenario_or_another_output(
    capsys: Capture, tmp_path: Path
) -> None:
    path, out = tmp_path / "my.toml", str(tmp_path / "out")
    path.write_bytes(DEMO.read_bytes())
    assert "already in use" in refused(capsys, "simulate", str(path), "--csv", str(path))
    assert "already in use" in refused(capsys, "simulate", str(path), "--csv", out, "--json", out)
    assert path.read_bytes() == DEMO.read_bytes()


def test_that_a_scenario_with_a_mistake_is_refused_in_one_line(
    capsys: Capture, tmp_path: Path
) -> None:
    path = tmp_path / "my.toml"
    text = DEMO.read_text("utf-8").replace("colors_out = 10", "colors_out = -3", 1)
    path.write_text(text, encoding="utf-8")
    assert refused(capsys, "simulate", str(path)) == (
        f"leadfall: {path}: rod 1, colors_out: -3 is not usable; allowed: 0.1 to 40 colors\n"
    )


def test_that_a_run_that_cannot_be_solved_is_refused_without_a_traceback(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stuck(*_: object) -> None:
        raise ConvergenceError("no step is small enough")

    monkeypatch.setattr("app.shell.simulate.advance_reporting", stuck)
    assert "no step is small enough" in refused(capsys, "simulate", str(DEMO))


def test_that_faulty_own_tackle_is_refused_in_one_line(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "mine.toml").write_text("[[lure]]\nname = 3\n", encoding="utf-8")
    monkeypatch.setattr("app.common.resources.tackle_folder", lambda: tmp_path)
    assert "mine.toml: lure 1" in refused(capsys, "simulate", str(DEMO))


def test_that_the_demos_are_listed_with_their_names(capsys: Capture) -> None:
    assert cli.main(["demos"]) == 0
    lines = capsys.readouterr().out.splitlines()
    catalog = Catalog.load(None)
    assert lines == [f"{path}  {load(path, catalog).name}" for path in demos()]


def test_that_the_version_is_the_projects_and_says_what_steps_the_lines(capsys: Capture) -> None:
    with pytest.raises(SystemExit) as done:
        cli.main(["--version"])
    assert done.value.code == 0
    assert capsys.readouterr().out == f"leadfall {version()} ({stepper()})\n"


@pytest.mark.parametrize("words", [[], ["my.toml"]])
def test_that_without_a_command_the_dashboard_opens(
    monkeypatch: pytest.MonkeyPatch, words: list[str]
) -> None:
    class Start:
        opened: list[Path | None] = []

        @classmethod
        def run_dashboard(cls, path: Path | None) -> int:
            cls.opened.append(path)
            return 7

    monkeypatch.setitem(sys.modules, "app.shell.start", Start)
    assert cli.main(words) == 7
    assert Start.opened == [Path(words[0]) if words else None]


def test_that_simulate_tells_what_the_helm_and_each_line_are_told(
    capsys: Capture, tmp_path: Path
) -> None:
    assert cli.main(["simulate", str(demos()[3])]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[2] == "one engine at 38.0 s, two engines at 108.0 s"
    blank = lines.index("")
    assert lines[3].startswith("port long: fish of 18.0 lb on at 34.0 s, line to 0.5 colors (")
    assert lines[blank - 1].endswith("fish off at 99.0 s")
    assert all(len(line) <= 90 for line in lines[:blank])


def test_that_simulate_leaves_out_orders_after_its_end(capsys: Capture, tmp_path: Path) -> None:
    text = demos()[3].read_text(encoding="utf-8").replace("duration_s = 150", "duration_s = 40")
    path = tmp_path / "short.toml"
    path.write_text(text, encoding="utf-8")
    assert cli.main(["simulate", str(path)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[2:4] == ["one engine at 38.0 s", "port long: fish of 18.0 lb on at 34.0 s"]


def test_that_simulate_tells_of_a_line_that_would_part(capsys: Capture, tmp_path: Path) -> None:
    file, out = tmp_path / "fast.toml", tmp_path / "out.json"
    text = DEMO.read_text("utf-8")
    fast, count = re.subn(r"(?m)^speed_kn = .*$", "speed_mps = 12", text)
    assert count == 1
    file.write_text(fast, "utf-8")
    assert cli.main(["simulate", str(file)]) == 0
    told = [line for line in capsys.readouterr().out.splitlines() if "would part" in line]
    assert cli.main(["simulate", str(file), "--json", str(out)]) == 0
    events = [e for e in json.loads(out.read_text("utf-8"))["events"] if e["section"]]
    assert len(told) == len(events) > 0
    assert {event["kind"] for event in events} == {"over strength"}
    first = events[0]
    pull = POUND_FORCE.text(first["values"]["tension_n"], 0)
    assert told[0] == (
        f"{first['rod']}: the {first['section']} would part at {first['time_s']:.1f} s: "
        f"it is pulled by up to {pull} and stands {first['section'][:5]}"
    )


def test_that_what_would_take_gigabytes_is_refused_before_it_begins(
    capsys: Capture, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def began(*_: object) -> None:
        pytest.fail("it was begun")

    monkeypatch.setattr("app.shell.simulate.Run", began)
    text = DEMO.read_text("utf-8").replace("duration_s = 90", "duration_s = 7200")
    text = text.replace("[run]", "[run]\nline_elements = 400\nleader_elements = 100")
    turn = '{at_s = 1, do = "wheel", side = "port", turn_radius_ft = 150}'
    text = text.replace("hold_s = 20", f"orders = [{turn}]")
    path = tmp_path / "huge.toml"
    path.write_text(text, encoding="utf-8")
    told = refused(capsys, "simulate", str(path))
    assert "would take about" in told
    assert "line elements" in told
    assert "duration of up to" in told
