"""What a run remembers: bounded in memory, and old steps as good as they were."""

from __future__ import annotations

import gc
import pickle
import weakref
from dataclasses import replace

import numpy as np
import pytest

import physics.simulation.past
from physics.line.core.stepper import MOST
from physics.line.line_orders import LineOrder
from physics.simulation.past import BLOCK, FULL, SAME, Past
from physics.simulation.run import Run
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order
from tests.physics.spreads import drop, leadcore_rod

LONG = 900.0
"""Three times as long as all steps are kept, s."""


@pytest.fixture(scope="module")
def scenario() -> Scenario:
    orders = (Order(5.0, "out of gear"), Order(25.0, "in gear"), Order(80.0, "wheel", 0.01),
              Order(120.0, "wheel", 0.0))  # fmt: skip
    return drop(
        leadcore_rod("port", abeam=-2.0), leadcore_rod("starboard", abeam=2.0), orders=orders
    )


def run_of(scenario: Scenario, keep: float = np.inf) -> Run:
    run = Run([scenario], keep=keep)
    run.advance(LONG)
    return run


def held(past: Past) -> int:
    """Bytes of arrays that a past keeps alive, shared ones once."""
    owners = {}
    for state in past.state:
        owner = state if state.base is None else state.base
        owners[id(owner)] = owner.nbytes
    return sum(owners.values())


@pytest.fixture(scope="module")
def aged(scenario: Scenario) -> Run:
    return run_of(scenario)


@pytest.fixture(scope="module")
def whole(scenario: Scenario) -> Run:
    """The same with every step kept."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(physics.simulation.past, "FULL", np.inf)
        return run_of(scenario)


def test_that_no_step_keeps_the_arrays_of_other_lines_alive(aged: Run) -> None:
    for past in aged._state.pasts:
        # steps that were taken together may be kept until the last of them is old
        assert held(past) <= past.state[-1].nbytes * (len(past.time) + MOST)


def test_that_a_long_steady_tow_is_few_steps(aged: Run, whole: Run) -> None:
    for old, new in zip(whole._state.pasts, aged._state.pasts, strict=True):
        late = sum(time > LONG - FULL for time in new.time)
        assert len(new.time) - late < 0.5 * (len(old.time) - late)
        assert held(new) < 0.6 * held(old)


def test_that_the_last_steps_are_kept_as_they_were_taken(aged: Run, whole: Run) -> None:
    for old, new in zip(whole._state.pasts, aged._state.pasts, strict=True):
        late = [time for time in old.time if time > LONG - FULL]
        assert new.time[-len(late) :] == late
        for mine, theirs in zip(new.state[-len(late) :], old.state[-len(late) :], strict=True):
            np.testing.assert_array_equal(mine, theirs)


def test_that_a_thinned_past_tells_the_same_places_speeds_and_pulls(aged: Run, whole: Run) -> None:
    old, new = whole.trajectory(), aged.trajectory()
    times = np.linspace(0.0, LONG, 3601)
    for number, (a, b) in enumerate(zip(old.lines, new.lines, strict=True)):
        assert np.abs(a.nodes(times) - b.nodes(times)).max() < 2.0 * SAME
        assert np.abs(a.lure_velocity(times) - b.lure_velocity(times)).max() < 2e-3
        pulls = old.tension(number, times)
        assert np.abs(pulls - new.tension(number, times)).max() < 0.005 * pulls.max()


def test_that_an_order_in_the_thinned_past_still_steers(scenario: Scenario) -> None:
    out = Order(300.0, "out of gear")
    late = run_of(scenario)
    late.order(out)
    late.advance(400.0)
    early = Run([replace(scenario, orders=(*scenario.orders, out))])
    early.advance(400.0)
    for mine, theirs in zip(late.lures_at(340.0)[0], early.lures_at(340.0)[0], strict=True):
        assert np.abs(mine - theirs).max() < 1e-3


def test_that_what_is_not_to_be_kept_is_forgotten_and_the_rest_is_the_same(
    scenario: Scenario, aged: Run
) -> None:
    short = run_of(scenario, keep=400.0)
    for mine, theirs in zip(short._state.pasts, aged._state.pasts, strict=True):
        assert mine.time[0] > LONG - 400.0 - BLOCK * 40.0
        assert mine.time[0] > 0.0
        assert mine.time == theirs.time[-len(mine.time) :]
    np.testing.assert_array_equal(short.lures_at(LONG)[0], aged.lures_at(LONG)[0])
    assert short.trajectory(since=LONG - 100.0).start <= LONG - 100.0


def test_that_of_many_short_steps_no_more_are_kept_than_of_long_ones() -> None:
    past, dice, count = Past(keep=1300.0), np.random.default_rng(5), 64
    for time in np.arange(0.25, 2000.0, 0.25 * count):
        times = time + 0.25 * np.arange(count)
        past.add(times, np.full(count, 0.25), dice.normal(size=(count, 4, 3, 5)), 0, times)
    # all of the last FULL seconds are there, and they are nearly as many
    assert FULL / 0.25 <= len(past.time) <= 1300 + BLOCK + count
    assert past.time[0] <= past.time[-1] - FULL
    assert np.diff(past.time).max() == pytest.approx(0.25)


def test_that_the_shortest_of_steps_are_no_more_either() -> None:
    past, dice, count = Past(keep=500.0), np.random.default_rng(5), 64
    for time in np.arange(0.05, 100.0, 0.05 * count):
        times = time + 0.05 * np.arange(count)
        past.add(times, np.full(count, 0.05), dice.normal(size=(count, 4, 3, 5)), 0, times)
    assert 500 <= len(past.time) <= 500 + 2 * BLOCK + count


def test_that_a_run_that_is_done_with_goes_at_once(scenario: Scenario) -> None:
    run = Run([scenario])
    run.advance(10.0)
    run.order_line(LineOrder(8.0, "port", "line to", 50.0, 1.0))
    run.order(Order(9.0, "out of gear"))
    ahead = run.branch(9.0)
    ahead.advance(12.0)
    ahead.trajectory().tension(0, np.array([11.0]))
    seen = [weakref.ref(run), weakref.ref(ahead)]
    gc.disable()
    try:
        del run, ahead
        assert [one() for one in seen] == [None, None]
    finally:
        gc.enable()


def test_that_the_past_of_two_hours_is_no_more_than_that_of_what_is_kept() -> None:
    orders = [
        Order(begin + after, action)
        for begin in np.arange(60.0, 7200.0, 120.0)
        for after, action in ((0.0, "out of gear"), (20.0, "in gear"))
    ]
    run = Run([drop(leadcore_rod("port"), orders=tuple(orders))], keep=1800.0)
    sizes = []
    for hour in (1.0, 2.0):
        for minute in range(60):
            run.advance(3600.0 * (hour - 1.0) + 60.0 * (minute + 1.0))
        sizes.append((len(pickle.dumps(run)), held(run._state.pasts[0])))
    (one, first), (two, second) = sizes
    assert second < 1.05 * first < 10e6
    assert two < 1.1 * one < 12e6
