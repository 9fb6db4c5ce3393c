"""Which two lines are nearest, whether they cross, and how a lure goes through the water."""

from __future__ import annotations

import numpy as np
import pytest

from physics.answers.line_gaps import lure_speeds, nearest_pair, turn_side
from physics.environment.current import PowerLaw
from physics.environment.water import Bottom, Water
from physics.simulation.events import LINES_CLOSE
from physics.simulation.gaps import crossing, polyline_distance


def line(x: float, slope: float = 0.0, deep: float = 5.0, nodes: int = 28) -> np.ndarray:
    """A line astern from (x, 0), running ``slope`` m sideways a meter and down to ``deep``."""
    s = np.linspace(0.0, 60.0, nodes)
    return np.array([x + slope * s, -s, -deep * s / 60.0])


def test_that_the_nearest_of_all_pairs_is_found() -> None:
    rng = np.random.default_rng(7)
    for _ in range(40):
        lines = [
            line(x, s, d)
            for x, s, d in zip(
                np.arange(6) * 4.0, rng.uniform(-0.02, 0.02, 6), rng.uniform(2, 9, 6), strict=True
            )
        ]
        pair = nearest_pair(lines)
        assert pair is not None
        assert not pair.crossing
        all_pairs = [
            (polyline_distance(lines[i], lines[j]), i, j) for i in range(6) for j in range(i + 1, 6)
        ]
        assert (pair.apart, pair.first, pair.second) == min(all_pairs)


def test_that_a_pair_that_crosses_from_above_goes_before_a_nearer_one() -> None:
    over = [line(0.0, 0.1, 2.0), line(3.0, 0.0, 9.0), line(3.6, 0.02, 9.0)]
    pair = nearest_pair(over)
    assert pair is not None
    assert (pair.first, pair.second) == (0, 1)
    assert pair.crossing
    assert pair.close
    assert pair.apart > LINES_CLOSE
    assert pair.place == pytest.approx((3.0, -30.0))


def test_that_lines_side_by_side_are_clear_and_near_ones_are_close() -> None:
    clear = nearest_pair([line(0.0), line(2.0)])
    near = nearest_pair([line(0.0), line(0.4)])
    assert clear is not None
    assert near is not None
    assert clear.apart == pytest.approx(2.0)
    assert not clear.close
    assert near.close
    assert near.place[0] == pytest.approx(0.2)


def test_that_one_line_has_nothing_near() -> None:
    assert nearest_pair([line(0.0)]) is None


def test_that_lines_one_behind_the_other_do_not_cross() -> None:
    ahead, behind = line(0.0, 0.1), line(0.5, 0.1)
    behind[1] -= 70.0
    assert crossing(ahead, behind) is None
    assert crossing(ahead, ahead[:, ::-1] * [[-1.0], [1.0], [1.0]]) is not None


@pytest.mark.parametrize(
    ("abeam", "curvature", "side"),
    [(2.0, 0.01, "inside"), (2.0, -0.01, "outside"), (-2.0, 0.01, "outside"), (2.0, 0.0, ""),
     (0.0, 0.01, "")],
)  # fmt: skip
def test_that_a_rod_is_inside_the_turn_to_its_own_side(
    abeam: float, curvature: float, side: str
) -> None:
    assert turn_side(abeam, curvature) == side


def test_that_a_lure_goes_through_the_water_of_its_own_depth() -> None:
    water = Water(Bottom.level(20.0), current=(0.0, 1.0), profile=PowerLaw())
    lure = np.array([[0.0, 0.0, -1e-9], [0.0, 0.0, -10.0]])
    over_ground = np.array([[0.0, 3.0, 0.0], [0.0, 3.0, 0.4]])
    near, deep = lure_speeds(lure, over_ground, water)
    assert near == pytest.approx(2.0, abs=1e-3)
    assert deep == pytest.approx(np.hypot(3.0 - 0.5 ** (1 / 7), 0.4), rel=1e-4)
