"""What runs take beside what is told of them before they begin. Nothing is asserted.

Run ``python -m tests.benchmarks.run_cost``, and with ``LEADFALL_STEPPER=numpy`` for the other
stepper. Processor seconds to step and to look at it afterwards; peak bytes in a second run.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import time
import tracemalloc
from dataclasses import replace

from physics.simulation.cost import cost_of, nodes_of
from physics.simulation.events import find_events
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order
from tests.physics.test_cost import RUNS, spread

MORE = {
    "six lines in a drop": spread(6, 24, 90.0),
    "six fine lines in a turn": replace(spread(6, 60, 300.0), orders=(Order(1.0, "wheel", 0.02),)),
    "a fine line straight on": replace(spread(1, 300, 600.0), orders=()),
}


def spent(scenario: Scenario) -> tuple[float, float]:
    """Processor seconds to step it, and to find its events."""
    start = time.process_time()
    trajectory = simulate(scenario)
    stepped = time.process_time()
    find_events(trajectory)
    return stepped - start, time.process_time() - stepped


def main() -> None:
    spent(spread(2, 24, 20.0))
    print(f"{'':26s} nodes   told            stepping + looking     memory")
    for name, scenario in {**RUNS, **MORE}.items():
        told, (stepping, looking) = cost_of(scenario), spent(scenario)
        tracemalloc.start()
        spent(scenario)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        print(
            f"{name:26s} {nodes_of(scenario):5d}   {told.seconds:5.2f} s {told.bytes / 1e6:5.1f} MB"
            f"   {stepping:5.2f} s + {looking:5.2f} s   {peak / 1e6:5.1f} MB"
            f"   told / taken {told.seconds / (stepping + looking):.2f}, {told.bytes / peak:.2f}"
        )


if __name__ == "__main__":
    main()
