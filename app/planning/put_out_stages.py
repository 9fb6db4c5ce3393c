"""Stages of a long search: jobs that know nothing of each other, run side by side or in turn."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, Executor, wait
from dataclasses import dataclass
from typing import Any

from physics.progress import Cancelled, ProgressCallback, part_of


@dataclass(frozen=True, slots=True)
class Job:
    """One piece of work: ``function(*args, progress=...)``."""

    function: Callable[..., Any]
    args: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Stage:
    """Jobs that may run side by side; of the whole work they are from ``first`` to ``last``."""

    doing: str
    jobs: tuple[Job, ...]
    first: float
    last: float


def run_stage(
    stage: Stage, progress: ProgressCallback | None, executor: Executor | None
) -> list[Any]:
    """What its jobs give, in their order. Raises Cancelled, and what they raise."""
    count = len(stage.jobs)
    size = (stage.last - stage.first) / max(count, 1)
    if executor is None:
        return [
            job.function(*job.args, progress=part_of(
                progress, stage.first + n * size, stage.first + (n + 1) * size))
            for n, job in enumerate(stage.jobs)
        ]  # fmt: skip
    parts = [executor.submit(job.function, *job.args) for job in stage.jobs]
    waiting = set(parts)
    while waiting:
        waiting = wait(waiting, timeout=0.1, return_when=FIRST_COMPLETED).not_done
        if progress is not None and progress(stage.first + size * (count - len(waiting))):
            for part in waiting:
                part.cancel()
            raise Cancelled
    return [part.result() for part in parts]
