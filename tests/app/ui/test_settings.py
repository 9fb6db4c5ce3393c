"""The file of settings: what another process wrote stays, and nothing in it runs."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QByteArray, QSettings

from app.ui.settings import KNOWN, Settings, as_text

ROOT = Path(__file__).parents[3]

OTHER = """
import sys
from pathlib import Path
from app.ui.settings import Settings

settings = Settings(Path(sys.argv[1]))
print("ready", flush=True)
sys.stdin.readline()
for number in range(60):
    settings.set(sys.argv[2], f"{sys.argv[2]} {number}" if sys.argv[2] == "scenario" else
                 ("feet", "meters")[number % 2])
while not settings.keep():
    pass
"""

STARTS = """
import sys
from PySide6.QtCore import QTimer
from app.shell import start

build = start.build_window

def watched(path, settings):
    made = build(path, settings)
    QTimer.singleShot(0, made.close)
    return made

if __name__ == "__main__":
    start.build_window = watched
    sys.exit(start.run_dashboard(None))
"""


class Trap:
    """Makes a file when it is restored."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def __reduce__(self) -> tuple[object, ...]:
        return os.mkdir, (str(self.path),)


def environment(home: Path) -> dict[str, str]:
    names = ("HOME", "USERPROFILE", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "APPDATA", "LOCALAPPDATA")
    return {
        **os.environ,
        **{name: str(home) for name in names},
        "QT_QPA_PLATFORM": "offscreen",
        "PYTHONPATH": str(ROOT),
    }


def test_that_a_setting_is_there_again_and_bytes_too(settings: Settings) -> None:
    settings.set("scenario", "Ünder way/½.toml")
    settings.set("geometry", as_text(QByteArray(bytes(range(256)))))
    again = Settings(settings.path)
    assert again.get("scenario") == "Ünder way/½.toml"
    assert again.get_bytes("geometry").data() == bytes(range(256))
    assert again.get_bytes("splitter").isEmpty()
    assert again.told == ""


@pytest.mark.parametrize(("name", "text"), [("mast", "high"), ("look", "sepia"), ("scenario", "")])
def test_that_what_could_not_be_read_again_is_not_kept(
    settings: Settings, name: str, text: str
) -> None:
    with pytest.raises(ValueError, match="no setting"):
        settings.set(name, text)
    assert not settings.path.exists()


def test_that_what_another_window_changed_stays(settings: Settings) -> None:
    settings.set("look", "dark")
    other = Settings(settings.path)
    other.set("length", "meters")
    other.set("look", "light")
    settings.set("paper", "A5")
    again = Settings(settings.path)
    assert [again.get(n) for n in ("look", "length", "paper")] == ["light", "meters", "A5"]


def test_that_two_processes_that_write_at_once_lose_and_damage_nothing(tmp_path: Path) -> None:
    path = tmp_path / "settings.json"
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", OTHER, str(path), name], stdin=subprocess.PIPE,
            stdout=subprocess.PIPE, env=environment(tmp_path), cwd=ROOT, text=True,
        )
        for name in ("scenario", "length")
    ]  # fmt: skip
    for writer in writers:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
    for writer in writers:
        assert writer.stdin is not None
        writer.stdin.write("go\n")
        writer.stdin.flush()
    for writer in writers:
        writer.communicate(timeout=120)
        assert writer.returncode == 0
    kept = Settings(path)
    assert kept.told == ""
    assert (kept.get("scenario"), kept.get("length")) == ("scenario 59", "meters")
    assert [left.name for left in tmp_path.iterdir()] == ["settings.json"]


def test_that_nothing_hidden_in_settings_runs_at_the_start(tmp_path: Path) -> None:
    home, sprung = tmp_path / "home", tmp_path / "sprung"
    home.mkdir()
    laid = QSettings(str(tmp_path / "trap.ini"), QSettings.Format.IniFormat)
    for name in (*KNOWN, "window"):
        laid.setValue(name, Trap(sprung))
    laid.sync()
    trap = (tmp_path / "trap.ini").read_bytes()
    assert b"mkdir" in trap
    for folder in (home, home / "leadfall", home / ".config" / "leadfall"):
        folder.mkdir(parents=True, exist_ok=True)
        for name in ("leadfall.ini", "settings.ini", "settings.json"):
            (folder / name).write_bytes(trap)
    done = subprocess.run(
        [sys.executable, "-c", STARTS], env=environment(home), cwd=ROOT,
        capture_output=True, text=True, timeout=90, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert not sprung.exists()


def test_that_no_module_reads_what_can_run() -> None:
    forbidden = {"QSettings", "pickle", "shelve", "marshal", "eval", "exec"}
    # what the program sends down its own pipes to its own processes is no file
    between_processes = {ROOT / "app" / "session" / name for name in ("pool.py", "worker.py")}
    for path in sorted({*(ROOT / "app").rglob("*.py")} - between_processes):
        tree = ast.parse(path.read_text(encoding="utf-8"), path.name)
        names = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
        names |= {
            part
            for node in ast.walk(tree)
            if isinstance(node, ast.Import | ast.ImportFrom)
            for part in (alias.name for alias in node.names)
        }
        assert not names & forbidden, path.name


def test_that_what_a_newer_program_keeps_stays_in_the_file(settings: Settings) -> None:
    settings.path.parent.mkdir(exist_ok=True)
    settings.path.write_text('{"look": "dark", "sails": "two"}')
    older = Settings(settings.path)
    assert older.told == ""
    assert older.get("sails") == ""
    older.set("length", "meters")
    assert json.loads(settings.path.read_text()) == {
        "look": "dark", "length": "meters", "sails": "two",
    }  # fmt: skip
