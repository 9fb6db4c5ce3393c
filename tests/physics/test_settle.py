"""The steady tow a run starts from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.environment.water import Bottom
from physics.line.march import SETTLE_MOST
from physics.line.tackle import LineSection, Lure, Rod
from physics.simulation.run import Run, simulate
from tests.physics.spreads import DEEP_SEA, FLOATER, JIG, PLUG, drop, leadcore_rod

STEADY = 1e-6
"""What may be left of a node's motion against the boat, m/s."""


def test_that_shallow_ground_ahead_does_not_disturb_the_start() -> None:
    shelf = replace(DEEP_SEA, bottom=Bottom(((0.0, 60.0), (120.0, 60.0), (140.0, 2.5))))
    level = Run([drop(leadcore_rod("rod"), orders=())])
    ahead = Run([drop(leadcore_rod("rod"), orders=(), water=shelf)])
    assert_allclose(ahead.nodes_at(0.0)[0], level.nodes_at(0.0)[0], rtol=0.0, atol=1e-5)


@pytest.mark.parametrize("lure", [PLUG, JIG, FLOATER], ids=lambda lure: lure.name)
@pytest.mark.parametrize("speed", [0.6, 2.57, 4.5])
def test_that_nothing_moves_against_the_boat_at_the_start(lure: Lure, speed: float) -> None:
    long = LineSection("leadcore", 150.0, 0.9e-3, 2.6e-3, 800.0)
    leader = LineSection("leader", 6.0, 0.6e-3, 3.2e-4, 2e3)
    run = Run([drop(Rod("rod", (long, leader), lure), speed=speed, orders=())])
    velocity = run.trajectory().lines[0].velocity[0]
    assert_allclose(velocity, np.array([0.0, speed, 0.0])[:, None] * np.ones(velocity.shape[1]),
                    rtol=0.0, atol=STEADY)  # fmt: skip
    assert run.count.solves < SETTLE_MOST


def test_that_a_steady_tow_stays_steady() -> None:
    run = simulate(drop(leadcore_rod("rod"), orders=(), duration=60.0))
    depth = run.depth(0, np.linspace(0.0, 60.0, 121))
    assert_allclose(depth, depth[0], rtol=0.0, atol=1e-4)


def test_that_half_a_meter_of_limp_floating_braid_settles_too() -> None:
    braid = LineSection("braid", 0.5, 0.3e-3, 6.8e-5, 500.0)
    speck = Lure("speck", "sinking plug", 1e-4, 9e-8, 0.01, 1e-6, 1e-6)
    for height in (0.2, -0.3):
        scenario = drop(Rod("rod", (braid,), speck, height=height), orders=(), duration=5.0)
        assert np.isfinite(simulate(scenario).depth(0, np.array([5.0]))).all()


def test_that_a_flooded_braid_keeps_its_weight_and_gains_inertia() -> None:
    dry = LineSection("dry", 100.0, 0.9e-3, 2.42e-3, 1e4)
    wet = replace(dry, name="wet", flooded=0.3)
    assert_allclose(wet.solid, 0.7 * dry.area, rtol=1e-12)
    run = Run([drop(Rod("a", (dry,), PLUG), orders=()), drop(Rod("b", (wet,), PLUG), orders=())])
    mesh = run.mesh
    inner = [slice(mesh.first[k] + 1, mesh.last[k] - 1) for k in (0, 1)]
    ends = mesh.length[inner[0]], mesh.length[mesh.first[0] : mesh.last[0] - 2]
    piece = 0.5 * (ends[0] + ends[1])
    water = 1025.0 * dry.area * 0.3 * piece
    gain = mesh.mass[inner[1]] - mesh.mass[inner[0]]
    assert_allclose(gain, water, rtol=1e-9)
    assert_allclose(mesh.weight[inner[1]], mesh.weight[inner[0]], rtol=1e-12)
    lift = mesh.buoyancy[inner[0]] - mesh.buoyancy[inner[1]]
    assert_allclose(lift, water * DEEP_SEA.gravity, rtol=1e-9)
    assert run.lures_at(0.0, 1)[0][0, 2] < run.lures_at(0.0, 0)[0][0, 2]
