"""Gear and rows that the tests of calibration share."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from physics.calibration.factors import Gear
from physics.calibration.measured import Row
from physics.environment.water import Bottom, Water
from physics.line.tackle import LineSection, Lure, Rod
from physics.vessel.boat import Boat

WATER = Water(Bottom.level(60.0))
BOAT = Boat("boat", trolling_speed=3.0, half_time=5.0, propeller_drag=0.2)
CORE = LineSection("leadcore", 45.72, 0.9e-3, 2.42e-3, 800.0, flooded=0.3)
LEADER = LineSection("leader", 6.0, 0.7e-3, 4.4e-4, 900.0)
PLUG = Lure("plug", "sinking plug", 0.068, 5.09e-5, 0.127, 4.58e-4, 1.99e-3)
ROD = Rod("rod", (CORE, LEADER), PLUG)
GEAR = Gear(WATER, BOAT, ROD, line="leadcore")


def with_measured(row: Row, value: float) -> Row:
    """The row with another measured number."""
    return replace(row, **{row.number: float(value)})


def misread(row: Row, rng: np.random.Generator) -> Row:
    """The row as a mate with the row's own errors would have put it down."""
    changes = {}
    for name in ("speed", "start", "seconds", "depth"):
        error = getattr(row, f"{name}_error", 0.0)
        if error:
            changes[name] = float(getattr(row, name) + error * rng.normal())
    return replace(row, **changes)
