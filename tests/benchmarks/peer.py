"""Ours beside an independent line program, MoorDyn, at the same error. Nothing is asserted.

Run ``python -m tests.benchmarks.peer``. Both tow the stored reference cases in this
process, in turn, and count the processor time of this thread; the least of some runs
stands. Each is run as coarse as keeps its lure within ERROR of the stored fine reference.
Prints a table for DEVELOPERS.md. Ratios within one run mean more than the numbers.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import platform
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from app.common.version import stepper
from physics.line.mesh import Resolution
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from tests.benchmarks.physics_speed import scenario_of
from tests.published import moordyn_run
from tests.published.reference_case import TIP_DEPTH, Case, load
from tests.published.test_moordyn_live import circle, coast

CASES = ("drop_7p5kn_9col_H10", "drop_7p5kn_9col_H20", "turn_5kn_9col_R60")
"""Stored with a curve and clear of the ground; the buoyant lure is another's case."""

ERROR = 0.01
"""Share of the depth that a lure may be off the stored fine reference."""

ELEMENTS = (5, 7, 10, 15, 20, 30, 45)
"""Elements of the leadcore tried, coarsest first."""

LEADER = 1
STABLE = 1.8
"""Elements so long, m, are stable with the step of ``moordyn_run``."""

BATCH_CASE = CASES[0]
"""What is run in batches: the peer, which has none, at the same error."""

BATCHES = (1, 4, 16, 64, 256)
REPEATS = 2

Cost = tuple[float, np.ndarray]
"""Processor seconds after settling, and the lure's depth at the reference's instants, m."""


def own_seconds(work: Callable[[], object]) -> float:
    """Processor seconds of this thread."""
    start = time.thread_time()
    work()
    return time.thread_time() - start


def place_of(case: Case) -> moordyn_run.Place:
    """The tow point's way in a case."""
    motion = case.given["motion"]
    if motion["type"] == "drop":
        return coast(motion["V0"], motion["tau"], motion["H"], motion["t_acc"])
    return circle(motion["V0"], motion["R"], motion["angle_deg"])


def theirs(case: Case, elements: int) -> Cost:
    """MoorDyn: from the start of the maneuver to its end."""
    gear = {**case.given["params"], "N": elements, "N_ldr": LEADER}
    until = float(case.time[-1])
    # longer elements are stable at longer steps; its own step is for the finest
    shortest = min(gear["L"] / elements, gear["L_ldr"] / LEADER)
    step = moordyn_run.STEP * 2.0 ** np.floor(np.log2(shortest / STABLE))
    with tempfile.TemporaryDirectory() as folder:

        def tow(end: float) -> np.ndarray:
            return moordyn_run.tow(
                Path(folder), gear, case.given["V0"], place_of(case), end, step=step
            )

        # it must be towed to steady first, which is not what is asked: that is taken off
        settling = own_seconds(lambda: tow(0.25))
        start = time.thread_time()
        rows = tow(until)
        spent = time.thread_time() - start - settling
    return spent, np.interp(case.time, rows[:, 0], rows[:, 1])


def ours(case: Case, elements: int) -> Cost:
    """Leadfall: the same."""
    scenario = replace(scenario_of(case), resolution=Resolution(elements, LEADER))
    run = Run([scenario])
    spent = own_seconds(lambda: run.advance(scenario.duration))
    return spent, run.trajectory().depth(0, case.time) - TIP_DEPTH


def error(case: Case, depth: np.ndarray) -> float:
    """Largest share of the depth by which a run is off the reference, from 1 s on."""
    late = case.time >= 1.0
    return float(np.abs(depth / case.curve["lure_depth"] - 1.0)[late].max())


def coarsest(case: Case, run: Callable[[Case, int], Cost]) -> tuple[int, float]:
    """The fewest elements that keep to ERROR, or the most there are, and the error."""
    for elements in ELEMENTS:
        found = error(case, run(case, elements)[1])
        if found <= ERROR:
            break
    return elements, found


def batch(scenario: Scenario, lines: int) -> float:
    """Processor seconds a batch takes after settling."""
    run = Run([scenario] * lines)
    return own_seconds(lambda: run.advance(scenario.duration))


def slope(sizes: tuple[float, ...], costs: list[float]) -> float:
    """Of cost against size, both as logarithms."""
    return float(np.polyfit(np.log(sizes), np.log(costs), 1)[0])


def least(work: Callable[[], float]) -> float:
    return min(work() for _ in range(REPEATS))


def slopes() -> None:
    """How cost grows with elements, lines and time."""
    base = replace(scenario_of(load(CASES[1])), duration=30.0)
    counts = (20, 40, 80, 160)
    finer = [replace(base, resolution=Resolution(n, LEADER)) for n in counts]
    lines, times = (4, 16, 64), (60.0, 120.0, 240.0)
    for name, sizes, costs in (
        ("elements", counts, [least(lambda s=s: batch(s, 1)) for s in finer]),
        ("lines", lines, [least(lambda n=n: batch(base, n)) for n in lines]),
        ("time", times, [least(lambda t=t: batch(replace(base, duration=t), 1)) for t in times]),
    ):
        print(f"Cost against {name}: slope {slope(sizes, costs):.2f}.")


def processor() -> str:
    """The processor's own name, where the system tells it."""
    told = Path("/proc/cpuinfo")
    if told.is_file():
        for line in told.read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.partition(":")[2].strip()
    return platform.processor() or platform.machine()


def main() -> None:
    print(f"{processor()}, {os.cpu_count()} cores, {platform.system()}; {stepper()}.\n")
    print("| case | MoorDyn: elements, error, line-s/s | ours: elements, error, line-s/s | ratio |")
    print("| --- | --- | --- | --- |")
    paces: dict[str, tuple[float, int]] = {}
    for name in CASES:
        case = load(name)
        (their_n, their_error), (our_n, our_error) = coarsest(case, theirs), coarsest(case, ours)
        pairs = [(theirs(case, their_n)[0], ours(case, our_n)[0]) for _ in range(REPEATS)]
        until = float(case.time[-1])
        them, us = (until / min(costs) for costs in zip(*pairs, strict=True))
        paces[name] = them, our_n
        print(
            f"| {name} | {their_n}, {100 * their_error:.2f} %, {them:.0f} "
            f"| {our_n}, {100 * our_error:.2f} %, {us:,.0f} | {us / them:.0f} |",
            flush=True,
        )
    peer, our_n = paces[BATCH_CASE]
    print(f"\n| lines of {BATCH_CASE} in a batch | line-s/s | ratio |\n| --- | --- | --- |")
    one = replace(scenario_of(load(BATCH_CASE)), resolution=Resolution(our_n, LEADER))
    for lines in BATCHES:
        pace = lines * one.duration / least(lambda n=lines: batch(one, n))
        print(f"| {lines} | {pace:,.0f} | {pace / peer:.0f} |", flush=True)
    print()
    slopes()


if __name__ == "__main__":
    main()
