"""Processor seconds until six lines are known with a fish on one, and the speed that clears them.

Run ``python -m tests.benchmarks.fish_speed``. Prints, asserts nothing: machines are noisy.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import time
from collections.abc import Callable
from dataclasses import replace

from app.common.units import COLOR, KNOT
from app.gear.catalog import Catalog
from app.ground.fish.job import find_speed, run_fight
from app.scenario import file as scenario_file
from physics.answers.fights import Fight

COLORS = (10.0, 9.5, 9.0, 8.0, 7.5, 7.0)


def best_of(job: Callable[[], object], times: int = 3) -> float:
    """Least processor seconds of a job."""
    found = []
    for _ in range(times):
        start = time.process_time()
        job()
        found.append(time.process_time() - start)
    return min(found)


def main() -> None:
    catalog = Catalog.load(None)
    demo = scenario_file.load(scenario_file.demos()[0], catalog)
    rods = tuple(
        replace(demo.rods[0], name=f"rod {k}", line_out=COLOR.to_si(out), abeam=2.0 * k - 5.0)
        for k, out in enumerate(COLORS)
    )
    setup = replace(demo, rods=rods)
    for words, fight in (
        ("as it is pulled, skipping in the end", Fight("rod 0")),
        ("kept at 1.5 m", Fight("rod 0", fish_depth=1.5)),
        ("slowed to 3 kn", Fight("rod 0", throttle=KNOT.to_si(3.0))),
    ):
        first = best_of(lambda fight=fight: run_fight(setup, catalog, fight))
        speed = best_of(lambda fight=fight: find_speed(setup, catalog, fight))
        print(f"{words:40s} first answer {first:5.2f} s, clear speed {speed:5.2f} s")


if __name__ == "__main__":
    main()
