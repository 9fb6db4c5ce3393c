"""A run that is told its orders as it goes is the run that knew them all from the start."""

from __future__ import annotations

from dataclasses import replace
from types import ModuleType

import numpy as np
import pytest
from hypothesis import given, settings
from numpy.testing import assert_allclose, assert_array_equal

from physics.checks import InvalidValue
from physics.environment.water import Bottom, Water
from physics.line.line_orders import LineOrder
from physics.line.mesh import Resolution
from physics.line.tackle import Rod
from physics.simulation import batch as batches
from physics.simulation import run as runs
from physics.simulation.run import Run, simulate
from physics.simulation.scenario import Scenario
from physics.vessel.boat import Order
from tests.physics.given_live import Told, farthest, give, known, scripts, told_live
from tests.physics.spreads import LEADCORE, LEADER, MONO, PLUG
from tests.physics.spreads import drop as dropped
from tests.physics.test_random import SHARED

SAME = 1e-3
"""How far a lure may be from where the other run has it, m."""

HAULED = 8e-3
"""As SAME, where line goes out faster than the boat takes it: it lies slack, and rounding grows
in it to some millimeters (5 were seen; up to 116 in others, where 1e-10 m
at first becomes as much)."""

TENSION = 0.05
"""How far the tension of slack line may be, N."""

AFTERWARD = 8.0
"""Seconds followed after the last order."""


def spread(*lines: float, **changes) -> Scenario:
    """Two lines of leadcore with backing on the reel."""
    rods = [
        Rod(name, (replace(LEADCORE, length=line), LEADER), PLUG, abeam=side, reserve=(MONO,) * 3)
        for name, side, line in zip(("port", "starboard"), (-3.0, 3.0), lines, strict=True)
    ]
    return dropped(*rods, orders=(), resolution=Resolution(8, 2), **changes)


def to(time: float, length: float, rate: float = 0.5, rod: str = "port") -> LineOrder:
    return LineOrder(time, rod, "line to", length, rate)


@pytest.mark.parametrize(
    "orders",
    [
        (to(2.0, 100.0), to(4.0, 20.0)),
        (to(2.0, 100.0, 3.0), to(12.0, 30.0, 3.0), to(14.0, 90.0, 3.0), to(20.0, 10.0, 3.0)),
    ],
    ids=["more, then less", "out and in and out"],
)
def test_that_a_haul_changed_before_it_is_done_gives_the_run_that_knew(
    orders: tuple[LineOrder, ...],
) -> None:
    scenario = spread(46.0, 30.0)
    live = Run([scenario])
    for order in orders:
        live.advance(order.time + 1.0)
        live.order_line(order)
    live.advance(22.0)
    other = to(22.0, 40.0, rod="starboard")
    live.order_line(other)
    live.advance(32.0)
    sure = simulate(replace(scenario, line_orders=(*orders, other), duration=32.0))
    times = np.linspace(0.0, 32.0, 65)
    for number in (0, 1):
        assert_allclose(
            live.trajectory().depth(number, times), sure.depth(number, times), atol=HAULED, rtol=0.0
        )
        tension = live.trajectory().tension(number, times)
        assert_allclose(tension, sure.tension(number, times), rtol=0.02, atol=TENSION)


@pytest.mark.parametrize(
    "order",
    [Order(0.0, "wheel", 0.05), LineOrder(0.0, "port", "fish on", 6.0)],
    ids=["wheel", "fish"],
)
def test_that_what_is_ordered_at_the_start_finds_a_steady_tow(order: Order | LineOrder) -> None:
    scenario = spread(30.0, 20.0)
    live, sure = Run([scenario]), Run(known([scenario], [(0, order)]))
    give(live, order, 0)
    assert_allclose(sure.lures_at(0.0)[0], live.lures_at(0.0)[0], atol=1e-6)
    for run in (live, sure):
        run.advance(15.0)
    assert farthest(live, sure, 15.0) < SAME


def test_that_two_orders_for_one_instant_are_obeyed_as_if_both_had_been_known() -> None:
    """Attempts at the last steps before that instant knew one of them."""
    orders = (
        LineOrder(1.5, "port", "fish on", 8.5), LineOrder(1.5, "port", "fish on", 2.0),
        Order(1.5, "engines", 1),
    )  # fmt: skip
    scenario = spread(12.0, 20.0)
    live = Run([scenario])
    for order in orders:
        live.advance(3.0, most_rounds=40)
        give(live, order, 0)
    sure = Run(known([scenario], [(0, order) for order in orders]))
    for run in (live, sure):
        run.advance(12.0)
    assert farthest(live, sure, 12.0) < 1e-6


def test_that_line_paid_out_onto_the_ground_lies_on_it_like_line_that_was_out() -> None:
    """The ground is as hard under line that came out since the last order."""
    lies = []
    for line, orders in ((40.0, ()), (15.0, (to(1.0, 40.0, 2.0),))):
        rod = Rod("port", (replace(LEADCORE, length=line), LEADER), PLUG)
        run = simulate(
            dropped(
                rod, water=Water(Bottom.level(4.0)), speed=1.0, duration=60.0,
                orders=(Order(1.0, "out of gear"),), line_orders=orders,
            )
        )  # fmt: skip
        nodes = run.lines[0].nodes(np.array([60.0]))[0, 2, :-2]
        lies.append(np.sort(nodes)[:6])
    assert_allclose(lies[1], lies[0], atol=0.004)


def standing(run: Run) -> list[np.ndarray]:
    """All that a run knows of now."""
    state, last = run._state, run._state.last
    return [
        last.time.copy(), last.step.copy(), last.position.copy(), last.velocity.copy(),
        state.tips.copy(), run.mesh.length.copy(),
        np.array([len(past.time) for past in state.pasts]),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("module", "fails"), [(runs, "handle"), (batches, "build_mesh"), (runs, "HandledMesh")]
)
def test_that_an_order_that_fails_leaves_the_run_as_it_was(
    module: ModuleType, fails: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise ArithmeticError("broken for the test")

    first, then = to(2.0, 60.0), Order(9.0, "out of gear")
    scenario = spread(30.0, 20.0)
    run = Run([scenario])
    run.order_line(first)
    run.advance(8.0)
    before = standing(run)
    with monkeypatch.context() as patch:
        patch.setattr(module, fails, broken)
        with pytest.raises(ArithmeticError):
            run.order_line(to(6.0, 80.0))
    for now, then_ in zip(standing(run), before, strict=True):
        assert_array_equal(now, then_)
    assert run.line_orders() == (first,)
    run.order(then)
    sure = Run(known([scenario], [(0, first), (0, then)]))
    for one in (run, sure):
        one.advance(15.0)
    assert farthest(run, sure, 15.0) < 1e-6


def test_that_a_branch_refuses_an_order_for_a_time_it_does_not_know() -> None:
    run = Run([spread(30.0, 20.0)])
    run.advance(10.0)
    branch = run.branch(8.0)
    before = standing(branch)
    for order in (Order(2.0, "out of gear"), to(2.0, 40.0)):
        with pytest.raises(InvalidValue, match="where this run begins"):
            give(branch, order, 0)
    for now, then in zip(standing(branch), before, strict=True):
        assert_array_equal(now, then)
    with pytest.raises(InvalidValue, match="where this run begins"):
        branch.advance_exactly(2.0)
    branch.order(Order(8.0, "out of gear"))


def test_that_a_branch_reaches_back_to_the_time_asked_for_however_small_the_steps() -> None:
    """Line that goes out fast makes many small steps."""
    run = Run([spread(30.0, 20.0, line_orders=(to(1.0, 110.0, 5.0),))])
    run.advance(9.0)
    assert run.branch_at(6.5).reached() == pytest.approx(6.5, abs=1e-9)
    ahead = run.branch(6.5)
    ahead.advance_exactly(6.5)
    ahead.order(Order(6.5, "out of gear"))
    run.order(Order(6.5, "out of gear"))
    for one in (ahead, run):
        one.advance(12.0)
    late = np.linspace(7.0, 12.0, 11)
    assert_allclose(ahead.trajectory().depth(0, late), run.trajectory().depth(0, late), atol=SAME)


def check(scenarios: list[Scenario], script: list[Told]) -> None:
    live, told = told_live(Run(scenarios), script)
    end = sum(one.wait for one in script) + AFTERWARD
    live.advance(end)
    sure = Run(known(scenarios, told))
    sure.advance(end)
    assert farthest(live, sure, end) < SAME


@settings(max_examples=8, derandomize=True, **SHARED)
@given(scripts())
def test_that_orders_given_live_give_the_run_that_knew_them(
    drawn: tuple[list[Scenario], list[Told]],
) -> None:
    check(*drawn)


@pytest.mark.long
@settings(max_examples=2000, **SHARED)
@given(scripts(most=12, longest=150.0))
def test_that_thousands_of_sequences_given_live_give_the_runs_that_knew_them(
    drawn: tuple[list[Scenario], list[Told]],
) -> None:
    """The long search, new sequences each time: ``pytest -m long tests/physics``."""
    check(*drawn)
