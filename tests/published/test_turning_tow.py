"""Published, as it is told and not in numbers: what a towed line does in a turn.

Chapman D. A. (1984), Towed cable behaviour during ship turning manoeuvres, Ocean
Engineering 11(4) 327-361, as described in the introduction of Sci. Rep. 13:3525
(2023), tag 2ND: in a gradual turn (radius much larger than the line is long) the line
keeps nearly its straight-tow shape; in a sharp one (radius much smaller) the tow
collapses inward. Ours also sinks then, and its end goes around well inside the boat's
circle. In between it is drawn inward first, and rises a little, because it is also
dragged sideways; only then does it collapse.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from physics.environment.water import Bottom, Water
from physics.simulation.run import simulate
from physics.vessel.boat import Order
from tests.beside import beside
from tests.physics.spreads import drop, leadcore_rod

LENGTH = 59.5  # m of line and leader
DEEP = Water(Bottom.level(200.0))  # no ground in reach of a line that hangs

GRADUAL, SHARP = 25.0, 0.25  # radius over length
KEPT = 0.03  # share of the depth and radius; "a few per cent"
SUNK = 2.0  # times the depth in the straight tow, at the least
TURNED = 600.0  # s; from half of it on nothing changes


@dataclass(frozen=True)
class Turn:
    """In a steady turn: depth over that in the straight tow, and radius over the boat's."""

    deeper: float
    cut: float


@cache
def turned(radius_over_length: float) -> Turn:
    radius = radius_over_length * LENGTH
    turn = Order(1.0, "wheel", 1.0 / radius)
    run = simulate(drop(leadcore_rod("rod"), orders=(turn,), duration=TURNED, water=DEEP))
    line, begun = run.lines[0], run.track.at(1.0)
    straight, deep = -line.lure(np.array([0.0, TURNED]))[:, 2]
    lure = line.lure(TURNED)
    # turning to starboard from heading north, the circle's middle lies due east
    around = math.hypot(lure[0] - begun.x - radius, lure[1] - begun.y)
    return Turn(float(deep / straight), around / radius)


def test_that_a_gradual_turn_keeps_the_shape_of_the_straight_tow() -> None:
    turn = turned(GRADUAL)
    beside(f"gradual turn, R/L {GRADUAL:g}: depth over straight", turn.deeper, 1.0)
    beside(f"gradual turn, R/L {GRADUAL:g}: radius over the boat's", turn.cut, 1.0)
    assert turn.deeper == pytest.approx(1.0, abs=KEPT)
    assert turn.cut == pytest.approx(1.0, abs=KEPT)


def test_that_in_a_sharp_turn_the_tow_collapses_inward_and_sinks() -> None:
    turn = turned(SHARP)
    assert turn.deeper > SUNK
    assert turn.cut < 0.5


def test_that_the_tighter_the_turn_the_further_inside_it_the_lure_goes() -> None:
    cut = [turned(ratio).cut for ratio in (GRADUAL, 4.0, 1.0, 0.5, SHARP)]
    assert cut == sorted(cut, reverse=True)
