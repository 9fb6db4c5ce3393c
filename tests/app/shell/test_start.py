"""The program as it starts on a person's machine: a process of its own, and not a stray word."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from physics.line.core.library import LIBRARY

ROOT = Path(__file__).parents[3]

RUNS_FOR = 2000
"""Milliseconds the program runs before it is asked to quit."""

LONGEST = 60_000
"""Milliseconds a busy machine may take to show a few frames of it."""

DRIVER = f"""
import sys
from PySide6.QtCore import QTimer
from app.shell import start

build = start.build_window

def watched(path, settings):
    made = build(path, settings)
    live_run = made.live_run
    frames = []
    live_run.frame.connect(lambda: frames.append(live_run.now))

    left = [{LONGEST // RUNS_FOR}]

    def quit():
        moved = len(frames) >= 5 and live_run.now > 0.0 and made.isVisible()
        left[0] -= 1
        if not moved and left[0]:
            QTimer.singleShot({RUNS_FOR}, quit)
        elif not moved:
            sys.exit("the drop did not move")
        else:
            made.close()

    def drop():
        live_run.shift()
        made.preferences.set_look("dark")
        made.edit_spread()

    QTimer.singleShot({RUNS_FOR // 2}, drop)
    QTimer.singleShot({RUNS_FOR}, quit)
    return made

if __name__ == "__main__":
    start.build_window = watched
    sys.exit(start.run_dashboard(None))
"""

EXPECTED = (
    "This plugin does not support propagateSizeHints()",
    "This plugin does not support raise()",
)
"""What the offscreen platform itself has to say."""


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh home folder, the same for all tests here."""
    return tmp_path_factory.mktemp("home")


@pytest.fixture(scope="module")
def environment(home: Path) -> dict[str, str]:
    """That home, no screen, and every warning shown."""
    names = ("HOME", "USERPROFILE", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "APPDATA", "LOCALAPPDATA")
    return {
        **os.environ,
        **{name: str(home) for name in names},
        "QT_QPA_PLATFORM": "offscreen",
        "PYTHONPATH": str(ROOT),
        "PYTHONDEVMODE": "1",
    }


@pytest.fixture(scope="module")
def started(environment: dict[str, str]) -> subprocess.CompletedProcess[str]:
    """The program run once through its first seconds."""
    return run("-c", DRIVER, environment=environment)


def run(*words: str, environment: dict[str, str]) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *words],
        env=environment, cwd=ROOT, capture_output=True, text=True, timeout=90, check=False,
    )  # fmt: skip


def stray(text: str) -> list[str]:
    return [line for line in text.splitlines() if line.strip() and line not in EXPECTED]


def test_that_the_program_starts_drops_and_quits_without_a_stray_word(
    started: subprocess.CompletedProcess[str],
) -> None:
    assert stray(started.stderr) == []
    assert stray(started.stdout) == []
    assert started.returncode == 0


SLOW_TO_LOAD = {"interpolate", "ndimage", "optimize", "spatial", "special", "stats"}
"""Parts of scipy that the first page has no use for: all of them take as long as the window."""

NOT_SHOWN = """
import sys
from pathlib import Path
from PySide6.QtWidgets import QApplication
from app.shell import start
from app.ui.settings import Settings

application = QApplication([])
made = start.build_window(None, Settings(Path.home() / "another.json"))
made.show()
application.processEvents()
print(*sorted(name for name in sys.modules if name.startswith(("app.", "physics.", "scipy."))))
made.close()
"""


def test_that_a_start_imports_nothing_of_pages_that_are_not_shown(
    environment: dict[str, str],
) -> None:
    done = run("-c", NOT_SHOWN, environment=environment)
    assert stray(done.stderr) == []
    loaded = set(done.stdout.split())
    pages = {name for name in loaded if name.endswith(".page")}
    assert pages == {"app.rehearse.page"}
    models = ("timing.model", "compare.model", "drill.model", "measure.model", "tackle.tryout")
    ground = ("tracks.model", "pass_model", "ways_model", "tracks.read")
    assert not loaded & {f"app.{name}" for name in models}
    assert not loaded & {f"app.ground.{name}" for name in ground}
    assert "app.tackle.model" in loaded, "or the names have changed"
    assert not [name for name in loaded if name.startswith(("app.planning", "physics.calibration"))]
    # numpy alone solves its equations with scipy
    parts = {name.split(".")[1] for name in loaded if name.startswith("scipy.")}
    assert not parts & (SLOW_TO_LOAD | ({"linalg"} if LIBRARY else set()))


def test_that_the_settings_are_kept_in_the_persons_own_folder(
    started: subprocess.CompletedProcess[str], home: Path
) -> None:
    files = [path for path in home.rglob("*") if path.is_file()]
    settings = [path for path in files if path.name == "settings.json"]
    assert len(settings) == 1
    assert json.loads(settings[0].read_text(encoding="utf-8"))["look"] == "dark"
    assert not [path for path in files if path.name.startswith("unsaved")]


def test_that_python_m_app_is_the_program(environment: dict[str, str]) -> None:
    done = run("-m", "app", "--version", environment=environment)
    assert done.returncode == 0
    assert done.stdout.startswith("leadfall ")
    assert done.stderr == ""


def test_that_without_the_compiled_stepper_the_program_says_numpy(
    environment: dict[str, str],
) -> None:
    done = run("-m", "app", "--version", environment={**environment, "LEADFALL_STEPPER": "numpy"})
    assert done.stdout.endswith("(numpy stepper)\n")
    assert done.stderr == ""


@pytest.mark.skipif(LIBRARY is None, reason="no compiled stepper was built")
def test_that_with_the_compiled_stepper_the_program_says_so(environment: dict[str, str]) -> None:
    done = run("-m", "app", "--version", environment=environment)
    assert done.stdout.endswith("(compiled stepper)\n")
