"""Nothing runs under the bottom, whatever presses it down: every shipped lure, fast and shallow."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.gear.catalog import Catalog
from physics.checks import InvalidValue
from physics.environment.water import Bottom, Water
from physics.line.line_orders import LineOrder
from physics.line.tackle import Rod
from physics.simulation.run import Run, simulate
from physics.simulation.scenario import Scenario
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Boat, Order
from tests.physics.any_scenario import between, scenarios
from tests.physics.test_random import SHARED

DEEPEST = 0.02  # m a node may be under the ground, straight down
KNOT = 1852.0 / 3600.0
SHIPPED = Catalog.load(None)
LIPPED = "floating lipped plug, 6 in"


def under_ground(run: Trajectory) -> float:
    """How deep the deepest node below the tip ever is in the ground, m; negative above it."""
    worst = -np.inf
    for line in run.lines:
        for place, tip in zip(line.position, line.tips, strict=True):
            x, y, z = place[:, tip + 1 :]
            ground = run.scenario.water.bottom.depth_at(x, y)
            worst = max(worst, float((-z - ground).max()))
    return worst


def rod_with(lure: str, line: str | None = "27 lb leadcore", out: float = 30.0) -> Rod:
    """A shipped lure on shipped line; without leadcore on 15 m of plain line."""
    leader = SHIPPED.lines["50 lb mono leader"]
    if line is None:
        return Rod("rod", (leader.section(15.0),), SHIPPED.lures[lure])
    sections = SHIPPED.lines[line].section(out), leader.section(6.0)
    return Rod("rod", sections, SHIPPED.lures[lure])


def shoal(start: float, slope: float) -> Bottom:
    """From 14 m at ``start`` m north of the origin up to 4 m, level for 15 m, and down again."""
    top, run = start + 10.0 / slope, 10.0 / slope
    return Bottom(((start, 14.0), (top, 4.0), (top + 15.0, 4.0), (top + 15.0 + run, 14.0)))


@pytest.mark.parametrize(
    ("speed", "depth"), [(0.2, 0.9), (2.5, 0.9), (2.5, 3.0), (6.2, 0.9), (6.2, 3.0), (12.0, 0.9)]
)
def test_that_no_shipped_lure_runs_under_level_ground_towed_or_dropped(
    speed: float, depth: float
) -> None:
    """At 5 and 12 kn, and the slowest and fastest there are."""
    orders = (Order(1.0, "out of gear"), Order(5.0, "in gear"))
    water = Water(Bottom.level(depth))
    spread = [
        Scenario(lure, water, Boat("boat"), (rod_with(lure, line),), speed, orders=orders)
        for lure in SHIPPED.lures
        for line in ("27 lb leadcore", None)
    ]
    run = Run(spread)
    run.advance(8.0)
    deep = {s.name: under_ground(run.trajectory(k)) for k, s in enumerate(spread)}
    assert max(deep.values()) <= DEEPEST, deep


@pytest.mark.parametrize(("start", "slope"), [(-95.0, 0.2), (-55.0, 1.0), (-55.0, 3.0)])
@pytest.mark.parametrize("lure", [LIPPED, "heavy jig, 3 oz"])
def test_that_a_drop_onto_a_shoal_stays_on_its_slopes(
    lure: str, start: float, slope: float
) -> None:
    orders = (Order(2.0, "out of gear"), Order(9.0, "in gear"))
    rod, water = rod_with(lure, "60 lb leadcore", 60.0), Water(shoal(start, slope))
    scenario = Scenario(
        "shoal", water, Boat("boat"), (rod,), 6.0 * KNOT, orders=orders, duration=20.0
    )  # fmt: skip
    run = simulate(scenario)
    assert float(np.min(run.height(0, run.lines[0].time))) < 0.1, "it gets to the ground"
    assert under_ground(run) <= DEEPEST


def test_that_a_turn_onto_a_shoal_leaves_the_line_on_top_of_it() -> None:
    bottom = Bottom(((-6.0, 14.0), (-2.0, 5.0), (40.0, 5.0)))
    orders = (Order(1.0, "wheel", -0.12), Order(8.0, "wheel", 0.0), Order(9.0, "out of gear"))
    scenario = Scenario(
        "turn", Water(bottom), Boat("boat"), (rod_with("heavy jig, 3 oz", "60 lb leadcore"),),
        3.0 * KNOT, heading=np.pi / 2.0, orders=orders, duration=25.0,
    )  # fmt: skip
    run = simulate(scenario)
    assert float(np.min(run.height(0, run.lines[0].time))) < 0.1, "it gets to the ground"
    assert under_ground(run) <= DEEPEST


def test_that_a_fish_told_deeper_than_a_shoal_swims_over_it() -> None:
    told = (LineOrder(1.0, "rod", "fish on", 8.0), LineOrder(2.0, "rod", "fish end to", 14.0, 1.0))
    scenario = Scenario(
        "fish", Water(shoal(-28.0, 1.0)), Boat("boat"), (rod_with("sinking plug, 5 in"),),
        3.0 * KNOT, duration=16.0, line_orders=told,
    )  # fmt: skip
    run = simulate(scenario)
    assert float(run.lines[0].position[:, 1, -1].max()) > -20.0, "it comes to the shoal"
    assert under_ground(run) <= DEEPEST


@pytest.mark.parametrize("height", [-0.9, -1.5])
def test_that_a_rod_tip_under_the_ground_is_refused_with_its_height(height: float) -> None:
    rod = replace(rod_with(LIPPED), height=height)
    with pytest.raises(InvalidValue, match=r"rod: height is -\d\.\d; allowed: a rod tip above"):
        Scenario("sunk", Water(Bottom.level(0.9)), Boat("boat"), (rod,))
    Scenario("held", Water(Bottom.level(2.0)), Boat("boat"), (rod,))


@st.composite
def shipped_scenarios(draw: st.DrawFn) -> Scenario:
    """Any helm, water and ground, with shipped tackle."""
    scenario = draw(scenarios())
    rods = []
    for rod in scenario.rods:
        parts = []
        if draw(st.booleans()):
            kind = draw(
                st.sampled_from([*SHIPPED.of_role("leadcore"), *SHIPPED.of_role("backing")])
            )
            parts.append(SHIPPED.lines[kind].section(draw(between(5.0, 120.0))))
        leader = draw(st.sampled_from(SHIPPED.of_role("leader")))
        parts.append(SHIPPED.lines[leader].section(draw(between(1.0, 15.0))))
        lure = SHIPPED.lures[draw(st.sampled_from(list(SHIPPED.lures)))]
        rods.append(replace(rod, sections=tuple(parts), lure=lure))
    return replace(scenario, rods=tuple(rods), speed=draw(between(0.2, 12.0)))


@settings(max_examples=8, derandomize=True, **SHARED)
@given(shipped_scenarios())
def test_that_no_node_of_shipped_tackle_is_ever_under_any_ground(scenario: Scenario) -> None:
    assert under_ground(simulate(scenario)) <= DEEPEST


@pytest.mark.long
@settings(max_examples=1000, **SHARED)
@given(shipped_scenarios())
def test_that_none_is_in_a_thousand_new_scenarios(scenario: Scenario) -> None:
    """``pytest -m long tests/physics/test_ground_holds.py``."""
    assert under_ground(simulate(scenario)) <= DEEPEST
