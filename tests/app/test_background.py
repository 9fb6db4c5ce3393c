"""The worker process: the newest question wins, and nothing outlives the program."""

import math
import multiprocessing
import operator
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.background import LOOK_MS, MOST_KINDS, Background
from tests.app.jobs import at_work, meet, note, pulses, until

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


def test_that_a_told_job_is_seen_at_work(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    assert background.share("plan") == 0.0
    background.ask("plan", print, at_work, tmp_path / "plan", 0.75, told=True)
    assert background.share("plan") == 0.0
    qtbot.waitUntil(lambda: background.share("plan") == 0.75, timeout=STARTS_WITHIN)
    assert background.share("other") == 0.0
    background.cancel("plan")
    assert background.share("plan") == 0.0


def test_that_progress_is_told_when_a_share_has_changed_and_no_more(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    seen: list[float] = []
    background.progress.connect(lambda: seen.append(background.share("plan")))
    background.ask("plan", print, at_work, tmp_path / "plan", 0.75, told=True)
    qtbot.waitUntil(lambda: 0.75 in seen, timeout=STARTS_WITHIN)
    qtbot.wait(3 * LOOK_MS)
    assert seen in ([0.75], [0.0, 0.75]), "once for each share"
    background.cancel("plan")
    qtbot.waitUntil(lambda: not background._timer.isActive(), timeout=STARTS_WITHIN)
    assert seen[-2:] == [0.75, 0.0]


def test_that_nothing_is_looked_for_while_no_job_is_told(
    background: Background, qtbot: QtBot
) -> None:
    background.ask("sum", print, operator.add, 2, 3)
    assert not background._timer.isActive()
    quiet(background, qtbot, "sum")
    assert not background._timer.isActive()


def test_that_the_share_of_a_new_question_starts_from_nothing(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    background.ask("plan", print, at_work, tmp_path / "plan", 0.75, told=True)
    qtbot.waitUntil(lambda: background.share("plan") > 0.0, timeout=STARTS_WITHIN)
    background.ask("plan", print, at_work, tmp_path / "next", 0.25, told=True)
    assert background.share("plan") == 0.0
    qtbot.waitUntil(lambda: background.share("plan") == 0.25, timeout=STARTS_WITHIN)


def test_that_a_share_beyond_the_whole_is_the_whole(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    background.ask("plan", print, at_work, tmp_path / "plan", 1.5, told=True)
    qtbot.waitUntil(lambda: background.share("plan") == 1.0, timeout=STARTS_WITHIN)


def test_that_a_cancelled_told_job_stops_and_is_not_heard_of(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    got: list[object] = []
    background.ask("plan", got.append, at_work, tmp_path / "plan", 0.5, told=True)
    qtbot.waitUntil(lambda: background.share("plan") > 0.0, timeout=STARTS_WITHIN)
    background.cancel("plan")
    assert not background.busy("plan")
    background.ask("after", got.append, abs, -1)
    quiet(background, qtbot, "after")
    assert (tmp_path / "plan").read_text() == "stopped"
    assert got == [1]


def test_that_a_newer_question_stops_a_told_job(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    got: list[object] = []
    background.ask("plan", got.append, at_work, tmp_path / "plan", 0.5, told=True)
    qtbot.waitUntil(lambda: background.share("plan") > 0.0, timeout=STARTS_WITHIN)
    background.ask("plan", got.append, abs, -1)
    quiet(background, qtbot, "plan")
    assert (tmp_path / "plan").read_text() == "stopped"
    assert got == [1]


def test_that_a_told_job_left_alone_goes_on_and_gives_its_answer(
    background: Background, qtbot: QtBot
) -> None:
    got: list[object] = []
    background.ask("plan", got.append, pulses, 3, told=True)
    quiet(background, qtbot, "plan")
    assert got == [[False, False, False]]


def test_that_closing_stops_a_told_job(qtbot: QtBot, tmp_path: Path) -> None:
    worker = Background()
    got: list[object] = []
    worker.ask("plan", got.append, at_work, tmp_path / "plan", 0.5, told=True)
    try:
        qtbot.waitUntil(lambda: worker.share("plan") > 0.0, timeout=STARTS_WITHIN)
    finally:
        worker.close()
    qtbot.wait(20)
    assert (tmp_path / "plan").read_text() == "stopped"
    assert got == []
    assert not worker.busy("plan")
    assert worker.share("plan") == 0.0


@pytest.mark.parametrize("newer", [False, True])
def test_that_a_job_given_up_on_its_way_to_the_worker_is_skipped(
    background: Background, qtbot: QtBot, tmp_path: Path, newer: bool
) -> None:
    got: list[object] = []
    background.ask("gate", got.append, until, tmp_path / "open")
    background.ask("note", got.append, note, tmp_path / "old", "old")
    on_its_way = background._jobs["note"].future
    qtbot.waitUntil(on_its_way.running, timeout=STARTS_WITHIN)
    if newer:
        background.ask("note", got.append, note, tmp_path / "new", "new")
    else:
        background.cancel("note")
        assert not background.busy("note")
    (tmp_path / "open").touch()
    background.ask("after", got.append, abs, -1)
    quiet(background, qtbot, "gate", "note", "after")
    assert on_its_way.done()
    assert not (tmp_path / "old").exists()
    assert got == ([True, "new", 1] if newer else [True, 1])


def test_that_a_cancelled_job_that_waits_never_starts(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    got: list[object] = []
    background.ask("gate", got.append, until, tmp_path / "open")
    for kind in ("a", "b", "c"):
        background.ask(kind, got.append, note, tmp_path / kind, kind)
    older = background._jobs["c"].future
    background.ask("c", got.append, note, tmp_path / "c", "c")
    assert older.cancelled()
    waiting = background._jobs["c"].future
    background.cancel("c")
    assert waiting.cancelled()
    background.cancel("c")
    background.cancel("never asked for")
    (tmp_path / "open").touch()
    quiet(background, qtbot, "gate", "a", "b", "c")
    background.ask("after", got.append, abs, -1)
    quiet(background, qtbot, "after")
    assert got == [True, "a", "b", 1]
    assert not (tmp_path / "c").exists()


def test_that_two_workers_work_side_by_side(qtbot: QtBot, tmp_path: Path) -> None:
    both = Background(workers=2)
    got: list[object] = []
    try:
        both.ask("a", got.append, meet, tmp_path / "a", tmp_path / "b")
        both.ask("b", got.append, meet, tmp_path / "b", tmp_path / "a")
        quiet(both, qtbot, "a", "b")
        assert len(multiprocessing.active_children()) == 2
    finally:
        both.close()
    assert got == [True, True]
    assert not multiprocessing.active_children()


def test_that_there_are_only_so_many_kinds(background: Background, qtbot: QtBot) -> None:
    got: list[object] = []
    kinds = [str(number) for number in range(MOST_KINDS)]
    for _again in range(2):
        for kind in kinds:
            background.ask(kind, got.append, str.upper, kind)
    with pytest.raises(ValueError, match="16 kinds"):
        background.ask("one more", got.append, abs, -1)
    quiet(background, qtbot, *kinds)
    assert sorted(map(str, got)) == sorted(kinds)
