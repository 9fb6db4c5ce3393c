"""What would take too long or too much memory is refused before it begins, and what would do is."""

from __future__ import annotations

import math
import tracemalloc
from dataclasses import replace

import numpy as np
import pytest

from physics.checks import InvalidValue
from physics.line.core.library import LIBRARY
from physics.line.line_orders import LineOrder
from physics.line.mesh import Resolution
from physics.simulation import cost
from physics.simulation.cost import (
    MOST_BYTES,
    MOST_SECONDS,
    cost_of,
    kept_of,
    nodes_of,
    require_affordable,
    steps_of,
)
from physics.simulation.events import find_events
from physics.simulation.run import Run, simulate
from physics.simulation.scenario import Scenario, cut_for_orders
from physics.vessel.boat import Leg, Order
from physics.vessel.motion import PrescribedMotion
from tests.physics.spreads import drop, leadcore_rod


def spread(rods: int, elements: int, duration: float) -> Scenario:
    return drop(
        *(leadcore_rod(f"line {k}", abeam=float(k)) for k in range(rods)),
        resolution=Resolution(line_elements=elements), duration=duration,
    )  # fmt: skip


def test_that_the_nodes_counted_are_those_of_the_mesh() -> None:
    for scenario in (spread(1, 24, 60.0), spread(3, 60, 60.0)):
        assert nodes_of(scenario) == Run([scenario]).mesh.nodes


def test_that_two_hours_straight_on_with_six_usual_lines_may_run() -> None:
    straight = drop(
        *(leadcore_rod(f"line {k}", abeam=float(k)) for k in range(6)),
        duration=7200.0,
        resolution=Resolution(),
    )
    require_affordable(cut_for_orders(straight))


def test_that_a_long_run_of_fine_lines_and_a_long_turn_may_run() -> None:
    require_affordable(replace(spread(1, 300, 7200.0), orders=()))
    require_affordable(replace(spread(2, 24, 7200.0), orders=(Order(1.0, "wheel", 0.02),)))


def test_that_what_takes_gigabytes_is_refused_with_what_would_do() -> None:
    huge = replace(spread(6, 400, 7200.0), orders=(Order(1.0, "wheel", 0.02),))
    with pytest.raises(InvalidValue) as caught:
        require_affordable(huge)
    assert caught.value.field == "size"
    assert "GB" in str(caught.value.value)
    words = caught.value.allowed
    elements = int(words.split(" line elements")[0].split()[-1])
    require_affordable(replace(huge, resolution=Resolution(line_elements=elements)))
    with pytest.raises(InvalidValue):
        require_affordable(replace(huge, resolution=Resolution(line_elements=elements + 2)))
    seconds = float(words.split("duration of up to ")[1].split(" s")[0])
    require_affordable(replace(huge, duration=seconds))
    with pytest.raises(InvalidValue):
        require_affordable(replace(huge, duration=seconds + 2.0))


def test_that_as_many_rods_are_told_as_would_do() -> None:
    many = replace(spread(6, 60, 7200.0), orders=(Order(1.0, "wheel", 0.02),))
    with pytest.raises(InvalidValue) as caught:
        require_affordable(many)
    rods = int(caught.value.allowed.split("up to ")[-1].split(" rod")[0])
    require_affordable(replace(many, rods=many.rods[:rods]))
    with pytest.raises(InvalidValue):
        require_affordable(replace(many, rods=many.rods[: rods + 1]))


def test_that_more_of_anything_costs_more() -> None:
    usual = spread(2, 24, 600.0)
    for more in (spread(3, 24, 600.0), spread(2, 48, 600.0), spread(2, 24, 900.0)):
        assert cost_of(more).seconds > cost_of(usual).seconds
        assert cost_of(more).bytes > cost_of(usual).bytes
    assert MOST_BYTES <= 500e6
    assert MOST_SECONDS <= 120.0


def test_that_it_is_known_which_stepper_does_the_work(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cost, "LIBRARY", None)
    slow = cost_of(spread(2, 24, 600.0))
    monkeypatch.setattr(cost, "LIBRARY", object())
    fast = cost_of(spread(2, 24, 600.0))
    assert slow.seconds > 5.0 * fast.seconds
    assert slow.bytes == fast.bytes


DROPS = tuple(
    Order(60.0 * k + at, action)
    for k in range(8)
    for at, action in ((10.0, "out of gear"), (25.0, "in gear"))
)
COURSE = tuple(Leg(*(60.0, 0.03) if k % 2 else (150.0, 0.0)) for k in range(12))

RUNS = {
    "straight on": replace(spread(1, 24, 1800.0), orders=()),
    "two lines in a turn": replace(spread(2, 24, 700.0), orders=(Order(1.0, "wheel", 0.02),)),
    "drop after drop": replace(spread(1, 24, 600.0), orders=DROPS),
    "a course": replace(spread(1, 24, 600.0), orders=(Order(1.0, "course", legs=COURSE),)),
    "a throttle up and down": replace(
        spread(1, 24, 600.0),
        orders=tuple(Order(30.0 * k, "throttle", 1.0 + 0.4 * (k % 2)) for k in range(1, 19)),
    ),
    "line out and in": replace(
        spread(1, 24, 600.0),
        orders=(),
        line_orders=tuple(
            LineOrder(30.0 + 60.0 * k, "line 0", "line to", 50.0 if k % 2 else 40.0)
            for k in range(9)
        ),
    ),
    "a table": replace(
        spread(1, 24, 600.0),
        orders=(),
        motion=PrescribedMotion(
            tuple((5.0 * k, 2.5 + 0.1 * math.sin(k), 0.1 * math.sin(3.0 * k)) for k in range(120))
        ),
    ),
}


@pytest.fixture(scope="module")
def warm() -> None:
    """What is imported when it is first wanted is there."""
    find_events(simulate(spread(2, 24, 20.0)))


@pytest.mark.usefixtures("warm")
@pytest.mark.parametrize("name", RUNS)
def test_that_a_run_takes_the_steps_and_memory_that_are_told_within_a_factor_of_two(
    name: str,
) -> None:
    scenario = RUNS[name]
    length = scenario.duration
    tracemalloc.start()
    try:
        run = Run([scenario])
        run.advance(length)
        trajectory = run.trajectory()
        find_events(trajectory)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    lines = len(scenario.rods) if LIBRARY is not None else 1
    kept = np.mean([len(line.time) for line in trajectory.lines])
    for real, told in (
        (run.count.rounds / lines, steps_of(scenario, length)),
        (kept, kept_of(scenario, length)),
        (peak, cost_of(scenario).bytes),
    ):
        assert 0.5 < told / real < 2.0
