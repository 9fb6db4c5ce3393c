"""Matrices are multiplied in one thread, in the program and in its workers."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest
from pytestqt.qtbot import QtBot

from app.common.one_thread import NAMES
from app.session.background import Background
from tests.app.session.jobs import threads
from tests.app.session.test_background import STARTS_WITHIN

pytestmark = pytest.mark.skipif(
    not sys.platform.startswith("linux") or len(os.sched_getaffinity(0)) < 2,
    reason="counts threads where more than one would begin",
)


@pytest.fixture(autouse=True)
def nothing_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """No environment variable says how many threads."""
    for name in NAMES:
        monkeypatch.delenv(name, raising=False)


PROGRAM = """
from app.__main__ import main
from tests.app.session.jobs import threads
main(["demos"])
print(threads())
"""


def in_the_program() -> int:
    """Threads of the program once it has multiplied matrices."""
    command = [sys.executable, "-c", PROGRAM]
    told = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60).stdout
    return int(told.split()[-1])


def test_that_the_program_multiplies_in_one_thread_unless_told_otherwise(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert in_the_program() == 1
    monkeypatch.setenv("OPENBLAS_NUM_THREADS", "2")
    assert in_the_program() == 2


def test_that_a_worker_multiplies_in_one_thread(qtbot: QtBot) -> None:
    found: list[int] = []
    background = Background()
    try:
        background.ask("threads", found.append, threads)
        qtbot.waitUntil(lambda: bool(found), timeout=STARTS_WITHIN)
    finally:
        background.close()
    # its own, and the one that watches whether the program lives
    assert found == [2]
