"""A stand-alone Leadfall used as a person does, on a virtual screen, where there is no Python.

``python -m tests.benchmarks.bundle FOLDER [--root ROOT]``; exit code 1 when anything failed. FOLDER
is what ``python -m app.shell.bundle`` made. ROOT is a bare system in a folder, for which this must
be run as root (``debootstrap --variant=minbase bookworm ROOT``, with ``fontconfig-config`` in it);
without one it runs here with nothing on its path. Needs Xvfb and xdotool. Linux.

Tried: ``--check``; a plan and its card; then window up (time to a moving picture), a drop, a hit
that is logged, the Timing page with its workers, and quit: its exit code, how long it takes, and
whether a process is left.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from PySide6.QtGui import QGuiApplication, QImage

STARTS = 3

PATIENCE = 120.0

DEMO = "_internal/app/_assets/demos/1-two-rods.toml"


@contextmanager
def screen() -> Iterator[str]:
    """A virtual one; its name."""
    here, there = os.pipe()
    words = ["Xvfb", "-displayfd", str(there), "-screen", "0", "1280x800x24", "-ac"]
    with subprocess.Popen(words, pass_fds=[there], stderr=subprocess.DEVNULL) as server:
        os.close(there)
        try:
            yield f":{os.read(here, 16).decode().strip()}"
        finally:
            server.terminate()


class Tried:
    """A stand-alone Leadfall in its folder, seen from the system it runs in."""

    def __init__(self, folder: Path, root: Path | None, display: str) -> None:
        self.root, self.display = root, display
        self.folder, self.home = folder, Path(tempfile.mkdtemp(dir=root / "tmp" if root else None))
        if root is not None:
            self.folder = root / "opt" / "leadfall"
            shutil.rmtree(self.folder, ignore_errors=True)
            shutil.copytree(folder, self.folder, symlinks=True)
        settings = self.home / ".config" / "leadfall" / "settings.json"
        settings.parent.mkdir(parents=True)
        settings.write_text('{"guided": "yes"}')

    def inside(self, path: Path) -> str:
        """A path as the program sees it."""
        return str(path) if self.root is None else f"/{path.relative_to(self.root)}"

    def words(self, *more: str) -> list[str]:
        into = ["chroot", str(self.root)] if self.root else []
        told = [f"HOME={self.inside(self.home)}", "PATH=/nowhere", f"DISPLAY={self.display}"]
        told += ["LANG=C.UTF-8"]
        return [*into, "/usr/bin/env", "-i", *told, self.inside(self.folder / "leadfall"), *more]

    def run(self, *more: str) -> str:
        """What it says; raises where its exit code is not 0."""
        return subprocess.run(
            self.words(*more), check=True, text=True, timeout=600,
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        ).stdout  # fmt: skip

    def processes(self) -> list[int]:
        """Those that run out of the folder."""
        found = []
        for path in Path("/proc").glob("[0-9]*/exe"):
            try:
                if Path(os.readlink(path)).is_relative_to(self.folder):
                    found.append(int(path.parent.name))
            except OSError:
                continue
        return found


def looked(application: QGuiApplication) -> QImage:
    application.processEvents()
    return application.primaryScreen().grabWindow(0).toImage()


def wait_for(what: Callable[[], object]) -> float:
    """Seconds until it is so. Raises TimeoutError."""
    begun = time.monotonic()
    while not what():
        if time.monotonic() > begun + PATIENCE:
            raise TimeoutError(what.__doc__)
        time.sleep(0.02)
    return time.monotonic() - begun


def moving(application: QGuiApplication) -> Callable[[], bool]:
    """Whether the middle of the screen has many colors, and others than a moment before."""
    last = [QImage()]

    def look() -> bool:
        """A picture that moves."""
        now = looked(application).copy(200, 200, 880, 400)
        colors = {now.pixel(x, y) for x in range(0, 880, 4) for y in range(0, 400, 4)}
        before, last[0] = last[0], now
        return len(colors) > 5 and not before.isNull() and before != now

    return look


def worked(process: int) -> float:
    """Seconds of processor time of a process."""
    told = Path(f"/proc/{process}/stat").read_text("utf-8").rpartition(")")[2].split()
    return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


def press(display: str, *keys: str) -> None:
    # nobody manages windows there: the keys go where they are sent
    words = ["xdotool", "search", "--onlyvisible", "--name", "Leadfall", "windowfocus", "--sync"]
    subprocess.run([*words, "key", *keys], check=True, env={**os.environ, "DISPLAY": display})


def used(tried: Tried, application: QGuiApplication, told: Callable[[str], None]) -> list[str]:
    """One start, use and end; what went wrong."""
    wrong = []
    begun = time.monotonic()
    with subprocess.Popen(
        tried.words(), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as process:
        try:
            wait_for(moving(application))
            at, work = time.monotonic() - begun, sum(map(worked, tried.processes()))
            told(f"moving picture after {at:.2f} s, {work:.2f} s of work")
            # it opens on the page that was in front last
            press(tried.display, "F2")
            time.sleep(1.0)
            press(tried.display, "space")
            time.sleep(3.0)
            press(tried.display, "space")
            time.sleep(3.0)
            press(tried.display, "l")
            time.sleep(1.0)
            press(tried.display, "F3")
            wait_for(lambda: len(tried.processes()) > 1)
            most, until = 0, time.monotonic() + 10.0
            while time.monotonic() < until:
                most = max(most, len(tried.processes()))
                time.sleep(0.2)
            looked(application).save("bundle.png")
            told(f"processes on the Timing page: {most} (the picture is bundle.png)")
            asked = time.monotonic()
            press(tried.display, "ctrl+q")
            said, _ = process.communicate(timeout=PATIENCE)
            told(f"quit after {time.monotonic() - asked:.2f} s, exit code {process.returncode}")
            if process.returncode or said.strip():
                wrong.append(f"exit code {process.returncode}, said: {said.strip()}")
        finally:
            if process.poll() is None:
                process.kill()
    if left := tried.processes():
        wrong.append(f"processes left: {left}")
    return wrong


def entries(tried: Tried) -> int:
    """Drops in the log it wrote."""
    path = tried.home / ".local" / "share" / "leadfall" / "log.sqlite"
    if not path.exists():
        return 0
    with closing(sqlite3.connect(path)) as db:
        return int(db.execute("select count(*) from entry").fetchone()[0])


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.bundle")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--root", type=Path, help="a bare system to run it in")
    given = parser.parse_args()
    wrong: list[str] = []
    with screen() as display:
        os.environ |= {"DISPLAY": display, "QT_QPA_PLATFORM": "xcb"}
        application = QGuiApplication(sys.argv[:1])
        tried = Tried(given.folder.absolute(), given.root and given.root.absolute(), display)
        try:
            print(tried.run("--check"), end="")
            card = tried.home / "card.pdf"
            print(
                tried.run("plan", tried.inside(tried.folder / DEMO), "--card", tried.inside(card))
            )
            if not card.read_bytes().startswith(b"%PDF"):
                wrong.append("the card is no PDF")
            for number in range(STARTS):
                wrong += used(tried, application, lambda said, n=number: print(f"{n + 1}: {said}"))
                if entries(tried) != number + 1:
                    wrong.append(f"{entries(tried)} drops in the log after {number + 1}")
        except (subprocess.SubprocessError, TimeoutError) as error:
            wrong.append(f"{error} {getattr(error, 'stdout', '') or ''}")
        finally:
            shutil.rmtree(tried.home)
        del application
    print("\n".join(f"wrong: {one}" for one in wrong) or "all went well")
    return int(bool(wrong))


if __name__ == "__main__":
    raise SystemExit(main())
