"""Another program as the sea: gear is fitted to what MoorDyn's lines do, and asked for the rest.

Its lines have a drag that does not change with speed, anywhere in the range published for real
ones, and a point for a lure; its boat coasts as V / (1 + t / tau). Errors of measurement are those
rows have by default, seeded. Agreement verifies the mathematics, not the sea.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pytest

from physics.answers.doubt import MIDDLE_ROUGHNESS
from physics.calibration.factors import Gear
from physics.calibration.measured import DropTouch, Row, TowDepth
from tests.benchmarks.calibrate_coverage import SWINGS, coverage, told
from tests.beside import noted
from tests.physics.measurements import BOAT, CORE, GEAR, LEADER, PLUG, ROD, WATER
from tests.published import moordyn_run
from tests.published.reference_case import TIP_DEPTH

KNOT = 1852.0 / 3600.0

SMOOTH = 1.25
"""Drag coefficient of a smooth cylinder where leadcore lies."""

PUBLISHED = (0.9, 1.6)
"""Least and most drag of a real line, as multiples of that: strumming and fuzz, as README says."""

SEAS = 12
ROUNDS = 10
"""So many boats and lines, and rounds of measurements on each."""

HELD = 0.75, 0.90  # share of intervals
OUT_OF = SEAS * ROUNDS

TOW_KNOTS = (2.5, 3.0, 3.5, 4.0, 4.5)
FAR_KNOTS = (2.0, 3.25, 5.0, 6.0, 7.0)
DROPS = (DropTouch(3.0 * KNOT, 30.0, 8.0, 1.0), DropTouch(4.0 * KNOT, 30.0, 12.0, 1.0))
FAR_DROPS = (DropTouch(3.5 * KNOT, 30.0, 18.0, 1.0), DropTouch(5.0 * KNOT, 30.0, 10.0, 1.0))

STEP = 1.0 / 256.0
FIRST, STAIR = 100.0, 60.0
"""Seconds until the slowest tow, and then every faster one, is steady."""

LINE = replace(CORE, drag_multiplier=MIDDLE_ROUGHNESS)
SHIPPED = replace(
    GEAR, rod=replace(ROD, sections=(LINE, LEADER), lure=SWINGS, height=-TIP_DEPTH),
    line="leadcore",
)  # fmt: skip


@dataclass(frozen=True)
class Sea:
    """A line, a lure and a boat as MoorDyn has them: drag, drag area, half time at BOAT's speed."""

    drag: float
    lure_drag: float
    half_time: float

    @classmethod
    def drawn(cls, rng: np.random.Generator) -> Sea:
        return cls(
            SMOOTH * rng.uniform(*PUBLISHED), math.exp(0.25 * rng.normal()),
            BOAT.half_time * math.exp(0.3 * rng.normal()),
        )  # fmt: skip

    @property
    def params(self) -> dict[str, float]:
        rho = WATER.density
        flooding = rho * (CORE.area - CORE.solid)
        return {
            "g": WATER.gravity, "rho": rho, "water_depth": 200.0,
            "L": CORE.length, "N": 15, "d": CORE.diameter, "EA": CORE.stiffness,
            "m": CORE.mass_per_length + flooding,
            "Cdn": self.drag, "Cdt": CORE.tangential_drag, "Can": 1.0, "Cat": 0.0,
            "L_ldr": LEADER.length, "N_ldr": 2, "d_ldr": LEADER.diameter,
            "m_ldr": LEADER.mass_per_length, "EA_ldr": LEADER.stiffness, "Cdn_ldr": self.drag,
            "Cdt_ldr": LEADER.tangential_drag, "Can_ldr": 1.0, "Cat_ldr": 0.0,
            "m_lure": PLUG.mass, "V_lure": PLUG.volume, "Ca_lure": 0.5,
            "CdA_lure": PLUG.end_area * self.lure_drag,
        }  # fmt: skip

    def tows(self, folder, speeds: Sequence[float]) -> dict[float, float]:
        """Steady depth, m, at each speed, m/s: one long tow that gets faster by stairs."""
        rising = sorted(speeds)
        ends = [(n + 1) * STAIR for n in range(len(rising) - 1)]

        def place(time: float) -> tuple[float, float]:
            east = rising[0] * time
            for n, end in enumerate(ends):
                since = max(time - end, 0.0)
                ramp = min(since, moordyn_run.RAMP)
                gain = rising[n + 1] - rising[n]
                east += gain * (ramp**2 / (2.0 * moordyn_run.RAMP) + since - ramp)
            return east, 0.0

        until = len(rising) * STAIR
        rows = moordyn_run.tow(
            folder, self.params, rising[0], place, until, every=1.0, step=STEP,
            warm_up=FIRST, lowest=True,
        )  # fmt: skip
        depth = rows[:, 1]
        return {u: float(depth[round((n + 1) * STAIR) - 1]) for n, u in enumerate(rising)}

    def drop(self, folder, row: DropTouch) -> float:
        """Depth, m, of the lowest point when a boat out of gear since t = 0 was so long so."""
        tau = self.half_time * BOAT.trolling_speed / row.speed

        def place(time: float) -> tuple[float, float]:
            return row.speed * tau * math.log1p(max(time, 0.0) / tau), 0.0

        rows = moordyn_run.tow(
            folder, self.params, row.speed, place, row.seconds, every=0.5, step=STEP,
            warm_up=FIRST, lowest=True,
        )  # fmt: skip
        return float(rows[-1, 1])

    def numbers(self, folder, rows: Sequence[Row]) -> np.ndarray:
        """What each row would read without error, under a tip as deep as ours."""
        speeds = [row.speed for row in rows if isinstance(row, TowDepth)]
        towed = self.tows(folder, speeds)
        return TIP_DEPTH + np.array([
            self.drop(folder, row) if isinstance(row, DropTouch) else towed[row.speed]
            for row in rows
        ])  # fmt: skip


@pytest.mark.long
def test_that_unseen_depths_of_moordyns_lines_lie_in_the_intervals_of_a_fit(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    rows: list[Row] = [*(TowDepth(u * KNOT, 1.0) for u in TOW_KNOTS), *DROPS]
    unseen: list[Row] = [*(TowDepth(u * KNOT, 1.0) for u in FAR_KNOTS), *FAR_DROPS]
    rng = np.random.default_rng(11)
    known = [Sea.drawn(rng).numbers(tmp_path, [*rows, *unseen]) for _ in range(SEAS)]
    round_of = iter(known * ROUNDS)

    def next_sea(_rng: np.random.Generator):
        numbers = next(round_of)
        return lambda _rows: numbers

    gear: Gear = SHIPPED
    held = coverage(gear, rows, unseen, next_sea, OUT_OF)
    noted(f"in the 80 % interval, {OUT_OF} fits: tows of {FAR_KNOTS} kn, 2 drops: {told(held)}")
    assert HELD[0] < held.mean() < HELD[1]
