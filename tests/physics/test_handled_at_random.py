"""Whatever is ordered of a line, whenever, over whatever ground: it is computed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from physics.environment.water import Bottom, Water
from physics.line.line_orders import LineOrder
from physics.line.tackle import Rod
from physics.simulation.run import simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Boat, Order
from tests.physics.spreads import FLOATER, JIG, LEADCORE, LEADER, PLUG

SHOAL = Bottom(((0.0, 25.0), (60.0, 6.0), (140.0, 20.0)), 0.3)
SECONDS = 60.0

STRETCHED = 1.15
"""600 N, more than the tackle would bear, stretch these lines by a twelfth."""


def any_order(rng: np.random.Generator, time: float) -> LineOrder:
    """One order of a kind, size and rate left to chance."""
    action = rng.choice(["line to", "line to", "fish on", "fish end to", "fish off"])
    if action == "line to":
        return LineOrder(time, "rod", "line to", rng.uniform(0.5, 150.0), rng.uniform(0.05, 5.0))
    if action == "fish on":
        return LineOrder(time, "rod", "fish on", rng.uniform(0.5, 30.0))
    if action == "fish end to":
        return LineOrder(time, "rod", "fish end to", rng.uniform(0.0, 25.0), rng.uniform(0.05, 3.0))
    return LineOrder(time, "rod", "fish off")


def any_handled(rng: np.random.Generator) -> Scenario:
    """One line under orders, out of gear and back in between, turning or not."""
    lure = (PLUG, JIG, FLOATER)[rng.integers(3)]
    core = replace(LEADCORE, length=rng.uniform(5.0, 90.0))
    rod = Rod("rod", (core, LEADER), lure, abeam=rng.uniform(-4.0, 4.0))
    times = np.sort(rng.uniform(0.5, 0.7 * SECONDS, rng.integers(1, 7)))
    out, back = np.sort(rng.uniform(1.0, 0.7 * SECONDS, 2))
    helm = [Order(out, "out of gear"), Order(back, "in gear")]
    if rng.random() < 0.5:
        helm.append(Order(rng.uniform(1.0, 40.0), "wheel", rng.uniform(-0.05, 0.05)))
    bottom = SHOAL if rng.random() < 0.4 else Bottom.level(rng.uniform(4.0, 40.0))
    return Scenario(
        "handled at random",
        Water(bottom, current=(0.4, -0.2)),
        Boat("boat"),
        (rod,),
        speed=rng.uniform(1.0, 4.5),
        orders=tuple(helm),
        line_orders=tuple(any_order(rng, float(time)) for time in times),
        duration=SECONDS,
    )


@pytest.mark.parametrize("seed", range(10))
def test_that_a_line_handled_at_random_is_computed_to_the_end(seed: int) -> None:
    scenario = any_handled(np.random.default_rng(seed))
    run = simulate(scenario)
    line = run.lines[0]
    assert run.end >= SECONDS
    assert np.isfinite(line.position).all()
    assert np.isfinite(run.tension(0, np.linspace(0.0, SECONDS, 121))).all()
    goal = [order.value for order in scenario.line_orders if order.action == "line to"]
    longest = max([scenario.rods[0].line_out - LEADER.length, *goal])
    assert line.line_out(np.linspace(0.0, SECONDS, 121)).max() <= longest + 1e-6
    # the lure is never farther from the tip than what is out, stretched by a big fish at most
    tip = line.position[np.arange(len(line.time)), :, line.tips]
    reach = np.linalg.norm(line.position[:, :, -2] - tip, axis=1)
    assert (reach <= STRETCHED * (line.line_out(line.time) + LEADER.length) + 0.2).all()
