"""What must not matter: left or right, the compass, the chart, the neighbors, the batch."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.environment.water import Bottom, Water
from physics.line.march import Marcher
from physics.line.mesh import Resolution, build_mesh
from physics.simulation.run import Run, simulate, simulate_many
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Order
from tests.physics.gear import constant, fixed_steps, straight
from tests.physics.spreads import DEEP_SEA, DROP, FLOATER, JIG, PLUG, drop, leadcore_rod

SAME = 1e-5  # m; Newton stops within about 1e-6 m/s of its root, over 30 s
TOGETHER = 1e-4  # m; in a batch all lines get as many Newton steps as the hardest
TIMES = np.linspace(0.0, 30.0, 61)

TURN = (*DROP, Order(16.0, "wheel", 1.0 / 40.0))


def places(run: Trajectory, line: int = 0) -> np.ndarray:
    """All nodes of one line at TIMES, (61, 3, K) m."""
    return run.lines[line].nodes(TIMES)


def test_that_a_mirrored_trip_gives_the_mirrored_lines() -> None:
    slanted = Bottom(((-50.0, 20.0), (50.0, 12.0)), bearing=0.4)
    water = Water(slanted, current=(0.3, 0.1), wind=(4.0, -3.0))
    mirror = Water(replace(slanted, bearing=-0.4), current=(-0.3, 0.1), wind=(-4.0, -3.0))
    port = drop(leadcore_rod("rod", abeam=-3.0), water=water, heading=0.3, orders=TURN)
    back = (*DROP, Order(16.0, "wheel", -1.0 / 40.0))
    starboard = drop(leadcore_rod("rod", abeam=3.0), water=mirror, heading=-0.3, orders=back)
    ours, theirs = places(simulate(port)), places(simulate(starboard))
    assert np.ptp(ours[:, 0]) > 5.0, "the trip leaves the plane of symmetry"
    assert_allclose(theirs[:, 0], -ours[:, 0], rtol=0.0, atol=SAME)
    assert_allclose(theirs[:, 1:], ours[:, 1:], rtol=0.0, atol=SAME)


@pytest.mark.parametrize("turned", [0.5, 2.0, np.pi])
def test_that_turning_the_compass_turns_everything_with_it(turned: float) -> None:
    def heading(extra: float):
        c, s = np.cos(extra), np.sin(extra)
        spun = lambda x, y: (c * x + s * y, -s * x + c * y)  # noqa: E731
        bottom = Bottom(((-50.0, 20.0), (50.0, 12.0)), bearing=0.4 + extra)
        water = Water(bottom, current=spun(0.3, 0.1), wind=spun(4.0, -3.0))
        rod = leadcore_rod("rod", abeam=3.0)
        return places(simulate(drop(rod, water=water, heading=0.2 + extra, orders=TURN)))

    plain, spun = heading(0.0), heading(turned)
    c, s = np.cos(turned), np.sin(turned)
    assert_allclose(spun[:, 0], c * plain[:, 0] + s * plain[:, 1], rtol=0.0, atol=SAME)
    assert_allclose(spun[:, 1], -s * plain[:, 0] + c * plain[:, 1], rtol=0.0, atol=SAME)
    assert_allclose(spun[:, 2], plain[:, 2], rtol=0.0, atol=SAME)


def test_that_the_place_on_the_chart_does_not_matter_over_level_ground() -> None:
    mesh = build_mesh([(leadcore_rod("rod"), DEEP_SEA)], Resolution(12, 2))
    shift = np.array([[30000.0], [-12000.0], [0.0]])

    def slowing(time: np.ndarray) -> np.ndarray:
        return np.stack([2.5 - 0.2 * time, 0.05 * time, 0.0 * time])

    out = []
    for away in (0.0 * shift, shift):
        guess = straight(mesh, (-1.0, 0.0, -0.1), np.array([0.0, 0.0, 1.0])) + away
        velocity = np.zeros_like(guess)
        velocity[0] = 2.5
        tow = Marcher(mesh, mesh.first, constant(2.5)).settle(guess, velocity)
        slow = Marcher(mesh, mesh.first, slowing)
        out.append(fixed_steps(slow, tow, 0.25, 10.0).position - away)
    assert_allclose(out[1], out[0], rtol=0.0, atol=SAME)


def test_that_a_line_does_not_feel_another_far_away() -> None:
    near, far = leadcore_rod("near", abeam=-4.0), leadcore_rod("far", JIG, abeam=25.0)
    alone, pair = simulate(drop(near)), simulate(drop(near, far))
    assert_allclose(places(pair, 0), places(alone), rtol=0.0, atol=SAME)


def test_that_a_batch_gives_what_each_scenario_gives_alone() -> None:
    spread = [
        drop(leadcore_rod("rod", lure), speed=speed, orders=TURN, duration=30.0 + k)
        for k, (lure, speed) in enumerate([(PLUG, 2.0), (JIG, 2.57), (FLOATER, 3.8), (PLUG, 1.2)])
    ]
    for together, scenario in zip(simulate_many(spread), spread, strict=True):
        alone = simulate(scenario)
        assert_allclose(places(together), places(alone), rtol=0.0, atol=TOGETHER)
        assert_allclose(together.tension(0, TIMES), alone.tension(0, TIMES), rtol=1e-4)


def test_that_orders_given_late_to_a_live_run_give_the_run_that_knew_them() -> None:
    known = drop(leadcore_rod("rod", abeam=2.0), orders=TURN)
    live = Run([replace(known, orders=())])
    for order in TURN:
        live.advance(order.time)  # may be ahead of the order already; that is dropped
        live.order(order)
    live.advance(known.duration)
    assert_allclose(places(live.trajectory()), places(simulate(known)), rtol=0.0, atol=SAME)


def test_that_a_branch_leaves_its_run_alone_and_goes_the_same_way() -> None:
    known = drop(leadcore_rod("rod"))
    run = Run([known])
    run.advance(10.0)
    branch = run.branch()
    branch.advance(known.duration)
    run.advance(known.duration)
    late = TIMES[TIMES > 12.0]
    ours, theirs = run.trajectory().lines[0], branch.trajectory().lines[0]
    assert_allclose(theirs.nodes(late), ours.nodes(late), rtol=0.0, atol=SAME)
    assert_allclose(places(run.trajectory()), places(simulate(known)), rtol=0.0, atol=SAME)


@pytest.mark.parametrize("current", [(0.8, 0.0), (-0.3, -1.1)])
def test_that_an_even_current_only_carries_everything_along(current) -> None:
    moved = Water(DEEP_SEA.bottom, current=current)
    still, carried = (
        places(simulate(drop(leadcore_rod("rod", abeam=2.0), water=water, orders=TURN)))
        for water in (DEEP_SEA, moved)
    )
    set_and_drift = TIMES[:, None] * np.array([*current, 0.0])
    assert_allclose(carried - set_and_drift[:, :, None], still, rtol=0.0, atol=SAME)


def test_that_a_run_starts_in_steady_tow() -> None:
    # nothing moves against the boat before the first order at 3 s
    run = simulate(drop(leadcore_rod("rod"), leadcore_rod("jig", JIG, abeam=4.0)))
    early = np.linspace(0.0, 2.9, 12)
    for number in range(2):
        assert_allclose(np.ptp(run.depth(number, early)), 0.0, atol=1e-4)
        assert_allclose(np.ptp(run.astern(number, early)), 0.0, atol=1e-4)
