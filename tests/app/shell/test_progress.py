"""A long run tells a terminal how far it is, and stops at Ctrl+C."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from app.scenario.file import demos
from app.shell import progress
from app.shell.progress import EVERY, PATIENCE, Progress, telling
from tests.app.by_hand import HandTime

ROOT = Path(__file__).parents[3]


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> HandTime:
    clock = HandTime()
    monkeypatch.setattr(progress.time, "monotonic", clock)
    return clock


def test_that_a_short_run_says_nothing(clock: HandTime) -> None:
    out = Terminal()
    told = Progress("a", out)
    clock.go_by(PATIENCE)
    assert not told(0.9)
    told.end()
    assert out.getvalue() == ""


def test_that_a_long_run_says_how_far_it_is_and_wipes_it(clock: HandTime) -> None:
    out = Terminal()
    told = Progress("a.toml", out)
    clock.go_by(PATIENCE + EVERY)
    assert not told(0.25)
    said = out.getvalue()
    assert said == f"\ra.toml: 25 %, about {3.0 * (PATIENCE + EVERY):.0f} s left"
    told(0.26)
    assert out.getvalue() == said
    told.end()
    assert out.getvalue() == said + "\r" + " " * (len(said) - 1) + "\r"


def test_that_what_is_no_terminal_is_told_nothing(clock: HandTime) -> None:
    out = io.StringIO()
    told = Progress("a", out)
    clock.go_by(60.0)
    told(0.5)
    told.end()
    assert out.getvalue() == ""


def test_that_the_line_is_wiped_when_a_run_breaks_off(
    clock: HandTime, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = Terminal()
    monkeypatch.setattr(sys, "stderr", out)

    def broken_off() -> None:
        with telling("a") as told:
            clock.go_by(PATIENCE + EVERY)
            told(0.5)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        broken_off()
    assert out.getvalue().endswith(" \r")


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_that_ctrl_c_ends_a_run_with_one_line_and_its_code(tmp_path: Path) -> None:
    import pty

    text = demos()[0].read_text(encoding="utf-8")
    path = tmp_path / "long.toml"
    # one drop after the other: in a steady tow the steps grow long and are soon done
    drops = ", ".join(
        f'{{at_s = {begin + after}, do = "{do}"}}'
        for begin in range(60, 3600, 60)
        for after, do in ((0, "out of gear"), (20, "in gear"))
    )
    text = text.replace("hold_s = 20", f"orders = [{drops}]")
    assert drops in text
    path.write_text(text.replace("duration_s = 90", "duration_s = 3600"), encoding="utf-8")
    ours, theirs = pty.openpty()
    # compiled steps are through before there is anything to tell
    slow = {"LEADFALL_STEPPER": "numpy", "PYTHONPATH": str(ROOT), "XDG_DATA_HOME": str(tmp_path)}
    environment = {**os.environ, **slow}
    process = subprocess.Popen(
        [sys.executable, "-m", "app", "simulate", str(path)],
        stdout=subprocess.PIPE, stderr=theirs, env=environment,
        # a shell starts what is to go on in the background deaf to Ctrl+C
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )  # fmt: skip
    os.close(theirs)
    said = b""
    try:
        while b"%" not in said:
            said += os.read(ours, 1000)
        process.send_signal(signal.SIGINT)
        code = process.wait(timeout=60.0)
        try:
            while part := os.read(ours, 1000):
                said += part
        except OSError:
            # the other end is closed
            pass
    finally:
        process.kill()
        process.wait()
        os.close(ours)
        assert process.stdout is not None
        process.stdout.close()
    assert code == 130
    assert b"long.toml: " in said
    assert said.endswith(b"leadfall: stopped\r\n")
    assert b"Traceback" not in said
