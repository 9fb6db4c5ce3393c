"""The program ended from outside at random moments: what it leaves behind.

``python -m tests.benchmarks.ending [--times N]`` (Linux; Xvfb, openbox and xdotool). N times in
turn, at a random moment of its first 12 s, on the Timing page with its workers or the Rehearse
page: Ctrl+C (every process of its group), a request to end (SIGTERM), its terminal closed (SIGHUP
to every process), its window closed. Told: exit code, seconds it took, processes and semaphores
left, and whatever it said. Exit code 1 for anything left or said, or an exit code that is another.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import signal
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.benchmarks.bundle import screen

ROOT = Path(__file__).parents[2]

LATEST = 12.0

PATIENCE = 30.0

WAYS = ("SIGINT", "SIGTERM", "SIGHUP", "closed")

SEMAPHORES = Path("/dev/shm")


@contextmanager
def managed(display: str) -> Iterator[None]:
    """A window manager on a screen, which closes windows."""
    environment = {**os.environ, "DISPLAY": display}
    with subprocess.Popen(["openbox"], env=environment, stderr=subprocess.DEVNULL) as manager:
        try:
            yield
        finally:
            manager.terminate()


def windows(environment: dict[str, str]) -> list[str]:
    """The windows on the screen that are ours and visible."""
    words = ["xdotool", "search", "--onlyvisible", "--name", "Leadfall"]
    found = subprocess.run(words, env=environment, capture_output=True, text=True, check=False)
    return found.stdout.split()


def group(leader: int) -> list[int]:
    """The living processes of a session."""
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            told = path.read_text("utf-8").rpartition(")")[2].split()
        except OSError:
            continue
        if int(told[3]) == leader and told[0] != "Z":
            found.append(int(path.parent.name))
    return found


def semaphores() -> set[str]:
    """The names of semaphores that no living process has, whoever made them."""
    there = {path.name for path in SEMAPHORES.glob("sem.*")}
    for path in Path("/proc").glob("[0-9]*/maps"):
        try:
            there -= set(re.findall(r"/dev/shm/(sem\.\S+)", path.read_text("utf-8", "replace")))
        except OSError:
            continue
    return there


def end(process: subprocess.Popen[str], way: str, environment: dict[str, str]) -> int:
    """End it that way; the exit code that it must have."""
    if way == "closed":
        begun = time.monotonic()
        while not (shown := windows(environment)) and time.monotonic() < begun + PATIENCE:
            time.sleep(0.1)
        words = ["xdotool", "windowactivate", "--sync", shown[0], "key", "alt+F4"]
        subprocess.run(words, env=environment, check=True)
        return 0
    number = signal.Signals[way]
    if way == "SIGTERM":
        process.send_signal(number)
    else:
        os.killpg(process.pid, number)
    return 128 + number


def tried(way: str, after: float, page: str, display: str) -> tuple[float, str]:
    """Start it, end it after so many seconds; seconds it took, and what was wrong."""
    with tempfile.TemporaryDirectory() as home:
        settings = Path(home) / ".config" / "leadfall" / "settings.json"
        settings.parent.mkdir(parents=True)
        settings.write_text(f'{{"guided": "yes", "page": "{page}"}}', "utf-8")
        environment = {k: v for k, v in os.environ.items() if not k.startswith("XDG_")}
        environment |= {"HOME": home, "DISPLAY": display, "PYTHONPATH": str(ROOT)}
        environment |= {"QT_QPA_PLATFORM": "xcb"}
        before = semaphores()
        with subprocess.Popen(
            [sys.executable, "-m", "app"], cwd=ROOT, env=environment, text=True,
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, start_new_session=True,
        ) as process:  # fmt: skip
            time.sleep(after)
            wanted = end(process, way, environment)
            begun = time.monotonic()
            try:
                said, _ = process.communicate(timeout=PATIENCE)
            except subprocess.TimeoutExpired:
                os.killpg(process.pid, signal.SIGKILL)
                return PATIENCE, f"it goes on, and said: {process.communicate()[0].strip()[-900:]}"
            took = time.monotonic() - begun
        time.sleep(0.5)
        wrong = []
        if process.returncode not in (wanted, 128 - wanted):
            wrong.append(f"exit code {process.returncode}")
        if left := group(process.pid):
            wrong.append(f"{len(left)} processes left")
            os.killpg(process.pid, signal.SIGKILL)
        if there := semaphores() - before:
            wrong.append(f"{len(there)} semaphores left")
        if said.strip():
            wrong.append(f"said: {said.strip()[-300:]}")
        return took, "; ".join(wrong)


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.ending")
    parser.add_argument("--times", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    # the program hears what this hears: under nohup that would not be a terminal that closes
    signal.signal(signal.SIGHUP, signal.SIG_DFL)
    chance, bad, took = random.Random(given.seed), 0, defaultdict[str, list[float]](list)
    with screen() as display, managed(display):
        for number in range(given.times):
            way, after = WAYS[number % len(WAYS)], chance.uniform(0.2, LATEST)
            page = chance.choice(("timing", "rehearse"))
            seconds, wrong = tried(way, after, page, display)
            took[way].append(seconds)
            bad += bool(wrong)
            print(f"{number + 1:3} {way:8} {page:9} after {after:5.2f} s: ended in {seconds:.2f} s"
                  f"  {wrong}", flush=True)  # fmt: skip
    for way, all_of_it in took.items():
        print(f"{way:8} {len(all_of_it)} times, the longest {max(all_of_it):.2f} s")
    return int(bad > 0)


if __name__ == "__main__":
    raise SystemExit(main())
