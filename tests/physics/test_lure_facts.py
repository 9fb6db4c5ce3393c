"""What a lure was doing: at the lift it is the same instant with a hit or without."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from physics.simulation.events import LIFTING, find_events
from physics.simulation.lure_facts import FALLING, RISING, RUNNING, TURNED, lure_facts, phase_of
from physics.simulation.run import simulate
from physics.simulation.trajectory import Trajectory
from physics.vessel.boat import Order
from tests.physics.spreads import DROP, drop, leadcore_rod

OUT, BACK = 3.0, 15.0


@pytest.fixture(scope="module")
def dropped() -> Trajectory:
    """A drop in a current, looked at until all has turned and a little longer."""
    scene = drop(leadcore_rod("port"), duration=BACK + TURNED + 5.0)
    return simulate(replace(scene, water=replace(scene.water, current=(0.4, 0.0))))


def test_that_a_lure_runs_while_it_moves_slower_than_a_lift_either_way() -> None:
    rates = [-1.1 * LIFTING, -0.9 * LIFTING, 0.0, 0.9 * LIFTING, 1.1 * LIFTING]
    assert [phase_of(rate) for rate in rates] == [FALLING, RUNNING, RUNNING, RUNNING, RISING]


def test_that_the_lift_is_the_event_of_that_name(dropped: Trajectory) -> None:
    facts = lure_facts(dropped, 0, 0.0, dropped.end)
    (lift,) = [e.time for e in find_events(dropped) if e.kind == "starts to lift"]
    line = dropped.lines[0]
    assert line.lure_velocity(lift)[2] == pytest.approx(LIFTING, abs=1e-6)
    through = line.lure_velocity(lift) - np.array([0.4, 0.0, 0.0])
    assert facts.lift_speed == pytest.approx(np.linalg.norm(through), abs=0.005)
    assert facts.lift_off_bottom == pytest.approx(60.0 + line.lure(lift)[2], abs=0.002)


def test_that_the_lift_is_the_same_whether_and_when_there_was_a_hit(dropped: Trajectory) -> None:
    quiet = lure_facts(dropped, 0, 0.0, dropped.end)
    for at in (OUT + 4.0, BACK + 12.0, dropped.end):
        hit = lure_facts(dropped, 0, 0.0, dropped.end, at)
        assert (hit.depth, hit.speed) != (quiet.depth, quiet.speed)
        assert_allclose(
            (hit.lift_off_bottom, hit.lift_speed),
            (quiet.lift_off_bottom, quiet.lift_speed), rtol=0.0, atol=0.0,
        )  # fmt: skip
    # nor by how long the log waited before it asked
    early = lure_facts(dropped, 0, 1.0, BACK + TURNED)
    assert (early.lift_off_bottom, early.lift_speed) == (quiet.lift_off_bottom, quiet.lift_speed)


def test_that_without_a_drop_or_before_it_has_turned_there_is_no_lift(dropped: Trajectory) -> None:
    for start, end in ((0.0, OUT), (0.0, BACK + 0.5), (BACK + 1.0, dropped.end)):
        facts = lure_facts(dropped, 0, start, end)
        assert (facts.lift_off_bottom, facts.lift_speed) == (None, None)


@pytest.mark.parametrize(
    ("order", "end"),
    [(Order(34.0, "out of gear"), 60.0), (Order(62.0, "throttle", 1.0), 110.0)],
)
def test_that_what_she_does_later_is_not_taken_for_the_drop(order: Order, end: float) -> None:
    run = simulate(drop(leadcore_rod("port"), orders=(*DROP, order), duration=end))
    first, whole = (lure_facts(run, 0, 0.0, until) for until in (order.time, run.end))
    assert whole.depth > first.depth
    assert first.lift_speed is not None
    assert (whole.lift_off_bottom, whole.lift_speed) == (first.lift_off_bottom, first.lift_speed)
