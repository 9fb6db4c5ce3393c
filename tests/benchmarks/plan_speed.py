"""Seconds a plan takes: the first answer, the full one, how sure it is. Nothing is asserted.

Run ``python -m tests.benchmarks.plan_speed``. Four lines of 7 to 10 colors
over a level bottom, the usual waits and holds. Wall and processor seconds, the
best of some; two workers share what is run in halves. Ratios within one run
mean more than the numbers.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import multiprocessing
import time
from collections.abc import Callable
from concurrent.futures import Executor, ProcessPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np

from app.common.units import COLOR
from app.gear.catalog import Catalog
from app.planning.doubts import doubt_part, doubt_rows
from app.planning.plan import finish, first_answer, full_answer, halves, respond_part, run_holds
from app.planning.situation import PlanRequest, situation
from app.scenario import file as scenario_file
from physics.answers.between import joined
from physics.answers.chances import gathered

COLORS = {"port out": 10.0, "port in": 9.0, "starboard in": 8.0, "starboard out": 7.0}
SAMPLES = 64
WORKERS = 2


def request_of(catalog: Catalog) -> PlanRequest:
    """Four lines like the first demo's first rod."""
    demo = scenario_file.load(scenario_file.demos()[0], catalog)
    rods = tuple(
        replace(demo.rods[0], name=name, line_out=COLOR.to_si(out), abeam=2.0 * number - 3.0)
        for number, (name, out) in enumerate(COLORS.items())
    )
    return PlanRequest(replace(demo, rods=rods))


def spent(job: Callable[..., Any], *args: Any) -> tuple[float, Any]:
    """Processor seconds of a job, and what it gives; in a worker too."""
    start = time.process_time()
    result = job(*args)
    return time.process_time() - start, result


def apart(executor: Executor, job: Callable[..., Any], calls: list[tuple[Any, ...]]) -> Any:
    """Processor seconds of calls side by side, and what each gives."""
    parts = [executor.submit(spent, job, *args) for args in calls]
    done = [part.result() for part in parts]
    return sum(cpu for cpu, _ in done), [result for _, result in done]


def show(name: str, times: int, work: Callable[[], tuple[float, Any]]) -> Any:
    """Run ``work`` some times and print the best and the middle; returns what it gave last."""
    walls, cpus = [], []
    for _ in range(times):
        start = time.perf_counter()
        cpu, result = work()
        walls.append(time.perf_counter() - start)
        cpus.append(cpu)
    print(
        f"{name:34s} wall {min(walls):7.3f} s (middle {np.median(walls):7.3f} s)   "
        f"processor {min(cpus):7.3f} s"
    )
    return result


def main() -> None:
    catalog = Catalog.load(None)
    request = request_of(catalog)
    found, run, rows = situation(request, catalog), run_holds(request), doubt_rows(request, SAMPLES)
    print(f"{len(request.waits)} waits, {len(request.holds)} holds")
    show("first answer", 9, lambda: spent(first_answer, request, catalog))
    plan = show("full answer, one process", 3, lambda: spent(full_answer, request, catalog))
    responses = respond_part(found, run)
    show("of it, placing the holds run", 9, lambda: spent(finish, request, catalog, responses))
    show("another point, while dragging", 30, lambda: spent(plan.at, 12.0, 13.5))
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(WORKERS, mp_context=context) as executor:

        def full() -> tuple[float, Any]:
            calls = [(found, half) for half in halves(run)]
            cpu, parts = apart(executor, respond_part, calls)
            more, answer = spent(finish, request, catalog, joined(parts))
            return cpu + more, answer

        def sure() -> tuple[float, Any]:
            calls = [(request, catalog, plan.point, half) for half in np.array_split(rows, WORKERS)]
            cpu, parts = apart(executor, doubt_part, calls)
            more, chances = spent(gathered, parts, rows)
            return cpu + more, chances

        # both start up before anything counts
        apart(executor, situation, [(request, catalog)] * 2 * WORKERS)
        show("full answer, two processes", 3, full)
        show(f"how sure, {SAMPLES} samples, two processes", 3, sure)


if __name__ == "__main__":
    main()
