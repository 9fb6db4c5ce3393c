"""The worker processes: the newest question wins, the urgent first, and closing waits for none."""

import logging
import math
import multiprocessing
import operator
import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.common import free_memory
from app.session.background import LOOK_MS, Background
from app.session.pool import PROGRAM, WORKERS, Pool, Rank
from app.session.worker import WORKED, call
from tests.app.session.jobs import (
    at_work,
    dies,
    dies_once,
    for_ever,
    note,
    pulses,
    scatter,
    until,
    work,
)

LONG_JOB = 0.3
"""Seconds a job sleeps where the worker has to be busy."""

STARTS_WITHIN = 20_000
"""Milliseconds a slow machine may take to start the process."""


PIECES, PIECE = 2000, 30_000
"""Pieces of memory, and the bytes of each: together much, and one by one too small to go back."""


def resident(pid: int) -> int:
    """Resident memory of a process, bytes."""
    return int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")


@pytest.fixture
def background(qapp: QApplication) -> Iterator[Background]:
    worker = Background()
    yield worker
    worker.close()


def quiet(background: Background, qtbot: QtBot, *kinds: str) -> None:
    """Wait until no job of these kinds is out."""
    qtbot.waitUntil(lambda: not any(background.busy(k) for k in kinds), timeout=STARTS_WITHIN)


def test_that_what_a_job_raises_reaches_the_page_and_the_log_with_where_it_was_raised(
    background: Background, qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    got: list[object] = []
    with caplog.at_level(logging.INFO, "leadfall"):
        background.ask("root", got.append, math.isqrt, -1)
        background.ask("set", got.append, call, "tests.app.session.jobs:no_such")
        quiet(background, qtbot, "root", "set")
    assert {type(error) for error in got} == {ValueError, AttributeError}
    text = "\n".join(record.getMessage() for record in caplog.records)
    assert "root failed: ValueError" in text
    assert "set failed: AttributeError" in text
    assert "in call" in text
    assert "worker.py" in text, "the line in the other process"


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
    qtbot.waitUntil(lambda: not multiprocessing.active_children(), timeout=STARTS_WITHIN)
    qtbot.wait(20)
    assert got == []


def test_that_closing_twice_or_before_any_question_is_harmless(qtbot: QtBot) -> None:
    worker = Background()
    worker.close()
    worker.close()
    assert not worker.busy("root")


def test_that_a_told_job_is_seen_at_work(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    assert background.share("plan") == 0.0
    background.ask("plan", print, at_work, tmp_path / "plan", 0.75, reports=True)
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
    background.ask("plan", print, at_work, tmp_path / "plan", 0.75, reports=True)
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
    background.ask("plan", print, at_work, tmp_path / "plan", 0.75, reports=True)
    qtbot.waitUntil(lambda: background.share("plan") > 0.0, timeout=STARTS_WITHIN)
    background.ask("plan", print, at_work, tmp_path / "next", 0.25, reports=True)
    assert background.share("plan") == 0.0
    qtbot.waitUntil(lambda: background.share("plan") == 0.25, timeout=STARTS_WITHIN)


def test_that_a_share_beyond_the_whole_is_the_whole(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    background.ask("plan", print, at_work, tmp_path / "plan", 1.5, reports=True)
    qtbot.waitUntil(lambda: background.share("plan") == 1.0, timeout=STARTS_WITHIN)


def test_that_a_cancelled_told_job_stops_and_is_not_heard_of(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    got: list[object] = []
    background.ask("plan", got.append, at_work, tmp_path / "plan", 0.5, reports=True)
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
    background.ask("plan", got.append, at_work, tmp_path / "plan", 0.5, reports=True)
    qtbot.waitUntil(lambda: background.share("plan") > 0.0, timeout=STARTS_WITHIN)
    background.ask("plan", got.append, abs, -1)
    quiet(background, qtbot, "plan")
    assert (tmp_path / "plan").read_text() == "stopped"
    assert got == [1]


def test_that_a_told_job_left_alone_goes_on_and_gives_its_answer(
    background: Background, qtbot: QtBot
) -> None:
    got: list[object] = []
    background.ask("plan", got.append, pulses, 3, reports=True)
    quiet(background, qtbot, "plan")
    assert got == [[False, False, False]]


def test_that_a_cancelled_job_that_waits_never_starts(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    got: list[object] = []
    background.ask("gate", got.append, until, tmp_path / "open")
    for kind in ("a", "b", "c"):
        background.ask(kind, got.append, note, tmp_path / kind, kind)
    background.ask("a", got.append, note, tmp_path / "a", "a anew")
    background.cancel("c")
    assert not background.busy("c")
    background.cancel("c")
    background.cancel("never asked for")
    (tmp_path / "open").touch()
    quiet(background, qtbot, "gate", "a", "b", "c")
    background.ask("after", got.append, abs, -1)
    quiet(background, qtbot, "after")
    assert got == [True, "b", "a anew", 1]
    assert not (tmp_path / "c").exists()


def test_that_two_workers_work_side_by_side_and_no_more(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    got: list[object] = []
    background.ask("a", got.append, at_work, tmp_path / "a", 0.5, reports=True)
    background.ask("b", got.append, at_work, tmp_path / "b", 0.5, reports=True)
    background.ask("c", got.append, at_work, tmp_path / "c", 0.5, reports=True)
    qtbot.waitUntil(
        lambda: background.share("a") == background.share("b") == 0.5, timeout=STARTS_WITHIN
    )
    assert len(multiprocessing.active_children()) == WORKERS == 2
    assert background.busy("c")
    assert not (tmp_path / "c").exists()


def test_that_handles_share_the_workers_but_not_their_kinds(qtbot: QtBot) -> None:
    handles = [Background() for _ in range(5)]
    got: list[object] = []
    try:
        for number, handle in enumerate(handles):
            handle.ask("sum", got.append, operator.add, number, 1)
        quiet(handles[0], qtbot, "sum")
        for handle in handles:
            quiet(handle, qtbot, "sum")
        assert sorted(got) == [1, 2, 3, 4, 5]  # type: ignore[type-var]
        assert len(multiprocessing.active_children()) <= WORKERS
        for handle in handles[1:]:
            handle.close()
        handles[0].ask("sum", got.append, operator.add, 3, 3)
        quiet(handles[0], qtbot, "sum")
        assert got[-1] == 6
    finally:
        for handle in handles:
            handle.close()
    qtbot.waitUntil(lambda: not multiprocessing.active_children(), timeout=STARTS_WITHIN)


def test_that_the_urgent_come_first(background: Background, qtbot: QtBot, tmp_path: Path) -> None:
    got: list[object] = []
    background.ask("gate", got.append, until, tmp_path / "open")
    for rank in (Rank.CARD, Rank.BANDS, Rank.ANSWER):
        background.ask(rank.name, got.append, note, tmp_path / rank.name, rank.name, rank=rank)
    (tmp_path / "open").touch()
    quiet(background, qtbot, "gate", "CARD", "BANDS", "ANSWER")
    assert got == [True, "ANSWER", "BANDS", "CARD"]


def test_that_a_look_ahead_does_not_wait_for_long_jobs_and_they_begin_anew(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    got: list[object] = []
    for kind in ("bands", "card"):
        rank = Rank.BANDS if kind == "bands" else Rank.CARD
        background.ask(kind, got.append, at_work, tmp_path / kind, 0.5, reports=True, rank=rank)
    qtbot.waitUntil(
        lambda: background.share("bands") == background.share("card") == 0.5, timeout=STARTS_WITHIN
    )
    background.ask("ahead", got.append, abs, -1, rank=Rank.AHEAD)
    quiet(background, qtbot, "ahead")
    assert got == [1]
    assert (tmp_path / "card").read_text() == "stopped"
    assert (tmp_path / "bands").read_text() == "at work"
    assert background.busy("card")
    assert background.share("card") == 0.0
    qtbot.waitUntil(lambda: background.share("card") == 0.5, timeout=STARTS_WITHIN)


def test_that_one_worker_is_kept_while_looks_ahead_keep_coming(
    background: Background, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    got: list[object] = []
    monkeypatch.setattr("app.session.pool.LIVE", 3600.0)
    background.ask("ahead", got.append, abs, -1, rank=Rank.AHEAD)
    quiet(background, qtbot, "ahead")
    for kind in ("a", "b"):
        background.ask(kind, got.append, at_work, tmp_path / kind, 0.5, reports=True)
    for _ in range(3):
        background.ask("ahead", got.append, abs, -1, rank=Rank.AHEAD)
        quiet(background, qtbot, "ahead")
        assert not (tmp_path / "b").exists()
    monkeypatch.setattr("app.session.pool.LIVE", 0.0)
    background.ask("after", got.append, abs, -1)
    qtbot.waitUntil(lambda: background.share("b") == 0.5, timeout=STARTS_WITHIN)
    assert (tmp_path / "a").read_text() == "at work"


def test_that_a_job_that_cannot_be_stopped_leaves_a_worker_to_look_ahead(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    got: list[object] = []
    background.ask("a", got.append, until, tmp_path / "open")
    background.ask("b", got.append, until, tmp_path / "open")
    background.ask("ahead", got.append, abs, -1, rank=Rank.AHEAD)
    quiet(background, qtbot, "ahead")
    assert got == [1]
    (tmp_path / "open").touch()
    quiet(background, qtbot, "a", "b")
    assert got == [1, True, True]


def test_that_closing_does_not_wait_for_a_job_that_never_ends(qtbot: QtBot, tmp_path: Path) -> None:
    handle = Background()
    got: list[object] = []
    handle.ask("ever", got.append, for_ever, tmp_path / "ever")
    try:
        qtbot.waitUntil((tmp_path / "ever").exists, timeout=STARTS_WITHIN)
    finally:
        handle.close()
    qtbot.waitUntil(lambda: not multiprocessing.active_children(), timeout=STARTS_WITHIN)
    assert got == []
    assert not handle.busy("ever")


def test_that_closing_while_a_process_is_being_started_leaves_none(qtbot: QtBot) -> None:
    for _ in range(5):
        handle = Background()
        handle.ask("root", print, math.sqrt, 1.0)
        handle.close()
    qtbot.waitUntil(lambda: not multiprocessing.active_children(), timeout=STARTS_WITHIN)


def test_that_a_job_whose_process_is_ended_is_begun_again(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    got: list[object] = []
    background.ask("once", got.append, dies_once, tmp_path / "died")
    quiet(background, qtbot, "once")
    assert got == ["alive"]


def test_that_a_job_that_ends_its_process_every_time_is_answered_and_no_other_harmed(
    background: Background, qtbot: QtBot, tmp_path: Path
) -> None:
    got: list[object] = []
    background.ask("dies", got.append, dies, tmp_path / "died")
    background.ask("sum", got.append, operator.add, 2, 3)
    quiet(background, qtbot, "dies", "sum")
    (error,) = [answer for answer in got if isinstance(answer, Exception)]
    assert "ended" in str(error)
    assert 5 in got
    assert (tmp_path / "died").read_text() == "xx"


def test_that_a_process_at_rest_is_given_back_and_comes_again(qtbot: QtBot) -> None:
    pool = Pool(idle=0.05)
    handle = Background(pool=pool)
    got: list[object] = []
    try:
        for number in (4.0, 9.0):
            handle.ask("root", got.append, math.sqrt, number)
            quiet(handle, qtbot, "root")
            qtbot.waitUntil(lambda: not multiprocessing.active_children(), timeout=STARTS_WITHIN)
        assert got == [2.0, 3.0]
    finally:
        handle.close()


@pytest.mark.skipif(free_memory.TRIM is None, reason="the system gives it back by itself")
def test_that_a_worker_gives_back_what_its_jobs_needed(
    background: Background, qtbot: QtBot
) -> None:
    background.ask("scatter", lambda _: None, scatter, PIECES, PIECE)
    quiet(background, qtbot, "scatter")
    (worker,) = multiprocessing.active_children()
    full = resident(worker.pid or 0)
    background.ask("work", lambda _: None, work, 2.0 * WORKED)
    quiet(background, qtbot, "work")
    qtbot.waitUntil(lambda: resident(worker.pid or 0) < full - 0.8 * PIECES * PIECE)


def test_that_an_answer_that_cannot_be_sent_is_told(background: Background, qtbot: QtBot) -> None:
    got: list[object] = []
    background.ask("odd", got.append, memoryview, b"abc")
    quiet(background, qtbot, "odd")
    assert "could not be sent" in str(got[0])


def test_that_every_handle_is_of_the_programs_pool_unless_another_is_given() -> None:
    handle = Background()
    assert handle._pool is PROGRAM
    handle.close()
