"""Tow the reference's gear the reference's way."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from physics.environment.water import Bottom, Water
from physics.line.mesh import Resolution
from physics.line.tackle import LineSection, Lure, Rod
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Boat
from physics.vessel.motion import PrescribedMotion

HERE = Path(__file__).parent / "reference"

TIP_DEPTH = 0.3
"""We tow from this deep, m, so that the top node is as wet as theirs, which knows no surface."""

EAST = np.pi / 2.0


@dataclass(frozen=True)
class Case:
    """One reference run: inputs ``given``, and its ``curve``.

    The curve runs against time from t = 0 on, or along the line if steady.
    """

    name: str
    given: dict
    curve: np.ndarray

    @property
    def time(self) -> np.ndarray:
        return self.curve["t"]


def load(name: str) -> Case:
    given = json.loads((HERE / f"{name}.json").read_text(encoding="utf-8"))
    table = given.get("shape_csv", given["csv"])
    curve = np.genfromtxt(HERE / table, delimiter=",", names=True)
    return Case(name, given, curve[curve["t"] >= 0.0] if table == given["csv"] else curve)


def gear(p: dict, *, tip_depth: float = TIP_DEPTH) -> tuple[Rod, Water]:
    """The reference's line and lure; a lure of 2 cm stands for their point."""
    line = LineSection(
        "leadcore", p["L"], p["d"], p["m"], p["EA"],
        normal_drag=p["Cdn"], tangential_drag=p["Cdt"],
    )  # fmt: skip
    leader = LineSection(
        "leader", p["L_ldr"], p["d_ldr"], p["m_ldr"], p["EA_ldr"],
        normal_drag=p["Cdn_ldr"], tangential_drag=p["Cdt_ldr"],
    )  # fmt: skip
    lure = Lure(
        "lure", "sinker", p["m_lure"], p["V_lure"], 0.02, p["CdA_lure"], p["CdA_lure"],
        added_mass_across=p["Ca_lure"], added_mass_along=p["Ca_lure"], isotropic=True,
    )  # fmt: skip
    bottom = Bottom.level(p["water_depth"] + tip_depth)
    rod = Rod("rod", (line, leader), lure, astern=0.0, height=-tip_depth)
    return rod, Water(bottom, density=p["rho"], gravity=p["g"])


def drop_table(speed: float, tau: float, hold: float, back: float) -> tuple:
    """Rows of coasting as V0/(1 + t/tau) for ``hold`` s, then a ramp of ``back`` s to V0."""
    coast = np.arange(0.0, hold - 1e-9, 0.1)
    rows = [(-5.0, speed, EAST)]
    rows += [(float(t), speed / (1.0 + float(t) / tau), EAST) for t in coast]
    rows += [(hold, speed / (1.0 + hold / tau), EAST), (hold + back, speed, EAST)]
    return tuple(rows)


def turn_table(speed: float, radius: float, degrees: float) -> tuple:
    """Rows of a turn to port at constant speed, then straight on."""
    angle = np.radians(degrees)
    end = angle * radius / speed
    return (
        (-5.0, speed, EAST), (0.0, speed, EAST),
        (end, speed, EAST - angle), (end + 5.0, speed, EAST - angle),
    )  # fmt: skip


def table_of(motion: dict) -> tuple:
    if motion["type"] == "steady":
        return ((0.0, motion["V0"], EAST),)
    if motion["type"] == "drop":
        return drop_table(motion["V0"], motion["tau"], motion["H"], motion["t_acc"])
    return turn_table(motion["V0"], motion["R"], motion["angle_deg"])


def tow(case: Case, resolution: Resolution, **accuracy: float) -> Trajectory:
    """Our run of the same case."""
    rod, water = gear(case.given["params"])
    steady = case.given["motion"]["type"] == "steady"
    scenario = Scenario(
        case.name, water, Boat("boat"), (rod,), speed=case.given["V0"], heading=EAST,
        motion=PrescribedMotion(table_of(case.given["motion"])),
        duration=1.0 if steady else float(case.time[-1]), resolution=resolution,
    )  # fmt: skip
    run = Run([scenario], **accuracy)
    run.advance(scenario.duration)
    return run.trajectory()


def kinks(motion: dict) -> list[float]:
    """Instants at which the tow point's acceleration jumps."""
    if motion["type"] == "drop":
        return [0.0, motion["H"], motion["H"] + motion["t_acc"]]
    return [0.0, float(np.radians(motion["angle_deg"]) * motion["R"] / motion["V0"])]
