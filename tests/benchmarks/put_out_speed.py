"""Seconds a suggestion of what to put out takes. Nothing is asserted.

Run ``python -m tests.benchmarks.put_out_speed``. The four lines of the plan's benchmark over a
level bottom: line and speed free, then with the hold pinned, then with every lure too. Wall
seconds with two workers that are up already, and processor seconds of each stage in one process.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import multiprocessing
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

from app.gear.catalog import Catalog
from app.planning.put_out import PutOut, put_out, search
from app.planning.put_out_grid import PutOutRequest, fishable_lures, usual_request
from app.planning.put_out_words import todo
from app.planning.situation import situation
from app.planning.words import lifts_words
from tests.benchmarks.plan_speed import WORKERS, request_of


def staged(request: PutOutRequest, catalog: Catalog) -> PutOut:
    """Run it here, stage by stage, and print what each took."""
    going, results = search(request, catalog), None
    whole = time.process_time()
    while True:
        try:
            stage = next(going) if results is None else going.send(results)
        except StopIteration as done:
            print(f"  {'all':32s} processor {time.process_time() - whole:7.3f} s")
            found: PutOut = done.value
            return found
        start = time.process_time()
        results = [job.function(*job.args) for job in stage.jobs]
        spent = time.process_time() - start
        print(f"  {stage.doing:32s} processor {spent:7.3f} s   {len(stage.jobs)} jobs")


def main() -> None:
    catalog = Catalog.load(None)
    plan = request_of(catalog)
    free = usual_request(plan.setup)
    lures = tuple(fishable_lures(catalog))
    requests = {
        "line and speed free": free,
        "hold 20 s": replace(free, hold=20.0),
        "lures too": replace(free, rods=tuple(replace(rod, lures=lures) for rod in free.rods)),
    }
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(WORKERS, mp_context=context) as executor:
        for part in [executor.submit(situation, plan, catalog) for _ in range(2 * WORKERS)]:
            part.result()
        for name, request in requests.items():
            start = time.perf_counter()
            put_out(request, catalog, executor=executor)
            print(f"{name}: wall {time.perf_counter() - start:.2f} s with two workers")
            found = staged(request, catalog)
            for one in (found.before, *(s.looked for s in found.suggestions)):
                print(f"  {todo(one)}: {lifts_words(one.each_line)}")


if __name__ == "__main__":
    main()
