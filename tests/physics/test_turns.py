"""Rods abeam in a turn: the outside line goes faster and rises, the inside one sinks."""

from __future__ import annotations

import numpy as np
import pytest

from physics.simulation.run import simulate
from physics.vessel.boat import Order
from tests.physics.spreads import drop, leadcore_rod

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
