"""Every store where it cannot write: a full disk, one that may only be read, no rights, no time.

``python -m tests.benchmarks.bad_disk [--writes N]`` (Linux, as root; cc). Every kind of store
(``tests/app/savers``) writes N times in a process of its own, on a disk of 4 MB in memory that is
mounted for it. Trouble comes and goes at random meanwhile: the disk is filled to the last byte; it
is mounted over itself to be only read (what is open stays so); its folders and files lose the
right to be written (the process has none of root's); the clock is set back, by a second to ten
years. Each write either is confirmed or refused in one line (BadInput). In the end all that was
confirmed is looked for. Exit code 1 when something was lost, raised or said, or a write
was refused when all was well again.
"""

from __future__ import annotations

import argparse
import ctypes
import os
import random
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from app.common.bad_input import BadInput
from app.drill.store import Store as Results
from app.gear.catalog import Catalog
from app.log.store import Store as Log
from app.ui.settings import Settings
from tests.app.savers import MORE, WRITERS, user_folder
from tests.app.test_two_processes import newest, numbers_of

ROOT = Path(__file__).parents[2]

CLOCK = """
#define _GNU_SOURCE
#include <dlfcn.h>
#include <sys/time.h>
#include <time.h>
static long back;
void set_clock_back(long seconds) { back = seconds; }
int clock_gettime(clockid_t which, struct timespec *to) {
    static int (*real)(clockid_t, struct timespec *);
    if (!real) real = (int (*)(clockid_t, struct timespec *))dlsym(RTLD_NEXT, "clock_gettime");
    int out = real(which, to);
    if (which == CLOCK_REALTIME || which == CLOCK_REALTIME_COARSE) to->tv_sec -= back;
    return out;
}
int gettimeofday(struct timeval *to, void *zone) {
    struct timespec now;
    (void)zone;
    int out = clock_gettime(CLOCK_REALTIME, &now);
    to->tv_sec = now.tv_sec;
    to->tv_usec = now.tv_nsec / 1000;
    return out;
}
time_t time(time_t *to) {
    struct timespec now;
    clock_gettime(CLOCK_REALTIME, &now);
    if (to) *to = now.tv_sec;
    return now.tv_sec;
}
"""
"""The machine's clock, set back for one process."""

SECONDS_BACK = (1, 60, 3600, 86_400, 31 * 86_400, 3652 * 86_400)

Trouble = Callable[[Path, bool], None]
"""Begins, or ends, on a mounted disk."""


def full(disk: Path, on: bool) -> None:
    filler = disk / "filler"
    if not on:
        filler.unlink(missing_ok=True)
        return
    try:
        with filler.open("ab", buffering=0) as file:
            for size in (4096, 1):
                while file.write(b"\0" * size):
                    pass
    except OSError:
        pass


def read_only(disk: Path, on: bool) -> None:
    if on:
        # a disk on which a file is open for writing cannot be made so, one over it can
        subprocess.run(["mount", "--bind", disk, disk], check=True)
        subprocess.run(["mount", "-o", "remount,bind,ro", disk], check=True)
    elif os.statvfs(disk).f_flag & os.ST_RDONLY:
        subprocess.run(["umount", "-l", disk], check=True)


def no_rights(disk: Path, on: bool) -> None:
    for path in (*disk.rglob("*"), disk):
        path.chmod((0o555 if on else 0o755) if path.is_dir() else (0o444 if on else 0o644))


def clock_back(disk: Path, on: bool) -> None:
    """Said to the process with the number that it is to write."""


TROUBLES: dict[str, Trouble] = {
    "full disk": full,
    "only read": read_only,
    "no rights": no_rights,
    "clock back": clock_back,
}


@contextmanager
def small_disk() -> Iterator[Path]:
    """A disk of 4 MB in memory."""
    with tempfile.TemporaryDirectory() as place:
        subprocess.run(["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", place], check=True)
        try:
            yield Path(place)
        finally:
            subprocess.run(["umount", "-l", place], check=True)


def writer(kind: str, home: str) -> None:
    """Writes the numbers it hears, each with how far back the clock goes, and says how it went."""
    platformdirs.user_data_dir = lambda *_args, **_words: home  # type: ignore[assignment]
    write = (WRITERS | MORE)[kind]("1")
    clock = ctypes.CDLL(None)
    for line in sys.stdin:
        number, back = map(int, line.split())
        clock.set_clock_back(ctypes.c_long(back))
        try:
            write(number)
        except BadInput as error:
            sys.stdout.write(f"refused {str(error).isprintable()}\n")
        else:
            sys.stdout.write("confirmed\n")
        sys.stdout.flush()


def found(kind: str, catalog: Catalog) -> set[int]:
    """The numbers in a store; of one that keeps the last alone, that."""
    if kind in ("own", "sheet"):
        return numbers_of(kind)["1"]
    if kind == "log":
        log = Log()
        numbers = {int(entry.note) for entry in log.entries()}
        log.close()
        return numbers
    if kind == "drill":
        results = Results()
        done = [r for who in results.trainees() for r in results.results(who)]
        results.close()
        return {r.seed for r in done if r.state == "scored"}
    if kind == "settings":
        return {int(Settings(user_folder() / "settings.json").get("scenario", "-1").split()[-1])}
    return {newest(kind, catalog)}


@dataclass
class Came:
    """What came of the writes."""

    confirmed: int = 0
    refused: int = 0
    lost: int = 0
    wrong: str = ""


def tried(kind: str, trouble: str, writes: int, seed: int, shim: Path, catalog: Catalog) -> Came:
    came, chance = Came(), random.Random(f"{kind} {trouble} {seed}")
    with small_disk() as disk:
        home = disk / "user" / "leadfall"
        home.mkdir(parents=True)
        words = [sys.executable, "-m", "tests.benchmarks.bad_disk", "--writer", kind, str(home)]
        if trouble == "no rights":
            words = ["setpriv", "--bounding-set", "-dac_override,-dac_read_search", *words]
        process = subprocess.Popen(
            words, cwd=ROOT, text=True,
            env={**os.environ, "PYTHONPATH": str(ROOT), "LD_PRELOAD": str(shim)},
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )  # fmt: skip
        assert process.stdin is not None
        assert process.stdout is not None
        sure: list[int] = []
        on = False
        for number in range(writes):
            # the first and the last few are written while all is well
            wanted = chance.random() < 0.4 if 3 <= number < writes - 3 else False
            if wanted != on:
                TROUBLES[trouble](disk, wanted)
                on = wanted
            back = chance.choice(SECONDS_BACK) if on and trouble == "clock back" else 0
            process.stdin.write(f"{number} {back}\n")
            process.stdin.flush()
            answer = process.stdout.readline().split()
            if answer[:1] == ["confirmed"]:
                sure.append(number)
            elif answer == ["refused", "True"]:
                came.refused += 1
            else:
                came.wrong = f"write {number}: {' '.join(answer) or 'it ended'}"
                break
        process.stdin.close()
        said = process.stdout.read() + (process.stderr.read() if process.stderr else "")
        process.wait(timeout=60)
        TROUBLES[trouble](disk, False)
        came.confirmed = len(sure)
        came.wrong = came.wrong or said.strip()[-300:]
        if process.returncode:
            came.wrong = came.wrong or f"exit code {process.returncode}"
        if sure[-3:] != list(range(writes - 3, writes)):
            came.wrong = came.wrong or "refused when all was well again"
        platformdirs.user_data_dir = lambda *_args, **_words: str(home)  # type: ignore[assignment]
        there = found(kind, catalog)
        one_only = kind in ("compare", "unsaved", "scenario", "settings")
        came.lost = len(({sure[-1]} if one_only else set(sure)) - there)
    return came


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.bad_disk")
    parser.add_argument("--writes", type=int, default=60, help="of each kind in each trouble (60)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--writer", nargs=2, metavar=("KIND", "HOME"), help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.writer:
        writer(*given.writer)
        return 0
    catalog = Catalog.load(None)
    print(f"{'trouble':12}{'store':10}{'confirmed':>10}{'refused':>9}{'lost':>6}")
    bad = 0
    with tempfile.TemporaryDirectory() as folder:
        shim, source = Path(folder) / "clock.so", Path(folder) / "clock.c"
        source.write_text(CLOCK)
        subprocess.run(["cc", "-shared", "-fPIC", "-o", shim, source, "-ldl"], check=True)
        for trouble in TROUBLES:
            for kind in (*WRITERS, *MORE):
                came = tried(kind, trouble, given.writes, given.seed, shim, catalog)
                print(f"{trouble:12}{kind:10}{came.confirmed:10}{came.refused:9}{came.lost:6}"
                      f"  {came.wrong}", flush=True)  # fmt: skip
                bad += bool(came.lost or came.wrong)
    return int(bad > 0)


if __name__ == "__main__":
    raise SystemExit(main())
