"""The worker process: the newest question wins, and nothing outlives the program."""

import math
import multiprocessing
import operator
import time
from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.background import Background

LONG_JOB = 0.3
"""Seconds a job sleeps where the worker has to be busy."""

STARTS_WITHIN = 20_000
"""Milliseconds a slow machine may take to start the process."""


@pytest.fixture
def background(qapp: QApplication) -> Iterator[Background]:
    worker = Background()
    yield worker
    worker.close()


def quiet(background: Background, qtbot: QtBot, *kinds: str) -> None:
    """Wait until no job of these kinds is out."""
    qtbot.waitUntil(lambda: not any(background.busy(k) for k in kinds), timeout=STARTS_WITHIN)


def test_that_an_answer_comes_back(background: Background, qtbot: QtBot) -> None:
    got: list[object] = []
    background.ask("sum", got.append, operator.add, 2, 3)
    assert background.busy("sum")
    quiet(background, qtbot, "sum")
    assert got == [5]


def test_that_a_newer_question_of_a_kind_drops_the_older(
    background: Background, qtbot: QtBot
) -> None:
    got: list[object] = []
    background.ask("nap", got.append, time.sleep, LONG_JOB)
    for number in range(5):
        background.ask("root", got.append, math.sqrt, float(number * number))
    quiet(background, qtbot, "root", "nap")
    assert got == [None, 4.0]


def test_that_a_newer_question_drops_an_older_one_that_already_runs(
    background: Background, qtbot: QtBot
) -> None:
    got: list[object] = []
    background.ask("root", got.append, time.sleep, LONG_JOB)
    qtbot.wait(50)
    background.ask("root", got.append, math.sqrt, 9.0)
    quiet(background, qtbot, "root")
    background.ask("after", got.append, abs, -1)
    quiet(background, qtbot, "after")
    assert got == [3.0, 1]


def test_that_kinds_do_not_disturb_each_other(background: Background, qtbot: QtBot) -> None:
    got: list[object] = []
    for kind in ("a", "b", "c"):
        background.ask(kind, got.append, str.upper, kind)
    quiet(background, qtbot, "a", "b", "c")
    assert got == ["A", "B", "C"]


def test_that_an_exception_is_delivered_as_the_answer(background: Background, qtbot: QtBot) -> None:
    got: list[object] = []
    background.ask("root", got.append, math.sqrt, -1.0)
    quiet(background, qtbot, "root")
    assert [type(answer) for answer in got] == [ValueError]
    background.ask("root", got.append, math.sqrt, 4.0)
    quiet(background, qtbot, "root")
    assert got[1:] == [2.0]


def test_that_a_question_that_cannot_be_sent_is_answered_with_the_reason(
    background: Background, qtbot: QtBot
) -> None:
    got: list[object] = []
    background.ask("odd", got.append, lambda: 1)
    quiet(background, qtbot, "odd")
    assert len(got) == 1
    assert isinstance(got[0], Exception)


def test_that_a_worker_ended_from_outside_is_replaced(background: Background, qtbot: QtBot) -> None:
    got: list[object] = []
    background.ask("root", got.append, math.sqrt, 9.0)
    quiet(background, qtbot, "root")
    (process,) = multiprocessing.active_children()
    process.kill()
    process.join()
    qtbot.wait(100)
    background.ask("root", got.append, math.sqrt, 16.0)
    quiet(background, qtbot, "root")
    assert got == [3.0, 4.0]


def test_that_closing_while_busy_ends_the_process_and_answers_nothing(qtbot: QtBot) -> None:
    worker = Background()
    got: list[object] = []
    worker.ask("nap", got.append, time.sleep, LONG_JOB)
    worker.ask("root", got.append, math.sqrt, 1.0)
    worker.close()
    worker.ask("root", got.append, math.sqrt, 4.0)
    qtbot.wait(20)
    assert got == []
    assert not multiprocessing.active_children()


def test_that_closing_twice_or_before_any_question_is_harmless(qtbot: QtBot) -> None:
    worker = Background()
    worker.close()
    worker.close()
    assert not worker.busy("root")
