"""How much faster than real time lines are computed. Nothing is asserted.

Run ``python -m tests.benchmarks.physics_speed``. One line through the stored
reference drops on one core with the error against the reference beside it,
then batches. Ratios within one run mean more than the numbers.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import time
from dataclasses import replace

import numpy as np

from physics.simulation.run import Run, simulate_many
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat
from physics.vessel.motion import PrescribedMotion
from tests.published.reference_case import EAST, HERE, Case, gear, load, table_of


def scenario_of(case: Case) -> Scenario:
    """A reference case at the default resolution."""
    rod, water = gear(case.given["params"])
    motion = PrescribedMotion(table_of(case.given["motion"]))
    return Scenario(
        case.name, water, Boat("boat"), (rod,), speed=case.given["V0"], heading=EAST,
        motion=motion, duration=float(case.time[-1]),
    )  # fmt: skip


def one_line(name: str) -> None:
    """One reference case, best of three."""
    case = load(name)
    scenario = scenario_of(case)
    best = np.inf
    for _ in range(3):
        run = Run([scenario])
        solves, start = run.count.solves, time.perf_counter()
        run.advance(scenario.duration)
        best = min(best, time.perf_counter() - start)
    solves = run.count.solves - solves
    depth = run.trajectory().depth(0, case.time)
    top = -float(run.trajectory().lines[0].position[0, 2, 0])
    gap = np.abs((depth - top) / case.curve["lure_depth"] - 1.0).max()
    print(
        f"{name:32s} {scenario.duration / best:6.0f} x real time   depth within {100 * gap:.2f} %"
        f"   {run.count.rounds} steps, {solves / run.count.rounds:.2f} solves a step, "
        f"{1e6 * best / solves:.0f} us a solve"
    )


def batch(lines: int) -> None:
    """Many lines at once: line-seconds per second."""
    scenario = replace(scenario_of(load("drop_7p5kn_9col_H20")), duration=60.0)
    many = [scenario] * lines
    start = time.perf_counter()
    simulate_many(many)
    spent = time.perf_counter() - start
    print(f"{lines:3d} lines in a batch: {60.0 * lines / spent:8.0f} line-seconds per second")


def main() -> None:
    for path in sorted(HERE.glob("*.json")):
        if not path.stem.startswith("steady"):
            one_line(path.stem)
    for lines in (1, 4, 16, 64):
        batch(lines)


if __name__ == "__main__":
    main()
