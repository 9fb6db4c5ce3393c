"""Seconds of processor time a fit of 20 rows takes, kind by kind. Nothing is asserted.

Run ``python -m tests.benchmarks.calibrate_speed``. Rows are made from known factors with
noise of their own errors; best of three on one core, then how far a fit's coarse lines are
from fine ones.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import time
from collections.abc import Sequence

import numpy as np

from physics.calibration.calibrate import Calibration, calibrate
from physics.calibration.factors import Factors
from physics.calibration.measured import CoastDown, DockFall, DropTouch, Row, TowDepth
from physics.calibration.next_row import best_next
from physics.calibration.predict import predict
from physics.line.mesh import Resolution
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order
from tests.physics.measurements import BOAT, GEAR, ROD, WATER, misread, with_measured

TRUTH = Factors(line_drag=1.3, lure_drag=0.8, coast_down=1.3)

SPEEDS = np.linspace(1.8, 4.0, 20)
TOWS = [TowDepth(float(u), 1.0) for u in SPEEDS]
DROPS = [
    DropTouch(float(u), 30.0, seconds, 1.0)
    for u, seconds in zip(SPEEDS, [6.0, 9.0, 12.0, 15.0] * 5, strict=True)
]
BACK = [
    DropTouch(float(u), 4.0, seconds, 1.0)
    for u, seconds in zip(SPEEDS, [6.0, 9.0, 12.0, 15.0] * 5, strict=True)
]
DOCK = [DockFall(3.0, 1.0)] * 20
COAST = [CoastDown(3.0, float(t), 0.01) for t in np.linspace(2.0, 20.0, 20)]


def noted(rows: Sequence[Row]) -> list[Row]:
    """The rows as measured: predicted from the truth, then misread."""
    rng = np.random.default_rng(1)
    exact = predict(GEAR, rows, [TRUTH])[0]
    return [misread(with_measured(r, v), rng) for r, v in zip(rows, exact, strict=True)]


def timed(name: str, rows: Sequence[Row]) -> Calibration:
    """One kind of fit and the search for the next row, best of three."""
    put_down, fits, nexts = noted(rows), [], []
    for _ in range(3):
        start = time.process_time()
        result = calibrate(GEAR, put_down)
        fits.append(time.process_time() - start)
        start = time.process_time()
        best_next(result)
        nexts.append(time.process_time() - start)
    found = ", ".join(
        f"{p.name} {p.factor:.2f} ({p.low:.2f} to {p.high:.2f})" for p in result.fitted
    )
    print(f"{name:22s} fit {min(fits):5.2f} s, what next {min(nexts):5.2f} s   {found}")
    return result


def coarse_gaps() -> None:
    """How far the depths of a fit's lines are from those of 60 + 8 elements, m."""
    rows = [*TOWS[::3], *DROPS[::3], *BACK[::3]]
    ours = predict(GEAR, rows, [Factors()])[0]
    gaps: dict[str, float] = {}
    for row, depth in zip(rows, ours, strict=True):
        seconds = row.seconds if isinstance(row, DropTouch) else 0.0
        run = Run([Scenario("row", WATER, BOAT, (ROD,), speed=row.speed,
                            resolution=Resolution(60, 8))], longest=0.5)  # fmt: skip
        if isinstance(row, DropTouch):
            run.order(Order(0.0, "out of gear"))
            run.order(Order(row.hold, "in gear"))
        run.advance_exactly(seconds)
        fine = -float(run.nodes_at(seconds)[0][2].min())
        gaps[row.kind] = max(gaps.get(row.kind, 0.0), abs(depth - fine))
    for kind, gap in gaps.items():
        print(f"coarse against fine lines, {kind}: within {gap:.3f} m")


def main() -> None:
    timed("20 tows", TOWS)
    timed("20 drops, held long", DROPS)
    timed("20 drops, back in gear", BACK)
    timed("20 falls at the dock", DOCK)
    timed("20 of a coast-down", COAST)
    timed("8, 8, 2 and 2 of them", [*TOWS[:8], *DROPS[:8], *DOCK[:2], *COAST[5:7]])
    coarse_gaps()


if __name__ == "__main__":
    main()
