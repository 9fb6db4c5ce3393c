"""Whole scenarios that several tests share."""

from __future__ import annotations

from dataclasses import replace

from physics.environment.water import Bottom, Water
from physics.line.mesh import STRAIGHT
from physics.line.tackle import LineSection, Lure, Rod
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat, Order

DEEP_SEA = Water(Bottom.level(60.0))

LEADCORE = LineSection("leadcore", 54.864, 0.9e-3, 2.6e-3, 1e4)
LEADER = LineSection("leader", 4.6, 0.6e-3, 3.2e-4, 2e3)
MONO = LineSection("mono", 30.0, 0.5e-3, 2.25e-4, 1500.0)

PLUG = Lure("plug", "sinking plug", 0.040, 3.0e-5, 0.13, 1.5e-4, 1.5e-3)
JIG = Lure("jig", "nose-weighted jig", 0.030, 6e-6, 0.08, 8e-5, 8e-4, mass_center=0.2)
FLOATER = Lure(
    "floater", "floating lipped plug", 0.011, 1.5e-5, 0.09, 1e-4, 8e-4,
    mass_center=0.55, lip_area=2e-4,
)  # fmt: skip

DROP = (Order(3.0, "out of gear"), Order(15.0, "in gear"))


def leadcore_rod(name: str, lure: Lure = PLUG, **place: float) -> Rod:
    return Rod(name, (LEADCORE, LEADER), lure, **place)


def drop(*rods: Rod, **changes) -> Scenario:
    """Out of gear at 3 s, back at 15 s, from 5 kn, heading north."""
    base = Scenario(
        "drop", DEEP_SEA, Boat("boat"), rods, speed=2.57, orders=DROP, duration=30.0,
        resolution=STRAIGHT,
    )  # fmt: skip
    return replace(base, **changes)
