"""Processes of the program that write to one store at once, or are killed while they write."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from app.common.resources import tackle_folder, user_folder
from app.compare import file as compare_file
from app.gear import own_tackle
from app.gear.catalog import Catalog
from app.measure import file as sheet
from app.scenario import autosave
from app.scenario import file as scenario_file
from tests.app.savers import ROUNDS, WRITERS, numbered

ROOT = Path(__file__).parents[2]

EACH = 15
"""Writes of each process at once."""

LONGEST_S = 1.0
"""A process is killed at most this long after it began to write, s."""


@contextmanager
def saver(kind: str, home: Path, who: int, count: int) -> Iterator[subprocess.Popen[str]]:
    """A process ready to write."""
    with subprocess.Popen(
        [sys.executable, "-m", "tests.app.savers", kind, str(home), str(who), str(count)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as process:  # fmt: skip
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        try:
            yield process
        finally:
            process.kill()


def go(process: subprocess.Popen[str]) -> None:
    assert process.stdin is not None
    process.stdin.write("go\n")
    process.stdin.flush()


def spares(home: Path) -> list[Path]:
    return list(home.rglob(".*.new"))


# ---- at once


def numbers_of(kind: str) -> dict[str, set[int]]:
    """The numbers each process got into a store, by its name."""
    found: dict[str, set[int]] = {"1": set(), "2": set()}
    if kind == "own":
        for item in own_tackle.load_own(tackle_folder()):
            who, number = item.name.split()
            found[who].add(int(number))
    else:
        for line in sheet.load().lines:
            assert line.depth is not None
            assert line.seconds is not None
            found[str(round((line.depth - 1.0) / 0.25))].add(int(line.seconds) - 1)
    return found


@pytest.mark.parametrize("kind", ["own", "sheet"])
def test_that_two_processes_at_once_lose_nothing(kind: str, home: Path) -> None:
    with saver(kind, home, 1, EACH) as one, saver(kind, home, 2, EACH) as two:
        go(one)
        go(two)
        for process in (one, two):
            out, errors = process.communicate(timeout=120)
            assert errors == ""
            assert len(out.split()) == EACH
    assert numbers_of(kind) == {"1": set(range(EACH)), "2": set(range(EACH))}
    assert spares(home) == []


def test_that_two_processes_at_once_keep_each_others_candidates(home: Path) -> None:
    with saver("compare", home, 1, EACH) as one, saver("compare", home, 2, EACH) as two:
        go(one)
        go(two)
        for process in (one, two):
            out, errors = process.communicate(timeout=120)
            assert errors == ""
            assert len(out.split()) == EACH
    lineup = compare_file.load(compare_file.place())
    assert lineup is not None
    out = {candidate.name: candidate.line_out for candidate in lineup.candidates}
    last = {number % ROUNDS: number for number in range(EACH)}
    wanted = {f"{who} {k}": 10.0 + last[k] for who in (1, 2) for k in range(ROUNDS)}
    assert out == pytest.approx({"usual": out["usual"], **wanted})


# ---- killed


def newest(kind: str, catalog: Catalog) -> int:
    """The last number that is in a store; -1 for none. Raises BadInput for half a file."""
    if kind in ("own", "sheet"):
        return max(numbers_of(kind)["1"], default=-1)
    if kind == "compare":
        lineup = compare_file.load(compare_file.place())
        named = [c for c in lineup.candidates if c.name != "usual"] if lineup else []
        return max((round(c.line_out - 10.0) for c in named), default=-1)
    if kind == "scenario":
        path = user_folder() / "mine.toml"
        setup = scenario_file.load(path, catalog) if path.exists() else None
        return -1 if setup is None else int(setup.name.split()[1])
    left = autosave.left_behind()
    found = [int(each.load(catalog).setup.name.split()[1]) for each in left]
    for each in left:
        each.forget()
        each.close()
    return max(found, default=-1)


def killed(process: subprocess.Popen[str], chance: random.Random) -> int:
    """Kill a process at a random moment of its writing; the last number it confirmed."""
    go(process)
    assert process.stdout is not None
    child = int(process.stdout.readline())
    time.sleep(chance.uniform(0.0, LONGEST_S))
    os.kill(child, signal.SIGKILL)
    said = []
    # what it was saying when it was killed may stand before the last word
    while not (line := process.stdout.readline()).endswith("ended\n"):
        said.append(int(line))
    return max(said, default=-1)


def kill_often(kind: str, home: Path, catalog: Catalog, times: int, seed: int) -> str:
    """Kill and start again; what it came to, in words."""
    chance = random.Random(seed)
    confirmed = left = 0
    with saver(kind, home, 1, 0) as process:
        for _ in range(times):
            last = killed(process, chance)
            left += len(spares(home))
            there = newest(kind, catalog)
            assert there >= last, f"write {last} was confirmed, {there} is there"
            confirmed += last + 1
            for each in autosave.left_behind():
                each.close()
            if kind == "scenario":
                # in a folder of a person's own: the next write sweeps
                scenario_file.save(numbered(0), user_folder() / "mine.toml")
            assert spares(home) == [], "left after the next start"
            for path in home.rglob("*"):
                if path.is_file():
                    path.unlink()
    return f"{kind}: {times} kills, {confirmed} confirmed writes, 0 lost, {left} spares swept"


@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
@pytest.mark.parametrize("kind", list(WRITERS))
def test_that_a_killed_process_loses_no_confirmed_write(
    kind: str, home: Path, catalog: Catalog
) -> None:
    home.mkdir()
    kill_often(kind, home, catalog, 2, 1)


@pytest.mark.long
@pytest.mark.skipif(sys.platform == "win32", reason="no SIGKILL there")
@pytest.mark.parametrize("kind", list(WRITERS))
def test_that_forty_kills_a_store_lose_nothing(
    kind: str, home: Path, catalog: Catalog, capsys: pytest.CaptureFixture[str]
) -> None:
    home.mkdir()
    told = kill_often(kind, home, catalog, 40, 2)
    with capsys.disabled():
        sys.stdout.write(f"\n{told}\n")
