"""Lines in a turn: the outside one rises, the inside one sinks, and no cut of theirs tells."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from physics.line.march import TOLERANCE
from physics.simulation.run import simulate
from physics.simulation.scenario import cut_for_orders
from physics.vessel.boat import Order
from tests.beside import beside
from tests.physics.spreads import drop, leadcore_rod
from tests.physics.tight_turns import FINE, HARD_OVER, JIG, TURNS, Turn, depth, error

BEGUN, ENDED = 5.0, 250.0


def changes(abeam: float, curvature: float) -> tuple[float, float]:
    """How much deeper, m, the (inside, outside) line is in a steady turn than before it."""
    rods = [leadcore_rod(name, abeam=a) for name, a in (("port", -abeam), ("starboard", abeam))]
    turn = (Order(BEGUN, "wheel", curvature),)
    run = simulate(drop(*rods, orders=turn, duration=ENDED))
    before, after = np.array([-line.lure(np.array([0.0, ENDED]))[:, 2] for line in run.lines]).T
    port, starboard = (after - before).tolist()
    return (starboard, port) if curvature > 0.0 else (port, starboard)


@pytest.mark.parametrize("side", [1, -1])
def test_that_outside_a_wide_turn_a_line_rises_and_inside_it_sinks(side: int) -> None:
    inside, outside = changes(9.0, side / 500.0)
    assert inside > 0.02
    assert outside < -0.05


@pytest.mark.parametrize("side", [1, -1])
def test_that_the_inside_line_is_the_deeper_one_even_where_turning_lifts_both(side: int) -> None:
    inside, outside = changes(4.0, side / 150.0)
    assert outside < inside < 0.0


CUT = 0.01
"""Share of its depth that the default cut may put a lure off, as README promises."""

WORST = [
    Turn(10.0, 10, 7.5),
    Turn(10.0, 10, 7.5, sheared=True),
    Turn(10.0, 3, 7.5),
    Turn(20.0, 10, 7.5),
    Turn(60.0, 10, 3.0, sheared=True),
    Turn(10.0, 10, 7.5, degrees=720.0, lure=JIG),
    Turn(HARD_OVER, 10, 7.5, degrees=720.0),
]


@pytest.mark.parametrize(
    "turn",
    [*WORST, *(pytest.param(t, marks=pytest.mark.long) for t in TURNS if t not in WORST)],
    ids=str,
)
def test_that_in_any_turn_the_lure_is_as_deep_as_that_of_a_line_three_times_finer(turn) -> None:
    found = error(turn)
    beside(str(turn), 1.0 + found, 1.0)
    assert found < CUT


@pytest.mark.parametrize("colors", [1, 3, 10])
def test_that_a_drop_going_straight_is_as_deep_on_the_coarser_cut_of_plans(colors: int) -> None:
    dropped = (Order(5.0, "out of gear"), Order(25.0, "in gear"))
    live = replace(Turn(10.0, colors, 7.5, sheared=True).scenario, orders=dropped, duration=60.0)
    coarse = cut_for_orders(live)
    assert coarse.resolution != live.resolution
    fine = depth(replace(live, resolution=FINE), tolerance=TOLERANCE / 10, longest=0.5)
    for scenario in (coarse, live):
        found = float(np.abs(depth(scenario) / fine - 1.0).max())
        beside(f"{colors} colors, {scenario.resolution.line_elements} elements", 1.0 + found, 1.0)
        assert found < CUT


def test_that_lines_are_cut_coarser_only_where_the_boat_is_not_told_to_turn() -> None:
    turning = Turn(10.0, 3, 5.0).scenario
    assert cut_for_orders(turning) is turning
    own = replace(turning, orders=(), resolution=FINE)
    assert cut_for_orders(own) is own
