"""Ctrl+C or a request to end leaves nothing behind and loses nothing."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]

STARTS_WITHIN = 60.0

HEARS = "import signal\nsignal.signal(signal.SIGHUP, signal.SIG_DFL)"
"""The tests themselves may outlive their terminal."""

EDITED = """
import os, signal
from dataclasses import replace
from PySide6.QtCore import QTimer
from app.shell import window
from app.shell.cli import main

def edited(self):
    self.document.edit(replace(self.document.setup, name="Mine"), "rename")
    self.pages.warm()
    self.show_page("timing")
    QTimer.singleShot(1500, lambda: print("up", flush=True))

def at_once(self):
    self.document.edit(replace(self.document.setup, name="Mine"), "rename")
    print("up", flush=True)
    os.kill(os.getpid(), signal.SIGTERM)

def shown(self, _):
    at_once(self) if AT_ONCE else QTimer.singleShot(0, lambda: edited(self))

window.Window.showEvent = shown
raise SystemExit(main([]))
"""


HEARING = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
from app.__main__ import main
sys.argv[1:] = []
main()
"""

STARTING = "import sys, time\nsys.stdout.write('up\\n')\nsys.stdout.flush()\ntime.sleep(60)\n"

POSIX = pytest.mark.skipif(sys.platform == "win32", reason="needs POSIX signals")

NAMES = ("SIGINT", "SIGTERM", "SIGHUP")


@POSIX
def test_that_ctrl_c_while_the_program_starts_ends_it_without_a_word(tmp_path: Path) -> None:
    # a slow library, which is loaded first
    (tmp_path / "tomlkit.py").write_text(STARTING, "utf-8")
    environment = {**os.environ, "PYTHONPATH": f"{tmp_path}{os.pathsep}{ROOT}"}
    with subprocess.Popen(
        [sys.executable, "-c", HEARING], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        text=True, env=environment, cwd=ROOT,
    ) as process:  # fmt: skip
        assert process.stdout is not None
        assert process.stdout.readline() == "up\n"
        process.send_signal(signal.SIGINT)
        assert process.communicate(timeout=STARTS_WITHIN) == ("", "")
    assert process.returncode == -signal.SIGINT


@POSIX
@pytest.mark.parametrize("number", [getattr(signal, n) for n in NAMES if hasattr(signal, n)])
def test_that_a_signal_puts_changes_by_and_leaves_no_process(
    number: signal.Signals, tmp_path: Path
) -> None:
    environment = {
        **os.environ, "PYTHONPATH": str(ROOT), "QT_QPA_PLATFORM": "offscreen",
        "XDG_DATA_HOME": str(tmp_path / "data"), "XDG_CONFIG_HOME": str(tmp_path / "config"),
        "HOME": str(tmp_path),
    }  # fmt: skip
    script = tmp_path / "start.py"
    # a request to end comes before Qt's loop begins
    at_once = number == signal.SIGTERM
    words = f"AT_ONCE = {at_once}\n{HEARS}\n{EDITED}"
    script.write_text(f"if __name__ == '__main__':\n    exec({words!r})\n", encoding="utf-8")
    process = subprocess.Popen(
        [sys.executable, str(script)], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        text=True, env=environment, start_new_session=True,
    )  # fmt: skip
    try:
        assert process.stdout is not None
        assert process.stdout.readline() == "up\n"
        if not at_once:
            # a terminal says it to every process
            os.killpg(process.pid, number)
        _, said = process.communicate(timeout=STARTS_WITHIN)
        assert process.returncode == 128 + number
        lines = [line for line in said.splitlines() if "does not support" not in line]
        assert lines == []
        _gone(process.pid)
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
            process.communicate()
    kept = [path for path in tmp_path.rglob("*.toml") if "Mine" in path.read_text("utf-8")]
    assert len(kept) == 1


def _gone(group: int) -> None:
    """Wait until no process of the group is left."""
    end = time.monotonic() + STARTS_WITHIN
    while time.monotonic() < end:
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return
        time.sleep(0.05)
    pytest.fail("a process was left behind")
