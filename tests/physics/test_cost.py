"""What would take too long or too much memory is refused before it begins, and what would do is."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace

import pytest

from physics.checks import InvalidValue
from physics.line.mesh import Resolution
from physics.simulation.cost import (
    BYTES,
    MOST_BYTES,
    MOST_SECONDS,
    cost_of,
    nodes_of,
    require_affordable,
)
from physics.simulation.run import Run, simulate
from physics.simulation.scenario import Scenario, cut_for_orders
from physics.vessel.boat import Order
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


def test_that_what_takes_gigabytes_is_refused_with_what_would_do() -> None:
    huge = spread(6, 400, 7200.0)
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


def test_that_more_of_anything_costs_more_and_keeping_less_does_not() -> None:
    usual = spread(2, 24, 600.0)
    for more in (spread(3, 24, 600.0), spread(2, 48, 600.0), spread(2, 24, 900.0)):
        assert cost_of(more).seconds > cost_of(usual).seconds
        assert cost_of(more).bytes > cost_of(usual).bytes
    assert cost_of(usual, kept=100.0).bytes < cost_of(usual).bytes
    assert cost_of(usual, kept=100.0).seconds == cost_of(usual).seconds
    assert MOST_BYTES <= 500e6
    assert MOST_SECONDS <= 120.0


def test_that_a_run_that_cannot_be_thinned_takes_no_more_than_is_told() -> None:
    turn = replace(spread(2, 24, 700.0), orders=(Order(1.0, "wheel", 0.02),))
    tracemalloc.start()
    try:
        trajectory = simulate(turn)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert trajectory.end >= 700.0
    assert peak < cost_of(turn).bytes
    assert peak > 0.1 * cost_of(turn).bytes
    assert BYTES > 0.0
